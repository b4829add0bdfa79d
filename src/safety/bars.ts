// Cold readings after which the set is not powered, or its horizontal stage not enabled, until they are read again and right.
import { isLiveCheck } from '../rulebook/live.ts';
import type { Check } from '../rulebook/types.ts';
import type { SessionState } from '../session/types.ts';
import { tripped } from './check-safety.ts';

/** What a cold reading forbids. */
export interface Bar {
  readonly check: Check;
  /** All power, or only the running horizontal stage. */
  readonly from: 'power' | 'horizontal';
  /** Why, and how it is lifted, in the technician's words. */
  readonly say: string;
}

/**
 * What the last readings of cold checks forbid: those beyond a stop limit of the rule pack. A reading that a repair has made stale forbids on,
 * until the check is taken again: that a part is new proves nothing of the next one.
 */
export function barsOf(state: Pick<SessionState, 'readings'>, checks: readonly Check[]): readonly Bar[] {
  return checks.flatMap((check): Bar[] => {
    if (check.stop.length === 0 || isLiveCheck(check)) return [];
    const last = state.readings.findLast((reading) => reading.check === check.id);
    const say = last && tripped(check, last.value);
    if (say === undefined) return [];
    const from = check.before.some((step) => step.startsWith('power')) ? 'power' : 'horizontal';
    return [{ check, from, say: `${say} Then "${check.title}" again` }];
  });
}
