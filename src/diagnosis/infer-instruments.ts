// Instruments that lie, found from all readings together: the network is asked once for each lie that the readings give ground for.
import { aligned, combine, combineOne, posteriorOf, statesOf } from './infer.ts';
import {
  evidenceUnder,
  type Lie,
  lieKey,
  type Source,
  softened,
  sourcesOf,
} from './likelihood-instruments.ts';
import type { Network } from './network.ts';
import type { Belief, Evidence, JudgedReading } from './types.ts';

/** Chance beforehand that an instrument on a bench, or a return point, is wrong throughout. Judgement, no source. */
const PRIOR = 0.02;
/** What is left of that for an instrument that read a known source right the same evening: other ranges may still be off. Judgement, no source. */
const IF_PROVEN = 0.1;
/** Readings by one source before it can be doubted: one that does not fit is a slip, not an instrument. */
const LEAST_READINGS = 2;
/** A lie is worked out exactly if a rough reckoning brings it to this chance, above what it had beforehand ... */
const WORTH_ASKING = 0.03;
/** ... and no more of them than this at one reading: each costs a pass of the network. */
const ASKED_AT_MOST = 4;
/** Below this chance readings are taken as they stand. */
export const TAKEN_AS_READ = 0.02;

/** A source that may lie, with the readings that came from it. */
export interface DoubtedSource {
  readonly source: Source;
  /** P(it lies, in any way | all readings). */
  readonly probability: number;
  readonly likeliest: Lie;
  readonly readings: readonly JudgedReading[];
}

/** Evidence with the readings of doubted sources counting less, and those sources, most doubted first. */
export interface Weighed {
  readonly evidence: readonly Evidence[];
  readonly doubted: readonly DoubtedSource[];
}

interface Hypothesis {
  readonly source: Source;
  readonly lie: Lie;
  readonly prior: number;
  /** Honest evidence of one of the source's readings -> the same under the lie. */
  readonly swap: ReadonlyMap<Evidence, Evidence>;
}

const underLie = new WeakMap<JudgedReading, Map<string, readonly Evidence[]>>();

function lying(reading: JudgedReading, lie: Lie, honest: readonly Evidence[]): readonly Evidence[] {
  const known = underLie.get(reading) ?? new Map<string, readonly Evidence[]>();
  underLie.set(reading, known);
  const key = lieKey(lie);
  const made = known.get(key) ?? evidenceUnder(reading, lie, honest);
  known.set(key, made);
  return made;
}

/**
 * Weighs readings by how far their instrument and return point can be believed. Exactly one source lies or none does: for every lie with
 * ground, P(lie | readings) = prior x P(readings | lie) over the sum of all, each P(readings | ...) from a pass of the network with the
 * readings of that source scored as the lie would have made them. A rough reckoning (every reading for itself, against what the other
 * readings say of it and against what is known beforehand) spares the passes for lies that nothing speaks for.
 *
 * `belief` must be the one from `evidence` as it stands; `proven` are ids of sources that were read against a known value. Returns the same `evidence` if no source is doubted.
 */
export function weighInstruments(
  network: Network,
  belief: Belief,
  evidence: readonly Evidence[],
  readings: readonly JudgedReading[],
  proven: ReadonlySet<string> = NONE,
): Weighed {
  const bySeq = new Map<number, Evidence[]>();
  for (const one of evidence) bySeq.set(one.seq, [...(bySeq.get(one.seq) ?? []), one]);
  const groups = groupsOf(readings.filter((r) => bySeq.has(r.seq)));
  const odds = new Map<Evidence, Rest>();
  const posterior = posteriorOf(network, belief);
  const prior = network.prior();
  const restOf = (one: Evidence): Rest => {
    const known = odds.get(one);
    if (known) return known;
    const states = statesOf(network, one.variable) ?? [];
    const id = one.variable.slice(one.variable.indexOf(':') + 1);
    const isPart = one.variable.startsWith('part:');
    const now = states.length === 0 ? NOTHING : isPart ? posterior.part(id) : posterior.signal(id);
    const before = states.length === 0 ? NOTHING : isPart ? prior.part(id) : prior.signal(id);
    const all = evidence.filter((e) => e.variable === one.variable);
    const made = { states, before, without: leftOut(states, now, all, one) };
    odds.set(one, made);
    return made;
  };
  const hypotheses: { hypothesis: Hypothesis; rough: number }[] = [];
  for (const { source, own } of groups.values()) {
    if (own.length < LEAST_READINGS) continue;
    for (const lie of source.lies) {
      const swap = new Map<Evidence, Evidence>();
      let [against, alone] = [0, 0];
      for (const reading of own) {
        const honest = bySeq.get(reading.seq) ?? [];
        const other = lying(reading, lie, honest);
        honest.forEach((one, n) => {
          const under = other[n];
          if (!under || under === one) return;
          swap.set(one, under);
          const { states, before, without } = restOf(one);
          against += logRatio(states, without, under, one);
          alone += logRatio(states, before, under, one);
        });
      }
      const share = (PRIOR * (proven.has(source.id) ? IF_PROVEN : 1)) / source.lies.length;
      const rough = Math.log(share) + Math.max(against, alone);
      if (swap.size > 0 && rough > Math.log(WORTH_ASKING))
        hypotheses.push({ hypothesis: { source, lie, prior: share, swap }, rough });
    }
  }
  const asked = hypotheses.sort((a, b) => b.rough - a.rough).slice(0, ASKED_AT_MOST);
  if (asked.length === 0) return { evidence, doubted: [] };
  return weigh(
    network,
    belief,
    evidence,
    groups,
    asked.map((h) => h.hypothesis),
  );
}

