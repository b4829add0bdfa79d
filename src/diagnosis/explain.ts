// Why a suspect is one: by how much each reading raised or lowered it, in log-odds, from a few what-if passes.
import { LEVELS } from '../rulebook/types.ts';
import { aligned, byMethod, combine, infer, isImpossible, posteriorOf, statesOf } from './infer.ts';
import type { Condition, Posterior, Weights } from './infer-posterior.ts';
import type { ReweighOptions } from './junction-tree-pass.ts';
import type { Network } from './network.ts';
import type { Evidence, Weight } from './types.ts';

/** Weights smaller than this are not worth a line. */
const LEAST_WEIGHT = 0.05;

/** Id of a cause outside the rules is this, a slash, and the signal that it upsets. */
export const UNMODELLED = 'unmodelled';

/** What `explainCondition` works on. */
export interface Explained {
  readonly posterior: Posterior;
  readonly prior: Posterior;
  readonly weights: Weights;
  readonly evidence: readonly Evidence[];
}

/**
 * Readings that moved a suspect (`section.part/fault`, `section.part` for any of its faults, `assembly:<id>`,
 * `signal:<id>/<level>`, or `unmodelled/<signal>`), strongest first, in natural log-odds; positive = raised.
 *
 * Each variable's readings are weighed twice, as if they came first (on the prior) and as if they came last (given all
 * others), and the two are averaged: that follows the average over all orders closely and depends on no order. Exact, since
 * P(e|f, others) = 1 / sum over v of P(v|f, all) / L(v). Where several checks read one variable, its weight is split by what
 * each said. The weights need not add up to the whole change: what is left, readings do together.
 */
export function explainSuspect(network: Network, evidence: readonly Evidence[], id: string): Weight[] {
  const belief = infer(network, evidence);
  if (isImpossible(belief)) return [];
  return explainCondition(
    network,
    {
      posterior: posteriorOf(network, belief),
      prior: network.prior(),
      weights: combine(network, evidence).weights,
      evidence,
    },
    id,
  );
}

/** As `explainSuspect`, on a posterior that is loaded already; `options` for where only the loudest reading is wanted. */
export function explainCondition(
  network: Network,
  explained: Explained,
  id: string,
  options: ReweighOptions = {},
): Weight[] {
  const question = questionOf(network, id);
  if (!question) return [];
  const { posterior, prior, weights, evidence } = explained;
  const variables = [...weights.keys()];
  const before = contrastBefore(network, prior, question, id);
  const after = contrast(posterior, question, variables, options);
  if (!before || !after) return [];
  const byCheck = new Map<string, number>();
  for (const variable of variables) {
    const likelihood = weights.get(variable) ?? new Float64Array(0);
    const first = before.get(variable);
    const last = after.get(variable);
    const firstIn = first ? Math.log(mean(first.yes, likelihood) / mean(first.no, likelihood)) : 0;
    const lastIn = last ? Math.log(inverseMean(last.no, likelihood) / inverseMean(last.yes, likelihood)) : 0;
    const weight = (firstIn + lastIn) / 2;
    if (!Number.isFinite(weight)) continue;
    const own = evidence.filter((e) => e.variable === variable);
    for (const [check, share] of split(network, variable, own, weight, first ?? last))
      byCheck.set(check, (byCheck.get(check) ?? 0) + share);
  }
  return [...byCheck]
    .map(([check, weight]) => ({ check, weight }))
    .filter((w) => Math.abs(w.weight) >= LEAST_WEIGHT)
    .sort((a, b) => Math.abs(b.weight) - Math.abs(a.weight) || a.check.localeCompare(b.check));
}

interface Question {
  readonly yes: Condition;
  readonly no: Condition;
}

