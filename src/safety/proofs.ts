// What the supply-state machine holds between two entries: proofs with their times, and what they add up to.
import type { CheckState, SetFacts } from '../rulebook/types.ts';
import type { ReadingValue, SafetyEntry } from '../session/types.ts';
import { ehtKindUnknown, hasLineEht, mayHaveHvCapacitor, type SafetyFacts } from './facts.ts';
import type { Gate, GateId } from './gate.ts';
import { gatesFor } from './gates.ts';

/** What the rule pack says of a check, as far as safety is concerned. */
export interface CheckSafety {
  /** What is to be said if this reading must stop live work at once; undefined if it need not. */
  stop(check: string, value: Extract<SafetyEntry, { type: 'check' }>['value']): string | undefined;
  /** It put voltage or charge into the set. */
  injects(check: string): boolean;
  /** It took the signal source, if there is only one, off the antenna terminals. */
  movesLead(check: string): boolean;
  /** It reads the anode voltage, which the rating of the picture tube limits. */
  readsAnode(check: string): boolean;
  /** It takes a tube or a cap of the horizontal stage in hand, and puts it back: what was disabled there is said again. */
  refits(check: string): boolean;
  /** Supply state that it is taken in; undefined for a check that the pack does not know. */
  state(check: string): CheckState | undefined;
  /** `none`: eyes only or off the set; `hands`: hands in the set; `moved`: chassis, board or picture tube moved. */
  contact(check: string): 'none' | 'hands' | 'moved';
  /** Facts as they were known when the set was described so; undefined: as they are known now. */
  factsOf(set: SetFacts): SafetyFacts | undefined;
}

/** Where no rule pack is at hand: every check counts as one that moved everything; limits of the pack are not known. */
export const CAUTIOUS: CheckSafety = {
  stop: () => undefined,
  injects: () => false,
  movesLead: () => false,
  readsAnode: () => false,
  refits: () => true,
  state: () => undefined,
  contact: () => 'moved',
  factsOf: () => undefined,
};

export interface ForcedStop {
  readonly why:
    | 'chassis-hot'
    | 'dangerous-reading'
    | 'power-without-proof'
    | 'horizontal-changed-live'
    | 'anode-touched-live'
    | 'bring-up-aborted';
  readonly say: string;
}

/** Something dangerous was met when the set last ran, and nobody has said yet what it was. */
export interface Unexplained {
  readonly say: string;
  /** Sequence number of the reading, if it was one. */
  readonly seq?: number;
}

interface Proof {
  /** Counts from here. */
  readonly at: number;
  /** When the reading itself was taken, where another one has renewed the proof since. */
  readonly readAt?: number;
}

/** Line volts on the lamp from a time on, ms since 1970, by the entry that said so. */
export interface LampRow {
  readonly at: number;
  readonly volts: number;
  readonly seq: number;
}

/** The machine between two entries. Times in ms since 1970. */
export interface Machine {
  readonly supply: 'unknown' | 'unplugged' | 'isolated-limited' | 'isolated-full';
  readonly proofs: ReadonlyMap<GateId, Proof>;
  /** Charge was put in since the anode was last proven: its third reading then belongs to the proof of S0. */
  readonly anodeRecheck: boolean;
  readonly horizontal: 'disabled' | 'enabled' | 'unknown';
  readonly links: readonly string[];
  /** Lead of the signal source at the antenna terminals; `unknown`: may be on, is not to be counted on. */
  readonly signalLead: 'off' | 'fitted' | 'unknown';
  readonly stop: ForcedStop | undefined;
  /** Outlast the power-off that ends a stop: no power before the cause of each is known. */
  readonly dangers: readonly Unexplained[];
  /** Switched off out of turn, and nobody has said yet why. */
  readonly askWhyOff: boolean;
  /** Line volts at the set's plug as last said, V rms; 0 = not said. */
  readonly lineVolts: number;
  /** Watts of the lamp in series, as last said; 0 = not said. */
  readonly lampWatts: number;
  /** Amperes of the bench fuse, as last said; 0 = not said. */
  readonly fuseAmps: number;
  /** Volts at the set since it runs on the lamp, each from its own time on, ms since 1970; undefined off the lamp. */
  readonly onLamp: readonly LampRow[] | undefined;
  /** What the chassis read, while that counts; held against the line volts again where those turn out to be lower. */
  readonly chassisRead: ReadonlyMap<GateId, ReadingValue>;
  /** A bring-up was finished in this record, and nothing was done to the supply since. */
  readonly broughtUp: boolean;
  readonly offAt: number | undefined;
  /** Live state just left by an orderly power-off: readings held in the head may still be typed. */
  readonly held:
    | {
        readonly supply: 'isolated-limited' | 'isolated-full';
        readonly at: number;
        readonly horizontal: Machine['horizontal'];
      }
    | undefined;
  readonly lastAt: number;
}

export const START: Machine = {
  supply: 'unknown',
  proofs: new Map(),
  anodeRecheck: false,
  horizontal: 'unknown',
  links: [],
  signalLead: 'off',
  stop: undefined,
  dangers: [],
  askWhyOff: false,
  lineVolts: 0,
  lampWatts: 0,
  fuseAmps: 0,
  onLamp: undefined,
  chassisRead: new Map(),
  broughtUp: false,
  offAt: undefined,
  held: undefined,
  lastAt: Number.NEGATIVE_INFINITY,
};

