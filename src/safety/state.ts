// What the safety log adds up to now: supply state, proofs in force, what is missing for each next state. Pure.
import type { SafetyEntry, SupplyState } from '../session/types.ts';
import { type BringUpLeft, bringUpLeft } from './bring-up.ts';
import { hvRefusal, type SafetyFacts } from './facts.ts';
import { GATE_IDS, type Gate, type GateId } from './gate.ts';
import { ANODE_WAIT_SECONDS } from './gates-cold.ts';
import { overRating, step } from './machine.ts';
import { powerNeeds } from './power.ts';
import {
  aged,
  anodeReadUntil,
  CAUTIOUS,
  type CheckSafety,
  COLD_LASTS_MS,
  chassisProven,
  coldComplete,
  coldGates,
  coldSince,
  endangered,
  FACTS_BOUND,
  type ForcedStop,
  gatesById,
  isCold,
  isLive,
  type Machine,
  START,
  type Unexplained,
  without,
  young,
} from './proofs.ts';

/** Supply states that can be asked for. */
export type Target = Exclude<SupplyState, 'unknown'>;

export interface MayGo {
  readonly ok: boolean;
  /** What is missing, in the technician's words. */
  readonly missing: readonly string[];
}

export interface SafetyState {
  /** `discharged` only while every proof of it is fresh. */
  readonly supply: SupplyState;
  readonly proven: ReadonlySet<GateId>;
  /** When S0 lapses, ISO 8601; undefined when there is none. */
  readonly expiresAt: string | undefined;
  /** Gates to be answered now on the way to a state, in order. Empty if it is reached, or if something else comes first (`mayGo` says what). */
  nextGates(target: Target): readonly Gate[];
  /** The gates of these ids as they are for this set. */
  gates(ids: readonly GateId[]): readonly Gate[];
  /** May the set be taken there now? `lineVolts` (V rms at the plug) is judged where given. */
  mayGo(target: Target, lineVolts?: number): MayGo;
  /** No isolation transformer on the bench today: nothing live. */
  readonly coldOnly: boolean;
  /** Something dangerous was read: nothing but "unplug now" until power-off is recorded. */
  readonly forcedStop: ForcedStop | undefined;
  /** Something dangerous was met when the set last ran, and its cause is not known yet. */
  readonly unexplained: Unexplained | undefined;
  /** The same, each by itself. */
  readonly dangers: readonly Unexplained[];
  /** Switched off out of turn, and nobody has said yet why. */
  readonly askWhyOff: boolean;
  readonly chassisProven: boolean;
  readonly horizontal: 'disabled' | 'enabled' | 'unknown';
  /** Links and clips still on the set. */
  readonly links: readonly string[];
  /** Lead of the signal source; a source is switched on only where it is `fitted`. `unknown`: may be on. */
  readonly signalLead: Machine['signalLead'];
  /** Seconds until a restart is advisable (thermistor and tubes cool); 0 if none. A hint, not a gate. */
  readonly restartWaitSeconds: number;
  /** What the bring-up on the lamp still lacks before it may be called finished; undefined off the lamp. */
  readonly bringUp: BringUpLeft | undefined;
  /** Watts of the lamp in series as last said; 0 = not said. */
  readonly lampWatts: number;
  /** Amperes of the bench fuse as last said; 0 = not said. */
  readonly fuseAmps: number;
  /** Seconds until the second anode discharge counts; 0 if it does or is not due. */
  readonly anodeWaitSeconds: number;
  /** Hands may go to lead, neck and yoke until then, ms since 1970; undefined if no reading of the anode is in force. */
  readonly anodeReadUntil: number | undefined;
  /** Live state left by an orderly power-off at most ten minutes ago: its readings may still be typed. */
  readonly held: Machine['held'];
  /** Why live high-voltage readings are refused on this set, or undefined. */
  readonly hvRefusal: string | undefined;
  /** Gates in the record whose answer proved nothing: it failed, or it was not its place. Sequence numbers. */
  readonly unproven: ReadonlySet<number>;
  /** Readings in the record that its own proofs do not bear out (a journal edited by hand): sequence number -> why. Not to be believed. */
  readonly disbelieved: ReadonlyMap<number, string>;
  readonly facts: SafetyFacts;
  readonly now: number;
  /** The state at a later time, after one more entry if one is given. */
  after(entry: SafetyEntry | undefined, then: Date): SafetyState;
}

