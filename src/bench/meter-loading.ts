// What a meter does to the circuit it reads, and the way back from the reading to the true voltage.
import { ArgumentError, finite, notNegative, parallelOhms, positive } from './numbers.ts';
import { formatQuantity } from './quantity.ts';
import { type Estimate, estimate, type MeterAccuracy, meterDoubt } from './uncertainty.ts';

/** Input resistance of a moving-coil meter on a range, ohm. Example: 20 000 ohm/V on 50 V -> 1 Mohm. */
export function meterOhms(ohmsPerVolt: number, rangeVolts: number): number {
  return positive('ohmsPerVolt', ohmsPerVolt) * positive('rangeVolts', rangeVolts);
}

/** Sensitivity of a movement, ohm per volt: 1 / full-scale current. Example: 200 uA -> 5000. */
export function ohmsPerVolt(fullScaleAmps: number): number {
  return 1 / positive('fullScaleAmps', fullScaleAmps);
}

/** Series multiplier for a range, ohm. Example: 50 uA, 500 ohm, 10 V -> 199.5 kohm. */
export function multiplierOhms(fullScaleAmps: number, coilOhms: number, rangeVolts: number): number {
  const ohms =
    positive('rangeVolts', rangeVolts) / positive('fullScaleAmps', fullScaleAmps) -
    positive('coilOhms', coilOhms);
  if (ohms < 0) throw new ArgumentError('rangeVolts', 'at least the volts of the bare movement', rangeVolts);
  return ohms;
}

/**
 * What a meter of `meterInputOhms` shows at a point of source resistance `sourceOhms`.
 * Example: 50 V behind 5 kohm (10 k over 10 k) with 50 kohm -> 45.45 V.
 */
export function meterReading(trueVolts: number, sourceOhms: number, meterInputOhms: number): number {
  const meter = positive('meterOhms', meterInputOhms);
  return (finite('trueVolts', trueVolts) * meter) / (meter + notNegative('sourceOhms', sourceOhms));
}

/**
 * The voltage that was there before the meter was: reading * (1 + source/meter), with the doubt from the meter and
 * from the source resistance (default 20 %, as of parts with unknown drift).
 * Example: 45.45 V with 50 kohm at 5 kohm -> 50.0 V.
 */
export function trueVolts(
  readingVolts: number,
  sourceOhms: number,
  meterInputOhms: number,
  options: { readonly accuracy?: MeterAccuracy; readonly sourceTolerance?: number } = {},
): Estimate {
  const meter = positive('meterOhms', meterInputOhms);
  const share = notNegative('sourceOhms', sourceOhms) / meter;
  const reading = finite('readingVolts', readingVolts);
  const value = reading * (1 + share);
  const fromMeter = meterDoubt(reading, options.accuracy ?? { ofReading: 0.01, fixed: 0 });
  return estimate(value, [
    { from: 'meter', plusMinus: fromMeter.plusMinus * (1 + share) },
    {
      from: 'source resistance',
      plusMinus: Math.abs(reading) * share * notNegative('sourceTolerance', options.sourceTolerance ?? 0.2),
    },
  ]);
}

/**
 * How a meter's loading shows, in words. Example: 1 Mohm source on 10 Mohm -> "a 10 Mohm meter on a 1 Mohm source reads
 * 9.1 % low".
 */
export function loadingWords(sourceOhms: number, meterInputOhms: number): string {
  const percent = 100 * (1 - meterReading(1, sourceOhms, meterInputOhms));
  const meter = formatQuantity(meterInputOhms, 'ohm', 3);
  if (percent < 0.05) return `a ${meter} meter does not load this point`;
  return `a ${meter} meter on a ${formatQuantity(sourceOhms, 'ohm', 3)} source reads ${percent.toFixed(1)} % low`;
}

/** A two-resistor divider read by a meter: volts without it, volts shown, error in percent. */
export function dividerReading(input: {
  readonly supplyVolts: number;
  readonly upperOhms: number;
  readonly lowerOhms: number;
  readonly meterOhms: number;
}): { readonly unloadedVolts: number; readonly shownVolts: number; readonly errorPercent: number } {
  const upper = positive('upperOhms', input.upperOhms);
  const lower = positive('lowerOhms', input.lowerOhms);
  const unloadedVolts = (finite('supplyVolts', input.supplyVolts) * lower) / (upper + lower);
  const shownVolts = meterReading(unloadedVolts, parallelOhms(upper, lower), input.meterOhms);
  return { unloadedVolts, shownVolts, errorPercent: 100 * (shownVolts / unloadedVolts - 1) };
}

/**
 * Source resistance from two readings of one point with two different meter resistances (or ranges), and the
 * unloaded volts. Example: 45.45 V with 50 kohm and 49.75 V with 1 Mohm -> 5 kohm, 50 V.
 */
export function sourceFromTwoReadings(
  readingA: number,
  meterOhmsA: number,
  readingB: number,
  meterOhmsB: number,
): { readonly sourceOhms: number; readonly volts: number } {
  const a = positive('readingA', readingA) / positive('meterOhmsA', meterOhmsA);
  const b = positive('readingB', readingB) / positive('meterOhmsB', meterOhmsB);
  if (meterOhmsA === meterOhmsB)
    throw new ArgumentError('meterOhmsB', 'different from meterOhmsA', meterOhmsB);
  const sourceOhms = (readingB - readingA) / (a - b);
  if (!(Number.isFinite(sourceOhms) && sourceOhms >= 0)) {
    throw new ArgumentError('readingB', 'higher on the meter of higher resistance', readingB);
  }
  return { sourceOhms, volts: readingA + a * sourceOhms };
}

/**
 * A high-voltage probe made for one meter and used with another. `ratio` is what it divides by with the meter it
 * was made for; `shuntOhms` is a resistor inside the probe's foot (none: leave out).
 * Returns what the meter shows times `ratio`, that error in percent, and the loading of the source.
 * Example: 1000:1 on 10 Mohm without shunt, used on 11 Mohm -> reads 10 % high.
 */
export function hvProbe(input: {
  readonly trueVolts: number;
  readonly sourceOhms: number;
  readonly ratio: number;
  readonly madeForMeterOhms: number;
  readonly meterOhms: number;
  readonly shuntOhms?: number;
}): {
  readonly shownVolts: number;
  readonly mismatchPercent: number;
  readonly loadingPercent: number;
  readonly probeAmps: number;
} {
  if (!(input.ratio > 1)) throw new ArgumentError('ratio', 'above 1', input.ratio);
  positive('trueVolts', input.trueVolts);
  const foot = (meter: number) =>
    input.shuntOhms === undefined
      ? positive('meterOhms', meter)
      : parallelOhms(positive('meterOhms', meter), positive('shuntOhms', input.shuntOhms));
  const series = foot(input.madeForMeterOhms) * (input.ratio - 1);
  const actualFoot = foot(input.meterOhms);
  const total = series + actualFoot;
  const atProbe = meterReading(input.trueVolts, input.sourceOhms, total);
  return {
    shownVolts: ((atProbe * actualFoot) / total) * input.ratio,
    mismatchPercent: 100 * ((actualFoot / total) * input.ratio - 1),
    loadingPercent: 100 * (atProbe / input.trueVolts - 1),
    probeAmps: atProbe / total,
  };
}