function questionOf(network: Network, id: string): Question | undefined {
  const pair = (kind: Condition['kind'], name: string, yes: Float64Array): Question => ({
    yes: { kind, id: name, weights: yes },
    no: { kind, id: name, weights: yes.map((w) => 1 - w) },
  });
  if (id.startsWith('assembly:'))
    return network.assemblies.has(id.slice(9))
      ? pair('assembly', id.slice(9), Float64Array.of(0, 1))
      : undefined;
  const [name = '', fault] = id.split('/');
  if (name.startsWith('signal:')) {
    const levels = network.signals.get(name.slice(7))?.levels;
    if (!levels?.some((l) => l === fault)) return undefined;
    return pair(
      'signal',
      name.slice(7),
      Float64Array.from(levels, (l) => (l === fault ? 1 : 0)),
    );
  }
  if (name === UNMODELLED && fault !== undefined) {
    const levels = network.signals.get(fault)?.levels;
    return levels
      ? pair(
          'leak',
          fault,
          Float64Array.from(levels, (_, i) => (i > 0 ? 1 : 0)),
        )
      : undefined;
  }
  const states = network.parts.get(name)?.states;
  if (!states || (fault !== undefined && !states.includes(fault))) return undefined;
  return pair(
    'part',
    name,
    Float64Array.from(states, (s, i) => (fault === undefined ? (i > 0 ? 1 : 0) : s === fault ? 1 : 0)),
  );
}

interface Contrast {
  readonly yes: Float64Array;
  readonly no: Float64Array;
}

const contrastsBefore = new WeakMap<Posterior, Map<string, ReadonlyMap<string, Contrast> | undefined>>();

/** The contrast without any reading: the same for every reading to come, so worked out once a question. */
function contrastBefore(
  network: Network,
  prior: Posterior,
  question: Question,
  id: string,
): ReadonlyMap<string, Contrast> | undefined {
  const known = contrastsBefore.get(prior) ?? new Map<string, ReadonlyMap<string, Contrast> | undefined>();
  contrastsBefore.set(prior, known);
  if (!known.has(id)) {
    const all = [
      ...[...network.signals.keys()].map((s) => `signal:${s}`),
      ...[...network.parts.keys()].map((p) => `part:${p}`),
    ];
    known.set(id, contrast(prior, question, all));
  }
  return known.get(id);
}

/** Distribution of each variable if the answer were yes and if it were no; variables that do not move are left out. */
function contrast(
  posterior: Posterior,
  question: Question,
  variables: readonly string[],
  options: ReweighOptions = {},
): ReadonlyMap<string, Contrast> | undefined {
  const read = (variable: string): Float64Array =>
    variable.startsWith('signal:')
      ? posterior.signal(variable.slice(7), true)
      : posterior.part(variable.slice(5), true);
  if (!(posterior.suppose(question.yes, options) > 0)) return undefined;
  const yes = new Map(
    variables
      .filter((v) =>
        v.startsWith('signal:') ? posterior.moved('signal', v.slice(7)) : posterior.moved('part', v.slice(5)),
      )
      .map((v) => [v, read(v)]),
  );
  if (!(posterior.suppose(question.no, options) > 0)) return undefined;
  return new Map([...yes].map(([v, p]) => [v, { yes: p, no: read(v) }]));
}

function mean(p: Float64Array, likelihood: Float64Array): number {
  return p.reduce((sum, x, i) => sum + x * (likelihood[i] ?? 0), 0);
}

function inverseMean(p: Float64Array, likelihood: Float64Array): number {
  return p.reduce((sum, x, i) => ((likelihood[i] ?? 0) > 0 ? sum + x / (likelihood[i] as number) : sum), 0);
}

/** Splits a variable's weight among the checks that read it: each gets what it alone speaks against, what several say alike is shared, the rest goes evenly. */
function split(
  network: Network,
  variable: string,
  evidence: readonly Evidence[],
  weight: number,
  between: Contrast | undefined,
): [string, number][] {
  const counted = byMethod(evidence);
  const checks = [...new Set(counted.flat().map((e) => e.check))];
  if (checks.length < 2) return checks.map((check) => [check, weight]);
  const states = statesOf(network, variable) ?? LEVELS;
  const pulls = new Map(checks.map((check) => [check, 0]));
  for (const opinions of counted) {
    const vectors = opinions.map((one) => aligned(states, one).map((l) => Math.log(Math.max(l, 1e-9))));
    states.forEach((_, s) => {
      const least = Math.min(...vectors.map((v) => v[s] ?? 0));
      const loudest = opinions.filter((_, n) => (vectors[n]?.[s] ?? 0) <= least + 1e-9);
      const pull = least * ((between?.yes[s] ?? 0) - (between?.no[s] ?? 0));
      for (const one of loudest) pulls.set(one.check, (pulls.get(one.check) ?? 0) + pull / loudest.length);
    });
  }
  const rest = (weight - [...pulls.values()].reduce((sum, pull) => sum + pull, 0)) / checks.length;
  return [...pulls].map(([check, pull]) => [check, pull + rest]);
}
