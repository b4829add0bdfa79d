// The series lamp of the bench: a tungsten lamp's bent volt-ampere curve against a set, a heater string or a short.
import { ArgumentError, bisect, notNegative, positive } from './numbers.ts';
import { estimate, toleranceDoubt } from './uncertainty.ts';

/**
 * Exponent of lamp current against lamp volts, I ~ V^0.55. A lamp handbook gives V ~ I^1.9 (I ~ V^0.53) close to
 * rated current; over the whole range from a dull glow a slightly higher exponent fits (radiation law with the
 * resistance of tungsten).
 */
export const LAMP_EXPONENT = 0.55;
/** Hot over cold resistance of a lamp filament (inrush 14 times the normal current). */
export const LAMP_HOT_COLD_RATIO = 14;
/** Light against current: flux ~ I^6.5 (lamp handbook). */
const LIGHT_EXPONENT = 6.5;
/** Heater current against heater volts, I ~ V^0.6, and hot over cold resistance (common practice, no source). */
export const HEATER_EXPONENT = 0.6;
export const HEATER_HOT_COLD_RATIO = 6;
/** Current of the B+ side against line volts: between a resistor (1) and a tube on fixed bias (1.5). */
export const B_PLUS_EXPONENT = 1.25;
/** Watts over volt-amperes of a set with capacitor-input rectifier (0.65 to 0.8 common practice, no source). */
export const POWER_FACTOR = 0.7;

/** Current of a tungsten lamp, A, at `volts`; a cold filament bounds it from above. Example: 100 W 117 V at 117 V -> 0.855 A. */
export function lampAmps(lampWatts: number, ratedVolts: number, volts: number): number {
  const rated = positive('lampWatts', lampWatts) / positive('ratedVolts', ratedVolts);
  const ratio = notNegative('volts', volts) / ratedVolts;
  return rated * Math.min(ratio ** LAMP_EXPONENT, LAMP_HOT_COLD_RATIO * ratio);
}

/** Current of heaters, A, at `volts` against their rated volts and amps. Example: 117 V 0.6 A string at 78 V -> 0.47 A. */
export function heaterAmps(ratedAmps: number, ratedVolts: number, volts: number): number {
  const ratio = notNegative('volts', volts) / positive('ratedVolts', ratedVolts);
  return positive('ratedAmps', ratedAmps) * Math.min(ratio ** HEATER_EXPONENT, HEATER_HOT_COLD_RATIO * ratio);
}

/** What is plugged in behind the lamp. Amps are those at the full line, once warm. */
export type LimiterLoad =
  | { readonly kind: 'open' }
  | { readonly kind: 'short' }
  | { readonly kind: 'ohms'; readonly ohms: number }
  | { readonly kind: 'heaters'; readonly amps: number; readonly ratedVolts?: number }
  | { readonly kind: 'set'; readonly heaterAmps: number; readonly supplyAmps: number };

/**
 * A set's load from its nameplate: volt-amperes are watts over the power factor; heaters take `heaterAmps` of the
 * line current (series string), or 40 % of the watts when they hang on a transformer.
 */
export function setLoad(
  ratedWatts: number,
  lineVolts: number,
  stringAmps?: number,
): LimiterLoad & { kind: 'set' } {
  const amps = positive('ratedWatts', ratedWatts) / POWER_FACTOR / positive('lineVolts', lineVolts);
  const heaters = stringAmps ?? (0.4 * ratedWatts) / lineVolts;
  return { kind: 'set', heaterAmps: heaters, supplyAmps: Math.max(0, amps - heaters) };
}

/** Line current of a load, A, at `volts` when its full line is `lineVolts`. */
export function loadAmpsAt(load: LimiterLoad, lineVolts: number, volts: number): number {
  switch (load.kind) {
    case 'open':
      return 0;
    case 'short':
      return Number.POSITIVE_INFINITY;
    case 'ohms':
      return volts / positive('ohms', load.ohms);
    case 'heaters':
      return heaterAmps(load.amps, load.ratedVolts ?? lineVolts, volts);
    case 'set':
      return (
        (load.heaterAmps > 0 ? heaterAmps(load.heaterAmps, lineVolts, volts) : 0) +
        load.supplyAmps * (volts / lineVolts) ** B_PLUS_EXPONENT
      );
  }
}

