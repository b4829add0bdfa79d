// Brute force for tests: joint distributions by running through every combination of states, with no cleverness at all.
import type { Model } from '../../src/diagnosis/factor.ts';

/** Calls `visit` with every combination of states (last variable fastest). The array is reused. */
export function everyState(cards: readonly number[], visit: (state: readonly number[]) => void): void {
  const state = cards.map(() => 0);
  const total = cards.reduce((a, b) => a * b, 1);
  for (let n = 0; n < total; n += 1) {
    visit(state);
    for (let v = cards.length - 1; v >= 0; v -= 1) {
      state[v] = (state[v] ?? 0) + 1;
      if ((state[v] ?? 0) < (cards[v] ?? 1)) break;
      state[v] = 0;
    }
  }
}

/** Posterior marginals and probability of the evidence (`weights[v]` per state, `undefined` = nothing known), by enumeration. */
export function bruteForce(
  model: Model,
  weights: readonly (Float64Array | undefined)[],
): { readonly marginals: number[][]; readonly evidence: number } {
  const marginals = model.cards.map((card) => new Array<number>(card).fill(0));
  let evidence = 0;
  everyState(model.cards, (state) => {
    let p = 1;
    for (const { scope, table } of model.factors) {
      let at = 0;
      for (const v of scope) at = at * (model.cards[v] ?? 1) + (state[v] ?? 0);
      p *= table[at] ?? 0;
    }
    state.forEach((s, v) => {
      p *= weights[v]?.[s] ?? 1;
    });
    evidence += p;
    state.forEach((s, v) => {
      const row = marginals[v] ?? [];
      row[s] = (row[s] ?? 0) + p;
    });
  });
  return { marginals: marginals.map((row) => row.map((p) => p / evidence)), evidence };
}
