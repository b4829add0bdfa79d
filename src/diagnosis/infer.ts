// From readings' likelihoods to belief: combines what bears on one variable, runs the network, states the posterior of everything.
import { LEVELS, type Level } from '../rulebook/types.ts';
import type { Posterior, Weights } from './infer-posterior.ts';
import type { Network } from './network.ts';
import type { Belief, Evidence } from './types.ts';

/** Evidence that no state of the network allows. Cannot come from `evidenceOf`, whose likelihoods are never zero. */
export interface Impossible {
  readonly impossible: string;
  /** Sequence numbers of the readings that rule out every state of one variable; empty if they do so only together. */
  readonly seqs: readonly number[];
}

export function isImpossible(result: Belief | Impossible): result is Impossible {
  return 'impossible' in result;
}

/** Check id of what the owner said; a technician's own observation of the same thing by the same method replaces it. */
export const COMPLAINT = 'complaint';

/**
 * Posterior of every signal, part and assembly given `evidence`, in any order. Exact. About 3 ms for a full rule pack.
 * Evidence on variables that this set does not have is left aside.
 */
export function infer(network: Network, evidence: readonly Evidence[]): Belief | Impossible {
  const { weights, log } = combine(network, evidence);
  for (const [variable, one] of weights) {
    if (one.some((p) => p > 0)) continue;
    const seqs = evidence.filter((e) => e.variable === variable).map((e) => e.seq);
    return { impossible: `the readings on ${variable} leave no state possible`, seqs };
  }
  const { posterior } = network;
  if (!posterior.load(weights))
    return { impossible: 'the readings together leave no state of the set possible', seqs: [] };
  const belief: Belief = {
    signals: new Map(
      [...network.signals].map(([id, node]) => {
        const p = posterior.signal(id);
        const byLevel: Record<Level, number> = { normal: 0, high: 0, low: 0, absent: 0 };
        node.levels.forEach((level, i) => {
          byLevel[level] = p[i] ?? 0;
        });
        return [id, byLevel];
      }),
    ),
    parts: new Map(
      [...network.parts].map(([id, node]) => {
        const p = posterior.part(id);
        return [id, Object.fromEntries(node.states.map((state, i) => [state, p[i] ?? 0]))];
      }),
    ),
    assemblies: new Map([...network.assemblies.keys()].map((id) => [id, posterior.assembly(id)])),
    logEvidence: posterior.logEvidence + log,
  };
  posterior.owner = belief;
  weightsBehind.set(belief, weights);
  return belief;
}

const weightsBehind = new WeakMap<Belief, Weights>();

/** The buffers behind a belief that `infer` gave, filled again if another body of evidence has used them since. */
export function posteriorOf(network: Network, belief: Belief): Posterior {
  const { posterior } = network;
  if (posterior.owner !== belief) {
    const weights = weightsBehind.get(belief);
    if (!weights || !posterior.load(weights)) throw new Error('this belief does not come from this network');
    posterior.owner = belief;
  }
  return posterior;
}

/** States that a variable's combined weights run over; undefined if this set does not have it. */
export function statesOf(network: Network, variable: string): readonly string[] | undefined {
  if (variable.startsWith('signal:')) return network.signals.get(variable.slice(7))?.levels;
  return network.parts.get(variable.slice(5))?.states;
}

/** Combined weights per variable, each scaled so that its largest is 1, and the log of what the scaling took out. */
export function combine(
  network: Network,
  evidence: readonly Evidence[],
): { readonly weights: Weights; readonly log: number } {
  const byVariable = new Map<string, Evidence[]>();
  for (const one of evidence) {
    const list = byVariable.get(one.variable);
    if (list) list.push(one);
    else byVariable.set(one.variable, [one]);
  }
  const weights = new Map<string, Float64Array>();
  let log = 0;
  for (const [variable, list] of byVariable) {
    const states = statesOf(network, variable);
    if (!states) continue;
    const one = combineOne(states, list);
    weights.set(variable, one.vector);
    log += one.log;
  }
  return { weights, log };
}

/**
 * Weights of one variable from all evidence on it. Readings by one method share their error (the same meter, the same
 * eye), so a method speaks against each state once: with the reading that speaks loudest against it. Readings that agree
 * then count as the sharpest of them does, a vague one beside a sharp one takes nothing away, and two that contradict each
 * other leave what the stronger has over the weaker. Of one check by one instrument the last reading holds; two instruments
 * are two opinions. Different methods multiply. What the owner said gives way to what the technician saw or heard himself.
 * The order of `evidence` does not matter; `seq` decides what is last.
 */
export function combineOne(
  states: readonly string[],
  evidence: readonly Evidence[],
): { readonly vector: Float64Array; readonly log: number } {
  const logs = new Float64Array(states.length);
  let log = 0;
  for (const opinions of byMethod(evidence)) {
    const vectors = opinions.map((one) => aligned(states, one));
    const best = vectors.map((v) => Math.max(...v));
    if (best.includes(0)) return { vector: new Float64Array(states.length), log: Number.NEGATIVE_INFINITY };
    log += best.reduce((sum, b) => sum + Math.log(b), 0) / best.length;
    for (let s = 0; s < states.length; s += 1)
      logs[s] =
        (logs[s] as number) +
        Math.log(Math.min(...vectors.map((v, n) => (v[s] as number) / (best[n] as number))));
  }
  const highest = Math.max(...logs);
  if (highest === Number.NEGATIVE_INFINITY) return { vector: new Float64Array(states.length), log: highest };
  return { vector: logs.map((l) => Math.exp(l - highest)), log: log + highest };
}

/** Evidence on one variable that counts, by method: the last of each check and instrument, the owner's word only where nobody looked. */
export function byMethod(evidence: readonly Evidence[]): Evidence[][] {
  const methods = new Map<string, Map<string, Evidence>>();
  for (const one of [...evidence].sort((a, b) => a.seq - b.seq)) {
    const opinions = methods.get(one.method) ?? new Map<string, Evidence>();
    opinions.set(one.instrument ? `${one.check} ${one.instrument}` : one.check, one);
    methods.set(one.method, opinions);
  }
  return [...methods.keys()].sort().map((method) => {
    const opinions = methods.get(method) as Map<string, Evidence>;
    if (opinions.size > 1) opinions.delete(COMPLAINT);
    return [...opinions.keys()].sort().map((key) => opinions.get(key) as Evidence);
  });
}

/** Likelihood in the order of `states`; a fault that the reading does not name behaves as `ok`. */
export function aligned(
  states: readonly string[],
  evidence: Evidence,
  values = evidence.likelihood,
): number[] {
  const named = evidence.states ?? (evidence.variable.startsWith('signal:') ? LEVELS : states);
  const whole = named.indexOf('ok');
  return states.map((state) => {
    const at = named.indexOf(state);
    return values[at >= 0 ? at : whole] ?? 1;
  });
}
