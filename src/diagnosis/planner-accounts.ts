// Suspects that are as good as found, and what they do to the set by themselves: a signal that they make wrong anyway is no new puzzle.
import { LEVELS } from '../rulebook/types.ts';
import type { Network, PartNode } from './network.ts';
import { bySenses, readsWrong } from './planner-signs.ts';
import { logOdds } from './suspects.ts';
import type { Belief, Evidence } from './types.ts';

/** A suspect named as found. */
export const NAMED = 0.9;
/** Readings that must bear on a suspect before it is named. */
const READINGS_TO_NAME = 2;
/** Share of a part's P(bad) from which a mode counts as likely. */
const LIKELY_MODE = 0.2;

export interface PartBelief {
  readonly node: PartNode;
  /** P(bad), now and before any reading. */
  readonly bad: number;
  readonly prior: number;
}

/** Every part with what is believed of it. */
export function partBeliefs(network: Network, belief: Belief): PartBelief[] {
  return [...network.parts.values()].map((node) => ({
    node,
    bad: 1 - (belief.parts.get(node.id)?.ok ?? 1),
    prior: node.prior.slice(1).reduce((a, b) => a + b, 0),
  }));
}

/** Parts that are 0.9 or more likely bad, and not only because such parts usually are. */
export function namedParts(parts: readonly PartBelief[]): PartBelief[] {
  return parts.filter((s) => s.bad >= NAMED && logOdds(s.bad) > logOdds(s.prior) + 0.01);
}

/**
 * Whether two independent readings (variable and method) speak for a part being bad: they read itself, a signal that its likely modes upset,
 * or what such a signal feeds (no path between the blades of the plug speaks for the switch behind it), and read it wrong.
 */
export function isConfirmed(
  network: Network,
  node: PartNode,
  belief: Belief,
  evidence: readonly Evidence[],
): boolean {
  const upset = likelySignals(node, belief);
  const fed = upset.flatMap((s) => network.signals.get(s)?.feeds ?? []);
  const variables = new Set([`part:${node.id}`, ...[...upset, ...fed].map((s) => `signal:${s}`)]);
  const own = evidence.filter((e) => e.seq > 0 && variables.has(e.variable) && readsWrong(e));
  return new Set(own.map((e) => `${e.variable} ${e.method}`)).size >= READINGS_TO_NAME;
}

/** Signals that a part upsets in the modes that are likely now; a reading elsewhere does not speak for them. */
export function likelySignals(node: PartNode, belief: Belief): string[] {
  const now = belief.parts.get(node.id);
  const bad = 1 - (now?.ok ?? 1);
  const likely = node.part.faults.filter((f) => (now?.[f.id] ?? 0) >= LIKELY_MODE * bad);
  return node.signals.filter((s) => likely.some((f) => f.effects[s]));
}

/** What becomes of signals, each 0 to 1. */
export interface Consequence {
  /** P(signal `id` is not normal). */
  readonly wrong: (id: string) => number;
  /** P(signal `id` is not there at all). */
  readonly absent: (id: string) => number;
}

const NOTHING: Consequence = { wrong: () => 0, absent: () => 0 };
const lastFound = new WeakMap<Network, { readonly found: string; readonly follows: Consequence }>();

/**
 * What follows from the suspects that are found (named, and on two readings) if every other part is in order. Exact, at the cost of one
 * inference whenever somebody else is found or in another mode.
 */
export function consequencesOfFound(
  network: Network,
  belief: Belief,
  evidence: readonly Evidence[],
): Consequence {
  const found = new Map(
    namedParts(partBeliefs(network, belief))
      .filter(({ node }) => isConfirmed(network, node, belief, evidence))
      .map(({ node }) => [node.id, likeliestMode(node, belief)]),
  );
  if (found.size === 0) return NOTHING;
  const key = [...found].join(' ');
  const last = lastFound.get(network);
  if (last?.found === key) return last.follows;
  const follows = consequencesOf(network, found);
  lastFound.set(network, { found: key, follows });
  return follows;
}

/** What follows if the parts of `bad` have these faults and every other part is in order. Takes the network's second set of buffers. */
export function consequencesOf(network: Network, bad: ReadonlyMap<string, string>): Consequence {
  const weights = new Map(
    [...network.parts.values()].map((node) => {
      const state = Math.max(0, node.states.indexOf(bad.get(node.id) ?? ''));
      return [`part:${node.id}`, Float64Array.from(node.states, (_, i) => (i === state ? 1 : 0))];
    }),
  );
  const posterior = network.scratch();
  if (!posterior.load(weights)) return NOTHING;
  const made = new Map(
    [...network.signals].map(([id, { levels }]) => {
      const now = posterior.signal(id);
      return [id, { wrong: 1 - (now[0] ?? 1), absent: now[levels.indexOf('absent')] ?? 0 }];
    }),
  );
  return { wrong: (id) => made.get(id)?.wrong ?? 0, absent: (id) => made.get(id)?.absent ?? 0 };
}

/** A signal that a look found absent is taken for that while it is likelier so than not. */
const UNSEEN = 0.5;

/** Signals that the technician's own look or listening found absent, and nothing since has made that doubtful. */
export function unseen(belief: Belief, evidence: readonly Evidence[]): ReadonlySet<string> {
  const gone = new Set<string>();
  for (const { seq, method, variable, likelihood } of evidence) {
    if (seq === 0 || !bySenses(method) || !variable.startsWith('signal:')) continue;
    const id = variable.slice('signal:'.length);
    const none = likelihood[LEVELS.indexOf('absent')] ?? 0;
    if (none >= Math.max(...likelihood) && (belief.signals.get(id)?.absent ?? 0) >= UNSEEN) gone.add(id);
  }
  return gone;
}

/**
 * P(signal `id` shows nothing of itself), 0 to 1: it is wrong anyway, or what it is seen or heard by is not there, by what follows from
 * the suspects found or by the technician's own look (`dark`).
 */
export function hidden(
  network: Network,
  id: string,
  follows: Consequence,
  dark: ReadonlySet<string>,
): number {
  const through = network.signals.get(id)?.signal.shownBy ?? [];
  return Math.max(follows.wrong(id), ...through.map((by) => (dark.has(by) ? 1 : follows.absent(by))));
}

function likeliestMode(node: PartNode, belief: Belief): string {
  const now = belief.parts.get(node.id) ?? {};
  return node.states.slice(1).reduce((a, b) => ((now[b] ?? 0) > (now[a] ?? 0) ? b : a));
}
