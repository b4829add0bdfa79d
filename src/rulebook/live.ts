// Which checks are read with power on: those of the two supply states that have any; and what of them is set up before it.
import type { Check } from './types.ts';

/** Whether a check is read on a powered set, on the lamp (S1) or at full line (S2). */
export function isLiveCheck({ state }: Pick<Check, 'state'>): boolean {
  return state === 'S1' || state === 'S2';
}

/** Whether the rule base says that something is fitted, lifted, clipped on or changed before power for a live check. */
export function isSetUpDead(check: Check): boolean {
  const { where, meter, how } = check;
  return isLiveCheck(check) && [where, meter, ...how].some((text) => /with the set proven dead/i.test(text));
}
