// Single steps, which lead nowhere else: a gate, a check on its card, the stage enabled or disabled, a proof renewed in time.
import type { PlannedCheck } from '../diagnosis/index.ts';
import type { Check } from '../rulebook/types.ts';
import { anodeDue, type Gate, HANDS_MS, permitsPlace } from '../safety/index.ts';
import { tooEarlyFor } from './bring-up-rows.ts';
import { configureStep } from './configure-steps.ts';
import { isLive } from './costs.ts';
import { pinsFor } from './pins.ts';
import type { StepInput } from './step.ts';
import type { CheckStanding, Step } from './types.ts';

/** A check longer than this outlasts even a fresh proof that the set is dead, minutes. */
const LONGEST_COLD_CHECK = 28;

/** The stage enabled or disabled: hands go into the HV cage, so the anode is read once more where that is too long ago. */
export function stageStep({ safety, state }: StepInput, value: string): Step {
  const [anode] = anodeDue(safety, HANDS_MS) ? safety.gates(['anode-third']) : [];
  return anode
    ? { kind: 'gate', gate: anode, toward: 'hands in the HV cage', position: 1, of: 1 }
    : configureStep(value, state.config['horizontal-method']);
}

/** The first of these gates, on the way `toward`; undefined if there is none. */
export function gateStep(gates: readonly Gate[], toward: string): Step | undefined {
  const gate = gates[0];
  return gate ? { kind: 'gate', gate, toward, position: 1, of: gates.length } : undefined;
}

/** What is still to be proven before the set counts as dead; undefined where it does. */
export function coldFirst({ safety }: StepInput): Step | undefined {
  return safety.supply === 'discharged'
    ? undefined
    : gateStep(safety.nextGates('discharged'), 'dead and proven');
}

/** A dead proof that would lapse while this check is taken is renewed before it: what is typed after it has lapsed is refused. */
export function renewFirst({ safety, state }: StepInput, check: Check): Step | undefined {
  const minutes = Math.min(check.minutes, LONGEST_COLD_CHECK);
  const then = safety.after(undefined, new Date(safety.now + minutes * 60_000));
  const later = permitsPlace(check, then, state.config);
  if (later.allowed || !permitsPlace(check, safety, state.config).allowed) return undefined;
  const [gate] = later.gates;
  return gate
    ? { kind: 'gate', gate, toward: check.title, position: 1, of: later.gates.length, early: true }
    : undefined;
}

/** The card of a check, with what is expected and why it is asked. */
export function checkStep(input: StepInput, check: Check, why: string, planned?: PlannedCheck): Step {
  const done = input.standings.filter((s) => s.status === 'done').length;
  const open = input.plan.ranked.length;
  const least = isLive(input.safety.supply) ? tooEarlyFor(check, input.at) : undefined;
  const expected = least === undefined ? standingOf(input.standings, check)?.expected : undefined;
  const pins = pinsFor(input.book, input.at.set, check);
  return {
    kind: 'check',
    check,
    pins,
    expected,
    why:
      least === undefined
        ? why
        : `Raise the line to ${least} V or more first (^Y): below it a tube rectifier gives nothing, and that is right.`,
    planned,
    position: done + 1,
    of: done + Math.max(1, open),
  };
}

/** How a check stands; undefined for one that does not apply to this set. */
export function standingOf(standings: readonly CheckStanding[], check: Check): CheckStanding | undefined {
  return standings.find((s) => s.check.id === check.id);
}
