// What the walk shows and takes: the next step, every check's standing, the judgement of an entry. One engine for screen, shell, practice and bench.
import type {
  Belief,
  Conflict,
  Expected,
  JudgedReading,
  Plan,
  PlannedCheck,
  Suspect,
  Verdict,
} from '../diagnosis/types.ts';
import type { Check } from '../rulebook/types.ts';
import type { Gate, SafetyState } from '../safety/index.ts';
import type { ReadingValue, SessionEvent, SessionState } from '../session/types.ts';

/** Where a check stands today. */
export type CheckStatus = 'done' | 'allowed' | 'locked' | 'skipped' | 'no-instrument';

export interface CheckStanding {
  readonly check: Check;
  readonly status: CheckStatus;
  /** What is missing before it may be taken, in the technician's words. */
  readonly missing: readonly string[];
  /** Gates that would unlock it, in order. */
  readonly gates: readonly Gate[];
  readonly expected: Expected | undefined;
}

/** One step of the bring-up table, computed for this set. */
export interface BringUpRow {
  /** At the variable transformer, V rms. */
  readonly dialVolts: number;
  /** At the set, behind the lamp where there is one, V rms. */
  readonly lineVolts: number;
  readonly holdSeconds: number;
  readonly currentCeilingAmps: number;
  /** Expected B+ in words: "180-210 V" or "absent until the rectifier warms". */
  readonly expectedBPlus: string;
  readonly watch: string;
}

/** What to do now. */
export type Step =
  | { readonly kind: 'describe-set' }
  | { readonly kind: 'describe-bench' }
  | { readonly kind: 'danger'; readonly why: string; readonly say: string }
  | {
      readonly kind: 'gate';
      readonly gate: Gate;
      readonly toward: string;
      readonly position: number;
      readonly of: number;
      /** The proof is in force, and would lapse before what follows is done. */
      readonly early?: true;
      /** The bring-up table, where the gate asks whether it is done. */
      readonly rows?: readonly BringUpRow[];
      /** What of it is still to be done, in words; undefined if nothing. */
      readonly lacking?: string;
    }
  | {
      readonly kind: 'power-up';
      readonly to: 'isolated-limited' | 'isolated-full';
      readonly why: string;
      readonly rows: readonly BringUpRow[];
      readonly readings: readonly Check[];
      /** Those of the run for which something is fitted, lifted or clipped on while the set is still dead. */
      readonly toFit: readonly Check[];
      /** Protective checks that were left out, by title: what this power-up does without. */
      readonly leftOut: readonly string[];
      /** Parts that are found bad and not replaced yet, by title. */
      readonly found: readonly string[];
    }
  | { readonly kind: 'power-off'; readonly why: string; readonly toward: string }
  | {
      readonly kind: 'configure';
      readonly item: string;
      readonly value: string;
      readonly title: string;
      readonly how: readonly string[];
      readonly why: string;
    }
  | {
      readonly kind: 'check';
      readonly check: Check;
      /** Pins of the tube that is in this set, where the check asks for an electrode; else empty. */
      readonly pins: string;
      readonly expected: Expected | undefined;
      readonly why: string;
      readonly planned: PlannedCheck | undefined;
      readonly position: number;
      readonly of: number;
    }
  | {
      readonly kind: 'stop';
      /** In a few words: what kind of end this is. */
      readonly title: string;
      readonly say: string;
      /** The core assembly that is as good as lost: the owner may want the rest known all the same. */
      readonly lost?: { readonly assembly: string; readonly goingOn: string };
    };

/** What the program thinks of one entry, for the line under the input and the band gauge. */
export interface Judgement {
  readonly seq: number;
  readonly check: Check;
  readonly value: ReadingValue;
  readonly text: string;
  readonly expected: Expected | undefined;
  /** Measured / expected, where that makes sense. */
  readonly ratio: number | undefined;
  /** Likeliest state of what it reads, from this reading alone: `normal`, `low`, `ok`, `leaky`, ... */
  readonly state: string;
  readonly standing: 'good' | 'watch' | 'bad' | 'noted';
  /** One line in trade words. */
  readonly say: string;
}

/** Everything a screen or a report needs, computed from a session state. Pure. */
export interface WalkView {
  readonly state: SessionState;
  readonly safety: SafetyState;
  readonly step: Step;
  readonly standings: readonly CheckStanding[];
  readonly judged: readonly JudgedReading[];
  readonly belief: Belief | undefined;
  readonly suspects: readonly Suspect[];
  readonly conflicts: readonly Conflict[];
  readonly plan: Plan;
  readonly verdict: Verdict | undefined;
  /** Minutes spent so far by the checks' own times. */
  readonly minutes: number;
  /** A message that must not be missed (rule base too wide, impossible evidence). */
  readonly trouble: string | undefined;
}

/** Outcome of typing something at a step. Events are not yet on disk: the caller journals them, then folds them. */
export type Entry =
  | { readonly kind: 'events'; readonly events: readonly SessionEvent[]; readonly say: string }
  | {
      readonly kind: 'ask';
      readonly message: string;
      readonly alternatives: readonly { readonly label: string; readonly value: ReadingValue }[];
    }
  | { readonly kind: 'refused'; readonly message: string; readonly hint: string };
