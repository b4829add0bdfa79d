// Units that readings and rules may be written in, and what one of each is in the base unit of its quantity.

const PREFIXES = { G: 1e9, M: 1e6, k: 1e3, '': 1, m: 1e-3, u: 1e-6, n: 1e-9, p: 1e-12 } as const;

/** Base unit -> prefixes that the trade uses with it. */
const BASES: Readonly<Record<string, readonly (keyof typeof PREFIXES)[]>> = {
  V: ['m', '', 'k'],
  A: ['u', 'm', ''],
  ohm: ['', 'k', 'M', 'G'],
  W: ['m', '', 'k'],
  F: ['p', 'n', 'u', 'm', ''],
  H: ['u', 'm', ''],
  Hz: ['', 'k', 'M'],
  s: ['u', 'm', ''],
};

const FACTORS = new Map<string, { factor: number; base: string }>([
  ['', { factor: 1, base: '' }],
  ['%', { factor: 1, base: '%' }],
  ['C', { factor: 1, base: 'C' }],
  ['min', { factor: 60, base: 's' }],
]);
for (const [base, prefixes] of Object.entries(BASES)) {
  for (const prefix of prefixes) FACTORS.set(prefix + base, { factor: PREFIXES[prefix], base });
}

/** Factor to the base unit: `kohm` -> 1000 ohm, `uF` -> 1e-6 F; `undefined` for a unit that the trade does not use. */
export function unitFactor(unit: string): { readonly factor: number; readonly base: string } | undefined {
  return FACTORS.get(unit);
}

/** Every unit that `unitFactor` knows, for messages and schemas. */
export const UNITS: readonly string[] = [...FACTORS.keys()];
