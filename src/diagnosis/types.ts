// What diagnosis takes and gives: evidence, belief, suspects, plans, verdicts. Plain data; no screen, no disk, no clock.
import type { Check, Level } from '../rulebook/types.ts';
import type { ReadingValue, SkippedCheck } from '../session/types.ts';

/** The value that a check should show on this set, at this line voltage, with this meter. */
export interface Expected {
  /** Reference value that ratio bands refer to, in the check's base unit. */
  readonly value: number;
  /** One-sigma relative uncertainty of the reference (part spread, meter, line). */
  readonly spread: number;
  readonly unit: string;
  /** Where the value comes from, in words, one reason a line. */
  readonly reasons: readonly string[];
}

/** A reading ready for diagnosis: the check, what was read, and what it should have been. */
export interface JudgedReading {
  readonly seq: number;
  readonly check: Check;
  readonly value: ReadingValue;
  readonly expected: Expected | undefined;
  /** Relative one-sigma error of the instrument. */
  readonly meterSpread: number;
  /** Instrument that it was taken with; empty or missing = none in particular. */
  readonly instrument?: string;
  /** Taken where it can tell nothing yet, and to be taken again: no evidence. */
  readonly early?: string;
  /** Measured again and found the same, with nothing done to the set in between: hardly a slip. */
  readonly twice?: boolean;
}

/** One likelihood vector on one variable. `variable` is `signal:<id>` or `part:<id>`; order of `likelihood` is that variable's states. */
export interface Evidence {
  readonly seq: number;
  readonly check: string;
  readonly method: string;
  readonly variable: string;
  readonly likelihood: readonly number[];
  /** Density of what was read under the best state, before `likelihood` was scaled to 1 there; 1 if missing. */
  readonly scale?: number;
  /** Instrument that it was read with: two instruments on one thing are two opinions. */
  readonly instrument?: string;
  /** Names of the states that `likelihood` runs over, where these are not all of the variable's (a part's faults that a check does not name behave as `ok`). */
  readonly states?: readonly string[];
  /** Unfloored mixture terms per state, to judge slips afterwards. */
  readonly terms: {
    readonly core: readonly number[];
    readonly timesTen: readonly number[];
    readonly tenth: readonly number[];
    readonly sign: readonly number[];
    /** The meter left on the other of AC and DC. */
    readonly wrongRange: readonly number[];
    readonly uniform: readonly number[];
  };
}

/** Posterior of everything. Distributions are keyed by state name: levels for signals; `ok` and fault ids for parts. */
export interface Belief {
  readonly signals: ReadonlyMap<string, Readonly<Record<Level, number>>>;
  readonly parts: ReadonlyMap<string, Readonly<Record<string, number>>>;
  /** P(bad) of each assembly (any of its parts faulty). */
  readonly assemblies: ReadonlyMap<string, number>;
  readonly logEvidence: number;
}

/** A part that some reading made likelier than before, with the readings that moved it. */
export interface Suspect {
  /** `section.part/fault`: the likeliest mode. */
  readonly id: string;
  readonly part: string;
  readonly fault: string;
  readonly title: string;
  /** P(part bad). */
  readonly partProbability: number;
  /** P(this mode). */
  readonly probability: number;
  readonly prior: number;
  readonly because: readonly Weight[];
}

export interface Weight {
  readonly check: string;
  /** Log-odds (natural) by which the check's readings moved the suspect; positive = raised. */
  readonly weight: number;
}

export interface Conflict {
  readonly seq: number;
  readonly check: string;
  /** P(a reading at least as unlikely as this one, given all others). */
  readonly surprise: number;
  readonly slip: { readonly kind: SlipKind; readonly probability: number };
  /** All readings that the conflict is about, where it is about more than the one of `seq`. */
  readonly readings?: readonly number[];
  /** What settles it, an order without full stop, where that is more than measuring again. */
  readonly prove?: string;
  readonly say: string;
}

/**
 * What may have gone wrong: with one reading (a decimal, the sign, AC for DC, something), with two (taken at each other's points; two
 * instruments that differ), or with all by one instrument or from one return point. `none`: hard to believe, no slip that explains it.
 */
export type SlipKind =
  | 'none'
  | 'times-ten'
  | 'tenth'
  | 'sign'
  | 'ac-dc'
  | 'swapped'
  | 'other'
  | 'disagree'
  | 'instrument'
  | 'return-point';

/** A node of the live fault tree: why a signal is not right. */
export interface FaultTreeNode {
  readonly id: string;
  readonly kind: 'signal' | 'part' | 'unmodelled';
  readonly title: string;
  /** P(not right). */
  readonly probability: number;
  /** P(this child is what puts the parent where it is). */
  readonly responsibility: number;
  /** Cleared by evidence: was a possible cause, now unlikely. */
  readonly cleared: boolean;
  readonly children: readonly FaultTreeNode[];
}

/** A check that may be planned: allowed by the interlock now, or after a change of supply state or configuration. */
export interface Candidate {
  readonly check: Check;
  readonly expected: Expected | undefined;
  /** Minutes to get to where it can be taken (state and configuration change, access), on top of its own minutes. */
  readonly changeMinutes: number;
  /** Position in the walk order: phase, section, file order. */
  readonly order: number;
  /** A protective check that something else waits for. */
  readonly protective: boolean;
  /** It read off before a repair that bears on it: the first thing to know after that. */
  readonly again?: boolean;
}

