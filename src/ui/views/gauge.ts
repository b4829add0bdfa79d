// The band gauge: where a reading lies against what is right, as one bar with a marker. Also the range in words.
import type { Expected } from '../../diagnosis/types.ts';
import type { Check } from '../../rulebook/types.ts';
import type { ReadingValue } from '../../session/index.ts';
import { baseUnit, formatNumber, formatValue } from '../../session/units.ts';
import { type Line, pad, plain, span, type Tone, widthOf } from '../text.ts';

/** What is right, in base units; `undefined` limits are open. `around` is the reference where the scale has one. */
export interface RightRange {
  readonly low: number | undefined;
  readonly high: number | undefined;
  readonly around: number | undefined;
  readonly unit: string;
}

/** The normal band of a check's first read in base units, or `undefined` if it has none (choices, unknown expectation). */
export function rightRange(check: Check, expected: Expected | undefined): RightRange | undefined {
  const read = check.reads.find((r) => r.scale !== 'choice');
  const band = read?.bands.normal?.[0] ?? read?.bands.ok?.[0];
  if (!read || !band) return undefined;
  const relative = read.scale === 'ratio';
  const isRatio = check.combine === 'ratio' || read.scale === 'balance';
  if (relative && expected === undefined) return undefined;
  const reference = expected?.value ?? 0;
  const place = (limit: number | null): number | undefined => {
    if (limit === null) return undefined;
    if (relative) return limit * reference;
    return read.scale === 'difference' ? limit + reference : limit;
  };
  const [a, b] = [place(band[0]), place(band[1])];
  const swapped = relative && reference < 0;
  return {
    low: swapped ? b : a,
    high: swapped ? a : b,
    around: relative ? reference : undefined,
    unit: isRatio ? '' : baseUnit(check.quantity),
  };
}

/** The range with three digits where it is wide: more would feign an exactness that no such limit has. */
function readable(range: RightRange): RightRange {
  const { low, high, around } = range;
  const narrow =
    low !== undefined && high !== undefined && Math.abs(high - low) < 0.05 * Math.abs(high + low);
  if (narrow) return range;
  const short = (n: number | undefined): number | undefined =>
    n === undefined ? undefined : Number(n.toPrecision(3));
  return { ...range, low: short(low), high: short(high), around: short(around) };
}

/** The range in words: `230 V to 310 V`, `over 1 Mohm`, `under 0.5 V`. */
export function rangeWords(range: RightRange): string {
  const { low, high, around, unit } = readable(range);
  const about = around === undefined ? '' : `, about ${formatNumber(around, unit)}`;
  if (low !== undefined && high !== undefined) {
    return `${spanWords(low, high, unit)}${about}`;
  }
  if (low !== undefined) return `over ${formatNumber(low, unit)}`;
  return high === undefined ? 'anything' : `under ${formatNumber(high, unit)}`;
}

/** `230 to 310 V`; each end in its own unit where they are far apart: `0.8 ohm to 8 kohm`. */
function spanWords(low: number, high: number, unit: string): string {
  const far = low !== 0 && Math.abs(high / low) > 100;
  return far
    ? `${formatNumber(low, unit)} to ${formatNumber(high, unit)}`
    : formatValue({ kind: 'range', low, high, unit });
}

/** One number that stands for a reading on the bar; infinite for over-range. */
export function placeOf(value: ReadingValue, check: Check): number | undefined {
  switch (value.kind) {
    case 'number':
    case 'bound':
      return value.value;
    case 'range':
      return (value.low + value.high) / 2;
    case 'over-range':
      return Number.POSITIVE_INFINITY;
    case 'short':
      return 0;
    case 'pair':
      return check.combine === 'difference'
        ? value.values[0] - value.values[1]
        : value.values[0] / value.values[1];
    case 'choice':
      return undefined;
  }
}

/** Where a number lies on a bar from 0 to 1, the right range filling its middle part. */
function position(range: RightRange, value: number): number {
  const { low, high } = range;
  const [from, to] = [0.32, 0.68];
  if (low !== undefined && high !== undefined) {
    const logs = low > 0 && high > low;
    const scale = (v: number): number => (logs ? Math.log(Math.max(v, low / 1e6)) : v);
    const [a, b] = [scale(low), scale(high)];
    return from + ((scale(value) - a) / (b - a || 1)) * (to - from);
  }
  const edge = low ?? high ?? 0;
  const middle = low === undefined ? to : from;
  if (edge > 0) return middle + Math.log10(Math.max(value, edge / 1e6) / edge) * 0.18;
  return middle + ((value - edge) / (Math.abs(edge) || 1)) * 0.18;
}

const GAUGE_TONE: Readonly<Record<'good' | 'watch' | 'bad' | 'noted', Tone>> = {
  good: 'good',
  watch: 'watch',
  bad: 'bad',
  noted: 'plain',
};

/**
 * Two lines: the bar with the right range drawn heavy and its limits written, and the marker of a reading above it with its
 * text and, where it makes sense, its ratio to the expected value.
 */
export function gauge(
  range: RightRange,
  marker:
    | { readonly at: number; readonly label: string; readonly standing: 'good' | 'watch' | 'bad' | 'noted' }
    | undefined,
  width: number,
): Line[] {
  const { low, high, unit } = readable(range);
  const lowText = low === undefined ? '' : ` ${formatNumber(low, unit)} `;
  const highText = high === undefined ? '' : ` ${formatNumber(high, unit)} `;
  const start = low === undefined ? 0 : Math.round(width * 0.32);
  const stop = high === undefined ? width : Math.round(width * 0.68);
  const left = '·'.repeat(Math.max(0, start - widthOf(lowText))) + lowText.slice(0, start);
  const right = highText.slice(0, width - stop) + '·'.repeat(Math.max(0, width - stop - widthOf(highText)));
  const bar: Line = [
    span(pad(left, start), 'quiet'),
    span('━'.repeat(Math.max(0, stop - start)), 'good'),
    span(pad(right, width - stop), 'quiet'),
  ];
  if (!marker) return [[], bar];
  const spot = Math.max(0, Math.min(width - 1, Math.round(position(range, marker.at) * (width - 1))));
  const label = marker.label;
  const tone = GAUGE_TONE[marker.standing];
  const before = spot + 2 + widthOf(label) > width;
  const pointer = before
    ? `${' '.repeat(Math.max(0, spot - widthOf(label) - 1))}${label} ▼`
    : `${' '.repeat(spot)}▼ ${label}`;
  return [plain(pointer, tone, { bold: true }), bar];
}
