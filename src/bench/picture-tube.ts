// Picture-tube arithmetic: bias of the gun, cut-off against G2, source resistance of the high voltage.
import { ArgumentError, finite, notNegative, positive } from './numbers.ts';

/**
 * Cut-off of monochrome guns with a G2 near 300 V: 28 to 72 V between cathode and G1, that is 0.09 to 0.24 of G2
 * (from memory: check the data sheet of the type). Guns with G2 around 50 V follow another law.
 */
const CUTOFF_SHARE = { low: 28 / 300, typical: 48 / 300, high: 72 / 300 } as const;

export interface Cutoff {
  readonly lowVolts: number;
  readonly volts: number;
  readonly highVolts: number;
}

/**
 * Cathode-to-G1 volts at which the beam is cut off, scaled in proportion to G2. Give one known point of the type
 * (`known`) and the spread shrinks to 15 %. Ranges: G2 100 to 1000 V.
 * Example: 300 V -> 28 to 72 V; 450 V with a known 50 V at 300 V -> 75 V (64 to 86 V).
 */
export function cutoffVolts(
  g2Volts: number,
  known?: { readonly volts: number; readonly atG2Volts: number },
): Cutoff {
  if (!(g2Volts >= 100 && g2Volts <= 1000)) throw new ArgumentError('g2Volts', 'from 100 to 1000', g2Volts);
  if (known === undefined) {
    return {
      lowVolts: CUTOFF_SHARE.low * g2Volts,
      volts: CUTOFF_SHARE.typical * g2Volts,
      highVolts: CUTOFF_SHARE.high * g2Volts,
    };
  }
  const volts =
    (positive('known.volts', known.volts) * g2Volts) / positive('known.atG2Volts', known.atG2Volts);
  return { lowVolts: 0.85 * volts, volts, highVolts: 1.15 * volts };
}

export type GunState = 'grid positive' | 'beam on' | 'near cut-off' | 'cut off';

/**
 * Bias of the gun from the three volts to chassis: bias = cathode - G1, cut-off taken for G2 above the cathode.
 * Example: K 110 V, G1 40 V, G2 410 V -> bias 70 V against a cut-off of 28 to 72 V: near cut-off.
 * `grid positive` is full brightness with the gun at risk: brightness down or switch off.
 */
export function gunBias(input: {
  readonly cathodeVolts: number;
  readonly g1Volts: number;
  readonly g2Volts: number;
  readonly known?: { readonly volts: number; readonly atG2Volts: number };
}): {
  readonly biasVolts: number;
  readonly g2OverCathodeVolts: number;
  readonly cutoff: Cutoff;
  readonly state: GunState;
} {
  const cathode = finite('cathodeVolts', input.cathodeVolts);
  const biasVolts = cathode - finite('g1Volts', input.g1Volts);
  const g2OverCathodeVolts = finite('g2Volts', input.g2Volts) - cathode;
  if (!(g2OverCathodeVolts >= 100 && g2OverCathodeVolts <= 1000)) {
    throw new ArgumentError('g2Volts', '100 to 1000 V above cathodeVolts', input.g2Volts);
  }
  const cutoff = cutoffVolts(g2OverCathodeVolts, input.known);
  let state: GunState = 'beam on';
  if (biasVolts < 0) state = 'grid positive';
  else if (biasVolts > cutoff.highVolts) state = 'cut off';
  else if (biasVolts >= cutoff.lowVolts) state = 'near cut-off';
  return { biasVolts, g2OverCathodeVolts, cutoff, state };
}

/**
 * Source resistance of the high voltage, ohm, from two points of anode volts and *beam* current (the current through a
 * known cathode resistor). Healthy flyback supplies 3 to 8 Mohm, weak rectifier over 12 Mohm (common practice, no source).
 * Example: 15.6 kV at 0 and 14.2 kV at 300 uA -> 4.67 Mohm.
 */
export function hvSourceOhms(
  dark: { readonly volts: number; readonly amps: number },
  bright: { readonly volts: number; readonly amps: number },
): number {
  notNegative('darkAmps', dark.amps);
  if (!(bright.amps > dark.amps)) throw new ArgumentError('brightAmps', 'above darkAmps', bright.amps);
  positive('brightVolts', bright.volts);
  if (!(dark.volts >= bright.volts)) throw new ArgumentError('darkVolts', 'at least brightVolts', dark.volts);
  return (dark.volts - bright.volts) / (bright.amps - dark.amps);
}

/**
 * Without the beam current only the fall can be judged: up to 8 % fine, over 15 % blooms (common practice, no source).
 * Both readings come from one probe, so only its repeatability counts (taken as 0.5 % each).
 */
export function hvFall(
  darkVolts: number,
  brightVolts: number,
): {
  readonly fallPercent: number;
  readonly plusMinusPercent: number;
  readonly verdict: 'fine' | 'watch' | 'blooms';
} {
  const fallPercent = 100 * (1 - notNegative('brightVolts', brightVolts) / positive('darkVolts', darkVolts));
  return {
    fallPercent,
    plusMinusPercent: 0.7,
    verdict: fallPercent <= 8 ? 'fine' : fallPercent <= 15 ? 'watch' : 'blooms',
  };
}

/**
 * Power density of an undeflected spot, W/mm2: why a still spot burns the phosphor within a second or two. With no
 * deflection turn the brightness down before anything else (common practice, no source).
 * W/mm2 = anode volts * beam amps / spot area. Example: 15 kV, 100 uA, 0.5 mm spot -> 7.6 W/mm2.
 */
export function spotWattsPerSquareMm(anodeVolts: number, beamAmps: number, spotMm: number): number {
  const area = (Math.PI * positive('spotMm', spotMm) ** 2) / 4;
  return (positive('anodeVolts', anodeVolts) * positive('beamAmps', beamAmps)) / area;
}
