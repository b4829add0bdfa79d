// Parts: resistor colour code (IEC 60062), tolerance verdicts in circuit, electrolytic leakage, loss and re-forming.
import { ArgumentError, notNegative, parallelOhms, positive } from './numbers.ts';
import { type Estimate, estimate, judge, toleranceDoubt } from './uncertainty.ts';

const DIGITS = ['black', 'brown', 'red', 'orange', 'yellow', 'green', 'blue', 'violet', 'grey', 'white'];
const TOLERANCES: Readonly<Record<string, number>> = {
  brown: 1,
  red: 2,
  orange: 0.05,
  yellow: 0.02,
  green: 0.5,
  blue: 0.25,
  violet: 0.1,
  grey: 0.01,
  gold: 5,
  silver: 10,
};

/**
 * Resistor from its colour bands (three to five; `gray` and `purple` are understood), IEC 60062.
 * Returns ohms and tolerance in percent; three bands mean 20 %.
 * Examples: yellow violet orange gold -> 47 kohm 5 %; green red gold silver -> 5.2 ohm 10 %; orange orange black brown
 * violet -> 3.3 kohm 0.1 %.
 */
export function colourCode(bands: readonly string[]): {
  readonly ohms: number;
  readonly tolerancePercent: number;
} {
  if (bands.length < 3 || bands.length > 5)
    throw new ArgumentError('bands', 'three to five colours', bands.length);
  const names = bands.map((band) =>
    band.trim().toLowerCase().replace('gray', 'grey').replace('purple', 'violet'),
  );
  const digitCount = names.length === 5 ? 3 : 2;
  let digits = 0;
  for (const name of names.slice(0, digitCount)) {
    const digit = DIGITS.indexOf(name);
    if (digit < 0) throw new ArgumentError('bands', `digits from ${DIGITS.join(', ')}`, name);
    digits = digits * 10 + digit;
  }
  const multiplier = names[digitCount] ?? '';
  const exponent = multiplier === 'gold' ? -1 : multiplier === 'silver' ? -2 : DIGITS.indexOf(multiplier);
  if (exponent < -2 || (exponent === -1 && multiplier !== 'gold')) {
    throw new ArgumentError('bands', `a multiplier from ${DIGITS.join(', ')}, gold, silver`, multiplier);
  }
  const last = names[digitCount + 1];
  const tolerancePercent = last === undefined ? 20 : TOLERANCES[last];
  if (tolerancePercent === undefined) {
    throw new ArgumentError('bands', `a tolerance from ${Object.keys(TOLERANCES).join(', ')}`, last);
  }
  return { ohms: Number(`${digits}e${exponent}`), tolerancePercent };
}

export interface ToleranceVerdict {
  readonly deviationPercent: number;
  readonly lowOhms: number;
  readonly highOhms: number;
  readonly measured: Estimate;
  readonly verdict: 'within tolerance' | 'high' | 'low' | 'cannot tell' | 'in circuit: lift one end';
}

/**
 * Judges a measured resistor against its marking. In circuit, other paths can only lower the reading: a reading that is
 * *high* is proof, one that is low is not, unless the parallel path is known (`parallelOhms`), which is then taken out.
 * Example: 470 k 10 % reads 560 k -> high (+19 %); 470 k reads 380 k in circuit -> lift one end.
 */
export function toleranceVerdict(input: {
  readonly markedOhms: number;
  readonly tolerancePercent: number;
  readonly measuredOhms: number;
  readonly inCircuit?: boolean;
  readonly parallelOhms?: number;
  readonly meterPercent?: number;
}): ToleranceVerdict {
  const marked = positive('markedOhms', input.markedOhms);
  const tolerance = notNegative('tolerancePercent', input.tolerancePercent) / 100;
  let ohms = positive('measuredOhms', input.measuredOhms);
  if (input.parallelOhms !== undefined) {
    if (!(positive('parallelOhms', input.parallelOhms) > ohms)) {
      throw new ArgumentError('parallelOhms', 'above measuredOhms', input.parallelOhms);
    }
    ohms = 1 / (1 / ohms - 1 / input.parallelOhms);
  }
  const measured = estimate(ohms, [
    toleranceDoubt('meter', ohms, notNegative('meterPercent', input.meterPercent ?? 1) / 100),
  ]);
  const lowOhms = marked * (1 - tolerance);
  const highOhms = marked * (1 + tolerance);
  const verdict = judge(measured, lowOhms, highOhms);
  const masked = input.inCircuit === true && input.parallelOhms === undefined && ohms < highOhms;
  return {
    deviationPercent: 100 * (ohms / marked - 1),
    lowOhms,
    highOhms,
    measured,
    verdict: masked
      ? verdict === 'inside' && ohms > marked
        ? 'within tolerance'
        : 'in circuit: lift one end'
      : verdict === 'inside'
        ? 'within tolerance'
        : verdict === 'cannot tell'
          ? 'cannot tell'
          : ohms > marked
            ? 'high'
            : 'low',
  };
}

