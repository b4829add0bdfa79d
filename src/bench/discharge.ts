// Getting charge out of capacitors: volts and energy against time, the resistor to use, and what comes back.

import { ArgumentError, notNegative, positive } from './numbers.ts';
import { nearestPreferred } from './preferred-values.ts';

/** Energy in a capacitor, J: C V^2 / 2. Example: 500 pF at 30 kV -> 0.225 J. */
export function storedJoules(capacitanceFarads: number, volts: number): number {
  return (positive('capacitanceFarads', capacitanceFarads) * notNegative('volts', Math.abs(volts)) ** 2) / 2;
}

export interface Decay {
  readonly capacitanceFarads: number;
  readonly ohms: number;
  readonly fromVolts: number;
}

/**
 * Volts left on a capacitor after `seconds` through `ohms`: V exp(-t / RC).
 * Example: 200 V on 0.01 uF through 1 Mohm after 10 ms -> 73.6 V.
 */
export function remainingVolts(decay: Decay & { readonly seconds: number }): number {
  const tau = positive('ohms', decay.ohms) * positive('capacitanceFarads', decay.capacitanceFarads);
  return notNegative('fromVolts', decay.fromVolts) * Math.exp(-notNegative('seconds', decay.seconds) / tau);
}

/**
 * Seconds until `toVolts` is reached: RC ln(V0 / V). Zero when it starts at or under the target.
 * Example: 150 uF, 1 Mohm, 165 V to 30 V -> 256 s: with nothing but the dividers it takes more than four minutes.
 */
export function dischargeTime(decay: Decay & { readonly toVolts: number }): number {
  const tau = positive('ohms', decay.ohms) * positive('capacitanceFarads', decay.capacitanceFarads);
  positive('fromVolts', decay.fromVolts);
  positive('toVolts', decay.toVolts);
  return decay.toVolts >= decay.fromVolts ? 0 : tau * Math.log(decay.fromVolts / decay.toVolts);
}

/** Volts on a capacitor charged from `supplyVolts` through `ohms`, starting empty. Example: 15 V, 10 k, 100 uF, 1 s -> 9.482 V. */
export function chargedVolts(
  supplyVolts: number,
  ohms: number,
  capacitanceFarads: number,
  seconds: number,
): number {
  const tau = positive('ohms', ohms) * positive('capacitanceFarads', capacitanceFarads);
  return finiteVolts(supplyVolts) * -Math.expm1(-notNegative('seconds', seconds) / tau);
}

function finiteVolts(volts: number): number {
  if (!Number.isFinite(volts)) throw new ArgumentError('supplyVolts', 'a finite number', volts);
  return volts;
}

/** Seconds to charge from empty to `toVolts`. Example: 36 V, 10 k, 0.05 uF to 24 V -> 0.549 ms. */
export function chargeTime(
  supplyVolts: number,
  ohms: number,
  capacitanceFarads: number,
  toVolts: number,
): number {
  const tau = positive('ohms', ohms) * positive('capacitanceFarads', capacitanceFarads);
  positive('supplyVolts', supplyVolts);
  notNegative('toVolts', toVolts);
  if (toVolts >= supplyVolts) throw new ArgumentError('toVolts', 'below supplyVolts', toVolts);
  return -tau * Math.log(1 - toVolts / supplyVolts);
}

/** Working voltage of one ordinary 1/2 W composition or film resistor, V (common practice, no source). */
export const HALF_WATT_RESISTOR_VOLTS = 350;

export interface DischargeResistor {
  /** The E12 value to use, ohm. */
  readonly ohms: number;
  readonly seconds: number;
  readonly peakWatts: number;
  readonly peakAmps: number;
  readonly joules: number;
  /** Voltage rating the resistor needs, and how many ordinary 1/2 W parts in series would stand it. */
  readonly ratingVolts: number;
  readonly halfWattPartsInSeries: number;
}

/**
 * Chooses a discharge resistor: the largest E12 value that gets from `volts` to `toVolts` (default 30 V) within
 * `withinSeconds` (default 5 s), so that the first surge is as gentle as the wait allows.
 * Example: 150 uF at 330 V in 5 s -> 12 kohm, 9.1 W at the first instant, 8.2 J in all.
 * An ordinary small resistor may flash over at these volts: use a wire-wound part of 5 to 10 W, insulated leads.
 */
export function dischargeResistor(input: {
  readonly capacitanceFarads: number;
  readonly volts: number;
  readonly toVolts?: number;
  readonly withinSeconds?: number;
}): DischargeResistor {
  const toVolts = positive('toVolts', input.toVolts ?? 30);
  const withinSeconds = positive('withinSeconds', input.withinSeconds ?? 5);
  const { capacitanceFarads, volts } = input;
  positive('capacitanceFarads', capacitanceFarads);
  if (!(volts > toVolts)) throw new ArgumentError('volts', `above toVolts (${toVolts})`, volts);
  const limit = withinSeconds / (capacitanceFarads * Math.log(volts / toVolts));
  const ohms = nearestPreferred(limit, 'E12', 'down');
  return {
    ohms,
    seconds: dischargeTime({ capacitanceFarads, ohms, fromVolts: volts, toVolts }),
    peakWatts: volts ** 2 / ohms,
    peakAmps: volts / ohms,
    joules: storedJoules(capacitanceFarads, volts),
    ratingVolts: volts,
    halfWattPartsInSeries: Math.ceil(volts / HALF_WATT_RESISTOR_VOLTS),
  };
}

/** Kinds of dielectric with the share of the former volts that may creep back after a short discharge. */
export const DIELECTRICS = ['film', 'ceramic', 'paper', 'electrolytic', 'picture-tube'] as const;
export type Dielectric = (typeof DIELECTRICS)[number];

/**
 * Share that comes back at most, and minutes after which most of it is there. Orders of size from memory
 * (film 0.5 %, ceramic 2.5 %, paper 3 %, electrolytic 12 %, glass bulb 5 %): a reason to measure again, never a
 * reason not to.
 */
const ABSORPTION: Readonly<Record<Dielectric, { readonly share: number; readonly minutes: number }>> = {
  film: { share: 0.005, minutes: 5 },
  ceramic: { share: 0.025, minutes: 5 },
  paper: { share: 0.03, minutes: 10 },
  electrolytic: { share: 0.12, minutes: 10 },
  'picture-tube': { share: 0.05, minutes: 10 },
};

export interface Rebound {
  /** What may be back, V, as an upper estimate. */
  readonly volts: number;
  readonly joules: number;
  /** Measure again after this long, and once more before the part is touched. */
  readonly measureAgainMinutes: number;
}

/** Charge that creeps back after a discharge. Example: 16 kV on a 2000 pF bulb -> up to 800 V. */
export function rebound(dielectric: Dielectric, formerVolts: number, capacitanceFarads: number): Rebound {
  const law = ABSORPTION[dielectric];
  if (law === undefined)
    throw new ArgumentError('dielectric', `one of ${DIELECTRICS.join(', ')}`, dielectric);
  const volts = law.share * notNegative('formerVolts', formerVolts);
  return { volts, joules: storedJoules(capacitanceFarads, volts), measureAgainMinutes: law.minutes };
}
