// Chooses what to do now: safety first, then the quick looks, then what the planner wants, through the gates and protective checks on the way to it.
import type { Plan, PlannedCheck, Verdict } from '../diagnosis/index.ts';
import { isLiveCheck } from '../rulebook/live.ts';
import type { Check, Rulebook } from '../rulebook/types.ts';
import { antennaOf, readsAntenna, type SafetyState, WHY_OFF } from '../safety/index.ts';
import type { SessionState } from '../session/types.ts';
import { bringUpGate, bringUpRows, tooEarlyFor } from './bring-up-rows.ts';
import { leadOffStep, leadStep, signalStep } from './configure-steps.ts';
import { isLive } from './costs.ts';
import { endStep, offForLost, outOfChecks } from './ends.ts';
import type { Circumstances } from './expected.ts';
import { coreProof, lastCall } from './last-call.ts';
import type { KeptOff } from './lost.ts';
import { putOff, quickLook } from './order.ts';
import { type PowerState, powerCard } from './power-card.ts';
import { checkStep, coldFirst, gateStep, renewFirst, stageStep, standingOf } from './single-steps.ts';
import { driveGone, isOpen, stageStaysOff } from './stage.ts';
import { type Guarded, openProtective, waitsForLamp } from './standing.ts';
import type { CheckStanding, Step } from './types.ts';

/** Guards of guards that are followed: rules that guard each other must not lead in circles. */
const MOST_GUARDS = 6;
/** Caution of the rule pack shown where a source goes to antenna terminals. */
const ANTENNA_CAUTION = 'antenna-hot';
export interface StepInput {
  /** Checks that can be got to today, now or after a change of state, with all the minutes that they cost from here. */
  readonly doable: ReadonlyMap<string, number>;
  readonly book: Rulebook;
  /** Worked out when asked for. */
  readonly verdict: () => Verdict | undefined;
  readonly state: SessionState;
  readonly safety: SafetyState;
  readonly standings: readonly CheckStanding[];
  readonly plan: Plan;
  readonly at: Circumstances;
  /** What lost core parts keep off. */
  readonly off: KeptOff;
  /** Parts that are as good as certainly bad and can be had, by title. */
  readonly found: readonly string[];
}

/** The next step of the walk. */
export function nextStep(input: StepInput): Step {
  const { safety, standings, plan } = input;
  const safe = safetyStep(input);
  if (safe) return safe;
  const off = isLive(safety.supply) ? offForLost(input.book, plan.stop) : undefined;
  if (off) return off;
  const later = putOff(input.state);
  const look = quickLook(standings, safety, later);
  if (look) return checkStep(input, look, 'Quick look: seconds, no tools, and it can end the job.');
  if (safety.supply === 'unknown' || safety.supply === 'unplugged') {
    const gate = gateStep(safety.nextGates('discharged'), 'dead and proven');
    if (gate) return gate;
  }
  // What forbids power and is to be read again, after a repair, comes before anything that power would tell.
  const barred = input.off.bars.find(({ check }) => check && isOpen(standingOf(standings, check)))?.check;
  if (barred && !isLive(safety.supply)) return towards(input, barred, undefined);
  if (plan.stop) {
    // A core part that is as good as lost is the owner's question first, before more time goes in.
    const proof = plan.stop.reason === 'core-failed' ? undefined : coreProof(input);
    return proof ? towards(input, proof, undefined) : endStep(input.book, plan.stop, keptOffWords(input));
  }
  const [first] = plan.ranked;
  if (!first) return outOfChecks('Nothing left to ask with today’s instruments.', keptOffWords(input));
  const open = plan.ranked.filter(({ check }) => !later.has(check.id));
  const best = open[0] ?? first;
  const next = lastCall(input, best) ?? best;
  const step = towards(input, next.check, next);
  if (step.kind !== 'check' || !later.has(step.check.id)) return step;
  // What was put off is passed by, and what it stands before with it, as long as something else can be taken where the bench stands.
  for (const other of open) {
    const way = towards(input, other.check, other);
    if (way.kind === 'check' && !later.has(way.check.id)) return way;
  }
  return step;
}