/** What a resistor reads with a known path across it, ohm. Example: 470 k with 1 M across -> 320 k. */
export function inCircuitOhms(ohms: number, pathOhms: number): number {
  return parallelOhms(positive('ohms', ohms), positive('pathOhms', pathOhms));
}

/**
 * Leakage limit of an old-style electrolytic, A: K * C + 0.3 mA with K by working voltage (JAN-C-62 as quoted:
 * to 100 V 0.01, to 250 V 0.02, to 350 V 0.025, to 450 V 0.04 mA/uF).
 * Example: 20 uF 450 V -> 1.1 mA; 20 uF 250 V -> 0.7 mA.
 */
export function electrolyticLeakLimit(farads: number, workingVolts: number): number {
  const microfarads = positive('farads', farads) * 1e6;
  if (!(positive('workingVolts', workingVolts) <= 500))
    throw new ArgumentError('workingVolts', 'at most 500', workingVolts);
  const k = workingVolts <= 100 ? 0.01 : workingVolts <= 250 ? 0.02 : workingVolts <= 350 ? 0.025 : 0.04;
  return (k * microfarads + 0.3) / 1000;
}

/** Leakage limit of a modern part, A: 0.01 CV uA, never under 3 uA. Example: 47 uF 40 V -> 18.8 uA. */
export function modernLeakLimit(farads: number, workingVolts: number): number {
  return Math.max(3e-6, 0.01 * positive('farads', farads) * positive('workingVolts', workingVolts));
}

/** Verdict on a measured leakage after 30 min at working volts; up to five times the limit is enough for a test run. */
export function leakVerdict(amps: number, limitAmps: number): 'good' | 'enough for a test run' | 'replace' {
  const ratio = notNegative('amps', amps) / positive('limitAmps', limitAmps);
  if (ratio <= 1) return 'good';
  return ratio <= 5 ? 'enough for a test run' : 'replace';
}

/** Dissipation factor from ESR: tan d = 2 pi f C ESR. Example: 40 uF, 5 ohm, 120 Hz -> 0.151. */
export function dissipationFactor(farads: number, esrOhms: number, hertz = 120): number {
  return (
    2 * Math.PI * positive('hertz', hertz) * positive('farads', farads) * notNegative('esrOhms', esrOhms)
  );
}

/** ESR from a dissipation factor, ohm. */
export function esrFrom(farads: number, factor: number, hertz = 120): number {
  return (
    notNegative('factor', factor) / (2 * Math.PI * positive('hertz', hertz) * positive('farads', farads))
  );
}

/** Dissipation factor above which a high-voltage filter electrolytic is tired, at 120 Hz (common practice, no source). */
export const TIRED_FACTOR = 0.25;

/** Reactance of a capacitor, ohm. Example: 0.1 uF at 1400 Hz -> 1136.8 ohm. */
export function capacitiveOhms(farads: number, hertz: number): number {
  return 1 / (2 * Math.PI * positive('hertz', hertz) * positive('farads', farads));
}

export interface Reforming {
  /** Current into a short, A; and the volts on the capacitor while it still leaks. */
  readonly faultAmps: number;
  readonly capacitorVolts: number;
  readonly resistorWatts: number;
  /** Five time constants, s: before that the charging current hides the leakage. */
  readonly settleSeconds: number;
  /** Time to hold at working volts, min. */
  readonly holdMinutes: number;
}

/**
 * Re-forming from a bench supply through a resistor: fault current, volts at a given leakage, watts into a short, time.
 * Source: restorer's supply of 450 V and 90 kohm (5 mA); 30 min at rated volts from a capacitor maker's storage note.
 * Example: 450 V, 90 kohm, 40 uF, 2 mA -> 5 mA at most, 270 V on the capacitor, settles in 18 s.
 */
export function reforming(input: {
  readonly supplyVolts: number;
  readonly ohms: number;
  readonly farads: number;
  readonly leakAmps: number;
}): Reforming {
  const volts = positive('supplyVolts', input.supplyVolts);
  const ohms = positive('ohms', input.ohms);
  const faultAmps = volts / ohms;
  const leak = notNegative('leakAmps', input.leakAmps);
  if (leak > faultAmps)
    throw new ArgumentError(
      'leakAmps',
      `at most ${faultAmps.toPrecision(3)} (the supply into a short)`,
      leak,
    );
  return {
    faultAmps,
    capacitorVolts: volts - leak * ohms,
    resistorWatts: volts ** 2 / ohms,
    settleSeconds: 5 * ohms * positive('farads', input.farads),
    holdMinutes: 30,
  };
}
