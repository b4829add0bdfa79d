// The vocabulary that every room reads: signals, parts, faults, checks, families, and what is known of a set.
// Rule packs (YAML) are checked against `schema.ts` and become a `Rulebook`; nothing here touches disk or screen.

/** Levels of a signal in dominance order: when several causes act, the later one shows. */
export const LEVELS = ['normal', 'high', 'low', 'absent'] as const;
export type Level = (typeof LEVELS)[number];

/** Where the set stands electrically when a reading may be taken. `any`: no contact with the set; `SB`: on the bench, set not connected. */
export const CHECK_STATES = ['any', 'SB', 'S0', 'S1', 'S2'] as const;
export type CheckState = (typeof CHECK_STATES)[number];

/** How a reading's number is compared with its bands. */
export const SCALES = ['ratio', 'bound', 'difference', 'balance', 'choice'] as const;
export type Scale = (typeof SCALES)[number];

/** What a meter must be set to; decides default unit, meter accuracy and loading. */
export const QUANTITIES = [
  'dc-volts',
  'ac-volts',
  'pp-volts',
  'hv-volts',
  'ohms',
  'amps',
  'watts',
  'farads',
  'henries',
  'hertz',
  'seconds',
  'percent',
  'count',
  'celsius',
] as const;
export type Quantity = (typeof QUANTITIES)[number];

/** Condition of the set as far as earlier work goes; selects the column of a prior. */
export const RESTORED = ['none', 'recapped', 'unknown'] as const;
export type Restored = (typeof RESTORED)[number];

/** A condition on facts: every named fact must have one of the listed values. A fact that is `unknown` satisfies any condition. */
export type Condition = Readonly<Record<string, readonly string[]>>;

/** One question about the set, asked once at intake; `unknown` is always a legal answer. */
export interface FactDefinition {
  readonly id: string;
  readonly title: string;
  readonly ask: string;
  readonly values: readonly { readonly id: string; readonly title: string }[];
  readonly when?: Condition;
}

/** What is known of the set on the bench. Values of `facts` come from `FactDefinition.values` or are `unknown`. */
export interface SetFacts {
  readonly name: string;
  readonly owner: string;
  readonly question: string;
  readonly family: string;
  readonly standard: '525' | '405' | '625' | 'dual';
  /** Line voltage at the bench today, V rms. */
  readonly lineVolts: number;
  /** Line voltage on the set's label, V rms. */
  readonly ratedVolts: number;
  /** Rated input of the set, W; 0 = not known. */
  readonly ratedWatts: number;
  /** Registered type of the picture tube, or `unknown`. */
  readonly pictureTube: string;
  /** Tube types by role (`horizontal-output`, `damper`, ...). */
  readonly tubes: Readonly<Record<string, string>>;
  /** Symptom ids of the complaint (`no-raster`, ...); may be empty. */
  readonly complaint: readonly string[];
  readonly restored: Restored;
  readonly storage: 'dry' | 'damp' | 'unknown';
  /** Further facts (`rectifier: tube`, `video-drive: cathode`, ...). */
  readonly facts: Readonly<Record<string, string>>;
  /** Printed values from service data: check id -> value with the line voltage and meter that it was taken with. */
  readonly serviceData: Readonly<Record<string, ServiceValue>>;
}

/** A value printed in service data; replaces the default expectation of a check. */
export interface ServiceValue {
  readonly value: number;
  readonly unit: string;
  /** Line voltage of the printed value, V rms. */
  readonly lineVolts: number;
  /** Meter resistance of the printed value, ohm; 0 = not stated. */
  readonly meterOhms: number;
}

export interface Phase {
  readonly id: string;
  readonly title: string;
}

/** A named default of a supply family, e.g. `b-plus-main`. */
export interface FamilyValue {
  readonly value: number;
  readonly unit: string;
  /** Relative spread of a healthy, unrestored set, one sigma (0.1 = 10 %). */
  readonly spread: number;
  readonly reason: string;
  /** How the value moves with the line: in proportion, or not at all. */
  readonly line: 'proportional' | 'fixed';
}

export interface Family {
  readonly id: string;
  readonly title: string;
  readonly describe: string;
  readonly aliases: readonly string[];
  /** Facts that the family settles (`heaters: series`, `topology: doubler-half-wave`, `chassis: hot`, ...). */
  readonly facts: Readonly<Record<string, string>>;
  readonly ratedVolts: number;
  readonly ratedWatts: number;
  readonly values: Readonly<Record<string, FamilyValue>>;
  /** What is different about making this family cold and dead, in words. */
  readonly safety: readonly string[];
  readonly source: string;
}

/** How likely each mode of a kind of part is, by condition of the set; `aged` needs replacing as a class but upsets nothing. */
export interface PartKind {
  readonly id: string;
  readonly title: string;
  readonly aged: Readonly<Record<Restored, number>>;
  readonly modes: Readonly<Record<string, Readonly<Record<Restored, number>>>>;
  /** What to put in its place, if the class is replaced. */
  readonly replacement: string;
  readonly source: string;
}