/** Why the set is not powered, or its stage not enabled, and how that is lifted. */
function keptOffWords({ off, safety }: StepInput): readonly string[] {
  return [
    ...(isLive(safety.supply) ? ['Power off and pull the plug first: nothing more is read live'] : []),
    ...off.bars.map(({ say }) => say),
  ];
}

/** The way to one check, wherever the bench stands now. */
export function towards(input: StepInput, check: Check, planned: PlannedCheck | undefined, depth = 0): Step {
  const { safety, state } = input;
  const why = planned?.why ?? check.why;
  const live = isLive(safety.supply);
  const runs = isLiveCheck(check);
  const wanted = check.config.horizontal ?? (runs && input.off.stage ? 'disabled' : undefined);
  const horizontal = state.config.horizontal ?? 'disabled';
  // On the lamp the stage is disabled: what runs with it comes after the bring-up, however far the set had come before.
  const lampFirst = runs && !broughtUp(input);
  if (lampFirst && horizontal === 'enabled' && !live) return coldFirst(input) ?? stageStep(input, 'disabled');
  if (lampFirst && wanted === 'enabled')
    return powerStep(input, live ? 'isolated-full' : 'isolated-limited', why);
  if (wanted && wanted !== horizontal) {
    // What can only be seen live must be seen before the set goes cold for the change, or it would have to come back for it.
    const alive =
      wanted === 'enabled' && live ? protectiveStep(input, ['horizontal-enabled'], ['S1', 'S2']) : undefined;
    if (alive && alive.kind !== 'power-off') return alive;
    if (live)
      return {
        kind: 'power-off',
        why: `the horizontal stage is changed cold, for: ${check.title}`,
        toward: check.id,
      };
    const guard =
      wanted === 'enabled'
        ? protectiveStep(input, ['horizontal-enabled'], ['any', 'SB', 'S0', 'S1', 'S2'])
        : undefined;
    const cold = coldFirst(input) ?? guard;
    if (cold) return cold;
    // While the set is cold: fitted later, the lead would cost a whole power-down by itself.
    return (
      (wanted === 'enabled' && signalWanted(input) ? leadWay(input, depth) : undefined) ??
      stageStep(input, wanted)
    );
  }
  const unproven = live ? undefined : stageUnproven(input, check);
  if (unproven) return unproven;
  const guard = live || depth >= MOST_GUARDS ? undefined : coldGuard(input, check);
  if (guard) return towards(input, guard, undefined, depth + 1);
  const signal = check.config.signal;
  if (signal === 'applied' && safety.signalLead !== 'fitted') {
    if (live)
      return {
        kind: 'power-off',
        why: `the lead of the signal source is fitted cold, for: ${check.title}`,
        toward: check.id,
      };
    return leadWay(input, depth);
  }
  if (signal && signal !== state.config.signal) return signalStep(signal);
  switch (check.state) {
    case 'any':
    case 'SB':
    case 'S0': {
      // What is read after a run waits for that run: going cold first would only lead back to it.
      const run = live
        ? input.standings.find((s) => isOpen(s) && check.after.includes(s.check.id))
        : undefined;
      if (run && depth < MOST_GUARDS) return towards(input, run.check, undefined, depth + 1);
      if (live) return { kind: 'power-off', why: `next is a cold check: ${check.title}`, toward: check.id };
      return (
        (check.state === 'S0' ? (coldFirst(input) ?? renewFirst(input, check)) : undefined) ??
        (readsAntenna(check) && safety.signalLead !== 'off'
          ? leadOff(input, 'The antenna terminals are read with nothing on them.')
          : undefined) ??
        unlocked(input, check, why, planned, depth)
      );
    }
    case 'S1':
      if (safety.supply === 'isolated-limited') return unlocked(input, check, why, planned, depth);
      if (live)
        return { kind: 'power-off', why: `next is a check on the lamp: ${check.title}`, toward: check.id };
      return powerStep(input, 'isolated-limited', why);
    case 'S2':
      if (safety.supply === 'isolated-full') return unlocked(input, check, why, planned, depth);
      return powerStep(
        input,
        safety.supply === 'isolated-limited' || broughtUp(input) ? 'isolated-full' : 'isolated-limited',
        why,
      );
  }
}

