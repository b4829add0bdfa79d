// Where a reading lies against its normal band, as numbers for a gauge: everything relative to one reference, so that all gauges are alike.
import type { JudgedReading } from '../diagnosis/types.ts';
import type { Band, Read } from '../rulebook/types.ts';

export interface GaugeScale {
  /** The reading, relative to the reference: the expected value, the middle of the band, or its one limit. */
  readonly at: number;
  /** Normal band, relative to the same; a side that is missing is open. */
  readonly low: number | undefined;
  readonly high: number | undefined;
  /** Measured / expected where a value was expected: the reference is then marked. */
  readonly ratio: number | undefined;
}

/** The normal band of what a reading speaks about first. */
export function normalBand(read: Read | undefined): Band | undefined {
  return read?.bands.normal?.[0] ?? read?.bands.ok?.[0];
}

/** The scale of a reading; undefined for looks, for bands across zero and for what has no number. */
export function scaleOf(reading: JudgedReading, ratio: number | undefined): GaugeScale | undefined {
  const read = reading.check.reads[0];
  const band = normalBand(read);
  if (!read || !band) return undefined;
  if (read.scale === 'ratio')
    return ratio === undefined ? undefined : { at: ratio, low: side(band[0]), high: side(band[1]), ratio };
  const value = plainNumber(reading, read);
  if (value === undefined || read.scale === 'difference') return undefined;
  return relative(value, band);
}

/** `[-8, -1.2]` and -4.6: the signs are turned, the middle is the geometric one, as the gauge runs in ratios. */
function relative(value: number, [first, second]: Band): GaugeScale | undefined {
  const turned = (first ?? 0) < 0 || (second ?? 0) < 0;
  const [low, high] = turned ? [negated(second), negated(first)] : [first, second];
  if ((low !== null && low <= 0) || (high !== null && high <= 0)) return undefined;
  const reference = low !== null && high !== null ? Math.sqrt(low * high) : (low ?? high);
  if (reference === null) return undefined;
  const by = (limit: number | null) => (limit === null ? undefined : limit / reference);
  return { at: (turned ? -value : value) / reference, low: by(low), high: by(high), ratio: undefined };
}

function negated(limit: number | null): number | null {
  return limit === null ? null : -limit;
}

function side(limit: number | null): number | undefined {
  return limit ?? undefined;
}

function plainNumber({ value }: JudgedReading, { scale }: Read): number | undefined {
  if (value.kind === 'number' || value.kind === 'bound') return value.value;
  if (value.kind === 'range') return (value.low + value.high) / 2;
  if (value.kind === 'pair' && scale === 'balance' && value.values[1] !== 0)
    return value.values[0] / value.values[1];
  return undefined;
}
