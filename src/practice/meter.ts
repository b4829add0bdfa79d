// The instruments of a simulated bench: accuracy, loading, range ends, and the text that a technician would type.
import type { Chance } from './random.ts';

/** Input resistance of the usual digital meter, ohm. */
export const METER_OHMS = 10e6;
/** Relative accuracy of a reading, one sigma: digits, line flutter and where the probe sits (common practice, no source). */
const ACCURACY = {
  dc: 0.006,
  ac: 0.012,
  ohms: 0.008,
  pp: 0.04,
  hv: 0.02,
  farads: 0.02,
  watts: 0.03,
} as const;
export type Kind = keyof typeof ACCURACY;
/** Ohms that a digital meter shows at most, and an insulation or leakage tester. */
const OHMMETER_END = 4e7;
const TESTER_END = 2e9;

const digits = (value: number): string => String(Number(value.toPrecision(3)));

/** One reading with the meter's own error. */
export function noisy(chance: Chance, kind: Kind, value: number, floor = 0): number {
  return value * (1 + chance.normal(ACCURACY[kind])) + chance.normal(floor);
}

/** DC volts behind a source resistance, as the meter loads it. */
export function dcVolts(chance: Chance, volts: number, sourceOhms = 0): string {
  const loaded = (volts * METER_OHMS) / (METER_OHMS + sourceOhms);
  return `${digits(noisy(chance, 'dc', loaded, 0.02))} V`;
}

export function acVolts(chance: Chance, volts: number): string {
  return `${digits(Math.max(0, noisy(chance, 'ac', volts, 0.02)))} V`;
}

export function ppVolts(chance: Chance, volts: number): string {
  return `${digits(Math.max(0, noisy(chance, 'pp', volts, 0.1)))} V`;
}

export function kilovolts(chance: Chance, volts: number): string {
  return `${digits(Math.max(0, noisy(chance, 'hv', volts, 30)) / 1000)} kV`;
}

export function milliamps(chance: Chance, amps: number): string {
  return `${digits(Math.max(0, noisy(chance, 'dc', amps, 2e-5)) * 1000)} mA`;
}

/** Ohms as typed: `ol` beyond the range. */
export function ohms(chance: Chance, value: number): string {
  const shown = Math.max(0, noisy(chance, 'ohms', value, 0.05));
  return shown > OHMMETER_END ? 'ol' : ohmText(shown);
}

/** Insulation or leakage tester: a bound beyond its range. */
export function insulation(chance: Chance, value: number): string {
  const shown = noisy(chance, 'ohms', value) * Math.exp(chance.normal(0.08));
  return shown > TESTER_END ? `>${TESTER_END / 1e6}M` : ohmText(shown);
}

export function ohmText(value: number): string {
  if (value >= 1e6) return `${digits(value / 1e6)}M`;
  return value >= 1000 ? `${digits(value / 1000)}k` : `${digits(value)} ohm`;
}

/** Measured and marked ohms of a part. */
export function ohmsPair(chance: Chance, value: number, mark: number): string {
  const shown = noisy(chance, 'ohms', value);
  return `${shown > OHMMETER_END ? 'ol' : bare(ohmText(shown))}/${bare(ohmText(mark))}`;
}
const bare = (text: string): string => text.replace(' ohm', 'ohm');

/** Measured and marked capacitance. */
export function faradsPair(chance: Chance, value: number, mark: number): string {
  return `${farads(chance, value)}/${faradText(mark)}`;
}

export function farads(chance: Chance, value: number): string {
  return faradText(Math.max(1e-13, noisy(chance, 'farads', value)));
}

function faradText(value: number): string {
  return value >= 1e-8 ? `${digits(value * 1e6)}uF` : `${digits(value * 1e12)}pF`;
}

/** Volts that a 10 Mohm meter shows from the lifted end of a leaking capacitor. */
export function liftedEnd(chance: Chance, sourceVolts: number, leakOhms: number): string {
  return dcVolts(chance, (sourceVolts * METER_OHMS) / (METER_OHMS + leakOhms));
}