/** A bring-up of before a resume, or one that was aborted, opens no full line; nor does one whose readings a repair made stale. */
function broughtUp({ safety, standings }: StepInput): boolean {
  return (
    safety.supply === 'isolated-full' || (safety.proven.has('bring-up-finished') && !waitsForLamp(standings))
  );
}

/** The way to a technician's own choice of check, or what is missing for it. */
export function wayTo(input: StepInput, check: Check): Step | { readonly missing: readonly string[] } {
  const safe = safetyStep(input);
  if (safe) return safe;
  const { safety, state, standings } = input;
  if (check.config.horizontal === 'enabled' && stageStaysOff(input))
    return {
      missing: [
        'drive at the horizontal output grid: it was looked for and is not there; its cause comes first',
      ],
    };
  const antenna = antennaOf(state, safety, standings);
  return check.config.signal === 'applied' && !antenna.may && antenna.open.length === 0
    ? { missing: [antenna.missing] }
    : towards(input, check, undefined);
}

/** The lead of the signal source onto a dead set, after what must be known of its antenna terminals. */
function leadWay(input: StepInput, depth: number): Step {
  const { book, state, safety, standings } = input;
  const cold = coldFirst(input);
  if (cold) return cold;
  const antenna = antennaOf(state, safety, standings);
  if (antenna.may) {
    return state.config.signal === 'applied'
      ? signalStep('none')
      : leadStep(antenna, book.cautions[ANTENNA_CAUTION] ?? '');
  }
  const first = standings.find((s) => antenna.open.includes(s.check.id));
  return first && depth < MOST_GUARDS
    ? towards(input, first.check, undefined, depth + 1)
    : outOfChecks(`No signal source on this set today. Missing: ${antenna.missing}.`);
}

/** A source on antenna terminals that may not have one (read since, or a reading taken back): off with it, power first. */
function sourceOff(input: StepInput): Step | undefined {
  const { state, safety, standings } = input;
  if (safety.signalLead === 'off') return undefined;
  const antenna = antennaOf(state, safety, standings);
  if (antenna.may) return undefined;
  const why = `No signal source stays on these antenna terminals. Missing: ${antenna.missing}.`;
  if (isLive(safety.supply)) return { kind: 'power-off', why, toward: '' };
  return safety.supply === 'unknown' ? undefined : leadOff(input, why);
}

function leadOff({ state }: StepInput, why: string): Step {
  return state.config.signal === 'applied' ? signalStep('none') : leadOffStep(why);
}

/**
 * After a repair readings may be stale that the running horizontal stage rests on. What is cold among them is read again first; for
 * the others the stage is disabled once more, or no power-up would be accepted.
 */
function stageUnproven(input: StepInput, check: Check): Step | undefined {
  const { state, standings } = input;
  if (check.state !== 'S1' && check.state !== 'S2') return undefined;
  if (state.config.horizontal !== 'enabled') return undefined;
  if (openProtective(standings, 'horizontal-enabled').length === 0 && !driveGone(input)) return undefined;
  return (
    coldFirst(input) ??
    protectiveStep(input, ['horizontal-enabled'], ['any', 'SB', 'S0']) ??
    stageStep(input, 'disabled')
  );
}

/** A cold check that must come before this one: asked while the set is cold, or the walk would have to come back for it. */
function coldGuard({ standings }: StepInput, check: Check): Check | undefined {
  if (check.state !== 'S1' && check.state !== 'S2') return undefined;
  const cold = (c: Check): boolean => c.state === 'any' || c.state === 'SB' || c.state === 'S0';
  return standings.find((s) => isOpen(s) && cold(s.check) && s.check.before.includes(check.id))?.check;
}

