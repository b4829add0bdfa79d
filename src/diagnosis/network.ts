// Builds the belief network of one set from the rulebook: what applies to it, priors, noisy-MAX families, junction tree.
import { factsOf, holds } from '../rulebook/facts.ts';
import {
  type Assembly,
  type EffectRow,
  LEVELS,
  type Level,
  type Part,
  type Rulebook,
  type SetFacts,
  type Signal,
} from '../rulebook/types.ts';
import { tableSize } from './factor.ts';
import { Posterior } from './infer-posterior.ts';
import { bestElimination, compileTree, type JunctionTree, TooWideError } from './junction-tree.ts';
import { planTrees, type TreePlan } from './network-trees.ts';

/** Most table entries that still give an answer within a key press. */
export const TABLE_BUDGET = 4e5;
/** Highest prior of one fault mode after all multipliers. */
const HIGHEST_PRIOR = 0.9;
/** Prior that a part just replaced is bad all the same. */
const NEW_PART_PRIOR = 0.01;

/** A rulebook that cannot become a network, with the reason in words a rule writer can act on. */
export class NetworkError extends Error {
  readonly kind: 'cycle' | 'too-wide' | 'unknown-signal';
  constructor(kind: NetworkError['kind'], message: string) {
    super(message);
    this.name = 'NetworkError';
    this.kind = kind;
  }
}

export interface SignalNode {
  readonly id: string;
  readonly signal: Signal;
  /** Levels that some cause can bring about, in dominance order; `normal` is first. */
  readonly levels: readonly Level[];
  readonly family: number;
  /** Signals that it depends on, and signals that depend on it. */
  readonly inputs: readonly string[];
  readonly feeds: readonly string[];
}

export interface PartNode {
  readonly id: string;
  readonly part: Part;
  /** `ok`, then the faults. */
  readonly states: readonly string[];
  readonly prior: Float64Array;
  /** Signals that its faults act on directly. */
  readonly signals: readonly string[];
  /** Variable in the tree for a part with several children, else -1. */
  readonly variable: number;
  /** Family that a part with one child is folded into, and its place there; -1 if there is none. */
  readonly family: number;
  readonly slot: number;
}

export interface AssemblyNode {
  readonly id: string;
  readonly assembly: Assembly;
  readonly parts: readonly string[];
  readonly family: number;
}

/** A cause folded into the first accumulator of its only child; slot 0 is always the leak (states = levels). */
export interface FoldedCause {
  /** Part id; '' = the leak. */
  readonly part: string;
  readonly prior: Float64Array;
  readonly rows: Float64Array;
}

/** A cause that keeps a node of its own in the tree. */
export interface LinkedCause {
  readonly kind: 'signal' | 'part';
  readonly id: string;
  readonly variable: number;
  readonly states: number;
  readonly rows: Float64Array;
  /** Accumulator that it is joined to, -1 if it opens a branch of its own; and the accumulator that results. */
  readonly acc: number;
  readonly out: number;
}

/** One noisy-MAX family: acc0 (folded causes) -> tree of max nodes -> the signal or assembly itself. */
export interface FamilyNode {
  readonly id: string;
  readonly levels: number;
  readonly acc0: number;
  readonly out: number;
  readonly folded: readonly FoldedCause[];
  readonly links: readonly LinkedCause[];
}

/** Everything about one set that does not change from reading to reading. */
export interface Network {
  readonly rulebook: Rulebook;
  readonly facts: Readonly<Record<string, string>>;
  readonly signals: ReadonlyMap<string, SignalNode>;
  readonly parts: ReadonlyMap<string, PartNode>;
  readonly assemblies: ReadonlyMap<string, AssemblyNode>;
  readonly families: readonly FamilyNode[];
  readonly tree: JunctionTree;
  /** Working buffers, reused from reading to reading. */
  readonly posterior: Posterior;
  /** The same without any evidence; made when first needed. */
  readonly prior: () => Posterior;
}

export interface CompileOptions {
  /** Parts replaced since: their prior starts anew. */
  readonly repaired?: readonly string[];
  /** Seed of the elimination search; any seed gives the same beliefs. */
  readonly seed?: number;
}

/**
 * Network of one set. About 100 ms: call it at intake, after a change of facts, and after a repair, never per reading.
 * Throws `NetworkError` on a loop among the signals or when exact inference would be too slow.
 */
export function compileNetwork(rulebook: Rulebook, set: SetFacts, options: CompileOptions = {}): Network {
  const facts = factsOf(rulebook, set);
  const draft = draftNetwork(rulebook, set, facts, new Set(options.repaired));
  const plan = planTrees(draft.families, draft.parts, options.seed ?? 1);
  const tree = treeOf(draft, plan);

  const parts = new Map<string, PartNode>();
  for (const part of draft.parts.values()) {
    const only = part.families.length === 1 ? (part.families[0] ?? -1) : -1;
    parts.set(part.part.id, {
      id: part.part.id,
      part: part.part,
      states: part.states,
      prior: part.prior,
      signals: part.signals,
      variable: plan.partVariable.get(part.part.id) ?? -1,
      family: only,
      slot: only < 0 ? -1 : (plan.families[only]?.folded.findIndex((c) => c.part === part.part.id) ?? -1),
    });
  }
  let prior: Posterior | undefined;
  const network: Network = {
    rulebook,
    facts,
    signals: draft.signals,
    parts,
    assemblies: draft.assemblies,
    families: plan.families,
    tree,
    get posterior() {
      return posterior;
    },
    prior: () => {
      if (!prior) {
        prior = new Posterior(network);
        prior.load(new Map());
      }
      return prior;
    },
  };
  const posterior = new Posterior(network);
  return network;
}

