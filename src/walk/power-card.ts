// What the card of a power-up lists: readings to come, protective checks that were left out, parts found bad and still in the set.
import type { Check } from '../rulebook/types.ts';
import type { StepInput } from './step.ts';
import type { Step } from './types.ts';

export type PowerState = 'isolated-limited' | 'isolated-full';

/** Readings shown as the plan of one power-up: as many as fit a card and a memory. */
const READINGS_PER_POWER_UP = 10;

/** What the technician must know before the switch. */
export function powerCard(
  input: StepInput,
  to: PowerState,
): Pick<Extract<Step, { kind: 'power-up' }>, 'readings' | 'leftOut' | 'found'> {
  return { readings: plannedReadings(input, to), leftOut: leftOut(input), found: input.found };
}

/** Checks that guard power or the running stage, and that somebody chose to leave out or has nothing to take with. */
function leftOut({ standings, state }: StepInput): string[] {
  const steps = [
    'power-limited',
    'power-full',
    ...(state.config.horizontal === 'enabled' ? ['horizontal-enabled'] : []),
  ];
  return standings
    .filter(
      (s) =>
        (s.status === 'skipped' || s.status === 'no-instrument') &&
        s.check.before.some((step) => steps.includes(step)),
    )
    .map((s) => s.check.title);
}

/** The readings of one power-up in the order of the planner, so that they can be read off before hands go in. */
function plannedReadings({ plan, state }: StepInput, to: PowerState): Check[] {
  const wanted = to === 'isolated-limited' ? 'S1' : 'S2';
  const horizontal = state.config.horizontal ?? 'disabled';
  return plan.ranked
    .map((p) => p.check)
    .filter((c) => c.state === wanted && (c.config.horizontal ?? horizontal) === horizontal)
    .slice(0, READINGS_PER_POWER_UP);
}
