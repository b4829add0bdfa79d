// The supply-state machine: what the safety log proves, entry by entry. Proofs are lost by themselves, never gained.
import { isLiveCheck } from '../rulebook/live.ts';
import type { SafetyEntry } from '../session/types.ts';
import { answered, tooHighForLine } from './answers.ts';
import { AT_STAGE, greatestOf } from './check-safety.ts';
import type { SafetyFacts } from './facts.ts';
import { GATE_IDS, WHY_OFF } from './gate.ts';
import { powerNeeds } from './power.ts';
import {
  ABSENCE,
  ANODE,
  aged,
  BENCH_LASTS_MS,
  CHASSIS,
  type CheckSafety,
  CLOCK_SLACK_MS,
  COLD,
  chassisProven,
  endangered,
  gatesById,
  isCold,
  isLive,
  type LampRow,
  leadDoubted,
  type Machine,
  ONE_POWER_UP,
  SURVIVES_RESUME,
  stopped,
  TRANSFORMER,
  type Unexplained,
  without,
  withoutCold,
} from './proofs.ts';

/** The machine after one entry. A clock that stepped back undoes every cold proof. */
export function step(machine: Machine, entry: SafetyEntry, facts: SafetyFacts, rules: CheckSafety): Machine {
  const at = Date.parse(entry.at);
  const back = !(at >= machine.lastAt - CLOCK_SLACK_MS);
  const before = aged(back ? withoutCold(machine) : machine, facts, at);
  const after = applied(before, entry, at, facts, rules);
  return { ...after, lastAt: Number.isFinite(at) ? at : machine.lastAt };
}

function applied(
  machine: Machine,
  entry: SafetyEntry,
  at: number,
  facts: SafetyFacts,
  rules: CheckSafety,
): Machine {
  switch (entry.type) {
    case 'gate':
      // What is said of the run just ended leaves the readings that are still in the head to be typed.
      return answered(
        leavesHeld(entry.gate, facts) ? machine : { ...machine, held: undefined },
        entry,
        at,
        facts,
      );
    case 'powered-up':
      return poweredUp(machine, entry, at, facts);
    case 'powered-off':
      return poweredOff(machine, at, entry.outOfTurn === true);
    case 'touched':
      return touched({ ...machine, held: undefined }, entry.what);
    case 'configured':
      return configured({ ...machine, held: undefined }, entry.item, entry.value, at, facts);
    case 'link-fitted': {
      const links = [...machine.links.filter((what) => what !== entry.what), entry.what];
      return without({ ...machine, links, held: undefined }, ['links-removed']);
    }
    case 'link-removed':
      return { ...machine, links: machine.links.filter((what) => what !== entry.what) };
    case 'check':
      return checked(machine, entry, facts, rules);
    case 'described':
      return machine;
    case 'bench':
      return without(machine, [
        ...(entry.instruments.includes('isolation-transformer') ? [] : TRANSFORMER),
        ...(entry.instruments.includes('lamp-limiter') ? [] : (['lamp-choice'] as const)),
      ]);
    case 'line-volts':
      return lineSaid(machine, entry, at, facts);
    case 'repaired':
      return repaired({ ...machine, held: undefined }, entry.part);
    case 'resumed': {
      const lost = GATE_IDS.filter((id) => !SURVIVES_RESUME.includes(id));
      return {
        ...leadDoubted(without(machine, lost)),
        supply: 'unknown',
        anodeRecheck: false,
        onLamp: undefined,
        broughtUp: machine.broughtUp && at - machine.lastAt <= BENCH_LASTS_MS,
        // It was left running: nobody has said yet how that ended.
        askWhyOff: machine.askWhyOff || (isLive(machine) && machine.stop === undefined),
        held: undefined,
        offAt: undefined,
      };
    }
  }
}
function poweredUp(
  machine: Machine,
  { to, lineVolts, door, seq }: Extract<SafetyEntry, { type: 'powered-up' }>,
  at: number,
  facts: SafetyFacts,
): Machine {
  const needs = powerNeeds(machine, to, lineVolts, at, facts);
  const proven = door === 1 || (needs.gates.length === 0 && needs.words.length === 0);
  const spent = [
    ...COLD,
    ...ONE_POWER_UP,
    ...CHASSIS,
    ...(to === 'isolated-limited' ? (['lamp-bypassed'] as const) : []),
  ];
  const live: Machine = {
    ...without(machine, spent),
    supply: to,
    lineVolts,
    onLamp: to === 'isolated-limited' ? [{ at, volts: lineVolts, seq }] : undefined,
    anodeRecheck: false,
    held: undefined,
    offAt: undefined,
  };
  return proven
    ? live
    : stopped(
        live,
        'power-without-proof',
        'Power was recorded without its proofs. UNPLUG NOW, then prove it dead.',
      );
}

