// Discrete factors: a table of non-negative numbers over a few finite variables, and the index arithmetic that goes with it.

/** A table over `scope`; the last variable varies fastest. `table.length` is the product of the cardinalities. */
export interface Factor {
  /** Variable numbers, each at most once. */
  readonly scope: readonly number[];
  readonly table: Float64Array;
}

/** Variables by number (`cards[v]` states each) and the factors whose product is the unnormalised joint. */
export interface Model {
  readonly cards: readonly number[];
  readonly factors: readonly Factor[];
}

/** Number of table entries over `scope`. */
export function tableSize(cards: readonly number[], scope: readonly number[]): number {
  return scope.reduce((size, v) => size * (cards[v] ?? 1), 1);
}

/** Stride of each variable of `scope` in a table where the last varies fastest. */
export function strides(cards: readonly number[], scope: readonly number[]): Map<number, number> {
  const result = new Map<number, number>();
  let stride = 1;
  for (let i = scope.length - 1; i >= 0; i -= 1) {
    const v = scope[i] ?? 0;
    result.set(v, stride);
    stride *= cards[v] ?? 1;
  }
  return result;
}

/** For every entry of a table over `scope`, the entry of the table over `part` that it agrees with (`part` within `scope`). */
export function projection(
  cards: readonly number[],
  scope: readonly number[],
  part: readonly number[],
): Int32Array {
  const step = strides(cards, part);
  let map = new Int32Array(1);
  for (const v of scope) {
    const card = cards[v] ?? 1;
    const stride = step.get(v) ?? 0;
    const next = new Int32Array(map.length * card);
    let at = 0;
    for (const base of map) for (let k = 0; k < card; k += 1) next[at++] = base + k * stride;
    map = next;
  }
  return map;
}
