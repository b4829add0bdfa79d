// Tube stages: currents and watts from the voltages a technician can read, and whether the tube can take them.
import { ArgumentError, finite, notNegative, parallelOhms, positive } from './numbers.ts';
import { type Estimate, estimate, toleranceDoubt } from './uncertainty.ts';

/**
 * Current through a resistor from the volts across it, A, with the doubt of meter (default 1 %) and part (default 10 %).
 * Example: 8.2 V across 330 ohm -> 24.8 mA +/- 2.5 mA.
 */
export function resistorAmps(
  volts: number,
  ohms: number,
  options: { readonly tolerance?: number; readonly meter?: number } = {},
): Estimate {
  const amps = finite('volts', volts) / positive('ohms', ohms);
  return estimate(amps, [
    toleranceDoubt('meter', amps, notNegative('meter', options.meter ?? 0.01)),
    toleranceDoubt('part tolerance', amps, notNegative('tolerance', options.tolerance ?? 0.1)),
  ]);
}

/** Against the limits of a tube; `too close to tell` when the doubt of current reaches across the limit. */
export type LimitVerdict = 'within limits' | 'over a limit' | 'too close to tell' | 'no limit given';

/** Judges shares of limits (1 = at the limit) that carry a relative doubt. */
function limitVerdict(worstShare: number, relativeDoubt: number): LimitVerdict {
  if (worstShare === 0) return 'no limit given';
  if (worstShare * (1 + relativeDoubt) <= 1) return 'within limits';
  return worstShare * (1 - relativeDoubt) > 1 ? 'over a limit' : 'too close to tell';
}

export interface BiasCheck {
  readonly cathodeAmps: Estimate;
  readonly biasVolts: number;
  readonly plateWatts: number;
  readonly screenWatts: number;
  /** Shares of the limits that were given; 0 when no limit was. */
  readonly plateShare: number;
  readonly screenShare: number;
  readonly cathodeShare: number;
  readonly verdict: LimitVerdict;
}

/**
 * Cathode-biased stage from DC readings to chassis: cathode current Vk/Rk, bias Vk - Vg, plate and screen dissipation
 * (volts to *cathode*). Screen current is the drop over the screen resistor; without it the screen takes none.
 * Example: K 12.5 V on 250 ohm, plate 250 V, screen 250 V over 1 kohm from 254 V -> 50 mA, 10.9 W plate, 0.95 W screen.
 */
export function cathodeBiasStage(input: {
  readonly cathodeVolts: number;
  readonly cathodeOhms: number;
  readonly gridVolts?: number;
  readonly plateVolts: number;
  readonly screenVolts?: number;
  readonly screenAmps?: number;
  readonly tolerance?: number;
  readonly limits?: {
    readonly plateWatts?: number;
    readonly screenWatts?: number;
    readonly cathodeAmps?: number;
  };
}): BiasCheck {
  const cathode = notNegative('cathodeVolts', input.cathodeVolts);
  const cathodeAmps = resistorAmps(
    cathode,
    input.cathodeOhms,
    input.tolerance === undefined ? {} : { tolerance: input.tolerance },
  );
  const screenAmps = notNegative('screenAmps', input.screenAmps ?? 0);
  if (screenAmps > cathodeAmps.value)
    throw new ArgumentError('screenAmps', 'at most the cathode current', screenAmps);
  const plateWatts = dissipation(input.plateVolts - cathode, cathodeAmps.value - screenAmps);
  const screenWatts =
    input.screenVolts === undefined ? 0 : dissipation(input.screenVolts - cathode, screenAmps);
  const share = (value: number, limit: number | undefined) =>
    limit === undefined ? 0 : value / positive('limit', limit);
  const plateShare = share(plateWatts, input.limits?.plateWatts);
  const screenShare = share(screenWatts, input.limits?.screenWatts);
  const cathodeShare = share(cathodeAmps.value, input.limits?.cathodeAmps);
  const worst = Math.max(plateShare, screenShare, cathodeShare);
  return {
    cathodeAmps,
    biasVolts: cathode - finite('gridVolts', input.gridVolts ?? 0),
    plateWatts,
    screenWatts,
    plateShare,
    screenShare,
    cathodeShare,
    verdict: limitVerdict(worst, cathodeAmps.value > 0 ? cathodeAmps.plusMinus / cathodeAmps.value : 0),
  };
}

/** Dissipation of an electrode, W; a negative product (electrode below the cathode) counts as none. */
export function dissipation(volts: number, amps: number): number {
  return Math.max(0, finite('volts', volts) * finite('amps', amps));
}

export interface ScreenFeed {
  readonly amps: Estimate;
  readonly screenWatts: number;
  readonly resistorWatts: number;
  readonly verdict: LimitVerdict;
}

/**
 * Screen-resistor check: current (supply - screen) / R and the screen's watts against its limit.
 * Example: supply 260 V, screen 150 V, 12 kohm -> 9.2 mA, 1.4 W.
 */
