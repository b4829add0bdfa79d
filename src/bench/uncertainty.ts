// One way for every calculation to say how sure it is: contributions are combined as a root sum of squares.
import { finite, notNegative } from './numbers.ts';

/** One cause of doubt, as a half-width in the unit of the value, meant to hold 19 times out of 20. */
export interface Doubt {
  readonly from: string;
  readonly plusMinus: number;
}

/** A number with its half-width (19 times out of 20), its bounds, and where the doubt comes from. */
export interface Estimate {
  readonly value: number;
  readonly plusMinus: number;
  readonly low: number;
  readonly high: number;
  readonly doubts: readonly Doubt[];
}

/**
 * Combines independent doubts: plusMinus = sqrt(sum of squares), largest cause first.
 * Source: the usual propagation of independent uncertainties (ISO/IEC Guide 98-3).
 * Example: 100 V with +/-3 V (meter) and +/-4 V (part) -> +/-5 V.
 */
export function estimate(value: number, doubts: readonly Doubt[]): Estimate {
  finite('value', value);
  for (const doubt of doubts) notNegative(doubt.from, doubt.plusMinus);
  const plusMinus = Math.hypot(...doubts.map((doubt) => doubt.plusMinus));
  return {
    value,
    plusMinus,
    low: value - plusMinus,
    high: value + plusMinus,
    doubts: [...doubts].sort((a, b) => b.plusMinus - a.plusMinus),
  };
}

/** What a meter can be trusted to: a share of the reading plus a fixed part (counts, or a share of full scale). */
export interface MeterAccuracy {
  readonly ofReading: number;
  readonly fixed: number;
}

export const METER_KINDS = ['digital', 'moving-coil', 'vacuum-tube'] as const;
export type MeterKind = (typeof METER_KINDS)[number];

/**
 * Accuracy classes of bench meters, DC volts (common practice, no source): digital 0.8 % + 2 counts of the last
 * of three and a half digits; moving coil and vacuum-tube voltmeter 3 % of full scale.
 */
export function meterAccuracy(
  kind: 'digital' | 'moving-coil' | 'vacuum-tube',
  fullScale: number,
): MeterAccuracy {
  if (kind === 'digital') return { ofReading: 0.008, fixed: (2 * fullScale) / 2000 };
  return { ofReading: 0, fixed: 0.03 * fullScale };
}

/** The doubt that a meter adds to a reading. */
export function meterDoubt(reading: number, accuracy: MeterAccuracy): Doubt {
  return { from: 'meter', plusMinus: Math.abs(reading) * accuracy.ofReading + accuracy.fixed };
}

/** The doubt that a relative tolerance (0.1 = 10 %) adds to a value. */
export function toleranceDoubt(from: string, value: number, tolerance: number): Doubt {
  return { from, plusMinus: Math.abs(value) * tolerance };
}

export type Judgement = 'inside' | 'outside' | 'cannot tell';

/**
 * Judges an estimate against limits: `inside` or `outside` only when the whole width is, else `cannot tell`.
 * Example: 98 +/- 5 against 90..100 -> cannot tell.
 */
export function judge(measured: Estimate, low: number, high: number): Judgement {
  if (measured.low >= low && measured.high <= high) return 'inside';
  if (measured.high < low || measured.low > high) return 'outside';
  return 'cannot tell';
}