function poweredOff(machine: Machine, at: number, outOfTurn: boolean): Machine {
  const orderly = isLive(machine) && chassisProven(machine) && machine.stop === undefined;
  const held = orderly ? { supply: machine.supply, at, horizontal: machine.horizontal } : undefined;
  const off = without(machine, [...COLD, ...ONE_POWER_UP, ...CHASSIS]);
  const offAt = isLive(machine) ? at : machine.offAt;
  return {
    ...off,
    supply: 'unplugged',
    anodeRecheck: false,
    onLamp: undefined,
    stop: undefined,
    // What stopped it by itself is asked for as a cause already.
    askWhyOff: machine.askWhyOff || (outOfTurn && isLive(machine) && machine.stop === undefined),
    held,
    offAt,
  };
}

/** Gates that speak of the run just ended. */
const OF_THE_RUN: readonly string[] = [WHY_OFF, 'bring-up-finished'];

/** Gates after which hands go into the set. */
const DEAD: readonly string[] = ['meter-after', 'still-cold'];

/** What is said of the run, or on the way to a dead set, sends no hands into it: a live reading that is still in the head may be typed after it. */
function leavesHeld(gate: string, facts: SafetyFacts): boolean {
  if (DEAD.includes(gate)) return false;
  return (
    OF_THE_RUN.includes(gate) ||
    [...gatesById(facts).values()].some((g) => g.id === gate && g.stage === 'cold')
  );
}

/** The line stands elsewhere, or never stood where it was said to: then no time there was held, and the chassis was judged by less. */
function lineSaid(
  machine: Machine,
  { lineVolts, takesBack, seq }: Extract<SafetyEntry, { type: 'line-volts' }>,
  at: number,
  facts: SafetyFacts,
): Machine {
  // The volts typed with a power-up are the entry before it.
  const slip = (row: LampRow): boolean =>
    takesBack !== undefined && (row.seq === takesBack || row.seq === takesBack + 1);
  const onLamp = machine.onLamp && [
    ...machine.onLamp.filter((row) => !slip(row)),
    { at, volts: lineVolts, seq },
  ];
  const next = { ...machine, lineVolts, onLamp };
  const gates = gatesById(facts);
  return without(
    next,
    CHASSIS.filter((id) => {
      const [gate, value] = [gates.get(id), machine.chassisRead.get(id)];
      return gate !== undefined && value !== undefined && tooHighForLine(next, gate, value, facts);
    }),
  );
}

/** Sections where a repair takes the anode lead, the tube or its strap in hand; a picture tube that goes in may itself be charged. */
const AT_ANODE: readonly string[] = ['picture-tube', 'high-voltage', 'flyback', 'wiring'];
/** Sections that a repair of brings up on the lamp again, step by step. A repair of the wiring may have been anywhere. */
const SUPPLY: readonly string[] = ['line-input', 'heaters', 'b-plus', 'wiring'];

/** Hands were in the set: what was said of plugs, clips and links is said again, and what the repair itself may have changed. */
function repaired(machine: Machine, part: string): Machine {
  const section = part.slice(0, part.indexOf('.'));
  const supply = SUPPLY.includes(section);
  const next = without(supply ? { ...machine, broughtUp: false } : machine, [
    ...ONE_POWER_UP,
    ...(supply ? (['bring-up-finished', 'lamp-bypassed'] as const) : []),
    ...(AT_STAGE.includes(section) ? (['horizontal-disabled', 'stage-fuse'] as const) : []),
  ]);
  return AT_ANODE.includes(section)
    ? without(next, [...ANODE, 'coating-ground', 'cone-insulation', 'meter-after'])
    : next;
}

function touched(machine: Machine, what: Extract<SafetyEntry, { type: 'touched' }>['what']): Machine {
  switch (what) {
    case 'injected':
      return injected(machine);
    case 'anode-lead': {
      const bare = without(machine, [...ANODE, 'coating-ground', 'meter-after']);
      return isLive(machine)
        ? stopped(bare, 'anode-touched-live', 'Never the anode lead live. UNPLUG NOW.')
        : bare;
    }
    case 'plug':
      return {
        ...leadDoubted(without(machine, [...COLD, ...ABSENCE])),
        supply: 'unknown',
        anodeRecheck: false,
      };
    case 'left-bench': {
      const alone = { ...leadDoubted(without(machine, [...COLD, ...ABSENCE])), anodeRecheck: false };
      return isLive(machine) ? alone : { ...alone, supply: 'unknown' };
    }
  }
}