export interface PlannedCheck {
  readonly check: Check;
  readonly score: number;
  /** Expected information, bit, about what it reads. */
  readonly gainBits: number;
  /** Expected information about the core parts, bit. */
  readonly coreBits: number;
  readonly minutes: number;
  /** Comes before all that only tells more for its minutes: it protects what follows, confirms or proves. */
  readonly leads: boolean;
  /** Looks at something that the owner sees or hears and that nobody has looked at yet: no walk ends without it. */
  readonly awaited: boolean;
  readonly why: string;
}

/** What would be behind an open sign. */
export interface SupposedCause {
  readonly part: string;
  /** Its likeliest mode then. */
  readonly fault: string;
  /** Part and mode, and the part alone. */
  readonly title: string;
  readonly partTitle: string;
  /** P(part bad), the sign taken for real. */
  readonly ifReal: number;
  /** The same times the chance that the sign is real. */
  readonly chance: number;
}

/** Something complained of, seen or heard wrong that no found suspect accounts for when a walk ends. */
export interface OpenSign {
  readonly title: string;
  /** Where its cause is looked for. */
  readonly signals: readonly string[];
  /** Chance that there is something behind it, 0 to 1; a plain sign is not believed away. */
  readonly chance: number;
  /** Likeliest first; empty where none stands out. */
  readonly causes: readonly SupposedCause[];
}

export type StopReason = 'isolated' | 'nothing-found' | 'exhausted' | 'core-failed';

export interface Plan {
  /** Best first; empty when stopped. */
  readonly ranked: readonly PlannedCheck[];
  /** Set when asking more is not worth it; the technician may always go on. */
  readonly stop:
    | {
        readonly reason: StopReason;
        readonly say: string;
        /** The core assembly that is as good as lost, for `core-failed`. */
        readonly lost?: string;
        /** What nothing found accounts for. */
        readonly openSigns: readonly OpenSign[];
      }
    | undefined;
}

export const GRADES = ['sound', 'serviceable', 'doubtful', 'failed', 'not proven'] as const;
export type Grade = (typeof GRADES)[number];

export interface GradeEntry {
  readonly id: string;
  readonly title: string;
  readonly grade: Grade;
  readonly core: boolean;
  /** P(bad); where a plain sign that nothing found accounts for would come from it, no less than the chance of that. */
  readonly probabilityBad: number;
  /** Prior-weighted share of fault modes that readings have spoken against, 0 to 1. */
  readonly proof: number;
  readonly because: readonly Weight[];
  readonly say: string;
}

export interface NextStep {
  readonly action: string;
  /** The action for an owner, where the names of checks in it would say nothing to one; steps that say the same are one to an owner. */
  readonly plain?: string;
  /** Finds out what the verdict waits for: until it is done, nothing else is spent. */
  readonly settles?: boolean;
  /** Renewed before the set runs at all, or before the stage runs that it can kill. */
  readonly beforeRun?: boolean;
  readonly part: string;
  readonly why: string;
  readonly caution: string;
  readonly hours: readonly [number, number];
  readonly cost: readonly [number, number];
  readonly kind: 'safety' | 'repair' | 'class-replacement' | 'measure' | 'decide' | 'finish';
}

export type Overall = 'worth-overhauling' | 'worth-with-reservations' | 'not-worth' | 'not-yet-known';

export interface Verdict {
  readonly overall: Overall;
  readonly recommendation: string;
  /** Probability that the set reaches a watchable picture with parts that can be had. */
  readonly watchable: number;
  readonly sections: readonly GradeEntry[];
  readonly core: readonly GradeEntry[];
  readonly hours: readonly [number, number];
  readonly cost: readonly [number, number];
  readonly notProven: readonly string[];
  readonly nextSteps: readonly NextStep[];
  /** The reading that would change the verdict most. */
  readonly wouldChangeMost: string | undefined;
  /** Share of the checks that apply and that the bench could do which were done, 0 to 1. */
  readonly coverage: number;
  readonly coldOnly: boolean;
}

/** What a verdict needs beside belief. */
export interface VerdictContext {
  readonly readings: readonly JudgedReading[];
  readonly skipped: readonly SkippedCheck[];
  readonly instruments: readonly string[];
  readonly restored: 'none' | 'recapped' | 'unknown';
  readonly ownerWish: 'watch' | 'display' | 'sell' | 'unknown';
  readonly coldOnly: boolean;
  /** The set has run in this record, read or not. */
  readonly powered?: boolean;
  readonly repairedParts: readonly string[];
  readonly plan: Plan;
  /** Readings that do not fit the others, and instruments that are doubted. */
  readonly conflicts?: readonly Conflict[];
  /** What may not run as things stand: all power, or the horizontal stage. Nothing is kept off if it is left out. */
  readonly off?: { readonly power: boolean; readonly stage: boolean };
  /** Readings beyond a stop limit of their check, not read right since, in the order of the checks. */
  readonly stops?: readonly StandingStop[];
}

/** A reading that said: go no further. */
export interface StandingStop {
  /** Empty where no check of the rules said it: a hot chassis, a bring-up that was aborted. */
  readonly check: string;
  /** What the rules say of it, as an order. */
  readonly say: string;
  readonly live: boolean;
  /** Core assembly that is lost by it, whatever else reads right. */
  readonly condemns?: string;
}
