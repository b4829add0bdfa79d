// Message passing on a junction tree: a full posterior in two passes, and what-if conditioning by one pass outward from it.
import type { Factor } from './factor.ts';
import { cliqueOf, indexMap, type JunctionTree } from './junction-tree.ts';

/** Below this relative change of every separator entry a what-if pass stops: what lies beyond moves no digit anybody reads. */
const STILL = 1e-10;

export interface ReweighOptions {
  /** Only this variable will be read: carry the change no farther than its home. */
  readonly toward?: number;
  /** Coarser limit for ranking, where a gain of a millionth of a bit does not matter. */
  readonly still?: number;
}

/** Buffers for one network; reused for every posterior, so that no reading costs an allocation of tables. */
export class Propagation {
  readonly tree: JunctionTree;
  private readonly tables: Float64Array[];
  private readonly seps: Float64Array[];
  private readonly scratch: Float64Array[];
  private readonly stamp: Int32Array;
  private run = 0;
  private readonly ratio: Float64Array;
  /** Marginals asked for since the last posterior, and since the last what-if. */
  private readonly known = new Map<number, Float64Array>();
  private readonly supposed = new Map<number, Float64Array>();
  private readonly maps = new Map<string, { clique: number; map: Int32Array }>();

  constructor(tree: JunctionTree) {
    this.tree = tree;
    this.tables = tree.cliques.map((c) => new Float64Array(c.size));
    this.scratch = tree.cliques.map((c) => new Float64Array(c.size));
    this.seps = tree.cliques.map((c) => new Float64Array(c.rowStart.length - 1));
    this.stamp = new Int32Array(tree.cliques.length);
    this.ratio = new Float64Array(Math.max(1, ...tree.cliques.map((c) => c.rowStart.length - 1)));
  }

  /**
   * Posterior given one weight vector per variable (`undefined` = nothing known). Returns the natural log of the
   * evidence's probability, or -Infinity if the evidence cannot be (the tables are then of no use).
   */
  calibrate(unaries: readonly (Float64Array | undefined)[]): number {
    const logs = this.collect(unaries);
    if (logs > Number.NEGATIVE_INFINITY) this.distribute();
    return logs;
  }

  /**
   * The first half of `calibrate`: the log probability of the evidence alone, at half the cost. Nothing but that number
   * may be read afterwards.
   */
  collect(unaries: readonly (Float64Array | undefined)[]): number {
    this.known.clear();
    this.supposed.clear();
    const { cliques, order, home } = this.tree;
    for (let c = 0; c < cliques.length; c += 1) {
      const clique = cliques[c];
      if (clique) this.tables[c]?.set(clique.base);
    }
    for (let v = 0; v < unaries.length; v += 1) {
      const weights = unaries[v];
      const table = this.tables[home[v] ?? 0];
      const states = this.tree.homeStates[v];
      if (weights && table && states)
        for (let e = 0; e < table.length; e += 1)
          table[e] = (table[e] as number) * (weights[states[e] as number] as number);
    }
    let logs = 0;
    for (let i = order.length - 1; i > 0; i -= 1) {
      const c = order[i] ?? 0;
      const clique = cliques[c];
      const own = this.tables[c];
      const sep = this.seps[c];
      const above = this.tables[clique?.parent ?? 0];
      if (!clique || !own || !sep || !above) continue;
      const total = sumRows(own, sep, clique.rowStart);
      if (!(total > 0)) return Number.NEGATIVE_INFINITY;
      logs += Math.log(total);
      const inverse = 1 / total;
      for (let s = 0; s < sep.length; s += 1) this.ratio[s] = (sep[s] as number) * inverse;
      multiplyMapped(above, this.ratio, clique.parentMap);
    }
    const root = this.tables[order[0] ?? 0] ?? new Float64Array(0);
    const total = normalise(root);
    return total > 0 ? logs + Math.log(total) : Number.NEGATIVE_INFINITY;
  }

  private distribute(): void {
    const { cliques, order } = this.tree;
    for (let i = 1; i < order.length; i += 1) {
      const c = order[i] ?? 0;
      const clique = cliques[c];
      const own = this.tables[c];
      const sep = this.seps[c];
      const above = this.tables[clique?.parent ?? 0];
      if (!clique || !own || !sep || !above) continue;
      const fresh = this.ratio;
      sumMapped(above, fresh, clique.parentMap, sep.length);
      for (let s = 0; s < sep.length; s += 1) {
        const now = fresh[s] as number;
        const old = sep[s] as number;
        sep[s] = now;
        fresh[s] = old > 0 ? now / old : 0;
      }
      multiplyRows(own, fresh, clique.rowStart);
    }
    this.run += 1;
  }

  /** Posterior of a variable; `whatIf` reads it under the last `reweigh` instead. Sums to 1. Not to be changed by the caller. */
  marginal(v: number, whatIf = false): Float64Array {
    const c = this.tree.home[v] ?? 0;
    const moved = whatIf && this.stamp[c] === this.run;
    const memo = moved ? this.supposed : this.known;
    const done = memo.get(v);
    if (done) return done;
    const table = (moved ? this.scratch : this.tables)[c] ?? new Float64Array(0);
    const states = this.tree.homeStates[v] ?? new Uint8Array(0);
    const out = new Float64Array(this.tree.cards[v] ?? 1);
    for (let e = 0; e < table.length; e += 1) {
      const k = states[e] as number;
      out[k] = (out[k] as number) + (table[e] as number);
    }
    normalise(out);
    memo.set(v, out);
    return out;
  }

