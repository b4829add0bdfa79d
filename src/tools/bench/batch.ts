// A planner that looks further than one check: it goes to the supply state and configuration whose best batch of checks is worth most.
import type { Plan, PlannedCheck } from '../../diagnosis/index.ts';
import { isLiveCheck } from '../../rulebook/live.ts';

/** Checks of one batch are looked at this far. */
const LONGEST = 12;

/** Where a check is taken: one change of state brings all checks of a place within reach. */
function placeOf({ check }: PlannedCheck): string {
  return isLiveCheck(check) ? `${check.state} ${check.config.horizontal ?? ''}` : 'cold';
}

/** Worth a minute of the best batch at one place, the way there paid once; `own` is best first. */
export function batchWorth(own: readonly PlannedCheck[]): number {
  let worth = 0;
  let best = 0;
  let minutes = Math.min(...own.map((p) => Math.max(0, p.minutes - p.check.minutes)));
  for (const p of own.slice(0, LONGEST)) {
    worth += p.score * p.minutes;
    minutes += p.check.minutes;
    best = Math.max(best, worth / minutes);
  }
  return best;
}

/** The plan with the checks of the most worthwhile place in front; what must come first stays first. */
export function batched(plan: Plan): Plan {
  const free = plan.ranked.filter((p) => !p.leads);
  const places = new Map<string, PlannedCheck[]>();
  for (const p of free) places.set(placeOf(p), [...(places.get(placeOf(p)) ?? []), p]);
  const [first] = [...places.values()].sort((a, b) => batchWorth(b) - batchWorth(a));
  const front = new Set(first ?? []);
  return {
    ...plan,
    ranked: [
      ...plan.ranked.filter((p) => p.leads),
      ...free.filter((p) => front.has(p)),
      ...free.filter((p) => !front.has(p)),
    ],
  };
}
