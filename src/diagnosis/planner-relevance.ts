// How much a signal or part matters to what is to be settled: outcomes, and signals that are likely not right.
import type { Network } from './network.ts';
import { type Consequence, hidden } from './planner-accounts.ts';
import type { Belief } from './types.ts';

/** A signal this likely not right is something to be explained. */
const ABNORMAL = 0.3;

/** A sign counts at least this much, however unlikely the belief makes it: somebody saw or heard it. */
const SIGN = 0.5;

/** Weight of `signal:<id>` or `part:<id>`, 0 to 1. */
export type Relevance = (variable: string) => number;

/**
 * w(a) = highest P(bad) among outcome and abnormal signals that a feeds or is; a signal of a sign (`seen`) counts at least 0.5. A signal counts max(0.1, w), an outcome at
 * least 0.5; a part counts w of what it acts on, times how far readings have raised it: 1 above twice its prior, 0.5 above
 * 1.2, 0.15 above 0.7, else 0.05; at least 0.02.
 */
export function relevanceOf(
  network: Network,
  belief: Belief,
  seen: ReadonlySet<string>,
  follows: Consequence,
  dark: ReadonlySet<string>,
): Relevance {
  const weights = new Map<string, number>();
  const weight = (id: string): number => {
    const known = weights.get(id);
    if (known !== undefined) return known;
    const node = network.signals.get(id);
    if (!node) return 0;
    const bad = 1 - (belief.signals.get(id)?.normal ?? 1);
    const open = 1 - follows.wrong(id);
    let w = node.signal.outcome || bad > ABNORMAL ? open * bad : 0;
    if (seen.has(id)) w = Math.max(w, open * SIGN);
    for (const next of node.feeds) w = Math.max(w, weight(next));
    weights.set(id, w);
    return w;
  };
  return (variable) => {
    if (variable.startsWith('signal:')) {
      const id = variable.slice(7);
      const outcome = network.signals.get(id)?.signal.outcome ?? false;
      return Math.max((outcome ? 0.5 : 0.1) * (1 - hidden(network, id, follows, dark)), weight(id));
    }
    const id = variable.slice(5);
    const node = network.parts.get(id);
    if (!node) return 0;
    const bad = 1 - (belief.parts.get(id)?.ok ?? 1);
    const prior = node.prior.slice(1).reduce((a, b) => a + b, 0);
    const ratio = prior > 0 ? bad / prior : 0;
    const raised = ratio > 2 ? 1 : ratio > 1.2 ? 0.5 : ratio > 0.7 ? 0.15 : 0.05;
    return Math.max(0.02, raised * Math.max(0, ...node.signals.map(weight)));
  };
}