export const GLOWS = ['dark', 'dull red', 'glowing', 'bright', 'full'] as const;
export type Glow = (typeof GLOWS)[number];

export interface Limited {
  /** Volts left for the set, across the lamp; current, A. */
  readonly setVolts: number;
  readonly lampVolts: number;
  readonly amps: number;
  /** Watts in the lamp now, light as a share of its full light, and what that looks like. */
  readonly lampWattsNow: number;
  readonly lightShare: number;
  readonly glow: Glow;
}

/**
 * Solves lamp and load in series once both are warm (a cold heater string makes any lamp flash for 5 to 20 s:
 * judge after 60 s). Currents are rms and added as if in step, which errs to the side of less voltage.
 *
 * Source: lamp law above; Example: 100 W 117 V lamp before a 117 V 0.6 A heater string -> 78 V for the string.
 */
export function limitedVolts(input: {
  readonly lampWatts: number;
  readonly lineVolts: number;
  readonly load: LimiterLoad;
  /** Rated volts of the lamp; the line volts when left out. */
  readonly lampRatedVolts?: number;
}): Limited {
  const lineVolts = positive('lineVolts', input.lineVolts);
  const ratedVolts = positive('lampRatedVolts', input.lampRatedVolts ?? lineVolts);
  positive('lampWatts', input.lampWatts);
  const { load } = input;
  let setVolts: number;
  if (load.kind === 'open') setVolts = lineVolts;
  else if (load.kind === 'short') setVolts = 0;
  else {
    setVolts = bisect(
      (v) => loadAmpsAt(load, lineVolts, v) - lampAmps(input.lampWatts, ratedVolts, lineVolts - v),
      0,
      lineVolts,
    );
  }
  const lampVolts = lineVolts - setVolts;
  const amps = lampAmps(input.lampWatts, ratedVolts, lampVolts);
  const lightShare = (amps / (input.lampWatts / ratedVolts)) ** LIGHT_EXPONENT;
  return {
    setVolts,
    lampVolts,
    amps,
    lampWattsNow: lampVolts * amps,
    lightShare,
    glow: glowOf(lampVolts / ratedVolts),
  };
}

/** How a lamp looks at a share of its rated volts (common practice, no source). */
export function glowOf(shareOfRatedVolts: number): Glow {
  if (shareOfRatedVolts < 0.1) return 'dark';
  if (shareOfRatedVolts < 0.25) return 'dull red';
  if (shareOfRatedVolts < 0.55) return 'glowing';
  return shareOfRatedVolts < 0.9 ? 'bright' : 'full';
}

export const LAMP_PURPOSES = ['short-test', 'running'] as const;
export type LampPurpose = (typeof LAMP_PURPOSES)[number];

/** Ordinary tungsten and halogen lamp sizes, W; larger ones are made up in parallel. */
export const LAMP_WATTS = [25, 40, 60, 75, 100, 150, 200, 250, 300, 500, 750, 1000] as const;

export interface LampChoice {
  readonly watts: number;
  readonly lowWatts: number;
  readonly highWatts: number;
  readonly note: string;
}

/**
 * Which lamp for which purpose: half the nameplate for a short test with heaters or B+ alone; 1.5 to 2 times the
 * nameplate for a running set. A lamp that is too small glows bright on a healthy set and starves its heaters.
 * Common practice, no source. Example: 160 W set at 117 V, running -> 300 W (of 240 to 320 W).
 */
export function lampForSet(input: {
  readonly ratedWatts: number;
  readonly purpose: LampPurpose;
  readonly lineVolts: number;
}): LampChoice {
  positive('ratedWatts', input.ratedWatts);
  positive('lineVolts', input.lineVolts);
  if (!LAMP_PURPOSES.includes(input.purpose)) {
    throw new ArgumentError('purpose', `one of ${LAMP_PURPOSES.join(', ')}`, input.purpose);
  }
  const short = input.purpose === 'short-test';
  const lowWatts = (short ? 0.4 : 1.5) * input.ratedWatts;
  const highWatts = (short ? 0.6 : 2) * input.ratedWatts;
  const target = short ? 0.5 * input.ratedWatts : 1.8 * input.ratedWatts;
  const watts = LAMP_WATTS.reduce((best, w) => (Math.abs(w - target) < Math.abs(best - target) ? w : best));
  const common = `Tungsten or halogen only, rated for ${Math.round(input.lineVolts)} V; judge after 60 s.`;
  return {
    watts,
    lowWatts,
    highWatts,
    note: short
      ? `Short test: heaters only or B+ only. Bright and staying bright means a short. ${common}`
      : `Running: the set still sees less than the full line; take the lamp out for readings at full line. ${common}`,
  };
}