/** A cause of a family before it is known whether it keeps a node of its own. */
export interface DraftCause {
  readonly kind: 'signal' | 'part';
  readonly id: string;
  readonly states: number;
  readonly rows: Float64Array;
}

export interface DraftFamily {
  readonly id: string;
  readonly levels: number;
  readonly leak: Float64Array;
  readonly causes: DraftCause[];
}

export interface DraftPart {
  readonly part: Part;
  readonly states: readonly string[];
  readonly prior: Float64Array;
  readonly signals: readonly string[];
  readonly families: number[];
}

export interface Draft {
  readonly families: DraftFamily[];
  readonly signals: Map<string, SignalNode>;
  readonly parts: Map<string, DraftPart>;
  readonly assemblies: Map<string, AssemblyNode>;
}

export function draftNetwork(
  rulebook: Rulebook,
  set: SetFacts,
  facts: Readonly<Record<string, string>>,
  repaired: ReadonlySet<string>,
): Draft {
  const applies = rulebook.signals.filter((s) => holds(s.when, facts));
  const known = new Set(applies.map((s) => s.id));
  const inputsOf = new Map(
    applies.map((s) => {
      const first = new Map<string, Signal['inputs'][number]>();
      for (const input of s.inputs) {
        if (known.has(input.signal) && !first.has(input.signal) && holds(input.when, facts))
          first.set(input.signal, input);
      }
      return [s.id, [...first.values()]] as const;
    }),
  );
  const order = sortSignals(applies, (id) => (inputsOf.get(id) ?? []).map((i) => i.signal));

  const parts = new Map<string, DraftPart>();
  for (const part of rulebook.parts) {
    if (!holds(part.when, facts)) continue;
    const prior = priorOf(part, set, facts, repaired.has(part.id));
    const reached = new Set<string>();
    part.faults.forEach((fault, i) => {
      if ((prior[i + 1] ?? 0) <= 0) return;
      for (const [signal, row] of Object.entries(fault.effects))
        if (known.has(signal) && rowMass(row) > 0) reached.add(signal);
    });
    parts.set(part.id, {
      part,
      states: ['ok', ...part.faults.map((f) => f.id)],
      prior,
      signals: [...reached],
      families: [],
    });
  }

  const families: DraftFamily[] = [];
  const signals = new Map<string, SignalNode>();
  for (const signal of order) {
    const inputs = inputsOf.get(signal.id) ?? [];
    const acting = [...parts.values()].filter((p) => p.signals.includes(signal.id));
    const rows: EffectRow[] = [signal.leak];
    for (const input of inputs) {
      const levels = signals.get(input.signal)?.levels ?? [];
      for (const [level, row] of Object.entries(input.rows))
        if (row && levels.some((l) => l === level)) rows.push(row);
    }
    for (const { part, prior } of acting) {
      part.faults.forEach((fault, i) => {
        const row = fault.effects[signal.id];
        if (row && (prior[i + 1] ?? 0) > 0) rows.push(row);
      });
    }
    const levels = LEVELS.filter((l) => l === 'normal' || rows.some((row) => (row[l] ?? 0) > 0));
    if (levels.length < 2) levels.push('absent');
    const causes: DraftCause[] = [];
    for (const input of inputs) {
      const from = signals.get(input.signal)?.levels ?? [];
      causes.push({
        kind: 'signal',
        id: input.signal,
        states: from.length,
        rows: stack(
          from.map((l) => (l === 'normal' ? {} : (input.rows[l] ?? {}))),
          levels,
        ),
      });
    }
    for (const { part, states } of acting) {
      causes.push({
        kind: 'part',
        id: part.id,
        states: states.length,
        rows: stack([{}, ...part.faults.map((f) => f.effects[signal.id] ?? {})], levels),
      });
    }
    const family = families.length;
    for (const { families: list } of acting) list.push(family);
    families.push({
      id: `signal:${signal.id}`,
      levels: levels.length,
      leak: stack([signal.leak], levels),
      causes,
    });
    const feeds = applies.filter((s) => (inputsOf.get(s.id) ?? []).some((i) => i.signal === signal.id));
    signals.set(signal.id, {
      id: signal.id,
      signal,
      levels,
      family,
      inputs: inputs.map((i) => i.signal),
      feeds: feeds.map((s) => s.id),
    });
  }

  const assemblies = new Map<string, AssemblyNode>();
  for (const assembly of rulebook.assemblies) {
    if (!holds(assembly.when, facts)) continue;
    const members = [...parts.values()].filter((p) => p.part.assembly === assembly.id);
    if (members.length === 0) continue;
    const family = families.length;
    for (const { families: list } of members) list.push(family);
    families.push({
      id: `assembly:${assembly.id}`,
      levels: 2,
      leak: Float64Array.of(1, 0),
      causes: members.map(({ part, states }) => ({
        kind: 'part',
        id: part.id,
        states: states.length,
        rows: Float64Array.from(states.flatMap((_, q) => (q === 0 ? [1, 0] : [0, 1]))),
      })),
    });
    assemblies.set(assembly.id, {
      id: assembly.id,
      assembly,
      parts: members.map((p) => p.part.id),
      family,
    });
  }
  return { families, signals, parts, assemblies };
}

