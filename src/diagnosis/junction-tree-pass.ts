// Message passing on a junction tree: a full posterior in two passes, and what-if conditioning by one pass outward from it.
import type { Factor } from './factor.ts';
import { cliqueOf, indexMap, type JunctionTree } from './junction-tree.ts';

/** Below this change of a separator's distribution (total variation) a what-if pass stops: what lies beyond moves no digit anybody reads. */
const STILL = 1e-13;

export interface ReweighOptions {
  /** Only these variables will be read: carry the change no farther than their homes. */
  readonly toward?: readonly number[];
  /** Coarser limit for ranking, where a gain of a millionth of a bit does not matter. */
  readonly still?: number;
}

/**
 * Buffers for one network; reused for every posterior, so that no reading costs an allocation of tables. What did not change since the last
 * posterior is not worked out again: one more reading costs the way from its clique to the root, and cliques are calibrated when first read.
 */
export class Propagation {
  readonly tree: JunctionTree;
  /** Evidence behind the present tables, one weight vector a variable. */
  private given: readonly (Float64Array | undefined)[] = [];
  /** Variables that live in each clique. */
  private readonly homed: readonly (readonly number[])[];
  /** Each clique with its own evidence and all that comes from below; what it sends up from that, as sums and scaled; the log of the scale. */
  private readonly collected: Float64Array[];
  private readonly sums: Float64Array[];
  private readonly messages: Float64Array[];
  private readonly logs: Float64Array;
  private readonly stale: Uint8Array;
  /** Calibrated cliques and separators, and the posterior that they belong to. */
  private readonly tables: Float64Array[];
  private readonly seps: Float64Array[];
  private readonly calibrated: Int32Array;
  private generation = 0;
  private readonly scratch: Float64Array[];
  private readonly stamp: Int32Array;
  private readonly onPath: Int32Array;
  private run = 0;
  private readonly ratio: Float64Array;
  /** Marginals asked for since the last posterior, and since the last what-if. */
  private readonly known = new Map<number, Float64Array>();
  private readonly supposed = new Map<number, Float64Array>();
  private readonly maps = new Map<string, { clique: number; map: Int32Array }>();

  constructor(tree: JunctionTree) {
    this.tree = tree;
    const { cliques, home } = tree;
    const rows = (c: { readonly rowStart: Int32Array }): Float64Array =>
      new Float64Array(c.rowStart.length - 1);
    const homed: number[][] = cliques.map(() => []);
    home.forEach((c, v) => void homed[c]?.push(v));
    this.homed = homed;
    this.collected = cliques.map((c) => new Float64Array(c.size));
    this.sums = cliques.map(rows);
    this.messages = cliques.map(rows);
    this.logs = new Float64Array(cliques.length);
    this.stale = new Uint8Array(cliques.length).fill(1);
    this.tables = cliques.map((c) => new Float64Array(c.size));
    this.seps = cliques.map(rows);
    this.calibrated = new Int32Array(cliques.length);
    this.scratch = cliques.map((c) => new Float64Array(c.size));
    this.stamp = new Int32Array(cliques.length);
    this.onPath = new Int32Array(cliques.length);
    this.ratio = new Float64Array(Math.max(1, ...cliques.map((c) => c.rowStart.length - 1)));
  }

  /**
   * Posterior given one weight vector per variable (`undefined` = nothing known; vectors must not be changed afterwards). Returns the natural
   * log of the evidence's probability, or -Infinity if the evidence cannot be (nothing may then be read).
   */
  calibrate(unaries: readonly (Float64Array | undefined)[]): number {
    this.generation += 1;
    this.run += 1;
    this.known.clear();
    this.supposed.clear();
    const { order, home, cliques } = this.tree;
    for (let v = 0; v < unaries.length; v += 1)
      if (!same(unaries[v], this.given[v])) this.stale[home[v] ?? 0] = 1;
    this.given = unaries;
    let logs = 0;
    for (let i = order.length - 1; i >= 0; i -= 1) {
      const c = order[i] ?? 0;
      if (this.stale[c] === 1) {
        // Left stale, a clique that allows nothing is worked out anew with the next evidence.
        if (!this.collect(c)) return Number.NEGATIVE_INFINITY;
        this.stale[c] = 0;
        const up = cliques[c]?.parent ?? -1;
        if (up >= 0) this.stale[up] = 1;
      }
      logs += this.logs[c] as number;
    }
    return logs;
  }

  /** Evidence of one clique and of all below it; false if that leaves no state possible. */
  private collect(c: number): boolean {
    const clique = this.tree.cliques[c];
    const own = this.collected[c];
    const sums = this.sums[c];
    const message = this.messages[c];
    if (!clique || !own || !sums || !message) return false;
    own.set(clique.base);
    for (const v of this.homed[c] ?? []) {
      const weights = this.given[v];
      const states = this.tree.homeStates[v];
      if (weights && states)
        for (let e = 0; e < own.length; e += 1)
          own[e] = (own[e] as number) * (weights[states[e] as number] as number);
    }
    for (const child of clique.children) {
      const below = this.messages[child];
      const map = this.tree.cliques[child]?.parentMap;
      if (below && map) multiplyMapped(own, below, map);
    }
    const total = clique.parent < 0 ? normalise(own) : sumRows(own, sums, clique.rowStart);
    if (!(total > 0)) return false;
    this.logs[c] = Math.log(total);
    const inverse = 1 / total;
    for (let s = 0; s < sums.length; s += 1) message[s] = (sums[s] as number) * inverse;
    return true;
  }

