// What a row of answers may look at: the solved set in the right configuration, the parts themselves, the instruments, and human error.
import { type Values, valueIn } from '../circuits/component.ts';
import type { Design } from '../circuits/design.ts';
import type { Observed } from '../circuits/observe.ts';
import type { Solved } from '../circuits/solve.ts';
import { farads } from '../meter.ts';
import type { Chance } from '../random.ts';

export interface Bench {
  readonly design: Design;
  readonly values: Values;
  /** The set as it stands, in the configuration of the check. */
  readonly solved: Solved;
  readonly seen: Observed;
  /** Chance of this check alone: asked twice it gives the same slip. */
  readonly chance: Chance;
  /** What a good tube in this place would change: `undefined` for a place without one. */
  readonly swap: (tube: string) => 'cured' | 'better' | 'no-change';
  /** DC node volts of the solved set. */
  readonly node: (name: string) => number;
  readonly v: (name: string) => number;
  readonly facts: Readonly<Record<string, string>>;
  readonly lineVolts: number;
}

/** What a technician types at a check; `undefined` = the simulation does not know. */
export type Answer = (b: Bench) => string | undefined;
export type Answers = Readonly<Record<string, Answer>>;

export function benchOf(parts: Omit<Bench, 'node' | 'v'>): Bench {
  return {
    ...parts,
    node: parts.solved.node,
    v: (name) => valueIn(parts.values, name),
  };
}

/** Light anywhere on the screen. */
export const lit = (b: Bench): boolean => b.seen.lightBright > 0.06;
/** Light on more than a single line: a line shows no picture. */
export const scanned = (b: Bench): boolean => lit(b) && b.seen.height >= 0.06;
/** A picture to judge lock and hold by. */
export const pictured = (b: Bench): boolean => scanned(b) && b.seen.picture > 0.08 && !b.seen.negative;

/**
 * A look or a listen: the truth, but for those who overlook or misname it (common practice, no source).
 * `easy` looks go wrong once in a hundred, `hard` ones 8 times.
 */
export function look(
  b: Bench,
  truth: string,
  others: readonly string[],
  how: 'easy' | 'hard' = 'easy',
): string {
  if (others.length === 0 || !b.chance.happens(how === 'easy' ? 0.01 : 0.08)) return truth;
  return b.chance.pick(others);
}

/** Capacitance of an electrolytic with one end lifted; a leak that a capacitance meter cannot charge through reads as a short. */
export function lifted(b: Bench, id: string): string {
  return b.v(`${id}.leak`) < 3000 ? 'short' : farads(b.chance, b.v(id));
}

/** Emission tester: reads with 15 % scatter, calls under 0.65 weak; finds gas and leaks two times in three. */
export function tester(b: Bench, id: string): 'good' | 'weak' | 'gas' | 'short' | 'dead' {
  const k = b.v(`${id}.k`);
  if (k < 0.03) return 'dead';
  if ((b.v(`${id}.gk`) < 3e6 || b.v(`${id}.hk`) < 1e6) && b.chance.happens(0.7)) return 'short';
  if (b.v(`${id}.gas`) > 1e-6 && b.chance.happens(0.6)) return 'gas';
  const reading = k * Math.exp(b.chance.normal(0.15));
  return reading < 0.65 ? 'weak' : 'good';
}
