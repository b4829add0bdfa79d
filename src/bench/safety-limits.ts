// Limits that protect people: exposed-metal leakage, cold leakage, X-ray ceiling, isolation transformer, stored charge.
import { ArgumentError, notNegative, positive } from './numbers.ts';
import { estimate, toleranceDoubt } from './uncertainty.ts';

/** Test network between exposed metal and earth: 1500 ohm with 0.15 uF across, at most 0.75 V rms (0.5 mA). */
export const LEAKAGE_TEST = { ohms: 1500, farads: 0.15e-6, limitVolts: 0.75, limitAmps: 0.0005 } as const;

export interface ExposedMetal {
  readonly resistorAmps: number;
  readonly totalAmps: number;
  /** Doubt of the volts, V; `too close` is to be treated as a reject. */
  readonly plusMinusVolts: number;
  readonly verdict: 'within the limit' | 'too close, treat as a reject' | 'reject';
}

/**
 * Exposed-metal leakage from the volts across the test network, A, at the line frequency. The doubt of the meter
 * (`meterPercent`, default 2 %) counts against the set.
 * Source: safety check-out pages of receiver service manuals (several makers agree): 0.75 V rms, 0.5 mA.
 * Only on the finished, closed set, both plug directions; never part of a diagnosis with hands inside.
 * Example: 0.75 V -> 0.5 mA through the resistor.
 */
export function exposedMetalLeakage(volts: number, frequencyHz = 60, meterPercent = 2): ExposedMetal {
  notNegative('volts', volts);
  positive('frequencyHz', frequencyHz);
  const resistorAmps = volts / LEAKAGE_TEST.ohms;
  const capacitorAmps = volts * 2 * Math.PI * frequencyHz * LEAKAGE_TEST.farads;
  const read = estimate(volts, [
    toleranceDoubt('meter', volts, notNegative('meterPercent', meterPercent) / 100),
  ]);
  const { limitVolts } = LEAKAGE_TEST;
  return {
    resistorAmps,
    totalAmps: Math.hypot(resistorAmps, capacitorAmps),
    plusMinusVolts: read.plusMinus,
    verdict:
      read.high <= limitVolts
        ? 'within the limit'
        : volts <= limitVolts
          ? 'too close, treat as a reject'
          : 'reject',
  };
}

/**
 * Cold check: plug blades joined against exposed metal. With a return path to chassis 1 to 5.2 Mohm is right,
 * without one the reading must be infinite. Source: receiver service manuals (several makers agree).
 */
export function coldLeakage(
  ohms: number,
  hasReturnToChassis: boolean,
): 'within the limit' | 'reject' | 'too high: bleeder open' {
  positive('ohms', ohms);
  if (!hasReturnToChassis) return ohms >= 100e6 ? 'within the limit' : 'reject';
  if (ohms < 1e6) return 'reject';
  return ohms <= 5.2e6 ? 'within the limit' : 'too high: bleeder open';
}

/** Kinds of rating in tube tables; `design-center` allows for a line 10 % high, `design-maximum` does not. */
export const RATINGS = ['design-center', 'design-maximum'] as const;
export type RatingSystem = (typeof RATINGS)[number];

export interface AnodeCeiling {
  readonly ceilingVolts: number;
  /** Doubt of the reading, V. */
  readonly plusMinusVolts: number;
  readonly verdict: 'within the rating' | 'find out why' | 'switch off';
}

/**
 * Ceiling of the anode voltage, V: 100 % of a design-maximum rating, 110 % of a design-center one (common practice);
 * between the rating and the ceiling find out why. The doubt of probe and meter (`probePercent`, default 3 %) counts
 * against the set: the verdict is that of the high end. Example: 18 kV design-center, 18.4 kV read -> find out why.
 */
export function anodeCeiling(
  ratedVolts: number,
  rating: RatingSystem,
  readingVolts: number,
  probePercent = 3,
): AnodeCeiling {
  positive('ratedVolts', ratedVolts);
  notNegative('readingVolts', readingVolts);
  if (!RATINGS.includes(rating)) throw new ArgumentError('rating', `one of ${RATINGS.join(', ')}`, rating);
  const ceilingVolts = rating === 'design-center' ? 1.1 * ratedVolts : ratedVolts;
  const read = estimate(readingVolts, [
    toleranceDoubt('probe and meter', readingVolts, notNegative('probePercent', probePercent) / 100),
  ]);
  const verdict =
    read.high > ceilingVolts ? 'switch off' : read.high > ratedVolts ? 'find out why' : 'within the rating';
  return { ceilingVolts, plusMinusVolts: read.plusMinus, verdict };
}

/** Sizes in which isolation transformers are sold, VA. */
export const ISOLATION_VA = [100, 150, 200, 250, 300, 400, 500, 630, 750, 1000, 1500, 2000] as const;

/**
 * Size of the isolation transformer, VA: 1.5 times the nameplate; 2.5 times for half-wave sets, whose rectifier draws
 * direct current through the secondary and walks the core toward saturation. Common practice, no source.
 * Example: 160 W half-wave -> 400 VA.
 */
export function isolationTransformerVa(input: { readonly ratedWatts: number; readonly halfWave: boolean }): {
  readonly minimumVa: number;
  readonly chooseVa: number;
  readonly reason: string;
} {
  const minimumVa = (input.halfWave ? 2.5 : 1.5) * positive('ratedWatts', input.ratedWatts);
  return {
    minimumVa,
    chooseVa: ISOLATION_VA.find((va) => va >= minimumVa) ?? Math.ceil(minimumVa / 500) * 500,
    reason: input.halfWave
      ? 'a half-wave set draws direct current through the secondary; expect hum and sag, measure line volts at the plug'
      : 'the rectifier draws its current in peaks; volt-amperes exceed the watts',
  };
}

/** Bench fuse for readings at full line, A: 1.5 times the nameplate current, time-lag. Example: 190 W at 117 V -> 2.4 A. */
export function benchFuseAmps(ratedWatts: number, lineVolts: number): number {
  return (1.5 * positive('ratedWatts', ratedWatts)) / positive('lineVolts', lineVolts);
}

/**
 * Judges a stored charge by the published limits for parts that can be touched (IEC 60335-1 cl. 8.1.4, as quoted): up to
 * 42.4 V is extra-low voltage; to 450 V at most 0.1 uF; to 15 kV at most 45 uC; above, at most 350 mJ.
 * A pass is no licence to touch: a small kick makes hands jump into something worse.
 */
export function touchableCharge(
  capacitanceFarads: number,
  volts: number,
): {
  readonly coulombs: number;
  readonly joules: number;
  readonly verdict: 'below the limit' | 'above the limit';
} {
  positive('capacitanceFarads', capacitanceFarads);
  notNegative('volts', volts);
  const coulombs = capacitanceFarads * volts;
  const joules = (capacitanceFarads * volts ** 2) / 2;
  let below: boolean;
  if (volts <= 42.4) below = true;
  else if (volts <= 450) below = capacitanceFarads <= 0.1e-6;
  else if (volts <= 15000) below = coulombs <= 45e-6;
  else below = joules <= 0.35;
  return { coulombs, joules, verdict: below ? 'below the limit' : 'above the limit' };
}