const MINUTE = 60_000;
/** A dead proof lasts this long without a new zero reading. */
export const COLD_LASTS_MS = 30 * MINUTE;
/** Up to this age one reading renews it, if nothing else happened; glass and electrolytics recover charge over hours. Judgement, no source. */
export const RENEWABLE_MS = 120 * MINUTE;
/** A live set of which nothing was said for so long may have been switched, moved or left alone: its chassis is read again. Judgement, no source. */
export const LIVE_QUIET_MS = 90 * MINUTE;
/** How long a reading of the anode lets hands go to lead, neck and yoke: the second discharge, and a reading taken for it. Judgement, no source. */
const ANODE_LASTS_MS = { 'anode-second': 10 * MINUTE, 'anode-third': 30 * MINUTE } as const;
/** The isolation transformer is proven once per bench and again monthly. */
export const BENCH_LASTS_MS = 30 * 24 * 60 * MINUTE;
/** A clock that steps back more than this makes every age worthless. */
export const CLOCK_SLACK_MS = MINUTE;

export const READY: readonly GateId[] = ['plug-pulled', 'eye-protection', 'meter-before'];
export const ANODE: readonly GateId[] = [
  'anode-first',
  'anode-second',
  'anode-third',
  'hv-capacitor',
  'eht-link',
];
export const ZERO: readonly GateId[] = [...ANODE, 'electrolytics', 'boost-capacitor'];
export const COLD: readonly GateId[] = [...READY, ...ZERO, 'meter-after'];
export const ONE_POWER_UP: readonly GateId[] = ['all-plugged', 'nothing-earthed', 'links-removed'];
export const ABSENCE: readonly GateId[] = [
  ...ONE_POWER_UP,
  'coating-ground',
  'cone-insulation',
  'horizontal-disabled',
  'chassis-ac',
  'chassis-dc',
];
export const CHASSIS: readonly GateId[] = ['chassis-ac', 'chassis-dc'];
export const TRANSFORMER: readonly GateId[] = ['isolation-poles', 'isolation-ohms', 'isolation-size'];
export const BENCH: readonly GateId[] = [...TRANSFORMER, 'lamp-choice', 'bench-fuse'];
/** The outlet that the set is plugged into is proven anew each time: another one looks the same. */
export const SURVIVES_RESUME: readonly GateId[] = ['isolation-ohms', 'isolation-size'];
/** Proofs that rest on what is known of the set: label, supply, picture tube. */
export const FACTS_BOUND: readonly GateId[] = [
  'isolation-size',
  'lamp-choice',
  'bench-fuse',
  'horizontal-disabled',
  'stage-fuse',
  'coating-ground',
  'cone-insulation',
  'bring-up-finished',
  'lamp-bypassed',
];
/** Gates for which hands go to coating, cone or the cap of the output tube. */
export const AT_THE_ANODE: readonly GateId[] = ['coating-ground', 'cone-insulation', 'horizontal-disabled'];

/** Until when hands may go to lead, neck, yoke and HV cage, ms since 1970; undefined if no reading of the anode is in force. */
export function anodeReadUntil(machine: Machine): number | undefined {
  const until = (['anode-second', 'anode-third'] as const).flatMap((id) => {
    const proof = machine.proofs.get(id);
    return proof === undefined ? [] : [(proof.readAt ?? proof.at) + ANODE_LASTS_MS[id]];
  });
  return until.length === 0 ? undefined : Math.max(...until);
}

/** The anode was read so lately that hands may go there. */
export function anodeYoung(machine: Machine, now: number): boolean {
  const until = anodeReadUntil(machine);
  return until !== undefined && now <= until;
}

/** Zero readings that S0 stands on, for this set. */
export function zeroGates(facts: SafetyFacts, anodeRecheck: boolean): readonly GateId[] {
  return [
    // Joules behind no resistance to speak of: discharged and linked before anything else goes near.
    ...(hasLineEht(facts) ? (['eht-link'] as const) : []),
    'anode-first',
    'electrolytics',
    'boost-capacitor',
    ...(mayHaveHvCapacitor(facts) ? (['hv-capacitor'] as const) : []),
    'anode-second',
    ...(anodeRecheck ? (['anode-third'] as const) : []),
  ];
}

/** Everything that S0 stands on, in the order of asking. */
export function coldGates(facts: SafetyFacts, anodeRecheck: boolean): readonly GateId[] {
  const look: readonly GateId[] = ehtKindUnknown(facts) ? ['eht-kind'] : [];
  const [plug, eyes, meter] = ['plug-pulled', 'eye-protection', 'meter-before'] as const;
  return [plug, eyes, ...look, meter, ...zeroGates(facts, anodeRecheck), 'meter-after'];
}

/** All cold proofs are there, whatever their age. */
export function coldComplete(machine: Machine, facts: SafetyFacts): boolean {
  return (
    machine.supply === 'unplugged' &&
    coldGates(facts, machine.anodeRecheck).every((id) => machine.proofs.has(id))
  );
}