const RESTART_WAIT_MS = 3 * 60_000;
const HELD_LASTS_MS = 10 * 60_000;
const ISOLATION =
  'an isolation transformer: without one this is a cold-only session (a variable transformer is not isolation, a residual-current device does not replace it)';
const LAMP = 'a lamp limiter: a tungsten lamp in series with the set';

/** A log run through: the machine at its end, and the readings that it does not bear out. */
interface Run {
  readonly machine: Machine;
  readonly disbelieved: ReadonlyMap<number, string>;
  readonly unproven: ReadonlySet<number>;
}

/** Runs a whole log, each entry judged by what was known of the set at the time. */
function run(log: readonly SafetyEntry[], now: SafetyFacts, rules: CheckSafety): Run {
  const disbelieved = new Map<number, string>();
  const unproven = new Set<number>();
  /** What was last read of the anode voltage, by the reading's own number. */
  const anode = new Map<number, Extract<SafetyEntry, { type: 'check' }>>();
  let machine = START;
  let facts = firstFacts(log, rules) ?? now;
  for (const entry of log) {
    if (entry.type === 'described') {
      const before = facts;
      facts = rules.factsOf(entry.set) ?? now;
      // A proof for another label, supply or picture tube is none for this one.
      if (!sameFacts(before, facts)) machine = { ...without(machine, FACTS_BOUND), broughtUp: false };
      if (before.anode?.tripAboveVolts !== facts.anode?.tripAboveVolts)
        machine = overNewRating(machine, anode, facts, rules);
    }
    if (entry.type === 'check' && rules.readsAnode(entry.check))
      anode.set(entry.corrects ?? entry.seq, entry);
    // A value put right is believed as far as the reading was: where the set stands now says nothing of when it was taken.
    if (entry.type === 'check' && entry.corrects === undefined) {
      const why = whyNot(machine, entry, facts, rules);
      if (why !== undefined) disbelieved.set(entry.seq, why);
    }
    machine = step(machine, entry, facts, rules);
    if (entry.type === 'gate' && !stands(machine, entry.gate, facts)) unproven.add(entry.seq);
  }
  return { machine, disbelieved, unproven };
}

/** Whether an answer just given to a gate proves what it says. */
function stands(machine: Machine, gate: string, facts: SafetyFacts): boolean {
  if (gate === 'still-cold') return isCold(machine, facts, machine.lastAt);
  if (gate === 'cause-found') return machine.dangers.length === 0;
  if (gate === 'why-off') return !machine.askWhyOff;
  return [...machine.proofs.keys()].some((id) => id === gate);
}

/** Anode readings over the rating of the picture tube that turns out to be in the set: no power before their cause is known. */
function overNewRating(
  machine: Machine,
  readings: ReadonlyMap<number, Extract<SafetyEntry, { type: 'check' }>>,
  facts: SafetyFacts,
  rules: CheckSafety,
): Machine {
  return [...readings].reduce((so, [seq, entry]) => {
    const say = overRating(entry, facts, rules);
    return say === undefined ? so : endangered(so, { say, seq });
  }, machine);
}

const sameFacts = (a: SafetyFacts, b: SafetyFacts): boolean => {
  const bare = ({ family, ratedVolts, ratedWatts, recapped, facts }: SafetyFacts): string =>
    JSON.stringify([family, ratedVolts, ratedWatts, recapped, Object.entries(facts).sort()]);
  return bare(a) === bare(b);
};

function firstFacts(log: readonly SafetyEntry[], rules: CheckSafety): SafetyFacts | undefined {
  const first = log.find((entry) => entry.type === 'described');
  return first?.type === 'described' ? rules.factsOf(first.set) : undefined;
}

/** Why a recorded reading cannot have been taken in the state that it needs; undefined if it can. A journal can be edited by hand. */
function whyNot(
  machine: Machine,
  entry: Extract<SafetyEntry, { type: 'check' }>,
  facts: SafetyFacts,
  rules: CheckSafety,
): string | undefined {
  if (entry.door === 1) return undefined;
  const at = Date.parse(entry.at);
  const { held } = machine;
  switch (rules.state(entry.check)) {
    case undefined:
      return undefined;
    case 'any':
    case 'SB':
      return machine.supply === 'unplugged' && machine.stop === undefined
        ? undefined
        : 'not recorded as unplugged at the time';
    case 'S0':
      return isCold(aged(machine, facts, at), facts, at) ? undefined : 'not proven dead at the time';
    case 'S1':
    case 'S2': {
      const full = rules.state(entry.check) === 'S2';
      const fits = (supply: Machine['supply']) =>
        supply === 'isolated-full' || (!full && supply === 'isolated-limited');
      if (isLive(machine) && fits(machine.supply) && chassisProven(machine) && machine.stop === undefined)
        return undefined;
      if (held !== undefined && fits(held.supply) && young(held.at, at, HELD_LASTS_MS)) return undefined;
      return 'isolation and chassis not proven at the time';
    }
  }
}

