// The belief network of one set: its nodes and families, and how it is compiled from the rulebook.
import { factsOf } from '../rulebook/facts.ts';
import type { Assembly, Level, Part, Rulebook, SetFacts, Signal } from '../rulebook/types.ts';
import { Posterior } from './infer-posterior.ts';
import { compileTree, type JunctionTree, TooWideError } from './junction-tree.ts';
import { type Draft, draftNetwork } from './network-draft.ts';
import { planTrees, type TreePlan } from './network-trees.ts';
import { TABLE_BUDGET, tooWide } from './network-width.ts';

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
  /** A second set of buffers, for evidence that is only supposed; made when first needed. */
  readonly scratch: () => Posterior;
}

export interface CompileOptions {
  /** Parts replaced since: their prior starts anew. */
  readonly repaired?: readonly string[];
  /** Seed of the elimination search; any seed gives the same beliefs. */
  readonly seed?: number;
}

/** Seed offset and number of runs of each search for a narrow tree. */
const SEARCHES = [
  [0, 12],
  [1000, 48],
] as const;

/**
 * Network of one set. A few tenths of a second: call it at intake, after a change of facts, and after a repair, never per reading.
 * Throws `NetworkError` on a loop among the signals or when exact inference would be too slow.
 */
export function compileNetwork(rulebook: Rulebook, set: SetFacts, options: CompileOptions = {}): Network {
  const facts = factsOf(rulebook, set);
  const draft = draftNetwork(rulebook, set, facts, new Set(options.repaired));
  const { plan, tree } = settle(draft, options.seed ?? 1);

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
  let scratch: Posterior | undefined;
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
    scratch: () => {
      scratch ??= new Posterior(network);
      return scratch;
    },
  };
  const posterior = new Posterior(network);
  return network;
}

/** Shape and tree of the network; looks longer for a narrow one before it gives up. */
function settle(draft: Draft, seed: number): { plan: TreePlan; tree: JunctionTree } {
  let last: TreePlan | undefined;
  for (const [start, restarts] of SEARCHES) {
    const plan = planTrees(draft.families, draft.parts, seed + start, restarts);
    try {
      const tree = compileTree(
        { cards: plan.cards, factors: plan.factors },
        { elimination: plan.elimination, budget: TABLE_BUDGET },
      );
      return { plan, tree };
    } catch (error) {
      if (!(error instanceof TooWideError)) throw error;
      last = plan;
    }
  }
  if (!last) throw new Error('no search was made');
  throw tooWide(draft, last);
}
