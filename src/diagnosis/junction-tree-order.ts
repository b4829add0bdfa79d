// Elimination order by minimum fill: which cliques a network needs, and how large their tables get.

export interface Elimination {
  /** Variables in the order they are eliminated. */
  readonly order: readonly number[];
  /** Maximal cliques, each a list of variables. */
  readonly cliques: readonly (readonly number[])[];
  /** Sum of the clique tables' entries. */
  readonly entries: number;
}

/** A small seeded generator (mulberry32) of numbers in [0, 1): the same seed gives the same network every time. */
export function seededRandom(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/**
 * Min-fill elimination of the graph in which every scope is a clique. A missing edge weighs the product of the logs of its
 * ends' states, for between large variables it costs more. Ties go to the smaller table, then to chance (`random`), so that
 * several runs may be compared.
 */
export function eliminate(
  cards: readonly number[],
  scopes: readonly (readonly number[])[],
  random: () => number,
): Elimination {
  const n = cards.length;
  const adjacent = new Uint8Array(n * n);
  const neighbours: number[][] = Array.from({ length: n }, () => []);
  const link = (a: number, b: number): void => {
    if (a === b || adjacent[a * n + b]) return;
    adjacent[a * n + b] = 1;
    adjacent[b * n + a] = 1;
    neighbours[a]?.push(b);
    neighbours[b]?.push(a);
  };
  for (const scope of scopes) for (const a of scope) for (const b of scope) link(a, b);

  const logs = cards.map((c) => Math.log(c));
  const fill = new Float64Array(n);
  const weight = new Float64Array(n);
  const chance = Float64Array.from({ length: n }, random);
  const measure = (v: number): void => {
    const near = neighbours[v] ?? [];
    let missing = 0;
    let size = logs[v] ?? 0;
    for (let i = 0; i < near.length; i += 1) {
      const a = near[i] ?? 0;
      size += logs[a] ?? 0;
      for (let j = i + 1; j < near.length; j += 1) {
        const b = near[j] ?? 0;
        if (!adjacent[a * n + b]) missing += (logs[a] ?? 0) * (logs[b] ?? 0);
      }
    }
    fill[v] = missing;
    weight[v] = size;
  };
  for (let v = 0; v < n; v += 1) measure(v);

  const gone = new Uint8Array(n);
  const order: number[] = [];
  const cliques: number[][] = [];
  for (let step = 0; step < n; step += 1) {
    let best = -1;
    for (let v = 0; v < n; v += 1) {
      if (gone[v]) continue;
      if (best < 0 || before(v, best)) best = v;
    }
    const near = neighbours[best] ?? [];
    cliques.push([best, ...near]);
    order.push(best);
    gone[best] = 1;
    for (const a of near) {
      const list = neighbours[a] ?? [];
      list.splice(list.indexOf(best), 1);
    }
    // A new edge spares its fill-in to every node that sees both its ends; the ends and the rest of `near` are measured anew.
    for (let i = 0; i < near.length; i += 1) {
      const a = near[i] ?? 0;
      for (let j = i + 1; j < near.length; j += 1) {
        const b = near[j] ?? 0;
        if (adjacent[a * n + b]) continue;
        const spared = (logs[a] ?? 0) * (logs[b] ?? 0);
        for (const w of neighbours[a] ?? []) if (adjacent[b * n + w]) fill[w] = (fill[w] ?? 0) - spared;
        link(a, b);
      }
    }
    for (const v of near) measure(v);
  }
  const maximal = keepMaximal(cliques, n);
  return {
    order,
    cliques: maximal,
    entries: maximal.reduce((sum, c) => sum + c.reduce((size, v) => size * (cards[v] ?? 1), 1), 0),
  };

  function before(a: number, b: number): boolean {
    const byFill = (fill[a] ?? 0) - (fill[b] ?? 0);
    if (Math.abs(byFill) > 1e-9) return byFill < 0;
    const bySize = (weight[a] ?? 0) - (weight[b] ?? 0);
    if (Math.abs(bySize) > 1e-12) return bySize < 0;
    return (chance[a] ?? 0) < (chance[b] ?? 0);
  }
}

/** Drops cliques that lie within an earlier one (a later clique can never hold an earlier one whole). */
function keepMaximal(cliques: readonly number[][], n: number): number[][] {
  const kept: number[][] = [];
  const members: Uint8Array[] = [];
  for (const clique of cliques) {
    if (members.some((has) => clique.every((v) => has[v]))) continue;
    const has = new Uint8Array(n);
    for (const v of clique) has[v] = 1;
    kept.push(clique);
    members.push(has);
  }
  return kept;
}
