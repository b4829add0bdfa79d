// Which checks are read with power on: those of the two supply states that have any.
import type { Check } from './types.ts';

/** Whether a check is read on a powered set, on the lamp (S1) or at full line (S2). */
export function isLiveCheck({ state }: Pick<Check, 'state'>): boolean {
  return state === 'S1' || state === 'S2';
}