/** Judges the safety log of a session at time `now`. `dangers` brings the stop limits of the rule pack. */
export function safetyOf(
  log: readonly SafetyEntry[],
  facts: SafetyFacts,
  instruments: readonly string[],
  now: Date,
  dangers: CheckSafety = CAUTIOUS,
): SafetyState {
  return stateOf(run(log, facts, dangers), facts, instruments, now.getTime(), dangers);
}

/** What a run adds up to at a time (ms since 1970). */
function stateOf(
  { machine, disbelieved, unproven }: Run,
  facts: SafetyFacts,
  instruments: readonly string[],
  now: number,
  rules: CheckSafety,
): SafetyState {
  const current = aged(machine, facts, now);
  const cold = isCold(current, facts, now);
  const supply: SupplyState = current.supply === 'unplugged' && cold ? 'discharged' : current.supply;
  const coldOnly = !instruments.includes('isolation-transformer');
  const gates = gatesById(facts);
  const first = current.proofs.get('anode-first')?.at;
  const held =
    current.held !== undefined && young(current.held.at, now, HELD_LASTS_MS) ? current.held : undefined;
  const seconds = (ms: number) => Math.max(0, Math.ceil(ms / 1000));
  const context: Context = { machine: current, facts, instruments, now, supply, coldOnly, gates };
  const wayTo = once((target: Target) => mayGo(context, target, undefined));
  return {
    supply,
    proven: provenIds(current, cold, facts),
    expiresAt: cold ? new Date(coldSince(current, facts) + COLD_LASTS_MS).toISOString() : undefined,
    gates: (ids) => ids.flatMap((id) => gates.get(id) ?? []),
    nextGates: once((target: Target) => nextGates(context, target)),
    mayGo: (target, lineVolts) =>
      lineVolts === undefined ? wayTo(target) : mayGo(context, target, lineVolts),
    coldOnly,
    forcedStop: current.stop,
    unexplained: unexplainedOf(current),
    dangers: current.dangers,
    askWhyOff: current.askWhyOff,
    chassisProven: chassisProven(current),
    horizontal: current.horizontal,
    links: current.links,
    signalLead: current.signalLead,
    restartWaitSeconds:
      current.offAt === undefined
        ? 0
        : seconds(Math.min(RESTART_WAIT_MS, current.offAt + RESTART_WAIT_MS - now)),
    bringUp: supply === 'isolated-limited' ? bringUpLeft(current, facts, now) : undefined,
    lampWatts: current.lampWatts,
    fuseAmps: current.fuseAmps,
    anodeWaitSeconds:
      first === undefined || current.proofs.has('anode-second')
        ? 0
        : seconds(Math.min(ANODE_WAIT_SECONDS * 1000, first + ANODE_WAIT_SECONDS * 1000 - now)),
    anodeReadUntil: anodeReadUntil(current),
    held,
    hvRefusal: hvRefusal(facts),
    disbelieved,
    unproven,
    facts,
    now,
    after: (entry, then) => {
      const next = entry === undefined ? machine : step(machine, entry, facts, rules);
      return stateOf({ machine: next, disbelieved, unproven }, facts, instruments, then.getTime(), rules);
    },
  };
}

/** All that has no cause yet, as one. */
function unexplainedOf({ dangers }: Machine): Unexplained | undefined {
  const [first, ...more] = dangers;
  return first === undefined || more.length === 0
    ? first
    : { say: dangers.map(({ say }) => say).join(' Also: ') };
}

/** Every check asks the same few questions of one moment: each is answered once. */
function once<T>(answer: (target: Target) => T): (target: Target) => T {
  const known = new Map<Target, T>();
  return (target) => {
    let found = known.get(target);
    if (found === undefined) {
      found = answer(target);
      known.set(target, found);
    }
    return found;
  };
}

interface Context {
  readonly machine: Machine;
  readonly facts: SafetyFacts;
  readonly instruments: readonly string[];
  readonly now: number;
  readonly supply: SupplyState;
  readonly coldOnly: boolean;
  readonly gates: ReadonlyMap<string, Gate>;
}

