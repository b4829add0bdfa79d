// Turns noisy-MAX families into trees of two-input max nodes, shaped so that the junction tree stays narrow.
import type { Factor } from './factor.ts';
import { cliqueForest } from './junction-tree.ts';
import { type Elimination, eliminate, seededRandom } from './junction-tree-order.ts';
import type { FamilyNode, FoldedCause, LinkedCause } from './network.ts';
import type { DraftCause, DraftFamily, DraftPart } from './network-draft.ts';
import { maxNodeTable } from './noisy-max.ts';

export interface TreePlan {
  readonly cards: readonly number[];
  readonly factors: readonly Factor[];
  readonly families: readonly FamilyNode[];
  /** Variable of each part that acts on more than one family. */
  readonly partVariable: ReadonlyMap<string, number>;
  readonly elimination: Elimination;
}

/**
 * Best of `restarts` seeded searches. Each eliminates the star skeleton (one hub a family, tied to each of its causes and to
 * the family itself) by min-fill. In the resulting tree of cliques every hub covers a subtree; the family's causes are
 * gathered along it, by max nodes, toward the clique where the family itself sits. Causes that belong together in the
 * skeleton thus meet early and nothing is carried past where it is needed.
 */
export function planTrees(
  families: readonly DraftFamily[],
  parts: ReadonlyMap<string, DraftPart>,
  seed: number,
  restarts: number,
): TreePlan {
  let best: TreePlan | undefined;
  for (let run = 0; run < restarts; run += 1) {
    const random = seededRandom(seed * 7919 + run);
    const plan = build(families, parts, skeleton(families, parts, random), random);
    if (!best || plan.elimination.entries < best.elimination.entries) best = plan;
  }
  if (!best) throw new Error('no elimination run was made');
  return best;
}

const isFolded = (cause: DraftCause, parts: ReadonlyMap<string, DraftPart>): boolean =>
  cause.kind === 'part' && (parts.get(cause.id)?.families.length ?? 0) < 2;

interface Skeleton {
  readonly node: ReadonlyMap<string, number>;
  readonly cliques: readonly ReadonlySet<number>[];
  readonly near: readonly (readonly number[])[];
}

/** Clique tree of the star skeleton. */
function skeleton(
  families: readonly DraftFamily[],
  parts: ReadonlyMap<string, DraftPart>,
  random: () => number,
): Skeleton {
  const node = new Map<string, number>();
  const cards: number[] = [];
  const add = (name: string, card: number): number => {
    const found = node.get(name);
    if (found !== undefined) return found;
    node.set(name, cards.length);
    cards.push(card);
    return cards.length - 1;
  };
  const scopes: number[][] = [];
  for (const family of families) {
    const hub = add(`hub:${family.id}`, family.levels);
    scopes.push([hub, add(family.id, family.levels)]);
    for (const cause of family.causes)
      if (!isFolded(cause, parts)) scopes.push([hub, add(`${cause.kind}:${cause.id}`, cause.states)]);
  }
  const { cliques } = eliminate(cards, scopes, random);
  const { parent } = cliqueForest(cards, cliques);
  const near: number[][] = cliques.map(() => []);
  parent.forEach((p, c) => {
    if (p < 0) return;
    near[c]?.push(p);
    near[p]?.push(c);
  });
  return { node, cliques: cliques.map((c) => new Set(c)), near };
}

