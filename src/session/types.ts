// What a session is made of: readings, events, and the state that a fold over events yields. No disk, no clock.
import type { SetFacts } from '../rulebook/types.ts';

/** Volts that a line, lowered or full, can stand at, V rms: a slip of the finger is none. */
export const LINE_VOLTS = [10, 280] as const;

/** The supply-state machine's states. S0 = `discharged`, S1 = `isolated-limited`, S2 = `isolated-full`. */
export const SUPPLY_STATES = [
  'unknown',
  'unplugged',
  'discharged',
  'isolated-limited',
  'isolated-full',
] as const;
export type SupplyState = (typeof SUPPLY_STATES)[number];

/** A reading as understood from what was typed. Numbers are in the base unit of their quantity (V, ohm, A, W, F, H, Hz, s, %, count, C). */
export type ReadingValue =
  | {
      readonly kind: 'number';
      readonly value: number;
      readonly unit: string;
      readonly unstable: boolean;
      readonly mark?: 'ac' | 'dc' | 'pp';
    }
  /** `>20M`, `<0.5`. */
  | {
      readonly kind: 'bound';
      readonly side: 'above' | 'below';
      readonly value: number;
      readonly unit: string;
    }
  /** `100-140`. */
  | { readonly kind: 'range'; readonly low: number; readonly high: number; readonly unit: string }
  | { readonly kind: 'over-range' }
  | { readonly kind: 'short' }
  | { readonly kind: 'pair'; readonly values: readonly [number, number]; readonly unit: string }
  | { readonly kind: 'choice'; readonly option: string };

/** Circumstances of a reading; a reading belongs to the context it was taken in. */
export interface ReadingContext {
  /** Line volts at the set's plug, V rms; 0 = not live. */
  readonly lineVolts: number;
  readonly instrument: string;
  readonly supply: SupplyState;
  readonly config: Readonly<Record<string, string>>;
}

export const SKIP_REASONS = ['no-instrument', 'cannot-reach', 'later', 'not-fitted', 'other'] as const;
export type SkipReason = (typeof SKIP_REASONS)[number];

/**
 * Which proofs an entry was accepted by, where they are not those of today: 1 = a file of format 1, which asked fewer. It stays believed; what is
 * done from now on is asked for all of them.
 */
export type Door = 1;

/** Everything that can happen in a session; plain data. `undone` and `corrected` point at the sequence number they replace. */
export type SessionEvent =
  | { readonly type: 'set-described'; readonly set: SetFacts }
  | { readonly type: 'bench-described'; readonly instruments: readonly string[] }
  | {
      readonly type: 'reading';
      readonly check: string;
      readonly raw: string;
      readonly value: ReadingValue;
      readonly context: ReadingContext;
      readonly note?: string;
      readonly door?: Door;
    }
  | { readonly type: 'skipped'; readonly check: string; readonly reason: SkipReason; readonly note?: string }
  | {
      readonly type: 'corrected';
      readonly target: number;
      readonly raw: string;
      readonly value: ReadingValue;
    }
  | { readonly type: 'undone'; readonly target: number }
  | {
      readonly type: 'gate';
      readonly gate: string;
      readonly raw: string;
      readonly value: ReadingValue;
      readonly door?: Door;
    }
  | {
      readonly type: 'powered-up';
      readonly to: 'isolated-limited' | 'isolated-full';
      readonly lineVolts: number;
      readonly door?: Door;
    }
  /** `outOfTurn`: by the key that is always at hand, not where the walk asked for it. */
  | { readonly type: 'powered-off'; readonly why: string; readonly outOfTurn?: true }
  | { readonly type: 'touched'; readonly what: 'anode-lead' | 'plug' | 'left-bench' | 'injected' }
  | { readonly type: 'configured'; readonly item: string; readonly value: string }
  | { readonly type: 'link-fitted'; readonly what: string }
  | { readonly type: 'link-removed'; readonly what: string }
  | { readonly type: 'line-volts'; readonly lineVolts: number }
  | {
      readonly type: 'repaired';
      readonly part: string;
      readonly action: 'replaced' | 'adjusted' | 'cleaned';
      readonly found: string;
      readonly note?: string;
    }
  | { readonly type: 'note'; readonly text: string; readonly check?: string }
  | { readonly type: 'owner-wish'; readonly wish: 'watch' | 'display' | 'sell' | 'unknown' }
  /** The owner wants the rest known although this core part is as good as lost. */
  | { readonly type: 'went-on'; readonly assembly: string }
  | { readonly type: 'timer-started'; readonly timer: string; readonly seconds: number }
  | { readonly type: 'resumed' }
  | { readonly type: 'finished' };

