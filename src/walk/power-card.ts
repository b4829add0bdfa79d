// What the card of a power-up lists: readings to come, protective checks that were left out, parts found bad and still in the set.
import { isSetUpDead } from '../rulebook/live.ts';
import type { Check } from '../rulebook/types.ts';
import { anodeDue, HANDS_MS, nearAnode } from '../safety/index.ts';
import type { StepInput } from './step.ts';
import type { Step } from './types.ts';

export type PowerState = 'isolated-limited' | 'isolated-full';

/** Readings shown as the plan of one power-up: as many as fit a card and a memory. */
const READINGS_PER_POWER_UP = 10;
/** Readings of a run for which something is fitted or clipped on before it: as many as a bench has leads for. */
const FITTED_PER_POWER_UP = 4;

/** What the technician must know before the switch. */
export function powerCard(
  input: StepInput,
  to: PowerState,
): Pick<Extract<Step, { kind: 'power-up' }>, 'readings' | 'toFit' | 'leftOut' | 'found'> {
  const planned = ofThisRun(input, to);
  return {
    readings: planned.slice(0, READINGS_PER_POWER_UP),
    toFit: toFit(planned, input),
    leftOut: leftOut(input),
    found: input.found,
  };
}

/**
 * What is fitted before the run: for what guards its readings first, since that is asked first; nothing on a set that runs already, and nothing
 * near an anode that was read too long ago for hands to go there.
 */
function toFit(planned: readonly Check[], { safety }: StepInput): Check[] {
  const next = new Set(planned.slice(0, READINGS_PER_POWER_UP).map(({ id }) => id));
  const guards = (check: Check): boolean => check.before.some((id) => next.has(id));
  if (safety.supply !== 'discharged') return [];
  const old = anodeDue(safety, HANDS_MS);
  const fitted = planned.filter((check) => isSetUpDead(check) && !(old && nearAnode(check)));
  return [...fitted.filter(guards), ...fitted.filter((check) => !guards(check))].slice(
    0,
    FITTED_PER_POWER_UP,
  );
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
function ofThisRun({ plan, state }: StepInput, to: PowerState): Check[] {
  const wanted = to === 'isolated-limited' ? 'S1' : 'S2';
  const horizontal = state.config.horizontal ?? 'disabled';
  return plan.ranked
    .map((p) => p.check)
    .filter((c) => c.state === wanted && (c.config.horizontal ?? horizontal) === horizontal);
}
