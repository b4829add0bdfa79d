// What a simulated set is made of: named values that circuits read and faults change.
import { type Chance, chanceOf, seedFor } from '../random.ts';

/** Condition of the capacitors and resistors of the set before any fault is put in. */
export type Condition = 'recapped' | 'dormant';

/** `part` or `part.quality` -> value in SI units (ohm, farad, ampere) or a plain factor. */
export type Values = Readonly<Record<string, number>>;

/** Kinds of component; each has its own qualities. */
export type Component =
  | { readonly kind: 'resistor'; readonly id: string; readonly ohms: number; readonly tolerance?: number }
  | { readonly kind: 'film'; readonly id: string; readonly farads: number }
  | {
      readonly kind: 'electrolytic';
      readonly id: string;
      readonly farads: number;
      readonly volts: number;
    }
  | { readonly kind: 'tube'; readonly id: string }
  | { readonly kind: 'winding'; readonly id: string; readonly ohms: number }
  | { readonly kind: 'contact'; readonly id: string }
  | { readonly kind: 'control'; readonly id: string }
  | { readonly kind: 'plain'; readonly id: string; readonly value: number };

/** Isolation of a good film capacitor, and of an aged paper one that upsets nothing, ohm (handbook leakage figures). */
const FILM_LEAK = { recapped: [3e9, 3e10], dormant: [2.5e8, 1e9] } as const;

/** Leakage of a good electrolytic as a share of what its maker allowed: new ones stay far under it, formed old ones near it. */
const ELECTROLYTIC_LEAK = { recapped: [0.04, 0.4], dormant: [0.2, 1.6] } as const;

/**
 * Leakage that makers of receiver electrolytics allowed, A: 0.3 mA and 10 to 40 uA a microfarad by voltage
 * (trade standard of the 1950s for dry electrolytics, from memory).
 */
function leakageLimit(farads: number, volts: number): number {
  const microamps = volts <= 100 ? 10 : volts <= 250 ? 20 : volts <= 350 ? 25 : 40;
  return 3e-4 + microamps * farads;
}

/**
 * Draws every component once. Each has a stream of its own, so that a set with a fault and its healthy twin agree in all else.
 * Resistors 5 % sigma, film 7 %, electrolytics +10 % with 15 % sigma, tubes 8 % in emission.
 */
export function drawValues(components: readonly Component[], seed: number, condition: Condition): Values {
  const values: Record<string, number> = {};
  for (const one of components) drawOne(values, one, chanceOf(seedFor(seed, one.id)), condition);
  return values;
}

function drawOne(values: Record<string, number>, one: Component, chance: Chance, condition: Condition): void {
  const { id } = one;
  switch (one.kind) {
    case 'resistor':
      values[`${id}.mark`] = one.ohms;
      values[id] = one.ohms * Math.exp(chance.normal(one.tolerance ?? 0.05));
      return;
    case 'film': {
      const [low, high] = FILM_LEAK[condition];
      values[`${id}.mark`] = one.farads;
      values[id] = one.farads * Math.exp(chance.normal(0.07));
      values[`${id}.leak`] = chance.spread(low, high);
      return;
    }
    case 'electrolytic':
      values[`${id}.mark`] = one.farads;
      values[id] = one.farads * Math.exp(0.1 + chance.normal(0.12));
      values[`${id}.esr`] = (chance.spread(0.4, 1.4) * 10e-6) / Math.max(10e-6, Math.min(one.farads, 40e-6));
      values[`${id}.leak`] =
        one.volts /
        (leakageLimit(one.farads, one.volts) *
          chance.spread(ELECTROLYTIC_LEAK[condition][0], ELECTROLYTIC_LEAK[condition][1]));
      return;
    case 'tube':
      values[`${id}.k`] = Math.exp(chance.normal(0.08) - (condition === 'dormant' ? 0.05 : 0));
      values[`${id}.gas`] = 0;
      values[`${id}.hk`] = chance.spread(5e7, 1e9);
      values[`${id}.gk`] = 1e9;
      return;
    case 'winding':
      values[`${id}.mark`] = one.ohms;
      values[id] = one.ohms * Math.exp(chance.normal(0.015));
      values[`${id}.loss`] = 0;
      return;
    case 'contact':
      values[id] = chance.spread(0.02, 0.1);
      return;
    case 'control':
      values[id] = 1;
      values[`${id}.dirty`] = 0;
      return;
    case 'plain':
      values[id] = one.value;
  }
}

/** This set has no component of that name. */
export class NoSuchComponent extends Error {
  constructor(name: string) {
    super(`no component value "${name}"`);
  }
}

/** Reads a value; a name that no component has is a slip in the circuit, said at once. */
export function valueIn(values: Values, name: string): number {
  const value = values[name];
  if (value === undefined) throw new NoSuchComponent(name);
  return value;
}

/** Ohms of resistors side by side. */
export function parallel(...ohms: readonly number[]): number {
  return 1 / ohms.reduce((sum, r) => sum + 1 / Math.max(r, 1e-6), 0);
}

/** What a conductor of a board passes on: all, some at a cracked land that still touches, next to nothing where it is open. */
export const passed = (ohms: number): number => (ohms > 1e4 ? 0.02 : ohms > 100 ? 0.4 : 1);