/** The check itself if nothing is in its way here; else what is: a gate, or a check that protects something from it. */
function unlocked(
  input: StepInput,
  check: Check,
  why: string,
  planned: PlannedCheck | undefined,
  depth: number,
): Step {
  const standing = standingOf(input.standings, check);
  if (standing?.status === 'locked') {
    const gate = gateStep(standing.gates, check.title);
    if (gate) return gate;
    const guard = input.standings.find((s) => isOpen(s) && s.check.before.includes(check.id));
    if (guard && guard.check.id !== check.id && depth < MOST_GUARDS)
      return towards(input, guard.check, undefined, depth + 1);
    // A check that waits for a good reading of another one would be refused: that one is asked first.
    const earlier = input.standings.find((s) => isOpen(s) && check.after.includes(s.check.id));
    if (earlier && depth < MOST_GUARDS) return towards(input, earlier.check, undefined, depth + 1);
  }
  return checkStep(input, check, why, planned);
}

function safetyStep(input: StepInput): Step | undefined {
  const { state, safety } = input;
  if (!state.set) return { kind: 'describe-set' };
  if (state.instruments.length === 0) return { kind: 'describe-bench' };
  if (safety.forcedStop) return { kind: 'danger', why: safety.forcedStop.why, say: safety.forcedStop.say };
  if (safety.supply === 'unknown') return gateStep(safety.nextGates('discharged'), 'dead and proven');
  // While it is fresh: a set that was switched off for its smoke says so before anything else.
  if (safety.askWhyOff && !isLive(safety.supply)) return gateStep(safety.gates([WHY_OFF]), 'why it is off');
  const off = sourceOff(input);
  if (off) return off;
  if (isLive(safety.supply)) {
    if (driveGone(input))
      return {
        kind: 'power-off',
        why: 'the drive that the horizontal stage was enabled on is no longer in the record',
        toward: '',
      };
    const chassis = safety.nextGates(safety.supply as PowerState).filter((g) => g.stage === 'live');
    return gateStep(chassis, 'the first live reading');
  }
  return undefined;
}

/** The first open check that guards one of these steps and belongs to one of these states. */
function protectiveStep(
  input: StepInput,
  steps: readonly Guarded[],
  states: readonly Check['state'][],
): Step | undefined {
  const words = {
    'power-limited': 'first power',
    'power-full': 'full line',
    'horizontal-enabled': 'the horizontal stage is enabled',
  };
  for (const step of steps) {
    const guard = openProtective(input.standings, step).find((c) => states.includes(c.state));
    if (!guard) continue;
    const way = towards(input, guard, undefined);
    // What guards the guard has its own reason; a line that is too low yet is said in place of any.
    return way.kind === 'check' && way.why === way.check.why
      ? { ...way, why: `Before ${words[step]}: ${way.check.why}` }
      : way;
  }
  return undefined;
}

/** Guards of full line are asked cold before first power: going cold again for one of them costs a power cycle. */
function powerStep(input: StepInput, to: PowerState, why: string): Step {
  const { safety } = input;
  const guard = isLive(safety.supply)
    ? protectiveStep(input, ['power-full'], ['S1'])
    : protectiveStep(input, ['power-limited', 'power-full'], ['any', 'SB', 'S0']);
  const cold = isLive(safety.supply) ? undefined : coldFirst(input);
  const gate = gateStep(
    safety.nextGates(to),
    to === 'isolated-limited' ? 'first power, on the lamp' : 'full line',
  );
  // A guard that wants more line than there is waits for the table to be gone through.
  const tooLow = guard?.kind === 'check' && tooEarlyFor(guard.check, input.at) !== undefined;
  if (tooLow && gate?.kind === 'gate' && gate.gate.id === 'bring-up-finished')
    return bringUpGate(gate, safety);
  if (guard) return guard;
  if (cold) return cold;
  if (gate?.kind === 'gate' && gate.gate.id === 'bring-up-finished') return bringUpGate(gate, safety);
  if (gate) return gate;
  return {
    kind: 'power-up',
    to,
    why,
    rows:
      to === 'isolated-limited'
        ? bringUpRows(safety, 'lamp')
        : safety.horizontal === 'enabled'
          ? []
          : bringUpRows(safety, 'full-line'),
    ...powerCard(input, to),
  };
}

/** Whether checks with a signal are still to come, and the lead of its source is not on the set yet. */
function signalWanted({ doable, standings, safety }: StepInput): boolean {
  return (
    safety.signalLead !== 'fitted' &&
    standings.some((s) => s.check.config.signal === 'applied' && doable.has(s.check.id))
  );
}