/** An effect row: probability of each abnormal level; the rest is `normal`. */
export type EffectRow = Readonly<Partial<Record<Exclude<Level, 'normal'>, number>>>;

/** One input of a signal: what each abnormal level of it does. */
export interface SignalInput {
  readonly signal: string;
  readonly rows: Readonly<Partial<Record<Exclude<Level, 'normal'>, EffectRow>>>;
  readonly when?: Condition;
}

export interface Signal {
  readonly id: string;
  readonly section: string;
  readonly title: string;
  /** What the technician sees if it is wrong, or where it can be read. */
  readonly describe: string;
  /** Something the owner sees or hears: part of what the verdict must settle. */
  readonly outcome: boolean;
  /** Signals through which alone it can be seen or heard: on a dark screen there is no focus to judge. */
  readonly shownBy: readonly string[];
  /** What feeds it. Several entries may name one signal under different conditions: the first that holds is used. */
  readonly inputs: readonly SignalInput[];
  /** Probability that a cause outside the rules upsets it (0.002 to 0.005). */
  readonly leak: EffectRow;
  readonly when?: Condition;
}

export interface Fault {
  readonly id: string;
  readonly title: string;
  /** Prior by condition of the set. */
  readonly prior: Readonly<Record<Restored, number>>;
  /** Multipliers on the prior for facts of the set, e.g. storage: {damp: 2}. */
  readonly factors: Readonly<Record<string, Readonly<Record<string, number>>>>;
  readonly effects: Readonly<Record<string, EffectRow>>;
  readonly source: string;
}

/** What to do when a part is bad. */
export interface Remedy {
  readonly action: string;
  readonly parts: string;
  readonly caution: string;
  /** Rough bench hours, least and most. */
  readonly hours: readonly [number, number];
  /** Rough cost of parts in local currency units, least and most. */
  readonly cost: readonly [number, number];
}

export interface Part {
  /** `section.part`. */
  readonly id: string;
  readonly section: string;
  readonly title: string;
  readonly kind: string;
  /** Assembly that it belongs to, e.g. `flyback`; the core parts are assemblies. */
  readonly assembly?: string;
  /** Role of the tube in `SetFacts.tubes`, where the part is a tube. */
  readonly tube?: string;
  readonly faults: readonly Fault[];
  readonly remedy: Remedy;
  readonly when?: Condition;
}

/** A part, or group of parts, that gets a grade of its own. */
export interface Assembly {
  readonly id: string;
  readonly title: string;
  /** Core parts are those that nobody makes any more. */
  readonly core: boolean;
  /** Evidence ladder: the best grade that the listed checks allow (all of `checks`, one of `anyOf`). */
  readonly ceilings: readonly {
    readonly grade: 'serviceable' | 'sound';
    readonly checks: readonly string[];
    readonly anyOf: readonly string[];
  }[];
  readonly decision: string;
  readonly when?: Condition;
  /** What the walk keeps off once it is as good as lost: all power, or the horizontal stage. */
  readonly whileLost?: 'cold' | 'stage-off';
  /** Checks that are read, where they can be, before looks at the running set alone call it lost. */
  readonly blamedAfter: readonly string[];
}

/** Where the expected value of a check comes from. */
export type Expectation =
  | {
      readonly from: 'constant';
      readonly value: number;
      readonly spread: number;
      readonly line: 'proportional' | 'fixed';
      readonly reason: string;
    }
  | { readonly from: 'family'; readonly value: string; readonly times: number; readonly reason: string }
  | {
      readonly from: 'formula';
      readonly formula: string;
      readonly args: Readonly<Record<string, number | string>>;
      readonly reason: string;
    }
  | {
      readonly from: 'tube';
      readonly role: string;
      readonly field: string;
      readonly family: string;
      readonly times: number;
      readonly reason: string;
    }
  | {
      readonly from: 'picture-tube';
      readonly field: string;
      readonly family: string;
      readonly times: number;
      readonly reason: string;
    };

/** Band limits in the terms of the scale; `null` = unbounded. */
export type Band = readonly [number | null, number | null];

/** What one reading says about one variable. */
export interface Read {
  readonly signal?: string;
  readonly part?: string;
  readonly scale: Scale;
  /** Level or fault id (`ok` = none of the listed faults) -> one or more bands. */
  readonly bands: Readonly<Record<string, readonly Band[]>>;
  /** For `choice`: level or fault id -> option id -> probability. */
  readonly table: Readonly<Record<string, Readonly<Record<string, number>>>>;
  /** Softness of band edges, in the scale's domain (relative for ratio/bound/balance, unit for difference). */
  readonly spread: number;
}

export interface CheckOption {
  readonly id: string;
  readonly title: string;
  /** Said at once when chosen, e.g. "Brightness down now." */
  readonly say: string;
  /** Parts that this answer says are new: not renewed again with their class, and what was read of them before is read anew. */
  readonly renewed?: readonly string[];
}