/** Proofs in force; the dead readings of a lapsed S0 are not. */
function provenIds(machine: Machine, cold: boolean, facts: SafetyFacts): ReadonlySet<GateId> {
  const lapsed = !cold && coldComplete(machine, facts);
  const look: readonly GateId[] = ['plug-pulled', 'eye-protection'];
  const dead = lapsed ? coldGates(facts, machine.anodeRecheck).filter((id) => !look.includes(id)) : [];
  return new Set([...machine.proofs.keys()].filter((id) => !dead.includes(id)));
}

/** Asked before the bench is: there may be no next run. */
const ABOUT_THE_LAST_RUN: readonly GateId[] = ['why-off', 'cause-found'];
const STAGES = ['bench', 'cold', 'before-power', 'live', 'full'] as const;

function inOrder(ids: readonly GateId[], gates: ReadonlyMap<string, Gate>): readonly Gate[] {
  return ids
    .flatMap((id) => gates.get(id) ?? [])
    .map((gate) => ({
      gate,
      rank:
        (ABOUT_THE_LAST_RUN.includes(gate.id) ? -1 : STAGES.indexOf(gate.stage)) * 100 +
        GATE_IDS.indexOf(gate.id),
    }))
    .sort((a, b) => a.rank - b.rank)
    .map(({ gate }) => gate);
}

function openColdIds({ machine, facts, now }: Context): readonly GateId[] {
  if (isCold(machine, facts, now)) return [];
  if (coldComplete(machine, facts)) return ['still-cold'];
  return coldGates(facts, machine.anodeRecheck).filter((id) => !machine.proofs.has(id));
}

function nextGates(context: Context, target: Target): readonly Gate[] {
  const { machine, gates, supply, coldOnly } = context;
  if (machine.stop !== undefined) return [];
  if (target === 'unplugged') return supply === 'unknown' ? inOrder(['plug-pulled'], gates) : [];
  if (target === 'discharged') return isLive(machine) ? [] : inOrder(openColdIds(context), gates);
  if (coldOnly) return [];
  if (supply === target) {
    return inOrder(
      (['chassis-ac', 'chassis-dc'] as const).filter((id) => !machine.proofs.has(id)),
      gates,
    );
  }
  const { gates: ids } = powerNeeds(machine, target, undefined, context.now, context.facts);
  return inOrder(
    ids.filter((id) => answerable(context, id)),
    gates,
  ).map((gate) => {
    const first =
      gate.id === 'cause-found'
        ? machine.dangers.map(({ say }) => `It was: ${say}`)
        : gate.id === 'links-removed'
          ? machine.links.map((what) => `Noted as fitted, off with it: ${what}.`)
          : [];
    return first.length === 0 ? gate : { ...gate, how: [...first, ...gate.how] };
  });
}

/** Bring-up can only be said to be finished while the set is on the lamp. */
function answerable({ supply, machine }: Context, id: GateId): boolean {
  if (id === 'bring-up-finished') return supply === 'isolated-limited' && chassisProven(machine);
  if (id === 'lamp-bypassed') return machine.proofs.has('bring-up-finished') || supply === 'isolated-limited';
  const needsCold = ['coating-ground', 'cone-insulation', 'horizontal-disabled', 'stage-fuse'].includes(id);
  return !(needsCold && isLive(machine));
}

function mayGo(context: Context, target: Target, lineVolts: number | undefined): MayGo {
  const { machine, gates, supply, coldOnly, instruments } = context;
  if (target === 'unplugged') return verdict(supply === 'unknown' ? ['every plug pulled and in sight'] : []);
  const missing: string[] = [];
  if (machine.stop !== undefined) missing.push(`power off now: ${machine.stop.say}`);
  if (target === 'discharged') {
    if (isLive(machine)) missing.push('power off and pull the plug');
    else missing.push(...inOrder(openColdIds(context), gates).map((gate) => gate.title));
    return verdict(missing);
  }
  if (coldOnly) missing.push(ISOLATION);
  if (target === 'isolated-limited' && !instruments.includes('lamp-limiter')) missing.push(LAMP);
  if (supply !== target || lineVolts !== undefined) {
    const needs = powerNeeds(machine, target, lineVolts, context.now, context.facts);
    missing.push(...inOrder(needs.gates, gates).map((gate) => gate.title), ...needs.words);
  }
  return verdict(missing);
}

function verdict(missing: readonly string[]): MayGo {
  return { ok: missing.length === 0, missing };
}
