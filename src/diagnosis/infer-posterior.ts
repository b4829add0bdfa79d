// The posterior of one network under one body of evidence: marginals of everything, and what-if questions to it.
import type { Propagation as Pass } from './junction-tree-pass.ts';
import { Propagation, type ReweighOptions } from './junction-tree-pass.ts';
import type { FamilyNode, Network } from './network.ts';
import { causeMessage, convolveAll, foldedPosterior, maxNodeShare } from './noisy-max.ts';

/** Combined weights by variable (`signal:<id>` over its reachable levels, `part:<id>` over `ok` and faults). */
export type Weights = ReadonlyMap<string, Float64Array>;

/** What a what-if question fixes: weights over the states of a part, signal, assembly (`good`, `bad`) or leak (levels of its signal). */
export interface Condition {
  readonly kind: 'part' | 'signal' | 'assembly' | 'leak';
  readonly id: string;
  readonly weights: Float64Array;
}

/** Family-local numbers: what each folded cause sends, all of it together, and all but each one. */
interface Local {
  weights: Float64Array[];
  messages: Float64Array[];
  all: Float64Array;
  rest: readonly Float64Array[];
}

export class Posterior {
  private readonly network: Network;
  private readonly pass: Pass;
  private readonly local: Local[] = [];
  private readonly loose = new Map<string, Float64Array>();
  /** Family whose folded causes the last what-if changed, with its numbers under it. */
  private altered: { family: number; local: Local } | undefined;
  private alteredLoose: { part: string; distribution: Float64Array } | undefined;
  /** The belief object these buffers belong to at present. */
  owner: object | undefined;
  logEvidence = 0;

  constructor(network: Network) {
    this.network = network;
    this.pass = new Propagation(network.tree);
  }

  /** Takes up new evidence. False if it cannot be: then nothing here may be read. */
  load(evidence: Weights): boolean {
    const { unaries, logs } = this.take(evidence);
    this.logEvidence = Number.isFinite(logs) ? logs + this.pass.calibrate(unaries) : Number.NEGATIVE_INFINITY;
    return this.logEvidence > Number.NEGATIVE_INFINITY;
  }

  /** Log probability of a body of evidence, -Infinity if it cannot be; nothing else may be read in that case. */
  chance(evidence: Weights): number {
    this.load(evidence);
    return this.logEvidence;
  }

  /** Evidence as one weight vector a variable of the tree, and the log of what that took out. */
  private take(evidence: Weights): { unaries: (Float64Array | undefined)[]; logs: number } {
    const { network } = this;
    this.owner = undefined;
    this.altered = undefined;
    this.alteredLoose = undefined;
    let logs = 0;
    const unaries: (Float64Array | undefined)[] = new Array(network.tree.cards.length).fill(undefined);
    network.families.forEach((family, f) => {
      const weights = family.folded.map((cause) => times(cause.prior, evidence.get(`part:${cause.part}`)));
      const before = this.local[f];
      const local =
        before && weights.every((w, j) => alike(w, before.weights[j]))
          ? before
          : this.localOf(family, weights);
      this.local[f] = local;
      const total = sum(local.all);
      logs += Math.log(total);
      join(
        unaries,
        family.acc0,
        local.all.map((p) => p / total),
      );
    });
    for (const [id, node] of network.signals) {
      const weights = evidence.get(`signal:${id}`);
      if (weights) join(unaries, network.families[node.family]?.out ?? 0, weights);
    }
    for (const [id, part] of network.parts) {
      const weights = evidence.get(`part:${id}`);
      if (part.variable >= 0 && weights) join(unaries, part.variable, weights);
      if (part.variable >= 0 || part.family >= 0) continue;
      const distribution = times(part.prior, weights);
      const total = sum(distribution);
      logs += Math.log(total);
      this.loose.set(
        id,
        distribution.map((p) => p / total),
      );
    }
    return { unaries, logs };
  }