/** A reading that must stop live work at once; of a cold check, one that forbids power (or the running horizontal stage) until it reads right. */
export interface StopRule {
  readonly above?: number;
  readonly below?: number;
  readonly option?: string;
  /** What a cold reading beyond the limit forbids; by itself the running horizontal stage where the check guards only that, else all power. */
  readonly from?: 'power' | 'horizontal';
  /** Core assembly that is lost by what was seen, whatever else reads right: hands stay off it, and nothing calls it good. */
  readonly condemns?: string;
  readonly say: string;
}

export interface Check {
  readonly id: string;
  readonly section: string;
  readonly title: string;
  readonly phase: string;
  readonly state: CheckState;
  readonly kind: 'number' | 'pair' | 'choice';
  readonly quantity: Quantity;
  /** Unit taken when none is typed: V, ohm, A, mA, W, F, uF, kV, Hz, s, %, "" ... */
  readonly unit: string;
  /** For `pair`: how two typed values become one number. */
  readonly combine?: 'ratio' | 'difference';
  readonly pairLabels?: readonly [string, string];
  /** With both values of a pair under this, in base units, nothing arrives there and their ratio tells nothing. */
  readonly pairLeast?: number;
  /** Instrument ids, all of them needed. */
  readonly needs: readonly string[];
  readonly where: string;
  readonly meter: string;
  readonly how: readonly string[];
  readonly why: string;
  /** Caution ids, texts in `pack.yaml`. */
  readonly cautions: readonly string[];
  readonly minutes: number;
  readonly access: 'outside' | 'back-off' | 'chassis-out' | 'board-lifted' | 'tube-out' | 'off-set';
  /** Checks done in one posture; shown together as a list where they are cold. */
  readonly group?: string;
  /** Applies voltage or charge to the set: evidence of discharge expires. */
  readonly injects: boolean;
  /** Takes a tube or a cap of the horizontal stage in hand and puts it back: that it is disabled is said again. */
  readonly refits: boolean;
  /** What other readings are held against: taken first where the bench stands for it. */
  readonly reference: boolean;
  /** Can finish the part: asked last, with the owner's consent. */
  readonly risky: boolean;
  /** Configuration that the reading belongs to, e.g. {horizontal: disabled}. */
  readonly config: Readonly<Record<string, string>>;
  /** Signals without which there is nothing to look at or listen to here: no focus on a dark screen. */
  readonly shownBy: readonly string[];
  /** Check ids or power steps (`power-limited`, `power-full`, `horizontal-enabled`) that must wait for this one. */
  readonly before: readonly string[];
  /** Checks whose last reading must be normal before this one may be taken. */
  readonly after: readonly string[];
  readonly expect?: Expectation;
  readonly options: readonly CheckOption[];
  readonly reads: readonly Read[];
  /** What each result means, by level, fault id or option id. */
  readonly meaning: Readonly<Record<string, string>>;
  /** Readings outside ask "did you mean". In the check's unit. */
  readonly plausible?: readonly [number, number];
  readonly stop: readonly StopRule[];
  /** Readings of one variable with the same method share their error and count once. */
  readonly method: string;
  /** Internal resistance at the test point, ohm, for meter loading; 0 = negligible. */
  readonly sourceOhms: number;
  readonly source: string;
  readonly when?: Condition;
}

export interface Section {
  readonly id: string;
  readonly title: string;
  readonly describe: string;
}

/** A complaint or an observation in the technician's words, mapped to signals. */
export interface Symptom {
  readonly id: string;
  readonly title: string;
  /** signal id -> level -> probability of this complaint being made. */
  readonly reads: Readonly<Record<string, Readonly<Record<string, number>>>>;
}

export interface InstrumentDefinition {
  readonly id: string;
  readonly title: string;
  readonly describe: string;
}

/** Tube data by type; numbers in SI units unless the name says otherwise; absent = nobody found a source. */
export interface TubeData {
  readonly type: string;
  readonly function: string;
  readonly numbers: Readonly<Record<string, number>>;
  readonly texts: Readonly<Record<string, string>>;
  readonly source: string;
}

export interface Rulebook {
  readonly name: string;
  readonly version: string;
  /** SHA-256 over all files of the pack. */
  readonly hash: string;
  readonly phases: readonly Phase[];
  readonly sections: readonly Section[];
  readonly families: readonly Family[];
  readonly kinds: readonly PartKind[];
  readonly facts: readonly FactDefinition[];
  readonly instruments: readonly InstrumentDefinition[];
  readonly symptoms: readonly Symptom[];
  readonly assemblies: readonly Assembly[];
  readonly signals: readonly Signal[];
  readonly parts: readonly Part[];
  readonly checks: readonly Check[];
  /** Caution id -> one short text. */
  readonly cautions: Readonly<Record<string, string>>;
  readonly tubes: readonly TubeData[];
  readonly pictureTubes: readonly TubeData[];
  /** term key -> words by dialect. */
  /** `means` explains a word to an owner. */
  readonly glossary: readonly {
    readonly us: string;
    readonly uk: string;
    readonly means?: string | undefined;
  }[];
}

/** A problem in a rule pack, with its place. */
export interface RuleProblem {
  readonly file: string;
  readonly line: number;
  readonly column: number;
  readonly id: string;
  readonly message: string;
  readonly fix: string;
  readonly severity: 'error' | 'warning';
}
