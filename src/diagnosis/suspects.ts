// Ranks what may be wrong: parts that some reading made likelier, and causes that are not in the rules.
import { type Explained, explainCondition, UNMODELLED } from './explain.ts';
import { combine, posteriorOf } from './infer.ts';
import type { Network } from './network.ts';
import type { Belief, Evidence, Suspect } from './types.ts';

/** Log-odds by which readings must have raised a part before it is ranked at all. */
const RAISED = 0.7;
/** A cause outside the rules is shown from this probability on. */
const UNMODELLED_FROM = 0.15;

export interface RankOptions {
  readonly limit?: number;
  /** Also fill `because`, at a few milliseconds a suspect. Left empty otherwise; `explainSuspect` fills it on demand. */
  readonly because?: boolean;
}

/** P to natural log-odds, kept finite. */
export function logOdds(p: number): number {
  const q = Math.min(1 - 1e-12, Math.max(1e-12, p));
  return Math.log(q / (1 - q));
}

/**
 * Suspects, likeliest first. A part is ranked if the readings raised its odds by e^0.7 or more, or if it is likelier bad
 * than good; a dormant set's many probably-tired parts that no reading speaks of are not. Each part appears once, with its
 * likeliest mode; `unmodelled/<signal>` stands for a cause that the rules do not know.
 */
export function rankSuspects(
  network: Network,
  belief: Belief,
  evidence: readonly Evidence[],
  { limit = 10, because = false }: RankOptions = {},
): Suspect[] {
  const suspects: Suspect[] = [];
  for (const [id, node] of network.parts) {
    const now = belief.parts.get(id);
    if (!now || node.states.length < 2) continue;
    let fault = node.states[1] ?? '';
    let bad = 0;
    for (const state of node.states.slice(1)) {
      const p = now[state] ?? 0;
      bad += p;
      if (p > (now[fault] ?? 0)) fault = state;
    }
    const prior = node.prior.slice(1).reduce((a, b) => a + b, 0);
    const raised = logOdds(bad) - logOdds(prior);
    if (!(raised >= RAISED || (bad > 0.5 && raised > -0.05))) continue;
    const mode = node.part.faults.find((f) => f.id === fault);
    suspects.push({
      id: `${id}/${fault}`,
      part: id,
      fault,
      title: mode ? `${node.part.title}: ${mode.title}` : node.part.title,
      partProbability: bad,
      probability: now[fault] ?? 0,
      prior,
      because: [],
    });
  }
  const posterior = posteriorOf(network, belief);
  for (const [id, node] of network.signals) {
    // A leak cannot be active without its signal being wrong, so a healthy signal needs no look.
    if (1 - (belief.signals.get(id)?.normal ?? 1) < UNMODELLED_FROM) continue;
    const leak = posterior.leak(id);
    const active = leak.slice(1).reduce((a, b) => a + b, 0);
    if (active < UNMODELLED_FROM) continue;
    const prior = network.families[node.family]?.folded[0]?.prior.slice(1).reduce((a, b) => a + b, 0) ?? 0;
    suspects.push({
      id: `${UNMODELLED}/${id}`,
      part: UNMODELLED,
      fault: id,
      title: `A cause that is not in the rules, at: ${node.signal.title}`,
      partProbability: active,
      probability: active,
      prior,
      because: [],
    });
  }
  suspects.sort((a, b) => b.partProbability - a.partProbability || a.id.localeCompare(b.id));
  const ranked = suspects.slice(0, limit);
  if (!because) return ranked;
  const explained: Explained = {
    posterior,
    prior: network.prior(),
    weights: combine(network, evidence).weights,
    evidence,
  };
  return ranked.map((s) => ({ ...s, because: explainCondition(network, explained, s.id) }));
}