/** Charge was put in: capacitors and anode must be read again; the plug is where it was. */
function injected(machine: Machine): Machine {
  if (isLive(machine)) return machine;
  return {
    ...without(machine, ['electrolytics', 'boost-capacitor', 'hv-capacitor', 'anode-third', 'meter-after']),
    anodeRecheck: true,
  };
}

function configured(machine: Machine, item: string, value: string, at: number, facts: SafetyFacts): Machine {
  // A source that was said to be on without a lead hangs on something.
  if (item === 'signal' && value === 'applied' && machine.signalLead === 'off')
    return { ...machine, signalLead: 'unknown' };
  if (item === 'signal-lead') return { ...machine, signalLead: leadAfter(machine, value, at, facts) };
  if (item !== 'horizontal') return machine;
  const horizontal = value === 'disabled' || value === 'enabled' ? value : 'unknown';
  if (isLive(machine)) {
    const say = 'The horizontal stage is changed cold only. UNPLUG NOW.';
    return horizontal === machine.horizontal
      ? machine
      : stopped({ ...machine, horizontal: 'unknown' }, 'horizontal-changed-live', say);
  }
  const believed = isCold(machine, facts, at) ? horizontal : 'unknown';
  const changed = { ...machine, horizontal: believed } as const;
  return believed === 'disabled' ? changed : without(changed, ['horizontal-disabled']);
}

/** The lead goes on at a set proven dead and comes off an unplugged one; whatever else is said of it leaves it unknown. */
function leadAfter(machine: Machine, value: string, at: number, facts: SafetyFacts): Machine['signalLead'] {
  if (value === 'fitted' && isCold(machine, facts, at)) return 'fitted';
  return value === 'off' && machine.supply === 'unplugged' ? 'off' : 'unknown';
}

function checked(
  before: Machine,
  entry: Extract<SafetyEntry, { type: 'check' }>,
  facts: SafetyFacts,
  rules: CheckSafety,
): Machine {
  const machine = rules.movesLead(entry.check) ? leadDoubted(before) : before;
  const say = rules.stop(entry.check, entry.value) ?? overRating(entry, facts, rules);
  const state = rules.state(entry.check);
  const onRunningSet = state !== undefined && isLiveCheck({ state });
  const found: Unexplained | undefined =
    say === undefined ? undefined : { say, seq: entry.corrects ?? entry.seq };
  if (entry.corrects !== undefined) {
    // Put right, a reading answers for itself alone; to something dangerous, it was that on the running set.
    const others = machine.dangers.filter(({ seq }) => seq !== entry.corrects);
    if (say === undefined && others.length < machine.dangers.length) return { ...machine, dangers: others };
    if (found !== undefined && onRunningSet && !isLive(machine))
      return endangered({ ...machine, dangers: others }, found);
  }
  if (isLive(machine))
    return say === undefined ? machine : stopped(machine, 'dangerous-reading', `${say} UNPLUG NOW.`, found);
  // Typed after the plug was pulled: it was read on the running set.
  if (machine.held !== undefined && onRunningSet)
    return found === undefined ? machine : endangered(machine, found);
  const contact = rules.contact(entry.check);
  let next = machine;
  if (contact !== 'none') next = without(next, ONE_POWER_UP);
  if (contact === 'moved') next = without(next, ['coating-ground', 'cone-insulation']);
  if (rules.refits(entry.check)) next = without(next, ['horizontal-disabled', 'stage-fuse']);
  return rules.injects(entry.check) ? injected(next) : next;
}

/** The picture tube's own rating stops, whatever the rule pack says. */
export function overRating(
  entry: Extract<SafetyEntry, { type: 'check' }>,
  facts: SafetyFacts,
  rules: CheckSafety,
): string | undefined {
  if (facts.anode === undefined || !rules.readsAnode(entry.check)) return undefined;
  const greatest = greatestOf(entry.value) ?? 0;
  if (greatest <= facts.anode.tripAboveVolts) return undefined;
  return `Anode voltage above the rating of this picture tube (${facts.anode.tripAboveVolts / 1000} kV): X-radiation and arc-over. Find out why.`;
}
