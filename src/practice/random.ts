// Seeded chance: the same seed draws the same set, fault, meter and slips, on every machine.

/** A stream of chance that depends on its seed alone. */
export interface Chance {
  /** Uniform in [0, 1). */
  next(): number;
  /** Uniform between two bounds. */
  between(low: number, high: number): number;
  /** Log-uniform between two positive bounds: every octave is as likely. */
  spread(low: number, high: number): number;
  /** Gaussian around 0 with one sigma. */
  normal(sigma: number): number;
  /** True with this probability. */
  happens(probability: number): boolean;
  /** One of a list; throws on an empty one. */
  pick<T>(list: readonly T[]): T;
  /** The list in an order in which every one is as likely (Fisher and Yates). */
  shuffle<T>(list: readonly T[]): T[];
}

/** Mulberry32: 32-bit state, passes the usual tests for simulations of this size. */
export function chanceOf(seed: number): Chance {
  let state = seed >>> 0;
  const next = (): number => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
  const chance: Chance = {
    next,
    between: (low, high) => low + (high - low) * next(),
    spread: (low, high) => low * (high / low) ** next(),
    normal: (sigma) => sigma * Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next()),
    happens: (probability) => next() < probability,
    pick: (list) => {
      const one = list[Math.floor(next() * list.length)];
      if (one === undefined) throw new Error('nothing to pick from');
      return one;
    },
    shuffle: (list) => {
      const left = [...list];
      return list.flatMap(() => left.splice(Math.floor(next() * left.length), 1));
    },
  };
  return chance;
}

/** A seed of its own for something named: adding a component does not shift the draws of the others. */
export function seedFor(seed: number, name: string): number {
  let hash = 0x811c9dc5 ^ Math.imul(seed + 1, 0x9e3779b1);
  for (let i = 0; i < name.length; i += 1) hash = Math.imul(hash ^ name.charCodeAt(i), 0x01000193);
  hash ^= hash >>> 15;
  return Math.imul(hash, 0x2c1b3c6d) >>> 0;
}