  /** Whether the last `reweigh` moved what is known of `v`. */
  moved(v: number): boolean {
    return this.stamp[this.tree.home[v] ?? 0] === this.run;
  }

  /**
   * What if: weighs the calibrated posterior by `factor` (whose scope lies within one clique) and carries it outward, to
   * the home of `toward` only if that is given. Returns the posterior mean of the factor: for an indicator, the
   * probability of what it indicates. Read the result with `marginal(v, true)`; it stays until the next call.
   */
  reweigh(factor: Factor, { toward, still = STILL }: ReweighOptions = {}): number {
    this.run += 1;
    this.supposed.clear();
    const { cliques } = this.tree;
    const key = factor.scope.join(',');
    let place = this.maps.get(key);
    if (!place) {
      const clique = cliqueOf(this.tree, factor.scope);
      const { vars = [], states = [] } = cliques[clique] ?? {};
      place = { clique, map: indexMap(this.tree.cards, vars, states, factor.scope) };
      this.maps.set(key, place);
    }
    const start = place.clique;
    const from = this.tables[start];
    const into = this.scratch[start];
    if (!from || !into) return 0;
    for (let e = 0; e < from.length; e += 1)
      into[e] = (from[e] as number) * (factor.table[place.map[e] as number] as number);
    const mass = normalise(into);
    this.stamp[start] = this.run;
    if (!(mass > 0)) return 0;
    const path = toward === undefined ? undefined : this.path(start, this.tree.home[toward] ?? 0);
    const stack = [start];
    while (stack.length > 0) {
      const c = stack.pop() ?? 0;
      const clique = cliques[c];
      if (!clique) continue;
      for (const child of clique.children) {
        if (this.stamp[child] === this.run || (path && !path.has(child))) continue;
        if (this.carry(c, child, child, still)) stack.push(child);
      }
      const up = clique.parent;
      if (up < 0 || this.stamp[up] === this.run || (path && !path.has(up))) continue;
      if (this.carry(c, up, c, still)) stack.push(up);
    }
    return mass;
  }

  /** Carries a change over the separator that belongs to clique `edge`; false if nothing worth carrying crosses it. */
  private carry(from: number, to: number, edge: number, still: number): boolean {
    const { cliques } = this.tree;
    const source = this.scratch[from];
    const sep = this.seps[edge];
    const map = cliques[edge]?.parentMap;
    const rows = cliques[edge]?.rowStart;
    const old = this.tables[to];
    const into = this.scratch[to];
    if (!source || !sep || !map || !rows || !old || !into) return false;
    const ratio = this.ratio;
    const down = edge === to;
    if (down) sumMapped(source, ratio, map, sep.length);
    else sumRows(source, ratio, rows);
    let change = 0;
    for (let s = 0; s < sep.length; s += 1) {
      const before = sep[s] as number;
      const r = before > 0 ? (ratio[s] as number) / before : 0;
      if (before > 0) change = Math.max(change, Math.abs(r - 1));
      ratio[s] = r;
    }
    if (change < still) return false;
    if (down) {
      for (let s = 0; s < sep.length; s += 1) {
        const r = ratio[s] as number;
        const end = rows[s + 1] as number;
        for (let e = rows[s] as number; e < end; e += 1) into[e] = (old[e] as number) * r;
      }
    } else {
      for (let e = 0; e < old.length; e += 1)
        into[e] = (old[e] as number) * (ratio[map[e] as number] as number);
    }
    this.stamp[to] = this.run;
    return true;
  }

  private path(a: number, b: number): Set<number> {
    const { cliques } = this.tree;
    const found = new Set([a, b]);
    let [x, y] = [a, b];
    while (x !== y) {
      if ((cliques[x]?.depth ?? 0) >= (cliques[y]?.depth ?? 0)) x = cliques[x]?.parent ?? 0;
      else y = cliques[y]?.parent ?? 0;
      found.add(x).add(y);
    }
    return found;
  }
}

function sumRows(table: Float64Array, out: Float64Array, rows: Int32Array): number {
  let total = 0;
  for (let s = 0; s < rows.length - 1; s += 1) {
    const end = rows[s + 1] as number;
    let sum = 0;
    for (let e = rows[s] as number; e < end; e += 1) sum += table[e] as number;
    out[s] = sum;
    total += sum;
  }
  return total;
}

function multiplyRows(table: Float64Array, factors: Float64Array, rows: Int32Array): void {
  for (let s = 0; s < rows.length - 1; s += 1) {
    const r = factors[s] as number;
    const end = rows[s + 1] as number;
    for (let e = rows[s] as number; e < end; e += 1) table[e] = (table[e] as number) * r;
  }
}

function sumMapped(table: Float64Array, out: Float64Array, map: Int32Array, size: number): void {
  out.fill(0, 0, size);
  for (let e = 0; e < table.length; e += 1) {
    const s = map[e] as number;
    out[s] = (out[s] as number) + (table[e] as number);
  }
}

function multiplyMapped(table: Float64Array, factors: Float64Array, map: Int32Array): void {
  for (let e = 0; e < table.length; e += 1)
    table[e] = (table[e] as number) * (factors[map[e] as number] as number);
}

/** Scales a table to sum 1 in place; returns the sum it had. */
function normalise(table: Float64Array): number {
  let total = 0;
  for (let e = 0; e < table.length; e += 1) total += table[e] as number;
  if (total > 0) {
    const inverse = 1 / total;
    for (let e = 0; e < table.length; e += 1) table[e] = (table[e] as number) * inverse;
  }
  return total;
}
