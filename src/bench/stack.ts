// Capacitors in series: why a stack that reads zero across its ends can still hold a dangerous charge in each part.

import { storedJoules } from './discharge.ts';
import { ArgumentError, notNegative, positiveList } from './numbers.ts';

export interface StackResidual {
  /** Volts left on each capacitor, in the order given; the signs differ. */
  readonly eachVolts: readonly number[];
  /** The largest of them without sign, V. */
  readonly worstVolts: number;
  readonly joules: number;
}

/**
 * What stays on each of several capacitors in series after the *stack* was discharged end to end and reads zero.
 * All parts lose the same charge q = (sum V) / (sum 1/C), so unequal parts end up charged against each other.
 *
 * Valid when there is no DC path between the input points of the rectifier (open heater string, open surge
 * resistor, open switch); with the string whole about a volt is left.
 * Source: conservation of charge. Example: 100 uF at 137 V and 12 uF at 80 V -> +114 V and -114 V, 0.72 J.
 */
export function stackResidual(farads: readonly number[], volts: readonly number[]): StackResidual {
  positiveList('farads', farads);
  if (volts.length !== farads.length) {
    throw new ArgumentError('volts', `a list as long as farads (${farads.length})`, volts.length);
  }
  const total = volts.reduce((sum, v) => sum + notNegative('volts', v), 0);
  const charge = total / farads.reduce((sum, c) => sum + 1 / c, 0);
  const eachVolts = farads.map((c, i) => (volts[i] ?? 0) - charge / c);
  return {
    eachVolts,
    worstVolts: Math.max(...eachVolts.map(Math.abs)),
    joules: farads.reduce((sum, c, i) => sum + storedJoules(c, eachVolts[i] ?? 0), 0),
  };
}