function build(
  families: readonly DraftFamily[],
  parts: ReadonlyMap<string, DraftPart>,
  shape: Skeleton,
  random: () => number,
): TreePlan {
  const cards: number[] = [];
  const add = (card: number): number => cards.push(card) - 1;
  const outs = new Map(families.map((f) => [f.id, add(f.levels)]));
  const partVariable = new Map<string, number>();
  const factors: Factor[] = [];
  for (const [id, part] of parts) {
    if (part.families.length < 2) continue;
    const variable = add(part.states.length);
    partVariable.set(id, variable);
    factors.push({ scope: [variable], table: part.prior });
  }
  const built = families.map((family): FamilyNode => {
    const { levels } = family;
    const identity = new Float64Array(levels * levels);
    for (let s = 0; s < levels; s += 1) identity[s * levels + s] = 1;
    const folded: FoldedCause[] = [{ part: '', prior: family.leak, rows: identity }];
    for (const cause of family.causes) {
      const part = parts.get(cause.id);
      if (part && isFolded(cause, parts))
        folded.push({ part: cause.id, prior: part.prior, rows: cause.rows });
    }
    const out = outs.get(family.id) ?? 0;
    const linked = family.causes.filter((c) => !isFolded(c, parts));
    if (linked.length === 0) return { id: family.id, levels, acc0: out, out, folded, links: [] };

    // What meets what: post-order over the hub's subtree, rooted where the family itself sits. acc0 starts the first chain.
    const acc0 = add(levels);
    const reach = folded.reduce(
      (all, cause) =>
        all.map((p, u) => p + cause.prior.reduce((a, w, q) => a + w * (cause.rows[q * levels + u] ?? 0), 0)),
      new Float64Array(levels),
    );
    factors.push({ scope: [acc0], table: reach.map((p) => (p > 0 ? 1 : 0)) });
    const links: LinkedCause[] = [];
    let waiting: number | undefined = acc0;
    let nodes = 0;
    const count = gather(
      shape,
      family,
      linked,
      () => 0,
      () => 0,
    ).nodes;
    const next = (): number => {
      nodes += 1;
      return nodes === count ? out : add(levels);
    };
    const take = (cause: DraftCause, acc: number | undefined): number => {
      const from = acc ?? waiting;
      if (acc === undefined) waiting = undefined;
      const variable =
        (cause.kind === 'part' ? partVariable.get(cause.id) : outs.get(`signal:${cause.id}`)) ?? 0;
      const to = from === undefined ? add(levels) : next();
      if (from === undefined) factors.push({ scope: [variable, to], table: cause.rows });
      else
        factors.push({ scope: [from, variable, to], table: maxNodeTable(cause.rows, cause.states, levels) });
      links.push({ ...cause, variable, acc: from ?? -1, out: to });
      return to;
    };
    const merge = (a: number, b: number): number => {
      const to = next();
      factors.push({ scope: [a, b, to], table: maxNodeTable(identity, levels, levels) });
      return to;
    };
    gather(shape, family, linked, take, merge);
    return { id: family.id, levels, acc0, out, folded, links };
  });
  const scopes = factors.map((f) => f.scope);
  return { cards, factors, families: built, partVariable, elimination: eliminate(cards, scopes, random) };
}

/**
 * Walks a family's subtree of the skeleton and calls `take` for each cause and `merge` where two branches meet. Returns how
 * many max nodes that makes with one accumulator waiting from the start: every cause and every merge but for the causes that
 * open a branch of their own.
 */
function gather(
  { node, cliques, near }: Skeleton,
  family: DraftFamily,
  linked: readonly DraftCause[],
  take: (cause: DraftCause, acc: number | undefined) => number,
  merge: (a: number, b: number) => number,
): { nodes: number } {
  const hub = node.get(`hub:${family.id}`) ?? -1;
  const self = node.get(family.id) ?? -1;
  let root = -1;
  cliques.forEach((c, i) => {
    if (c.has(hub) && c.has(self) && (root < 0 || c.size < (cliques[root]?.size ?? 0))) root = i;
  });
  const depth = new Map([[root, 0]]);
  const below = new Map<number, number[]>();
  const queue = [root];
  for (const c of queue) {
    for (const d of near[c] ?? []) {
      if (depth.has(d) || !cliques[d]?.has(hub)) continue;
      depth.set(d, (depth.get(c) ?? 0) + 1);
      below.set(c, [...(below.get(c) ?? []), d]);
      queue.push(d);
    }
  }
  const local = new Map<number, DraftCause[]>();
  for (const cause of linked) {
    const variable = node.get(`${cause.kind}:${cause.id}`) ?? -1;
    // The clique nearest the root that holds both: a cause is not fetched from farther down than need be.
    const at = queue.find((c) => cliques[c]?.has(variable)) ?? root;
    local.set(at, [...(local.get(at) ?? []), cause]);
  }
  let opened = 0;
  let merges = 0;
  const visit = (c: number): number | undefined => {
    let acc: number | undefined;
    for (const d of below.get(c) ?? []) {
      const branch = visit(d);
      if (branch === undefined) continue;
      if (acc === undefined) acc = branch;
      else {
        acc = merge(acc, branch);
        merges += 1;
      }
    }
    for (const cause of local.get(c) ?? []) {
      if (acc === undefined) opened += 1;
      acc = take(cause, acc);
    }
    return acc;
  };
  visit(root);
  return { nodes: linked.length - (opened - 1) + merges };
}
