// Line and field rates of the systems, RC timing of oscillators, smoothing sections, decibels.
import { ArgumentError, finite, notNegative, positive } from './numbers.ts';

export const SYSTEMS = ['405', '525', '525-colour', '625'] as const;
export type ScanSystem = (typeof SYSTEMS)[number];

/** Lines per frame and line rate, Hz. Sources: 47 CFR 73.682(a) for 525; published standards tables for 405 and 625. */
const SCANS: Readonly<Record<ScanSystem, { readonly lines: number; readonly lineHz: number }>> = {
  '405': { lines: 405, lineHz: 10125 },
  '525': { lines: 525, lineHz: 15750 },
  '525-colour': { lines: 525, lineHz: 4.5e6 / 286 },
  '625': { lines: 625, lineHz: 15625 },
};

/** Line, field and frame rate and the line period. Example: 525 -> 15750 Hz, 60 Hz, 63.5 us. */
export function scanRates(system: ScanSystem): {
  readonly lineHz: number;
  readonly fieldHz: number;
  readonly frameHz: number;
  readonly lineSeconds: number;
} {
  const scan = SCANS[system];
  if (scan === undefined) throw new ArgumentError('system', `one of ${SYSTEMS.join(', ')}`, system);
  return {
    lineHz: scan.lineHz,
    fieldHz: (2 * scan.lineHz) / scan.lines,
    frameHz: scan.lineHz / scan.lines,
    lineSeconds: 1 / scan.lineHz,
  };
}

/**
 * Free-running rate of a grid-leak timed oscillator (blocking oscillator, half of a multivibrator), Hz: the grid capacitor
 * decays from `startVolts` negative toward `aimVolts` (the return of the grid resistor, 0 or positive) and fires at
 * `cutoffVolts` negative: T = RC ln((start + aim) / (cutoff + aim)).
 * Source: RC discharge. Example: 1 Mohm, 0.005 uF, -60 V to -15 V toward 0 -> T 6.9 ms, 144 Hz.
 */
export function oscillatorHz(input: {
  readonly ohms: number;
  readonly farads: number;
  readonly startVolts: number;
  readonly cutoffVolts: number;
  readonly aimVolts?: number;
}): { readonly hertz: number; readonly seconds: number; readonly timeConstantSeconds: number } {
  const tau = positive('ohms', input.ohms) * positive('farads', input.farads);
  const aim = notNegative('aimVolts', input.aimVolts ?? 0);
  const cutoff = positive('cutoffVolts', input.cutoffVolts);
  if (!(input.startVolts > cutoff))
    throw new ArgumentError('startVolts', 'above cutoffVolts (both as positive numbers)', input.startVolts);
  const seconds = tau * Math.log((input.startVolts + aim) / (cutoff + aim));
  return { hertz: 1 / seconds, seconds, timeConstantSeconds: tau };
}

/**
 * Change of a timing rate when R and C drift, percent: rate ~ 1/(RC).
 * Example: R +20 %, C -10 % -> -7.4 %.
 */
export function rateDriftPercent(ohmsPercent: number, faradsPercent: number): number {
  if (!(ohmsPercent > -100)) throw new ArgumentError('ohmsPercent', 'above -100', ohmsPercent);
  if (!(faradsPercent > -100)) throw new ArgumentError('faradsPercent', 'above -100', faradsPercent);
  return 100 * (1 / ((1 + ohmsPercent / 100) * (1 + faradsPercent / 100)) - 1);
}

/** Time constant of R and C, s. Example: 1 Mohm, 0.01 uF -> 0.01 s. */
export function timeConstant(ohms: number, farads: number): number {
  return positive('ohms', ohms) * positive('farads', farads);
}

export interface SmoothingSection {
  readonly volts: number;
  readonly rippleVoltsRms: number;
  /** How many times the section lowers the ripple. */
  readonly reduction: number;
}

/**
 * Smoothing after the reservoir by a resistor or a choke and a capacitor. Resistor: DC divides against the load, ripple
 * falls by Xc / |R + jXc|; choke: by Xc / (Xl - Xc).
 * Example: 150 V, 15 V rms at 120 Hz, 500 ohm, 10 uF, 5 kohm load -> 136.4 V and about 3.9 V rms.
 */
export function smoothingSection(input: {
  readonly volts: number;
  readonly rippleVoltsRms: number;
  readonly rippleHz: number;
  readonly seriesOhms: number;
  readonly henries?: number;
  readonly farads: number;
  readonly loadOhms: number;
}): SmoothingSection {
  const omega = 2 * Math.PI * positive('rippleHz', input.rippleHz);
  const load = positive('loadOhms', input.loadOhms);
  const seriesOhms = notNegative('seriesOhms', input.seriesOhms);
  const xl = omega * notNegative('henries', input.henries ?? 0);
  if (seriesOhms === 0 && xl === 0)
    throw new ArgumentError('seriesOhms', 'above zero when there is no choke', seriesOhms);
  // Admittance of capacitor and load together, then the divider with the series part.
  const g = 1 / load;
  const b = omega * positive('farads', input.farads);
  const real = 1 + seriesOhms * g - xl * b;
  const imaginary = seriesOhms * b + xl * g;
  const reduction = Math.hypot(real, imaginary);
  return {
    volts: (finite('volts', input.volts) * load) / (load + seriesOhms),
    rippleVoltsRms: notNegative('rippleVoltsRms', input.rippleVoltsRms) / reduction,
    reduction,
  };
}

/** Voltage ratio in decibels. Example: 10 mV to 1 V -> 40 dB. */
export function decibels(inputVolts: number, outputVolts: number): number {
  return 20 * Math.log10(positive('outputVolts', outputVolts) / positive('inputVolts', inputVolts));
}