/** Prior over `ok` and the faults: column of the set's history x multipliers of its facts, each mode at most 0.9. */
function priorOf(
  part: Part,
  set: SetFacts,
  facts: Readonly<Record<string, string>>,
  repaired: boolean,
): Float64Array {
  const modes = part.faults.map((fault) => {
    let p = fault.prior[set.restored];
    for (const [fact, byValue] of Object.entries(fault.factors)) p *= byValue[facts[fact] ?? 'unknown'] ?? 1;
    return Math.min(HIGHEST_PRIOR, Math.max(0, p));
  });
  const total = modes.reduce((a, b) => a + b, 0);
  const limit = repaired ? NEW_PART_PRIOR : 0.95;
  const scale = total > 0 && (repaired || total > limit) ? limit / total : 1;
  return Float64Array.of(1 - total * scale, ...modes.map((p) => p * scale));
}

/** Effect rows as a states x levels table; what a row does not name is `normal`. Rows that add up to more than 1 are scaled. */
function stack(rows: readonly EffectRow[], levels: readonly Level[]): Float64Array {
  return Float64Array.from(
    rows.flatMap((row) => {
      const abnormal = levels.slice(1).map((l) => (l === 'normal' ? 0 : (row[l] ?? 0)));
      const total = abnormal.reduce((a, b) => a + b, 0);
      return total > 1 ? [0, ...abnormal.map((p) => p / total)] : [1 - total, ...abnormal];
    }),
  );
}

function rowMass(row: EffectRow): number {
  return Object.values(row).reduce((a, b) => a + (b ?? 0), 0);
}

/** Signals with every input before what it feeds; throws on a loop and prints it. */
function sortSignals(signals: readonly Signal[], inputs: (id: string) => readonly string[]): Signal[] {
  const byId = new Map(signals.map((s) => [s.id, s]));
  const done = new Set<string>();
  const open: string[] = [];
  const sorted: Signal[] = [];
  const visit = (id: string): void => {
    if (done.has(id)) return;
    if (open.includes(id)) {
      const loop = [...open.slice(open.indexOf(id)), id];
      throw new NetworkError(
        'cycle',
        `signals feed each other in a loop: ${loop.join(' <- ')}. Cut it by start-up order: one signal before the loop closes, another while it runs.`,
      );
    }
    open.push(id);
    for (const input of inputs(id)) visit(input);
    open.pop();
    done.add(id);
    const signal = byId.get(id);
    if (signal) sorted.push(signal);
  };
  for (const signal of signals) visit(signal.id);
  return sorted;
}

function treeOf(draft: Draft, plan: TreePlan): JunctionTree {
  try {
    return compileTree(
      { cards: plan.cards, factors: plan.factors },
      { elimination: plan.elimination, budget: TABLE_BUDGET },
    );
  } catch (error) {
    if (error instanceof TooWideError) throw tooWide(draft, plan);
    throw error;
  }
}

/** Names the parts whose effects, kept to one signal each, would shrink the tables most. */
function tooWide(draft: Draft, plan: TreePlan): NetworkError {
  const shared = [...plan.partVariable.entries()];
  const savings = shared
    .map(([id, variable]) => {
      // A part that acts on one signal only is folded away: its variable drops out of every scope.
      const scopes = plan.factors.map((f) => f.scope.filter((v) => v !== variable));
      const { entries } = bestElimination(plan.cards, scopes, 1, 1);
      return { id, saved: plan.elimination.entries - entries };
    })
    .sort((a, b) => b.saved - a.saved)
    .slice(0, 5)
    .filter((s) => s.saved > 0);
  const names = savings.map(({ id, saved }) => {
    const reach = draft.parts.get(id)?.signals.length ?? 0;
    return `${id} (acts on ${reach} signals, saves ${Math.round((100 * saved) / plan.elimination.entries)} %)`;
  });
  const largest = Math.max(...plan.elimination.cliques.map((c) => tableSize(plan.cards, c)));
  return new NetworkError(
    'too-wide',
    `the rules hang together too widely for an exact answer: ${plan.elimination.entries.toExponential(1)} table entries (largest ${largest.toExponential(1)}), at most ${TABLE_BUDGET.toExponential(0)} are allowed. ` +
      `Keep the effects of these parts to neighbouring signals, or put a signal between: ${names.join('; ')}.`,
  );
}