const NOTHING = new Float64Array(0);
const NONE: ReadonlySet<string> = new Set();

interface Rest {
  readonly states: readonly string[];
  readonly before: Float64Array;
  readonly without: Float64Array;
}

/** What is believed of a variable without some of the readings on it: their weight is divided out. Sums to 1. */
export function leftOut(
  states: readonly string[],
  now: Float64Array,
  all: readonly Evidence[],
  ...gone: readonly Evidence[]
): Float64Array {
  const withIt = combineOne(states, all).vector;
  const without = combineOne(
    states,
    all.filter((e) => !gone.includes(e)),
  ).vector;
  const rest = now.map((p, s) =>
    (withIt[s] ?? 0) > 0 ? (p * (without[s] ?? 0)) / (withIt[s] as number) : 0,
  );
  const total = rest.reduce((a, b) => a + b, 0);
  return total > 0 ? rest.map((p) => p / total) : rest;
}

/** ln P(reading | under) - ln P(reading | as it stands), the variable being distributed as `p`. */
function logRatio(states: readonly string[], p: Float64Array, under: Evidence, one: Evidence): number {
  const mass = (e: Evidence): number =>
    (e.scale ?? 1) * aligned(states, e).reduce((sum, l, s) => sum + l * (p[s] ?? 0), 0);
  const [a, b] = [mass(under), mass(one)];
  return a > 0 && b > 0 ? Math.log(a / b) : 0;
}

function groupsOf(
  readings: readonly JudgedReading[],
): ReadonlyMap<string, { readonly source: Source; readonly own: JudgedReading[] }> {
  const groups = new Map<string, { source: Source; own: JudgedReading[] }>();
  for (const reading of readings)
    for (const source of sourcesOf(reading)) {
      const group = groups.get(source.id) ?? { source, own: [] };
      group.own = [...group.own.filter((r) => r.check.id !== reading.check.id), reading];
      groups.set(source.id, group);
    }
  return groups;
}

/** The exact part: one pass for each hypothesis. */
function weigh(
  network: Network,
  belief: Belief,
  evidence: readonly Evidence[],
  groups: ReadonlyMap<string, { readonly source: Source; readonly own: readonly JudgedReading[] }>,
  hypotheses: readonly Hypothesis[],
): Weighed {
  const dense = (one: Evidence): Evidence => ({
    ...one,
    likelihood: one.likelihood.map((l) => l * (one.scale ?? 1)),
  });
  const asRead = evidence.map(dense);
  // The belief is there already: only what scaling took out of its likelihoods is added.
  const honest = belief.logEvidence - combine(network, evidence).log + combine(network, asRead).log;
  const scored = hypotheses.flatMap((hypothesis) => {
    const { weights, log } = combine(
      network,
      evidence.map((one) => dense(hypothesis.swap.get(one) ?? one)),
    );
    const chance = network.scratch().chance(weights);
    return chance > Number.NEGATIVE_INFINITY
      ? [{ hypothesis, weight: hypothesis.prior * Math.exp(Math.min(700, chance + log - honest)) }]
      : [];
  });
  const total = scored.reduce((sum, s) => sum + s.weight, 1 - PRIOR * groups.size);
  const chances = scored.map(({ hypothesis, weight }) => ({ hypothesis, probability: weight / total }));
  const doubted: DoubtedSource[] = [];
  for (const { source, own } of groups.values()) {
    const ways = chances.filter((c) => c.hypothesis.source === source);
    const probability = ways.reduce((sum, w) => sum + w.probability, 0);
    const likeliest = ways.toSorted((a, b) => b.probability - a.probability)[0]?.hypothesis.lie;
    if (likeliest && probability >= TAKEN_AS_READ)
      doubted.push({ source, probability, likeliest, readings: own });
  }
  if (doubted.length === 0) return { evidence, doubted };
  const weighed = evidence.map((one) => {
    const lies = chances.flatMap(({ hypothesis, probability }) => {
      const under = hypothesis.swap.get(one);
      return under ? [{ evidence: under, probability }] : [];
    });
    return lies.length > 0 ? softened(one, lies) : one;
  });
  return { evidence: weighed, doubted: doubted.sort((a, b) => b.probability - a.probability) };
}