  /** Fills the calibrated table of a clique, and of those above it, unless they stand already. */
  private reach(c: number): void {
    if (this.calibrated[c] === this.generation) return;
    this.calibrated[c] = this.generation;
    const clique = this.tree.cliques[c];
    const from = this.collected[c];
    const own = this.tables[c];
    const sep = this.seps[c];
    const sums = this.sums[c];
    if (!clique || !from || !own || !sep || !sums) return;
    if (clique.parent < 0) {
      own.set(from);
      return;
    }
    this.reach(clique.parent);
    sumMapped(this.tables[clique.parent] ?? own, sep, clique.parentMap, sep.length);
    const { ratio } = this;
    for (let s = 0; s < sep.length; s += 1) {
      const before = sums[s] as number;
      ratio[s] = before > 0 ? (sep[s] as number) / before : 0;
    }
    weighRows(from, own, ratio, clique.rowStart);
  }

  /** Posterior of a variable; `whatIf` reads it under the last `reweigh` instead. Sums to 1. Not to be changed by the caller. */
  marginal(v: number, whatIf = false): Float64Array {
    const c = this.tree.home[v] ?? 0;
    this.reach(c);
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
   * the homes of `toward` only if that is given. Returns the posterior mean of the factor: for an indicator, the
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
    this.reach(start);
    const from = this.tables[start];
    const into = this.scratch[start];
    if (!from || !into) return 0;
    for (let e = 0; e < from.length; e += 1)
      into[e] = (from[e] as number) * (factor.table[place.map[e] as number] as number);
    const mass = normalise(into);
    this.stamp[start] = this.run;
    if (!(mass > 0)) return 0;
    const path = toward && this.paths(start, toward);
    const stack = [start];
    while (stack.length > 0) {
      const c = stack.pop() ?? 0;
      const clique = cliques[c];
      if (!clique) continue;
      for (const child of clique.children) {
        if (this.stamp[child] === this.run || (path && path[child] !== this.run)) continue;
        if (this.carry(c, child, child, still)) stack.push(child);
      }
      const up = clique.parent;
      if (up < 0 || this.stamp[up] === this.run || (path && path[up] !== this.run)) continue;
      if (this.carry(c, up, c, still)) stack.push(up);
    }
    return mass;
  }

  /** Carries a change over the separator that belongs to clique `edge`; false if nothing worth carrying crosses it. */
  private carry(from: number, to: number, edge: number, still: number): boolean {
    this.reach(to);
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
      const now = ratio[s] as number;
      change += Math.abs(now - before);
      ratio[s] = before > 0 ? now / before : 0;
    }
    if (change < 2 * still) return false;
    if (down) weighRows(old, into, ratio, rows);
    else {
      for (let e = 0; e < old.length; e += 1)
        into[e] = (old[e] as number) * (ratio[map[e] as number] as number);
    }
    this.stamp[to] = this.run;
    return true;
  }

  /** Marks the cliques between `start` and the homes of `variables` with the number of this run. */
  private paths(start: number, variables: readonly number[]): Int32Array {
    const { cliques, home } = this.tree;
    const { onPath, run } = this;
    // Up from each home to a clique that is marked or above `start`; then down from there to `start`, which is marked last.
    const above = new Set<number>();
    for (let c = start; c >= 0; c = cliques[c]?.parent ?? -1) above.add(c);
    onPath[start] = run;
    let top = start;
    for (const v of variables) {
      let c = home[v] ?? 0;
      while (onPath[c] !== run && !above.has(c)) {
        onPath[c] = run;
        c = cliques[c]?.parent ?? -1;
      }
      if (above.has(c) && (cliques[c]?.depth ?? 0) < (cliques[top]?.depth ?? 0)) top = c;
    }
    for (let c = start; c !== top; c = cliques[c]?.parent ?? -1) onPath[c] = run;
    onPath[top] = run;
    return onPath;
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

function weighRows(from: Float64Array, into: Float64Array, factors: Float64Array, rows: Int32Array): void {
  for (let s = 0; s < rows.length - 1; s += 1) {
    const r = factors[s] as number;
    const end = rows[s + 1] as number;
    for (let e = rows[s] as number; e < end; e += 1) into[e] = (from[e] as number) * r;
  }
}

/** Whether two weight vectors, or the lack of any, are the same. */
function same(a: Float64Array | undefined, b: Float64Array | undefined): boolean {
  if (a === b) return true;
  if (!a || !b) return false;
  for (let i = 0; i < a.length; i += 1) if (a[i] !== b[i]) return false;
  return true;
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
