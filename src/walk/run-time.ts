// How long the present run has lasted, for checks whose answer is about the whole of it: an hour of running is not said after five minutes.
import { isLiveCheck } from '../rulebook/live.ts';
import type { Check } from '../rulebook/types.ts';
import type { SessionState } from '../session/types.ts';

/** A live check that takes so long is one of endurance: its answer is about all these minutes of the run. */
const ENDURANCE_MINUTES = 45;
/** Share of them that must have run. */
const RUN_SHARE = 0.9;

/** Minutes that the run must still last before a check of endurance can be answered; 0 if it can, or if it is none. */
export function runMinutesLeft(
  check: Check,
  { safetyLog }: Pick<SessionState, 'safetyLog'>,
  now: Date,
): number {
  if (!isLiveCheck(check) || check.minutes < ENDURANCE_MINUTES) return 0;
  const power = safetyLog.filter((e) => e.type === 'powered-up' || e.type === 'powered-off');
  const on = power.findLast((e) => e.type === 'powered-up');
  if (!on) return 0;
  const last = power.at(-1);
  const until = last?.type === 'powered-off' ? Date.parse(last.at) : now.getTime();
  return Math.max(0, Math.ceil(RUN_SHARE * check.minutes - (until - Date.parse(on.at)) / 60_000));
}