/** Time from which the age of S0 counts: its oldest zero reading, leaving out anode readings that a later one replaces, and a link that stays on. */
export function coldSince(machine: Machine, facts: SafetyFacts): number {
  const replaced: readonly GateId[] = machine.anodeRecheck
    ? ['anode-first', 'anode-second']
    : ['anode-first'];
  const ids = zeroGates(facts, machine.anodeRecheck).filter(
    (id) => !replaced.includes(id) && id !== 'eht-link',
  );
  return Math.min(...ids.map((id) => machine.proofs.get(id)?.at ?? Number.NaN));
}

/** When the capacitors were last really proven one by one, by a proven meter: a renewal is one reading and makes nothing of that younger. */
function readSince(machine: Machine, facts: SafetyFacts): number {
  const { proofs } = machine;
  const read = (['electrolytics', 'boost-capacitor'] as const).map((id) => proofs.get(id));
  return Math.min(
    coldSince(machine, facts),
    ...read.map((proof) => proof?.readAt ?? proof?.at ?? Number.NaN),
  );
}

export function young(at: number, now: number, lasts: number): boolean {
  return now - at >= -CLOCK_SLACK_MS && now - at <= lasts;
}

/** S0: unplugged, every proof there, none too old. */
export function isCold(machine: Machine, facts: SafetyFacts, now: number): boolean {
  return (
    coldComplete(machine, facts) &&
    young(coldSince(machine, facts), now, COLD_LASTS_MS) &&
    now >= machine.lastAt - CLOCK_SLACK_MS
  );
}

export function isLive(
  machine: Machine,
): machine is Machine & { readonly supply: 'isolated-limited' | 'isolated-full' } {
  return machine.supply === 'isolated-limited' || machine.supply === 'isolated-full';
}

export function chassisProven(machine: Machine): boolean {
  return isLive(machine) && CHASSIS.every((id) => machine.proofs.has(id));
}

export function without(machine: Machine, ids: readonly GateId[]): Machine {
  if (!ids.some((id) => machine.proofs.has(id))) return machine;
  return { ...machine, proofs: new Map([...machine.proofs].filter(([id]) => !ids.includes(id))) };
}

export function withProof(machine: Machine, id: GateId, at: number): Machine {
  return { ...machine, proofs: new Map([...machine.proofs, [id, { at }]]) };
}

/** Ends live work; where the set itself gave cause (`unexplained`), it stays off until somebody knows why. */
export function stopped(
  machine: Machine,
  why: ForcedStop['why'],
  say: string,
  danger?: Unexplained,
): Machine {
  const next = { ...machine, stop: machine.stop ?? { why, say } };
  return danger === undefined ? next : endangered(next, danger);
}

/** With one more danger whose cause is to be found; the same one counts once. */
export function endangered(machine: Machine, danger: Unexplained): Machine {
  const known = machine.dangers.some(({ seq, say }) => seq === danger.seq && say === danger.say);
  return known ? machine : { ...machine, dangers: [...machine.dangers, danger] };
}

/** Proofs that age alone has undone by `now`; run before every entry and every question. */
export function aged(machine: Machine, facts: SafetyFacts, now: number): Machine {
  let next = machine;
  const bench = machine.proofs.get('isolation-poles');
  if (bench !== undefined && !young(bench.at, now, BENCH_LASTS_MS))
    next = without(next, ['isolation-poles', 'isolation-ohms']);
  if (isLive(next) && !young(next.lastAt, now, LIVE_QUIET_MS)) next = without(next, CHASSIS);
  if (coldComplete(next, facts)) {
    return young(readSince(next, facts), now, RENEWABLE_MS) ? next : withoutCold(next);
  }
  const ready = next.proofs.get('meter-before');
  if (ready !== undefined && !young(ready.at, now, RENEWABLE_MS)) return withoutCold(next);
  const kept: readonly GateId[] = machine.anodeRecheck
    ? ['anode-first', 'anode-second', 'eht-link']
    : ['eht-link'];
  const stale = [...next.proofs]
    .filter(([id, proof]) => ZERO.includes(id) && !kept.includes(id) && !young(proof.at, now, COLD_LASTS_MS))
    .map(([id]) => id);
  return without(next, stale);
}

/** Somebody may have changed it since: a lead that was on may be off, or on still. */
export function leadDoubted(machine: Machine): Machine {
  return machine.signalLead === 'fitted' ? { ...machine, signalLead: 'unknown' } : machine;
}

export function withoutCold(machine: Machine): Machine {
  return { ...without(machine, COLD), anodeRecheck: false };
}

const LISTS = new WeakMap<SafetyFacts, ReadonlyMap<string, Gate>>();

/** The gates of a set by id; worked out once per set. */
export function gatesById(facts: SafetyFacts): ReadonlyMap<string, Gate> {
  const known = LISTS.get(facts);
  if (known !== undefined) return known;
  const made = new Map<string, Gate>(gatesFor(facts).map((gate) => [gate.id, gate]));
  LISTS.set(facts, made);
  return made;
}
