// Leaky capacitors and insulation: grid shift, the lifted-end test, and harmless phantom volts on a floating chassis.
import { ArgumentError, finite, notNegative, positive } from './numbers.ts';
import { estimate, judge, toleranceDoubt } from './uncertainty.ts';

/**
 * Positive shift of a grid, V, by a coupling capacitor that leaks: Vs * Rg / (Rleak + Rg).
 * `supplyVolts` is the DC at the plate side against the same point as the grid resistor.
 * Example: 250 V, 115 Mohm, 470 kohm -> 1.02 V.
 */
export function gridShiftFromLeak(supplyVolts: number, leakOhms: number, gridOhms: number): number {
  const grid = positive('gridOhms', gridOhms);
  return (finite('supplyVolts', supplyVolts) * grid) / (positive('leakOhms', leakOhms) + grid);
}

/**
 * Leakage resistance of a coupling capacitor, ohm, from the positive volts across the grid resistor.
 * Example: 250 V at the plate, +1.02 V on a 470 kohm grid resistor -> 115 Mohm.
 * A gassy tube looks alike: pull the tube; what stays is the capacitor.
 */
export function leakFromGridShift(supplyVolts: number, gridVolts: number, gridOhms: number): number {
  positive('gridVolts', gridVolts);
  if (!(supplyVolts > gridVolts)) throw new ArgumentError('supplyVolts', 'above gridVolts', supplyVolts);
  return (positive('gridOhms', gridOhms) * (supplyVolts - gridVolts)) / gridVolts;
}

/** Verdicts of the lifted-end test; between two of them the doubt of the reading does not let us choose. */
export type LeakVerdict = 'good' | 'aged' | 'upsets its stage' | 'cannot tell';

/** Leakage from here on is good; under the second figure it shifts a 470 kohm grid by a volt (common practice, no source). */
const GOOD_LEAK_OHMS = 1e9;
const UPSET_LEAK_OHMS = 120e6;

export interface LiftedEnd {
  readonly leakOhms: number;
  readonly plusMinusOhms: number;
  /** Current at full volts, A. */
  readonly leakAmps: number;
  readonly verdict: LeakVerdict;
}

/**
 * Leakage with the grid end lifted and the meter from that end to chassis: R = Rm (V - Vm) / Vm, with the doubt of the
 * reading (`meterPercent`, default 2 %) and of the meter's own resistance (1 %).
 * Example: 250 V, 5 V on 10 Mohm -> 490 Mohm, aged.
 */
export function liftedEndLeak(input: {
  readonly supplyVolts: number;
  readonly readingVolts: number;
  readonly meterOhms: number;
  readonly meterPercent?: number;
}): LiftedEnd {
  positive('readingVolts', input.readingVolts);
  if (!(input.supplyVolts > input.readingVolts)) {
    throw new ArgumentError('readingVolts', 'below supplyVolts', input.readingVolts);
  }
  const leakOhms =
    (positive('meterOhms', input.meterOhms) * (input.supplyVolts - input.readingVolts)) / input.readingVolts;
  // dR/R = dVm/Vm * V / (V - Vm)
  const share = input.supplyVolts / (input.supplyVolts - input.readingVolts);
  const leak = estimate(leakOhms, [
    toleranceDoubt('meter', leakOhms * share, notNegative('meterPercent', input.meterPercent ?? 2) / 100),
    toleranceDoubt('meter resistance', leakOhms, 0.01),
  ]);
  const sureOf = (low: number, high: number) => judge(leak, low, high) === 'inside';
  let verdict: LeakVerdict = 'cannot tell';
  if (sureOf(GOOD_LEAK_OHMS, Number.POSITIVE_INFINITY)) verdict = 'good';
  else if (sureOf(UPSET_LEAK_OHMS, GOOD_LEAK_OHMS)) verdict = 'aged';
  else if (sureOf(Number.NEGATIVE_INFINITY, UPSET_LEAK_OHMS)) verdict = 'upsets its stage';
  return { leakOhms, plusMinusOhms: leak.plusMinus, leakAmps: input.supplyVolts / leakOhms, verdict };
}

/**
 * Volts that a meter shows between a well isolated chassis and earth, through the winding capacitance of the
 * isolation transformer: V * |Zm| / |Zm + Zc|. With 100 kohm across the meter they nearly vanish; real leakage does not.
 * Example: 117 V, 1 nF, 60 Hz: 10 Mohm shows 113 V at most, 100 kohm 4.4 V; 44 uA flow into a short.
 */
export function phantomVolts(input: {
  readonly lineVolts: number;
  readonly windingFarads: number;
  readonly frequencyHz?: number;
  readonly meterOhms: number;
}): { readonly volts: number; readonly shortAmps: number } {
  const reactance =
    1 /
    (2 *
      Math.PI *
      positive('frequencyHz', input.frequencyHz ?? 60) *
      positive('windingFarads', input.windingFarads));
  const lineVolts = notNegative('lineVolts', input.lineVolts);
  const meter = positive('meterOhms', input.meterOhms);
  return { volts: (lineVolts * meter) / Math.hypot(meter, reactance), shortAmps: lineVolts / reactance };
}