export function screenFeed(input: {
  readonly supplyVolts: number;
  readonly screenVolts: number;
  readonly ohms: number;
  readonly cathodeVolts?: number;
  readonly limitWatts?: number;
  readonly tolerance?: number;
}): ScreenFeed {
  const drop = finite('supplyVolts', input.supplyVolts) - finite('screenVolts', input.screenVolts);
  if (drop < 0) throw new ArgumentError('screenVolts', 'at most supplyVolts', input.screenVolts);
  const amps = resistorAmps(drop, input.ohms, { tolerance: input.tolerance ?? 0.1 });
  const screenWatts = dissipation(
    input.screenVolts - finite('cathodeVolts', input.cathodeVolts ?? 0),
    amps.value,
  );
  const share = input.limitWatts === undefined ? 0 : screenWatts / positive('limitWatts', input.limitWatts);
  return {
    amps,
    screenWatts,
    resistorWatts: drop * amps.value,
    verdict: limitVerdict(share, amps.value > 0 ? amps.plusMinus / amps.value : 0),
  };
}

/**
 * Grid current from the negative volts that a grid-leak resistor develops, A: -Vg / Rg, corrected for the meter across it.
 * Example: -46 V on 470 kohm read with 10 Mohm -> 102 uA; without the meter -48.1 V (when the drive source is stiff in current).
 */
export function gridLeakAmps(gridVolts: number, gridOhms: number, meterOhms?: number): number {
  if (!(finite('gridVolts', gridVolts) <= 0))
    throw new ArgumentError('gridVolts', 'zero or negative', gridVolts);
  const total =
    meterOhms === undefined
      ? positive('gridOhms', gridOhms)
      : parallelOhms(positive('gridOhms', gridOhms), positive('meterOhms', meterOhms));
  return -gridVolts / total;
}

/**
 * Cathode current by the three-halves power law: I = K (Vg + Va / mu)^1.5, zero at and below cut-off. A plausibility
 * estimate (+/-30 %). For a pentode give the screen volts and the mu of grid to screen.
 * Source: Langmuir-Child law as used in tube textbooks. Example: K 15 uA/V^1.5, mu 25, 100 V, 0 V -> 0.12 mA.
 */
export function threeHalvesAmps(
  perveance: number,
  mu: number,
  anodeVolts: number,
  gridVolts: number,
): number {
  const drive = finite('gridVolts', gridVolts) + finite('anodeVolts', anodeVolts) / positive('mu', mu);
  return positive('perveance', perveance) * Math.max(0, drive) ** 1.5;
}

/** Perveance from one point of the data sheet, A/V^1.5. Example: 15 mA at 100 V with the grid at 0 and mu 1 -> 15 uA/V^1.5. */
export function perveanceFrom(amps: number, mu: number, anodeVolts: number, gridVolts: number): number {
  const drive = finite('gridVolts', gridVolts) + finite('anodeVolts', anodeVolts) / positive('mu', mu);
  return positive('amps', amps) / positive('driveVolts', drive) ** 1.5;
}

/** Plate current through a load, A. Example: 100 V over 5 kohm -> 20 mA. */
export function plateLoadAmps(supplyVolts: number, plateVolts: number, loadOhms: number): number {
  if (!(finite('plateVolts', plateVolts) <= finite('supplyVolts', supplyVolts))) {
    throw new ArgumentError('plateVolts', 'at most supplyVolts', plateVolts);
  }
  return (supplyVolts - plateVolts) / positive('loadOhms', loadOhms);
}

/**
 * Operating point of a cathode-biased tube by the three-halves power law, solved: I = K (Va'/mu - I Rk)^1.5 with Va' the
 * volts from plate (or screen) supply to cathode. Used for plausibility of a cathode voltage.
 * Example: K 1.2 mA/V^1.5, mu 8, 250 V, 330 ohm -> about 51 mA, 16.9 V.
 */
export function selfBiasPoint(input: {
  readonly perveance: number;
  readonly mu: number;
  readonly supplyVolts: number;
  readonly cathodeOhms: number;
  readonly plateOhms?: number;
}): { readonly amps: number; readonly cathodeVolts: number; readonly plateVolts: number } {
  const supply = positive('supplyVolts', input.supplyVolts);
  const rk = positive('cathodeOhms', input.cathodeOhms);
  const ra = notNegative('plateOhms', input.plateOhms ?? 0);
  const law = (amps: number) =>
    threeHalvesAmps(input.perveance, input.mu, supply - amps * (ra + rk), -amps * rk) - amps;
  let low = 0;
  let high = supply / (ra + rk);
  for (let i = 0; i < 80; i++) {
    const middle = (low + high) / 2;
    if (law(middle) > 0) low = middle;
    else high = middle;
  }
  const amps = (low + high) / 2;
  return { amps, cathodeVolts: amps * rk, plateVolts: supply - amps * ra };
}
