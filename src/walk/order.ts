// What comes before the planner's choice, quick looks, and what was put off: it comes back when the bench changes its supply state, or when nothing else is left.
import type { Check } from '../rulebook/types.ts';
import type { SafetyState } from '../safety/index.ts';
import type { SessionState } from '../session/types.ts';
import { isLive } from './costs.ts';
import type { CheckStanding } from './types.ts';

/** Ids of the checks put off since power last changed. */
export function putOff({
  skipped,
  safetyLog,
}: Pick<SessionState, 'skipped' | 'safetyLog'>): ReadonlySet<string> {
  const changed = safetyLog.findLast((e) => e.type === 'powered-up' || e.type === 'powered-off')?.seq ?? 0;
  return new Set(skipped.filter((s) => s.reason === 'later' && s.seq > changed).map((s) => s.check));
}

/** Looks that need no contact and no tool come before everything else, in walk order, once the plug is out and eyes are covered. */
export function quickLook(
  standings: readonly CheckStanding[],
  safety: SafetyState,
  later: ReadonlySet<string>,
): Check | undefined {
  const ready = (['plug-pulled', 'eye-protection'] as const).every((id) => safety.proven.has(id));
  if (isLive(safety.supply) || !ready) return undefined;
  return standings.find(
    (s) =>
      s.status === 'allowed' &&
      s.check.phase === 'intake' &&
      s.check.state === 'any' &&
      s.check.minutes <= 3 &&
      !later.has(s.check.id),
  )?.check;
}