/** An event as recorded: sequence number from 1, time in ISO 8601 UTC. */
export type RecordedEvent = SessionEvent & { readonly seq: number; readonly at: string };

/** One reading in the record, with what became of it. */
export interface LoggedReading {
  readonly seq: number;
  readonly at: string;
  readonly check: string;
  readonly raw: string;
  readonly value: ReadingValue;
  readonly context: ReadingContext;
  readonly note: string;
  /** Earlier raw texts, oldest first, if it was corrected. */
  readonly corrections: readonly string[];
  /** Taken before a repair that bears on it: kept in the record, no longer believed. Set by the walk, not by the fold. */
  readonly epoch: number;
}

export interface SkippedCheck {
  readonly seq: number;
  readonly check: string;
  readonly reason: SkipReason;
  readonly note: string;
}

export interface Repair {
  readonly seq: number;
  readonly at: string;
  readonly part: string;
  readonly action: 'replaced' | 'adjusted' | 'cleaned';
  readonly found: string;
  readonly note: string;
}

/** One entry that safety looks at, in order; produced by the fold, judged by `src/safety`. */
export type SafetyEntry =
  | {
      readonly type: 'gate';
      readonly seq: number;
      readonly at: string;
      readonly gate: string;
      readonly value: ReadingValue;
      readonly door?: Door;
    }
  | {
      readonly type: 'powered-up';
      readonly seq: number;
      readonly at: string;
      readonly to: 'isolated-limited' | 'isolated-full';
      readonly lineVolts: number;
      readonly door?: Door;
    }
  | {
      readonly type: 'powered-off';
      readonly seq: number;
      readonly at: string;
      readonly why: string;
      readonly outOfTurn?: true;
    }
  | {
      readonly type: 'touched';
      readonly seq: number;
      readonly at: string;
      readonly what: 'anode-lead' | 'plug' | 'left-bench' | 'injected';
    }
  | {
      readonly type: 'configured';
      readonly seq: number;
      readonly at: string;
      readonly item: string;
      readonly value: string;
    }
  | {
      readonly type: 'link-fitted' | 'link-removed';
      readonly seq: number;
      readonly at: string;
      readonly what: string;
    }
  | {
      readonly type: 'check';
      readonly seq: number;
      readonly at: string;
      readonly check: string;
      readonly value: ReadingValue;
      /** The reading that this puts right: taken then, not now. */
      readonly corrects?: number;
      readonly door?: Door;
    }
  | { readonly type: 'resumed'; readonly seq: number; readonly at: string }
  | {
      readonly type: 'line-volts';
      readonly seq: number;
      readonly at: string;
      readonly lineVolts: number;
      /** The entry that was a slip: the line never stood there. */
      readonly takesBack?: number;
    }
  | { readonly type: 'repaired'; readonly seq: number; readonly at: string; readonly part: string }
  /** What was on the bench from here on. */
  | {
      readonly type: 'bench';
      readonly seq: number;
      readonly at: string;
      readonly instruments: readonly string[];
    }
  /** What was known of the set from here on: which gates and limits held at the time. */
  | { readonly type: 'described'; readonly seq: number; readonly at: string; readonly set: SetFacts };

/** The fold of all events so far. */
export interface SessionState {
  readonly set: SetFacts | undefined;
  readonly instruments: readonly string[];
  readonly readings: readonly LoggedReading[];
  readonly skipped: readonly SkippedCheck[];
  readonly safetyLog: readonly SafetyEntry[];
  readonly config: Readonly<Record<string, string>>;
  readonly links: readonly string[];
  readonly repairs: readonly Repair[];
  readonly notes: readonly {
    readonly seq: number;
    readonly at: string;
    readonly text: string;
    readonly check: string;
  }[];
  readonly lineVolts: number;
  readonly ownerWish: 'watch' | 'display' | 'sell' | 'unknown';
  /** Core assemblies whose loss ended the asking once, and that the walk goes on past. */
  readonly wentOn: readonly string[];
  readonly timers: readonly {
    readonly timer: string;
    readonly startedAt: string;
    readonly seconds: number;
  }[];
  readonly finished: boolean;
  readonly lastSeq: number;
  readonly startedAt: string;
  readonly lastAt: string;
  /** Every event so far, as recorded: what undo and correction are worked out from. */
  readonly history: readonly RecordedEvent[];
}