  /** Distribution over the reachable levels of a signal; `whatIf` under the last `suppose`. */
  signal(id: string, whatIf = false): Float64Array {
    const node = this.network.signals.get(id);
    return this.pass.marginal(this.network.families[node?.family ?? 0]?.out ?? 0, whatIf);
  }

  /** Distribution over `ok` and the faults of a part. */
  part(id: string, whatIf = false): Float64Array {
    const part = this.network.parts.get(id);
    if (!part) throw new Error(`no such part in this set: ${id}`);
    if (part.variable >= 0) return this.pass.marginal(part.variable, whatIf);
    if (part.family >= 0) return this.folded(part.family, part.slot, whatIf);
    if (whatIf && this.alteredLoose?.part === id) return this.alteredLoose.distribution;
    return this.loose.get(id) ?? part.prior;
  }

  /** Distribution over the levels that a cause outside the rules puts on a signal. */
  leak(signal: string, whatIf = false): Float64Array {
    return this.folded(this.network.signals.get(signal)?.family ?? 0, 0, whatIf);
  }

  /** P(any part of the assembly is bad). */
  assembly(id: string, whatIf = false): number {
    const node = this.network.assemblies.get(id);
    return this.pass.marginal(this.network.families[node?.family ?? 0]?.out ?? 0, whatIf)[1] ?? 0;
  }

  /** Number in the tree of the variable that a signal's or part's distribution is read from; undefined for a part that upsets nothing. */
  variable(kind: 'signal' | 'part', id: string): number | undefined {
    const { families, signals, parts } = this.network;
    if (kind === 'signal') return families[signals.get(id)?.family ?? 0]?.out;
    const part = parts.get(id);
    return part && part.variable >= 0 ? part.variable : families[part?.family ?? -1]?.acc0;
  }

  /** Whether the last what-if moved this signal or part at all; if not, its distribution is the old one. */
  moved(kind: 'signal' | 'part', id: string): boolean {
    if (kind === 'signal') {
      const node = this.network.signals.get(id);
      return this.pass.moved(this.network.families[node?.family ?? 0]?.out ?? 0);
    }
    const part = this.network.parts.get(id);
    if (!part) return false;
    if (part.variable >= 0) return this.pass.moved(part.variable);
    if (part.family < 0) return this.alteredLoose?.part === id;
    return (
      this.altered?.family === part.family || this.pass.moved(this.network.families[part.family]?.acc0 ?? 0)
    );
  }

  /** Supposes `condition` on top of the evidence; returns its posterior mean weight (a probability for 0/1 weights). */
  suppose(condition: Condition, options: ReweighOptions = {}): number {
    const { network } = this;
    this.altered = undefined;
    this.alteredLoose = undefined;
    const { kind, id, weights } = condition;
    if (kind === 'signal' || kind === 'assembly') {
      const family =
        network.families[(kind === 'signal' ? network.signals : network.assemblies).get(id)?.family ?? 0];
      return this.pass.reweigh({ scope: [family?.out ?? 0], table: weights }, options);
    }
    const part = kind === 'part' ? network.parts.get(id) : undefined;
    if (part && part.variable >= 0)
      return this.pass.reweigh({ scope: [part.variable], table: weights }, options);
    const number = kind === 'leak' ? (network.signals.get(id)?.family ?? 0) : (part?.family ?? -1);
    if (number < 0) {
      const distribution = times(this.part(id), weights);
      const mass = sum(distribution);
      this.alteredLoose = { part: id, distribution: distribution.map((p) => (mass > 0 ? p / mass : 0)) };
      this.pass.reweigh({ scope: [0], table: new Float64Array(network.tree.cards[0] ?? 1).fill(1) }, options);
      return mass;
    }
    const slot = part?.slot ?? 0;
    const family = network.families[number] as FamilyNode;
    const before = this.local[number] as Local;
    const changed = before.weights.map((w, j) => (j === slot ? times(w, weights) : w));
    const local = this.localOf(family, changed);
    this.altered = { family: number, local };
    const table = local.all.map((p, s) => ((before.all[s] ?? 0) > 0 ? p / (before.all[s] as number) : 0));
    return this.pass.reweigh({ scope: [family.acc0], table }, options);
  }

