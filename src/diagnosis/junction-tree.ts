// Junction tree of a discrete network: cliques joined by their largest separators. Tables hold only what can be: max nodes
// make most combinations of states impossible, and those are never stored nor touched.
import { type Factor, type Model, strides, tableSize } from './factor.ts';
import { type Elimination, eliminate, seededRandom } from './junction-tree-order.ts';
import { constraintsOf, enumerate, TooWideError } from './junction-tree-support.ts';

/** One clique. Its table has one entry per possible configuration, sorted so that those of one separator state are together. */
export interface Clique {
  readonly vars: readonly number[];
  /** Number of possible configurations. */
  readonly size: number;
  /** State of each variable in each configuration, one array a variable, in the order of `vars`. */
  readonly states: readonly Uint8Array[];
  /** Clique number of the parent, -1 for the root. */
  readonly parent: number;
  readonly depth: number;
  readonly children: readonly number[];
  /** Configurations of separator state s are rowStart[s] .. rowStart[s + 1] - 1. */
  readonly rowStart: Int32Array;
  /** Separator state of each of the parent's configurations. */
  readonly parentMap: Int32Array;
  /** Product of the factors that live here. */
  readonly base: Float64Array;
}

export interface JunctionTree {
  readonly cards: readonly number[];
  readonly cliques: readonly Clique[];
  /** Clique numbers, parents before children. */
  readonly order: readonly number[];
  /** Smallest clique that holds each variable, and the variable's state in each configuration there. */
  readonly home: Int32Array;
  readonly homeStates: readonly Uint8Array[];
  /** Sum of all clique tables' entries. */
  readonly entries: number;
}

/** Best of `restarts` seeded min-fill runs over the scopes of a model. */
export function bestElimination(
  cards: readonly number[],
  scopes: readonly (readonly number[])[],
  seed = 1,
  restarts = 12,
): Elimination {
  let best: Elimination | undefined;
  for (let run = 0; run < restarts; run += 1) {
    const found = eliminate(cards, scopes, seededRandom(seed * 1000 + run));
    if (!best || found.entries < best.entries) best = found;
  }
  if (!best) throw new Error('at least one elimination run is needed');
  return best;
}

export interface TreeOptions {
  readonly seed?: number;
  /** When the caller has searched for one already. */
  readonly elimination?: Elimination;
  /** Most entries of all tables together; `TooWideError` beyond. */
  readonly budget?: number;
}

/**
 * Junction tree of `model`. Unrelated parts of the model are joined by empty separators, so there is always one tree.
 * Throws `TooWideError` if the tables would need more than `budget` entries.
 */
export function compileTree(model: Model, options: TreeOptions = {}): JunctionTree {
  const { cards, factors } = model;
  const scopes = factors.map((f) => f.scope);
  const { cliques: sets } = options.elimination ?? bestElimination(cards, scopes, options.seed);
  const budget = options.budget ?? Number.POSITIVE_INFINITY;
  const { parent, order } = cliqueForest(cards, sets);
  const layout: number[][] = [];
  const shared: number[][] = [];
  const depth: number[] = [];
  for (const c of order) {
    const own = sets[c] ?? [];
    const up = parent[c] ?? -1;
    const sep = up < 0 ? [] : (layout[up] ?? []).filter((v) => own.includes(v));
    shared[c] = sep;
    layout[c] = [...sep, ...own.filter((v) => !sep.includes(v))];
    depth[c] = up < 0 ? 0 : (depth[up] ?? 0) + 1;
  }
  const constraints = constraintsOf(cards, factors);
  // Pruning may yet drop some, hence the allowance.
  let left = 2 * budget;
  const states = layout.map((vars) => {
    const found = enumerate(cards, vars, constraints, left);
    left -= found.length;
    return unpack(cards, vars, found);
  });
  prune(cards, layout, shared, parent, order, states);
  const sizes = states.map((columns) => columns[0]?.length ?? 1);
  if (sizes.reduce((a, b) => a + b, 0) > budget) throw new TooWideError();
  const bases = sizes.map((size) => new Float64Array(size).fill(1));
  for (const factor of factors) {
    const c = holder(layout, sizes, factor.scope);
    const map = indexMap(cards, layout[c] ?? [], states[c] ?? [], factor.scope);
    const base = bases[c] ?? new Float64Array(0);
    for (let e = 0; e < base.length; e += 1) base[e] = (base[e] ?? 0) * (factor.table[map[e] ?? 0] ?? 0);
  }
  const home = new Int32Array(cards.length);
  const homeStates = cards.map((_, v) => {
    const c = holder(layout, sizes, [v]);
    home[v] = c;
    return states[c]?.[layout[c]?.indexOf(v) ?? 0] ?? new Uint8Array(0);
  });
  const cliques = layout.map((vars, c): Clique => {
    const up = parent[c] ?? -1;
    const sep = shared[c] ?? [];
    const own = indexMap(cards, vars, states[c] ?? [], sep);
    const rowOf = new Map<number, number>();
    const starts: number[] = [];
    own.forEach((key, e) => {
      if (rowOf.has(key)) return;
      rowOf.set(key, starts.length);
      starts.push(e);
    });
    const above = up < 0 ? new Int32Array(0) : indexMap(cards, layout[up] ?? [], states[up] ?? [], sep);
    return {
      vars,
      size: sizes[c] ?? 0,
      states: states[c] ?? [],
      parent: up,
      depth: depth[c] ?? 0,
      children: order.filter((other) => parent[other] === c),
      rowStart: Int32Array.from([...starts, sizes[c] ?? 0]),
      parentMap: above.map((key) => rowOf.get(key) ?? 0),
      base: bases[c] ?? new Float64Array(0),
    };
  });
  return { cards, cliques, order, home, homeStates, entries: sizes.reduce((a, b) => a + b, 0) };
}

