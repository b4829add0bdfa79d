// Windings: ring test to Q, balance of halves, copper temperature, resonance, regulation.
import { ArgumentError, positive, within } from './numbers.ts';
import { estimate, judge } from './uncertainty.ts';

/**
 * Q from a ring count: exact Q = 0.5 sqrt(1 + (2 pi n / ln(1/level))^2), `level` = share of the first amplitude at
 * which counting stops (0.25). Source: logarithmic decrement. Example: 10 rings to 25 % -> Q 22.7.
 */
export function ringCountToQ(count: number, level = 0.25): number {
  positive('count', count);
  const decay = Math.log(1 / within('level', level, 0.001, 0.999));
  return 0.5 * Math.sqrt(1 + ((2 * Math.PI * count) / decay) ** 2);
}

/** Rings until the amplitude has fallen to `level` for a given Q; inverse of ringCountToQ. Q above 0.5. */
export function qToRingCount(q: number, level = 0.25): number {
  if (!(Number.isFinite(q) && q > 0.5)) throw new ArgumentError('q', 'above 0.5', q);
  const decay = Math.log(1 / within('level', level, 0.001, 0.999));
  return (Math.sqrt(4 * q * q - 1) * decay) / (2 * Math.PI);
}

/** Logarithmic decrement of a decay from `first` to `last` in `count` cycles. Example: 20 to 2 in 100 -> 0.023. */
export function logDecrement(first: number, last: number, count: number): number {
  if (!(positive('first', first) > positive('last', last)))
    throw new ArgumentError('last', 'below first', last);
  return Math.log(first / last) / positive('count', count);
}

export type RingVerdict =
  | 'no shorted turns shown'
  | 'dry and repeat, check the connection'
  | 'shorted turns or loaded';

/**
 * Judges a flyback or yoke ring count to 25 %: 8 and more healthy, 4 and less shorted or loaded, between them damp or
 * wrongly connected (common practice, no source). Only with yoke, damper cap and rectifier loop off, and only after the
 * self-check: one turn of wire closed round the core must cut the count to a third.
 */
export function judgeRing(count: number): RingVerdict {
  if (!(count >= 0)) throw new ArgumentError('count', 'zero or more', count);
  if (count >= 8) return 'no shorted turns shown';
  return count > 4 ? 'dry and repeat, check the connection' : 'shorted turns or loaded';
}

/** Resonant frequency, Hz. Example: 100 mH, 10 uF -> 159.155 Hz. */
export function resonantHz(henries: number, farads: number): number {
  return 1 / (2 * Math.PI * Math.sqrt(positive('henries', henries) * positive('farads', farads)));
}

/** Capacitance that resonates a coil at a frequency, F. Example: 239 uH at 1 MHz -> 106 pF. */
export function resonatingFarads(henries: number, hertz: number): number {
  return 1 / (positive('henries', henries) * (2 * Math.PI * positive('hertz', hertz)) ** 2);
}

/** Inferred zero-resistance temperature of copper, C (IEC 60034-1 gives 235 for copper). */
const COPPER_ZERO = 235;

/** Copper resistance carried from one temperature to another. Example: 100 ohm at 20 C -> 119.6 ohm at 70 C. */
export function copperOhmsAt(ohms: number, measuredCelsius: number, wantedCelsius: number): number {
  within('measuredCelsius', measuredCelsius, -50, 250);
  within('wantedCelsius', wantedCelsius, -50, 250);
  return (positive('ohms', ohms) * (COPPER_ZERO + wantedCelsius)) / (COPPER_ZERO + measuredCelsius);
}

/** Temperature of a winding from its cold and hot resistance, C. Example: 100 ohm at 20 C, 119.6 hot -> 70 C. */
export function windingCelsius(coldOhms: number, coldCelsius: number, hotOhms: number): number {
  within('coldCelsius', coldCelsius, -50, 250);
  return (
    (positive('hotOhms', hotOhms) / positive('coldOhms', coldOhms)) * (COPPER_ZERO + coldCelsius) -
    COPPER_ZERO
  );
}

/** What two halves belong to; sets how far they may differ. */
export const HALVES = [
  'yoke-horizontal',
  'yoke-vertical',
  'transformer-secondary',
  'afc-diodes',
  'afc-loads',
] as const;
export type Halves = (typeof HALVES)[number];

/** Allowed difference in percent of the mean (common practice, no source); transformer: the outer half is 15 % longer. */
const BALANCE_LIMITS: Readonly<Record<Halves, number>> = {
  'yoke-horizontal': 5,
  'yoke-vertical': 10,
  'transformer-secondary': 15,
  'afc-diodes': 15,
  'afc-loads': 5,
};

export interface Balance {
  /** Difference in percent of the mean, and its doubt from the meter. */
  readonly differencePercent: number;
  readonly plusMinusPercent: number;
  readonly limitPercent: number;
  readonly verdict: 'equal enough' | 'unequal' | 'cannot tell';
}

/**
 * Balance of two halves at the same temperature, percent of their mean, with the verdict for what they are.
 * `meterPercent` is how far one reading may be off against the other on the same range (default 0.5 %).
 * Example: 12.0 and 10.5 ohm, yoke-horizontal -> 13.3 %, unequal.
 */
export function balanceOfHalves(aOhms: number, bOhms: number, kind: Halves, meterPercent = 0.5): Balance {
  const limitPercent = BALANCE_LIMITS[kind];
  if (limitPercent === undefined) throw new ArgumentError('kind', `one of ${HALVES.join(', ')}`, kind);
  within('meterPercent', meterPercent, 0, 20);
  const differencePercent =
    (200 * Math.abs(positive('aOhms', aOhms) - positive('bOhms', bOhms))) / (aOhms + bOhms);
  const difference = estimate(differencePercent, [
    { from: 'first reading', plusMinus: meterPercent },
    { from: 'second reading', plusMinus: meterPercent },
  ]);
  const judged = judge(difference, Number.NEGATIVE_INFINITY, limitPercent);
  return {
    differencePercent,
    plusMinusPercent: difference.plusMinus,
    limitPercent,
    verdict: judged === 'inside' ? 'equal enough' : judged === 'outside' ? 'unequal' : 'cannot tell',
  };
}

/** Regulation in percent of the full-load volts. Example: 60 V to 56 V -> 7.1 %. */
export function regulationPercent(noLoadVolts: number, fullLoadVolts: number): number {
  return (
    (100 * (positive('noLoadVolts', noLoadVolts) - positive('fullLoadVolts', fullLoadVolts))) / fullLoadVolts
  );
}

/** Turns ratio from two impedances (or two inductances): sqrt(a / b). Example: 500 and 8 ohm -> 7.906. */
export function turnsRatio(primary: number, secondary: number): number {
  return Math.sqrt(positive('primary', primary) / positive('secondary', secondary));
}
