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
interface Constraint {
  readonly scope: readonly number[];
  readonly allowed: Uint8Array;
}

/** Constraints by variable: those of all factors that have zeros. */
export type Constraints = readonly (readonly Constraint[])[];

export function constraintsOf(cards: readonly number[], factors: readonly Factor[]): Constraints {
  const byVariable: Constraint[][] = cards.map(() => []);
  for (const { scope, table } of factors) {
    if (!table.some((p) => p === 0)) continue;
    const constraint = { scope, allowed: Uint8Array.from(table, (p) => (p > 0 ? 1 : 0)) };
    for (const v of scope) byVariable[v]?.push(constraint);
  }
  return byVariable;
}

/** A constraint as far as it concerns a clique, checked once its last variable is set. */
interface Test {
  readonly places: readonly number[];
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
  constraints: Constraints,
  limit: number,
): Float64Array {
  const tests = testsOf(cards, vars, constraints);
  const sizes = vars.map((v) => cards[v] ?? 1);
  const state = new Int32Array(vars.length);
  let found = new Float64Array(1024);
  let count = 0;
  const place = (depth: number, number: number): void => {
    if (depth === vars.length) {
      if (count >= limit) throw new TooWideError();
      if (count === found.length) {
        const wider = new Float64Array(2 * count);
        wider.set(found);
        found = wider;
      }
      found[count] = number;
      count += 1;
      return;
    }
    const card = sizes[depth] as number;
    const here = tests[depth] as readonly Test[];
    next: for (let k = 0; k < card; k += 1) {
      state[depth] = k;
      for (let t = 0; t < here.length; t += 1) {
        const { places, steps, allowed } = here[t] as Test;
        let at = 0;
        for (let i = 0; i < places.length; i += 1)
          at += (steps[i] as number) * (state[places[i] as number] as number);
        if (allowed[at] === 0) continue next;
      }
      place(depth + 1, number * card + k);
    }
  };
  place(0, 0);
  return found.slice(0, count);
}

function testsOf(cards: readonly number[], vars: readonly number[], constraints: Constraints): Test[][] {
  const tests: Test[][] = vars.map(() => []);
  const touching = new Set(vars.flatMap((v) => constraints[v] ?? []));
  for (const { scope, allowed } of touching) {
    const common = vars.filter((v) => scope.includes(v));
    let known: Uint8Array | undefined;
    // The first few variables alone are tested too, so that dead ends are seen early.
    for (let n = 1; n <= common.length; n += 1) {
      const part = common.slice(0, n);
      const map = projection(cards, scope, part);
      const shadow = new Uint8Array(tableSize(cards, part));
      for (let e = 0; e < map.length; e += 1) if (allowed[e]) shadow[map[e] as number] = 1;
      if (implied(shadow, known)) continue;
      known = shadow;
      const step = strides(cards, part);
      tests[vars.indexOf(part[n - 1] ?? -1)]?.push({
        places: part.map((v) => vars.indexOf(v)),
        steps: part.map((v) => step.get(v) ?? 0),
        allowed: shadow,
      });
    }
  }
  return tests;
}

/** Whether a test adds nothing: it forbids nothing, or only what the test on one variable less forbids already. */
function implied(shadow: Uint8Array, shorter: Uint8Array | undefined): boolean {
  if (!shorter) return shadow.every((a) => a === 1);
  const card = shadow.length / shorter.length;
  if (!Number.isInteger(card)) return false;
  return shadow.every((a, i) => a === shorter[Math.floor(i / card)]);
}