/** Number of the smallest clique that holds all of `scope`. */
export function cliqueOf(tree: JunctionTree, scope: readonly number[]): number {
  return holder(
    tree.cliques.map((c) => c.vars),
    tree.cliques.map((c) => c.size),
    scope,
  );
}

/** For each configuration of a clique, the entry of a full table over `scope` that it agrees with. */
export function indexMap(
  cards: readonly number[],
  vars: readonly number[],
  states: readonly Uint8Array[],
  scope: readonly number[],
): Int32Array {
  const map = new Int32Array(states[0]?.length ?? 1);
  for (const [v, stride] of strides(cards, scope)) {
    const column = states[vars.indexOf(v)];
    if (column)
      for (let e = 0; e < map.length; e += 1) map[e] = (map[e] as number) + stride * (column[e] as number);
  }
  return map;
}

/** Keeps only configurations that their neighbours allow too, so that separators agree on both sides. */
function prune(
  cards: readonly number[],
  layout: readonly number[][],
  shared: readonly number[][],
  parent: readonly number[],
  order: readonly number[],
  states: Uint8Array[][],
): void {
  const restrict = (from: number, to: number): void => {
    const sep = shared[parent[from] === to ? from : to] ?? [];
    const allowed = new Uint8Array(tableSize(cards, sep));
    for (const key of indexMap(cards, layout[from] ?? [], states[from] ?? [], sep)) allowed[key] = 1;
    const own = indexMap(cards, layout[to] ?? [], states[to] ?? [], sep);
    let kept = 0;
    const keep = new Int32Array(own.length);
    for (let e = 0; e < own.length; e += 1) if (allowed[own[e] as number] === 1) keep[kept++] = e;
    if (kept < own.length) states[to] = (states[to] ?? []).map((column) => pick(column, keep, kept));
  };
  for (let i = order.length - 1; i > 0; i -= 1) restrict(order[i] ?? 0, parent[order[i] ?? 0] ?? 0);
  for (let i = 1; i < order.length; i += 1) restrict(parent[order[i] ?? 0] ?? 0, order[i] ?? 0);
}

function pick(column: Uint8Array, keep: Int32Array, count: number): Uint8Array {
  const out = new Uint8Array(count);
  for (let i = 0; i < count; i += 1) out[i] = column[keep[i] as number] as number;
  return out;
}

/** Configuration numbers (mixed radix, last variable fastest) as one array of states per variable. */
function unpack(cards: readonly number[], vars: readonly number[], support: Float64Array): Uint8Array[] {
  const rest = support.slice();
  const columns = vars.map(() => new Uint8Array(support.length));
  for (let i = vars.length - 1; i >= 0; i -= 1) {
    const card = cards[vars[i] ?? 0] ?? 1;
    const column = columns[i] ?? new Uint8Array(0);
    for (let e = 0; e < rest.length; e += 1) {
      const value = rest[e] as number;
      const next = Math.floor(value / card);
      column[e] = value - next * card;
      rest[e] = next;
    }
  }
  return columns;
}

function holder(
  layout: readonly (readonly number[])[],
  sizes: readonly number[],
  scope: readonly number[],
): number {
  let best = -1;
  for (let c = 0; c < layout.length; c += 1) {
    if (best >= 0 && (sizes[c] ?? 0) >= (sizes[best] ?? 0)) continue;
    if (scope.every((v) => layout[c]?.includes(v))) best = c;
  }
  if (best < 0) throw new Error(`no clique holds the variables ${scope.join(', ')}`);
  return best;
}

/** Maximum-separator spanning tree (Prim), rooted at the largest clique; among equal separators the smaller table joins first. */
export function cliqueForest(
  cards: readonly number[],
  sets: readonly (readonly number[])[],
): { parent: number[]; order: number[] } {
  const n = sets.length;
  const sizes = sets.map((s) => tableSize(cards, s));
  const root = sizes.indexOf(Math.max(...sizes));
  const parent = new Array<number>(n).fill(-1);
  const weight = new Array<number>(n).fill(-1);
  const inside = new Uint8Array(n);
  const members = new Uint8Array(cards.length);
  const order: number[] = [];
  let next = root;
  while (order.length < n) {
    inside[next] = 1;
    order.push(next);
    members.fill(0);
    for (const v of sets[next] ?? []) members[v] = 1;
    for (let c = 0; c < n; c += 1) {
      if (inside[c]) continue;
      let common = 0;
      for (const v of sets[c] ?? []) common += members[v] as number;
      if (common > (weight[c] ?? -1)) [weight[c], parent[c]] = [common, next];
    }
    next = -1;
    for (let c = 0; c < n; c += 1) {
      if (inside[c]) continue;
      const ahead =
        next < 0 ||
        (weight[c] ?? 0) > (weight[next] ?? 0) ||
        ((weight[c] ?? 0) === (weight[next] ?? 0) && (sizes[c] ?? 0) < (sizes[next] ?? 0));
      if (ahead) next = c;
    }
  }
  return { parent, order };
}

export type { Factor };
export { TooWideError };