export type LampVerdict =
  | 'nothing draws current'
  | 'light load'
  | 'normal'
  | 'overload'
  | 'short'
  | 'cannot tell';

export interface LampJudgement {
  /** Current that the lamp volts stand for, and what a healthy load would take at the volts that are left to it; A. */
  readonly amps: number;
  readonly healthyAmps: number;
  /** Doubt of the current, A: lamp tolerance and its bent curve (taken as 10 %) and the meter (2 %). */
  readonly plusMinusAmps: number;
  /** Lamp volts of a healthy load, V. */
  readonly healthyLampVolts: number;
  readonly verdict: LampVerdict;
}

/** Current against that of a healthy load: under this it is light, over that an overload (common practice, no source). */
const LIGHT_LOAD = 0.6;
const OVERLOAD = 1.35;

/**
 * What volts across the lamp mean, after 60 s: the lamp's own curve turns them into a current, which is held against
 * what a healthy load takes at the volts left to it. Within 7 % of the whole line on the lamp is a short.
 * Example: 160 W set, 600 mA string, 300 W lamp on 117 V with 28 V across it -> 1.17 A against 1.47 A: normal.
 */
export function judgeLamp(input: {
  readonly lampWatts: number;
  readonly lineVolts: number;
  readonly load: LimiterLoad;
  readonly lampVolts: number;
}): LampJudgement {
  const lineVolts = positive('lineVolts', input.lineVolts);
  const lampVolts = notNegative('lampVolts', input.lampVolts);
  if (lampVolts > 1.02 * lineVolts) throw new ArgumentError('lampVolts', 'at most lineVolts', lampVolts);
  const setVolts = Math.max(0, lineVolts - lampVolts);
  const healthyAmps = setVolts === 0 ? 0 : loadAmpsAt(input.load, lineVolts, setVolts);
  const read = estimate(lampAmps(input.lampWatts, lineVolts, lampVolts), [
    toleranceDoubt('lamp', lampAmps(input.lampWatts, lineVolts, lampVolts), 0.1),
    toleranceDoubt('meter', lampAmps(input.lampWatts, lineVolts, lampVolts), 0.02),
  ]);
  const healthyLampVolts = limitedVolts({ ...input, lineVolts }).lampVolts;
  const result = { amps: read.value, healthyAmps, plusMinusAmps: read.plusMinus, healthyLampVolts };
  if (lampVolts >= 0.93 * lineVolts) return { ...result, verdict: 'short' };
  if (lampVolts < 0.02 * lineVolts) return { ...result, verdict: 'nothing draws current' };
  if (read.low > OVERLOAD * healthyAmps) return { ...result, verdict: 'overload' };
  if (read.high < LIGHT_LOAD * healthyAmps) return { ...result, verdict: 'light load' };
  const normal = read.high <= OVERLOAD * healthyAmps && read.low >= LIGHT_LOAD * healthyAmps;
  return { ...result, verdict: normal ? 'normal' : 'cannot tell' };
}

/**
 * Line current to expect from a nameplate, A: watts over volts over the power factor (0.8 to 0.65 with capacitor-input
 * rectifiers; common practice, no source). A clamp meter on a good set reads more than watts over volts.
 * Example: 160 W at 117 V -> 1.71 to 2.10 A.
 */
export function lineCurrent(
  ratedWatts: number,
  lineVolts: number,
): { readonly lowAmps: number; readonly highAmps: number } {
  const amps = positive('ratedWatts', ratedWatts) / positive('lineVolts', lineVolts);
  return { lowAmps: amps / 0.8, highAmps: amps / 0.65 };
}
