// "As expected": turns the normal band of a check into the reading that such an answer stands for.
import type { Expected } from '../../diagnosis/types.ts';
import type { Band, Check } from '../../rulebook/types.ts';
import type { ReadingValue } from '../../session/index.ts';
import { baseUnit } from '../../session/units.ts';

/** The band of what is right, in the terms of the read's scale. */
function normalBand(check: Check): Band | undefined {
  const read = check.reads[0];
  return read?.bands.normal?.[0] ?? read?.bands.ok?.[0];
}

/**
 * The value recorded for "as expected": a range as wide as the normal band, a bound where it has one side, the likeliest option
 * of a choice. `undefined` where the rule base does not say what is right, or the check wants two values.
 */
export function asExpected(check: Check, expected: Expected | undefined): ReadingValue | undefined {
  const read = check.reads[0];
  if (!read || check.kind === 'pair') return undefined;
  if (check.kind === 'choice') {
    const row = read.table.normal ?? read.table.ok;
    const [best] = Object.entries(row ?? {}).sort((a, b) => b[1] - a[1]);
    return best ? { kind: 'choice', option: best[0] } : undefined;
  }
  const band = normalBand(check);
  const unit = baseUnit(check.quantity);
  if (!band) return undefined;
  const scale = read.scale === 'ratio' ? expected?.value : 1;
  if (scale === undefined) return undefined;
  const centre = read.scale === 'difference' ? (expected?.value ?? 0) : 0;
  const edge = (limit: number): number => limit * scale + centre;
  const [low, high] = band;
  if (low !== null && high !== null) {
    const [a, b] = [edge(low), edge(high)];
    return { kind: 'range', low: Math.min(a, b), high: Math.max(a, b), unit };
  }
  if (low !== null) return { kind: 'bound', side: 'above', value: edge(low), unit };
  return high !== null ? { kind: 'bound', side: 'below', value: edge(high), unit } : undefined;
}
