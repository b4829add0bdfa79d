// Printed voltages hold at one line voltage; this carries them to today's line and says how far that can be trusted.
import { ArgumentError, finite, positive } from './numbers.ts';
import { type Estimate, estimate, toleranceDoubt } from './uncertainty.ts';

/** How a point of a set follows the line. */
export const LINE_KINDS = ['supply', 'heater', 'stage', 'drive', 'boost-hv', 'stabilised', 'fixed'] as const;
export type LineKind = (typeof LINE_KINDS)[number];

interface LineLaw {
  /** Volts ~ line^exponent, give or take `spread` in the exponent. */
  readonly exponent: number;
  readonly spread: number;
  readonly reason: string;
}

/** Exponents are common practice, no source; that of `supply` agrees with the solved rectifier circuits. */
const LAWS: Readonly<Record<LineKind, LineLaw>> = {
  supply: { exponent: 1, spread: 0.15, reason: 'an unregulated supply follows the line' },
  heater: { exponent: 1, spread: 0.02, reason: 'heater volts follow the line' },
  stage: { exponent: 1, spread: 0.3, reason: 'plate, screen and cathode volts follow B+, not quite in step' },
  drive: { exponent: 1, spread: 0.4, reason: 'oscillator and grid drive follow B+ loosely' },
  'boost-hv': { exponent: 1.1, spread: 0.3, reason: 'boost and high voltage follow B+ and drive together' },
  stabilised: { exponent: 0.2, spread: 0.2, reason: 'the stage is stabilised and hardly follows the line' },
  fixed: { exponent: 0, spread: 0.1, reason: 'grid-leak, AGC and detector volts do not follow the line' },
};

/** Line ratios beyond this are outside what simple scaling can carry. */
const TRUSTED_RATIO = 1.15;

export interface LineCorrected extends Estimate {
  readonly ratio: number;
  /** False when today's line is more than 15 % off the printed one. */
  readonly reliable: boolean;
  readonly reason: string;
}

/**
 * Carries a printed value from the line voltage it was taken at to today's.
 * Limits: within 15 % of the printed line; a tube rectifier below 85 % heater volts follows no power law.
 * Example: 250 V at 117 V, supply, today 122 V -> 260.7 V.
 */
export function lineCorrected(
  printedVolts: number,
  printedLineVolts: number,
  lineVolts: number,
  kind: LineKind,
  printedTolerance = 0,
): LineCorrected {
  finite('printedVolts', printedVolts);
  const law = LAWS[kind];
  if (law === undefined) throw new ArgumentError('kind', `one of ${LINE_KINDS.join(', ')}`, kind);
  const ratio = positive('lineVolts', lineVolts) / positive('printedLineVolts', printedLineVolts);
  const value = printedVolts * ratio ** law.exponent;
  const reliable = ratio <= TRUSTED_RATIO && ratio >= 1 / TRUSTED_RATIO;
  const corrected = estimate(value, [
    toleranceDoubt('line law', value, law.spread * Math.abs(Math.log(ratio))),
    toleranceDoubt('printed value', value, printedTolerance),
  ]);
  const direction = ratio === 1 ? 'is' : ratio > 1 ? 'is above' : 'is below';
  return {
    ...corrected,
    ratio,
    reliable,
    reason: `line ${lineVolts} V ${direction} the printed ${printedLineVolts} V; ${law.reason}${
      reliable ? '' : '; too far for simple scaling, set the variable transformer to the printed line'
    }`,
  };
}
