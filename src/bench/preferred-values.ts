// Preferred values of resistors and capacitors (IEC 60063: E6, E12, E24).
import { ArgumentError, positive } from './numbers.ts';

/** The series as published; some E6..E24 values depart from the generating rule, hence the table. */
export const SERIES = {
  E6: [10, 15, 22, 33, 47, 68],
  E12: [10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82],
  E24: [10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91],
} as const;
export type Series = keyof typeof SERIES;

/**
 * The preferred value next to `value`: nearest by ratio, or the next one `up` or `down` (a value that is in the
 * series is its own neighbour). Works for any unit. Example: 182 in E12, nearest -> 180; up -> 220.
 */
export function nearestPreferred(
  value: number,
  series: Series,
  direction: 'nearest' | 'up' | 'down' = 'nearest',
): number {
  positive('value', value);
  const steps = SERIES[series];
  if (steps === undefined)
    throw new ArgumentError('series', `one of ${Object.keys(SERIES).join(', ')}`, series);
  const decade = Math.floor(Math.log10(value));
  const candidates: number[] = [];
  for (const d of [decade - 1, decade, decade + 1]) {
    for (const step of steps) candidates.push(Number(`${step}e${d - 1}`));
  }
  const slack = 1e-9;
  if (direction === 'up') return candidates.find((c) => c >= value * (1 - slack)) ?? value;
  if (direction === 'down') return candidates.findLast((c) => c <= value * (1 + slack)) ?? value;
  const distance = (c: number) => Math.abs(Math.log(c / value));
  return candidates.reduce((best, c) => (distance(c) < distance(best) ? c : best));
}
