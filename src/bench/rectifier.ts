// How much current a rectifier passes for a given voltage: silicon, selenium and vacuum diodes as simple laws.
import { ArgumentError, notNegative, positive } from './numbers.ts';

/** Rectifier kinds found in sets of the period. */
export const RECTIFIERS = ['silicon', 'selenium', 'tube-direct', 'tube-indirect'] as const;
export type Rectifier = (typeof RECTIFIERS)[number];

/**
 * Forward law of one rectifier. Solid: `kneeVolts + ohms * amps`. Tube: amps = perveance * volts^1.5
 * (the three-halves power law of a space-charge-limited diode).
 */
export type RectifierLaw =
  | { readonly kind: 'solid'; readonly kneeVolts: number; readonly ohms: number }
  | { readonly kind: 'tube'; readonly perveance: number };

/**
 * Default laws. Tube-direct: 44 V at 225 mA a plate, the 5U4GB class (calculated from a published SPICE model of
 * the type). Tube-indirect: 22 V at 225 mA (class of indirectly heated power rectifiers; from memory).
 * Selenium: 4 V and 2.5 ohm for a new 117 V stack (common practice, no source; a tired stack drops several times
 * that). Silicon: 0.75 V and 0.3 ohm.
 */
export const RECTIFIER_LAWS: Readonly<Record<Rectifier, RectifierLaw>> = {
  silicon: { kind: 'solid', kneeVolts: 0.75, ohms: 0.3 },
  selenium: { kind: 'solid', kneeVolts: 4, ohms: 2.5 },
  'tube-direct': { kind: 'tube', perveance: 0.225 / 44 ** 1.5 },
  'tube-indirect': { kind: 'tube', perveance: 0.225 / 22 ** 1.5 },
};

/** Law of a tube diode from one point of its data sheet. Example: 44 V at 0.225 A -> 771 uA/V^1.5. */
export function tubeLaw(dropVolts: number, atAmps: number): RectifierLaw {
  return {
    kind: 'tube',
    perveance: positive('atAmps', atAmps) / positive('dropVolts', dropVolts) ** 1.5,
  };
}

/** The law for a kind, or a given law as it is. */
export function lawOf(rectifier: Rectifier | RectifierLaw): RectifierLaw {
  if (typeof rectifier !== 'string') return rectifier;
  const law = RECTIFIER_LAWS[rectifier];
  if (law === undefined) throw new ArgumentError('rectifier', `one of ${RECTIFIERS.join(', ')}`, rectifier);
  return law;
}

/** Forward drop of a rectifier, V, at a current, A. Example: tube-direct at 0.225 A -> 44 V. */
export function forwardDrop(rectifier: Rectifier | RectifierLaw, amps: number): number {
  const law = lawOf(rectifier);
  notNegative('amps', amps);
  return law.kind === 'solid' ? law.kneeVolts + law.ohms * amps : (amps / law.perveance) ** (2 / 3);
}

/** Needs heat before it conducts at all. */
export function isTube(rectifier: Rectifier | RectifierLaw): boolean {
  return lawOf(rectifier).kind === 'tube';
}

/** Current and slope (A, A/V) through a source resistance and a rectifier in series at `volts` of forward drive. */
export interface Branch {
  amps: number;
  slope: number;
}

/** Makes a function that fills `out` with current and slope of rectifier + `sourceOhms` for a forward voltage. */
export function branchLaw(law: RectifierLaw, sourceOhms: number): (volts: number, out: Branch) => void {
  if (law.kind === 'solid') {
    const knee = law.kneeVolts;
    const conductance = 1 / (sourceOhms + law.ohms);
    return (volts, out) => {
      const drive = volts - knee;
      out.amps = drive > 0 ? drive * conductance : 0;
      out.slope = drive > 0 ? conductance : 0;
    };
  }
  const k = law.perveance;
  const rk = sourceOhms * k;
  // u = square root of the tube's own drop: rk*u^3 + u^2 = volts. Newton from above converges without overshoot.
  return (volts, out) => {
    if (volts <= 0) {
      out.amps = 0;
      out.slope = 0;
      return;
    }
    let u = Math.sqrt(volts);
    for (let i = 0; i < 20; i++) {
      const step = ((rk * u + 1) * u * u - volts) / ((3 * rk * u + 2) * u);
      u -= step;
      if (step < 1e-6 * u) break;
    }
    out.amps = k * u * u * u;
    out.slope = (3 * k * u) / (3 * rk * u + 2);
  };
}
