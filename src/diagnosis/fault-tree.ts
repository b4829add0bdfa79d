// The live fault tree of a signal that is not right: what feeds it, which parts act on it, and which of them is to blame.
import { UNMODELLED } from './explain.ts';
import { posteriorOf } from './infer.ts';
import type { Posterior } from './infer-posterior.ts';
import type { Network } from './network.ts';
import type { Belief, FaultTreeNode } from './types.ts';

/** A cause is cleared when readings brought it below this ... */
const CLEARED_BELOW = 0.1;
/** ... and below this share of what it was before any reading. */
const CLEARED_SHARE = 0.3;

/**
 * Fault tree under `signalId`, `depth` signals deep. Each child carries P(not right) and its responsibility: given that the
 * parent is not right, the probability that this child on its own puts it where it is. The first alone misleads (a weak
 * part that does not matter here may well be bad). Children come most responsible first. Exact.
 * Undefined if this set has no such signal.
 */
export function faultTree(
  network: Network,
  belief: Belief,
  signalId: string,
  depth = 3,
): FaultTreeNode | undefined {
  if (!network.signals.has(signalId)) return undefined;
  const posterior = posteriorOf(network, belief);
  const known = new Map<string, FaultTreeNode>();
  return signalNode(network, belief, posterior, known, signalId, 1, depth);
}

function signalNode(
  network: Network,
  belief: Belief,
  posterior: Posterior,
  known: Map<string, FaultTreeNode>,
  id: string,
  responsibility: number,
  depth: number,
): FaultTreeNode {
  const key = `${id} ${depth}`;
  const done = known.get(key);
  if (done) return { ...done, responsibility };
  const node = network.signals.get(id);
  const bad = 1 - (belief.signals.get(id)?.normal ?? 1);
  const before = 1 - (network.prior().signal(id)[0] ?? 1);
  const children: FaultTreeNode[] = [];
  if (node && depth > 0) {
    const shares = posterior.responsibilities(id);
    const share = (child: string): number => (bad > 1e-9 ? Math.min(1, (shares.get(child) ?? 0) / bad) : 0);
    for (const input of node.inputs)
      children.push(
        signalNode(network, belief, posterior, known, input, share(`signal:${input}`), depth - 1),
      );
    for (const [partId, part] of network.parts) {
      if (!part.signals.includes(id)) continue;
      const p = 1 - (belief.parts.get(partId)?.ok ?? 1);
      children.push({
        id: partId,
        kind: 'part',
        title: part.part.title,
        probability: p,
        responsibility: share(`part:${partId}`),
        cleared: cleared(p, 1 - (part.prior[0] ?? 1)),
        children: [],
      });
    }
    const leak = posterior
      .leak(id)
      .slice(1)
      .reduce((a, b) => a + b, 0);
    children.push({
      id: `${UNMODELLED}/${id}`,
      kind: 'unmodelled',
      title: 'A cause that is not in the rules',
      probability: leak,
      responsibility: share('leak'),
      cleared: false,
      children: [],
    });
    children.sort((a, b) => b.responsibility - a.responsibility || b.probability - a.probability);
  }
  const made: FaultTreeNode = {
    id,
    kind: 'signal',
    title: node?.signal.title ?? id,
    probability: bad,
    responsibility,
    cleared: cleared(bad, before),
    children,
  };
  known.set(key, made);
  return made;
}

function cleared(now: number, before: number): boolean {
  return now < CLEARED_BELOW && now < CLEARED_SHARE * before;
}