  /**
   * P(cause puts out level u, and u is what the child shows) for every cause of a signal and every abnormal level u,
   * summed over u. Keys: `leak`, `part:<id>`, `signal:<id>`. Exact; one short pass per cause and level.
   */
  responsibilities(signal: string): Map<string, number> {
    const node = this.network.signals.get(signal);
    const number = node?.family ?? 0;
    const family = this.network.families[number] as FamilyNode;
    const local = this.local[number] as Local;
    const result = new Map<string, number>();
    const add = (key: string, p: number): void => void result.set(key, (result.get(key) ?? 0) + p);
    for (let u = 1; u < family.levels; u += 1) {
      const only = new Float64Array(family.levels);
      only[u] = 1;
      const folded =
        this.pass.reweigh({ scope: [family.acc0], table: only }, { toward: [family.out] }) *
        (this.pass.marginal(family.out, true)[u] ?? 0);
      family.folded.forEach((cause, j) => {
        // Given that the folded causes reach u together: this one puts out u and the others no more than u.
        const own = local.messages[j]?.[u] ?? 0;
        const others = (local.rest[j] ?? new Float64Array(0)).slice(0, u + 1).reduce((a, b) => a + b, 0);
        const all = local.all[u] ?? 0;
        add(cause.part ? `part:${cause.part}` : 'leak', all > 0 ? (folded * own * others) / all : 0);
      });
      for (const link of family.links) {
        const factor =
          link.acc < 0
            ? { scope: [link.out], table: only }
            : {
                scope: [link.acc, link.variable, link.out],
                table: maxNodeShare(link.rows, link.states, family.levels, u),
              };
        const mass = this.pass.reweigh(factor, { toward: [family.out] });
        add(`${link.kind}:${link.id}`, mass > 0 ? mass * (this.pass.marginal(family.out, true)[u] ?? 0) : 0);
      }
    }
    return result;
  }

  private folded(number: number, slot: number, whatIf: boolean): Float64Array {
    const family = this.network.families[number] as FamilyNode;
    const altered = whatIf && this.altered?.family === number ? this.altered.local : undefined;
    const local = altered ?? (this.local[number] as Local);
    const belief = this.pass.marginal(family.acc0, whatIf);
    const pull = belief.map((b, s) => ((local.all[s] ?? 0) > 0 ? b / (local.all[s] as number) : 0));
    return foldedPosterior(
      local.weights[slot] as Float64Array,
      family.folded[slot]?.rows ?? new Float64Array(0),
      local.rest[slot] as Float64Array,
      pull,
    );
  }

  private localOf(family: FamilyNode, weights: Float64Array[]): Local {
    const messages = weights.map((w, j) =>
      causeMessage(w, family.folded[j]?.rows ?? new Float64Array(0), family.levels),
    );
    return { weights, messages, ...convolveAll(messages, family.levels) };
  }
}

function times(a: Float64Array, b: Float64Array | undefined): Float64Array {
  return b ? a.map((p, i) => p * (b[i] ?? 0)) : a;
}

function sum(values: Float64Array): number {
  let total = 0;
  for (const value of values) total += value;
  return total;
}

function alike(a: Float64Array, b: Float64Array | undefined): boolean {
  return a === b || (b !== undefined && a.every((p, i) => p === b[i]));
}

/** Multiplies a weight vector onto whatever is already known of a variable. */
function join(unaries: (Float64Array | undefined)[], v: number, weights: Float64Array): void {
  unaries[v] = times(weights, unaries[v]);
}
