// Which configurations of a clique can occur at all, given the zeros of the factors that touch it.
import { type Factor, projection, strides, tableSize } from './factor.ts';

/** The tables of a model would need more entries than allowed. */
export class TooWideError extends Error {
  constructor() {
    super('the tables of the network need more entries than allowed');
    this.name = 'TooWideError';
  }
}

/** A factor's zeros: 1 where an entry can be, 0 where it cannot. */
export interface Constraint {
  readonly scope: readonly number[];
  readonly allowed: Uint8Array;
}

/** Constraints of all factors that have zeros. */
export function constraintsOf(cards: readonly number[], factors: readonly Factor[]): Constraint[] {
  return factors
    .filter((f) => f.table.some((p) => p === 0) && f.table.length === tableSize(cards, f.scope))
    .map((f) => ({ scope: f.scope, allowed: Uint8Array.from(f.table, (p) => (p > 0 ? 1 : 0)) }));
}

/** A constraint as far as it concerns a clique: checked once the variable at `depth` is set. */
interface Test {
  readonly steps: readonly number[];
  readonly allowed: Uint8Array;
}

/**
 * All possible configurations over `vars`, as mixed-radix numbers (last variable fastest) in rising order. Constraints that
 * reach beyond `vars` are applied as far as they go. Throws `TooWideError` beyond `limit` configurations.
 */
export function enumerate(
  cards: readonly number[],
  vars: readonly number[],
  constraints: readonly Constraint[],
  limit: number,
): Float64Array {
  const tests: Test[][] = vars.map(() => []);
  for (const { scope, allowed } of constraints) {
    const common = vars.filter((v) => scope.includes(v));
    if (common.length === 0) continue;
    // Also test the first few variables alone, so that dead ends are seen early.
    for (let n = 1; n <= common.length; n += 1) {
      const part = common.slice(0, n);
      const map = projection(cards, scope, part);
      const shadow = new Uint8Array(tableSize(cards, part));
      for (let e = 0; e < map.length; e += 1) if (allowed[e]) shadow[map[e] as number] = 1;
      if (shadow.every((a) => a === 1)) continue;
      const step = strides(cards, part);
      tests[vars.indexOf(part[n - 1] ?? -1)]?.push({
        steps: vars.map((v) => step.get(v) ?? 0),
        allowed: shadow,
      });
    }
  }
  const found: number[] = [];
  const state = new Int32Array(vars.length);
  const place = (depth: number, number: number): void => {
    if (depth === vars.length) {
      if (found.length >= limit) throw new TooWideError();
      found.push(number);
      return;
    }
    const card = cards[vars[depth] ?? 0] ?? 1;
    const here = tests[depth] ?? [];
    for (let k = 0; k < card; k += 1) {
      state[depth] = k;
      let ok = true;
      for (const { steps, allowed } of here) {
        let at = 0;
        for (let i = 0; i <= depth; i += 1) at += (steps[i] as number) * (state[i] as number);
        if (allowed[at] === 0) {
          ok = false;
          break;
        }
      }
      if (ok) place(depth + 1, number * card + k);
    }
  };
  place(0, 0);
  return Float64Array.from(found);
}
