// Conflicts of several readings at once: points exchanged, two opinions on one thing, an instrument or a return point that is wrong throughout.
import type { Fit } from './conflicts.ts';
import { proofOf, sayDisagree, sayInstrument, saySwapped } from './conflicts-words.ts';
import { aligned, combine, posteriorOf, statesOf } from './infer.ts';
import { type DoubtedSource, leftOut } from './infer-instruments.ts';
import type { Posterior } from './infer-posterior.ts';
import { evidenceOf } from './likelihood.ts';
import type { Network } from './network.ts';
import type { Belief, Conflict, Evidence, JudgedReading } from './types.ts';

/** An instrument this likely to lie is called out. */
const CALLED_OUT = 0.3;
/** Chance beforehand that two neighbouring readings were taken at each other's points. Judgement, no source. */
const SWAPPED = 0.003;
/** Readings at most this far apart in the record are taken for exchanged. */
const NEIGHBOURS = 3;
/** Exchanged readings are called out from this chance on; a rough reckoning must leave them a fifth of that before it is worked out. */
const SWAPPED_FROM = 0.25;
/** A reading that fits better than this needs no partner to be exchanged with. */
const FITS = 0.05;
/** Two opinions contradict each other if they are this far apart about some pair of states, each way (odds). */
const CONTRADICTS = 5;
/** Below this chance one of the two has lost, and nothing is left to say. */
const DECIDED = 0.05;
/** What the others say of two opinions is asked for at most this many pairs at one reading: each costs a pass of the network. */
const ASKED_AT_MOST = 2;

/** Instruments and return points that are doubted, one conflict each, under the reading of theirs that fits least. */
export function doubtedInstruments(doubted: readonly DoubtedSource[], fits: readonly Fit[]): Conflict[] {
  return doubted
    .filter((d) => d.probability >= CALLED_OUT)
    .map((d): Conflict => {
      const seqs = d.readings.map((r) => r.seq);
      const own = fits.filter((f) => seqs.includes(f.evidence.seq));
      const least = own.toSorted((a, b) => a.surprise - b.surprise)[0];
      const last = d.readings.at(-1);
      return {
        seq: least?.evidence.seq ?? last?.seq ?? 0,
        check: least?.evidence.check ?? last?.check.id ?? '',
        surprise: least?.surprise ?? 1,
        slip: {
          kind: d.source.id === 'return-point' ? 'return-point' : 'instrument',
          probability: d.probability,
        },
        readings: seqs,
        prove: proofOf(d),
        say: sayInstrument(d),
      };
    });
}

/**
 * Pairs of readings of one quantity that fit better at each other's points. Reckoned roughly from what the others say of each, then
 * exactly: P(all readings | exchanged) against P(all readings | as they stand), one pass of the network a pair.
 */
export function swappedPoints(
  network: Network,
  belief: Belief,
  evidence: readonly Evidence[],
  readings: readonly JudgedReading[],
  fits: readonly Fit[],
): Conflict[] {
  const odd = new Map<number, Fit>();
  for (const fit of fits)
    if (fit.surprise < FITS || fit.slip.probability > FITS) odd.set(fit.evidence.seq, fit);
  if (odd.size === 0) return [];
  const numbers = readings.filter((r) => r.value.kind === 'number');
  const found: Conflict[] = [];
  numbers.forEach((one, n) => {
    for (const other of numbers.slice(n + 1, n + 1 + NEIGHBOURS)) {
      if (!odd.has(one.seq) && !odd.has(other.seq)) continue;
      if (one.check.quantity !== other.check.quantity || one.check.id === other.check.id) continue;
      const own = evidence.filter((e) => e.seq === one.seq || e.seq === other.seq);
      const exchanged = [
        ...evidenceOf({ ...one, value: other.value }),
        ...evidenceOf({ ...other, value: one.value }),
      ];
      if (own.length < 2 || exchanged.length !== own.length) continue;
      const rough = own.reduce((sum, e) => {
        const under = exchanged.find((x) => x.seq === e.seq && x.variable === e.variable);
        return under ? sum + advantage(network, belief, evidence, e, under) : Number.NEGATIVE_INFINITY;
      }, Math.log(SWAPPED));
      if (rough < Math.log(SWAPPED_FROM / 5)) continue;
      const probability = exactly(network, belief, evidence, own, exchanged);
      if (probability < SWAPPED_FROM) continue;
      const surprise = Math.min(odd.get(one.seq)?.surprise ?? 1, odd.get(other.seq)?.surprise ?? 1);
      found.push({
        seq: odd.has(other.seq) ? other.seq : one.seq,
        check: odd.has(other.seq) ? other.check.id : one.check.id,
        surprise,
        slip: { kind: 'swapped', probability },
        readings: [one.seq, other.seq],
        say: saySwapped(network.rulebook, one.check.id, other.check.id),
      });
    }
  });
  // A reading has one partner: the likeliest.
  const taken = new Set<number>();
  return found
    .sort((a, b) => b.slip.probability - a.slip.probability)
    .filter((c) => {
      if (c.readings?.some((seq) => taken.has(seq))) return false;
      for (const seq of c.readings ?? []) taken.add(seq);
      return true;
    });
}

/** What is believed of one state of the variable that a reading bears on. */
function held(belief: Belief, { variable }: Evidence, state = ''): number {
  const id = variable.slice(variable.indexOf(':') + 1);
  const all: Readonly<Record<string, number>> | undefined = variable.startsWith('part:')
    ? belief.parts.get(id)
    : belief.signals.get(id);
  return all?.[state] ?? 0;
}

function dense(one: Evidence): Evidence {
  return { ...one, likelihood: one.likelihood.map((l) => l * (one.scale ?? 1)) };
}

/** ln P(exchanged | others) - ln P(as it stands | others) for one of the two. */
function advantage(
  network: Network,
  belief: Belief,
  evidence: readonly Evidence[],
  one: Evidence,
  under: Evidence,
): number {
  const states = statesOf(network, one.variable);
  if (!states) return 0;
  const posterior = posteriorOf(network, belief);
  const id = one.variable.slice(one.variable.indexOf(':') + 1);
  const now = one.variable.startsWith('part:') ? posterior.part(id) : posterior.signal(id);
  const rest = leftOut(
    states,
    now,
    evidence.filter((e) => e.variable === one.variable),
    one,
  );
  const mass = (e: Evidence): number =>
    aligned(states, dense(e)).reduce((sum, l, s) => sum + l * (rest[s] ?? 0), 0);
  return Math.log(mass(under) / mass(one));
}

function exactly(
  network: Network,
  belief: Belief,
  evidence: readonly Evidence[],
  own: readonly Evidence[],
  exchanged: readonly Evidence[],
): number {
  const honest =
    belief.logEvidence - combine(network, evidence).log + combine(network, evidence.map(dense)).log;
  const other = [...evidence.filter((e) => !own.includes(e)), ...exchanged].map(dense);
  const { weights, log } = combine(network, other);
  const ratio = SWAPPED * Math.exp(Math.min(700, network.scratch().chance(weights) + log - honest));
  return ratio / (ratio + 1 - SWAPPED);
}

/** What all the other checks leave of some states of the variable that two readings quarrel about. */
function withoutBoth(
  network: Network,
  belief: Belief,
  evidence: readonly Evidence[],
  one: Evidence,
  other: Evidence,
  states: readonly number[],
): number[] {
  const theirs = evidence.filter((e) => e.check === one.check || e.check === other.check);
  const id = one.variable.slice(one.variable.indexOf(':') + 1);
  const of = (posterior: Posterior): Float64Array =>
    one.variable.startsWith('part:') ? posterior.part(id) : posterior.signal(id);
  // Checks that bear on nothing else are divided out; only for the others the network has to be asked.
  if (theirs.every((e) => e.variable === one.variable)) {
    const all = evidence.filter((e) => e.variable === one.variable);
    const now = of(posteriorOf(network, belief));
    const rest = leftOut(statesOf(network, one.variable) ?? [], now, all, ...theirs);
    return states.map((s) => rest[s] ?? 0);
  }
  const { weights } = combine(
    network,
    evidence.filter((e) => !theirs.includes(e)),
  );
  const scratch = network.scratch();
  if (!scratch.load(weights)) return states.map(() => 0);
  const rest = of(scratch);
  return states.map((s) => rest[s] ?? 0);
}

/**
 * Two opinions on one thing (two methods, or two instruments) of which each rules out what the other says. Two methods are left alone
 * once the rest has decided between them; two instruments at one point are not: one of them is wrong, and will be again. Two readings
 * that push each other's state down can leave the belief with a third that neither of them says: then the rest is asked without both.
 */
export function disagreements(
  network: Network,
  belief: Belief,
  evidence: readonly Evidence[],
  readings: readonly JudgedReading[],
): Conflict[] {
  const latest = new Map<string, Evidence>();
  for (const one of evidence)
    if (one.seq > 0) latest.set(`${one.variable} ${one.check} ${one.instrument ?? ''}`, one);
  const counted = [...latest.values()];
  const found: Conflict[] = [];
  const said = new Set<string>();
  let asked = 0;
  for (const [n, one] of counted.entries()) {
    const states = statesOf(network, one.variable);
    if (!states?.length || states.length < 2) continue;
    for (const other of counted.slice(n + 1)) {
      if (other.variable !== one.variable || other.seq === one.seq) continue;
      const [a, b] = [aligned(states, one), aligned(states, other)];
      const best = (v: readonly number[]): number => v.indexOf(Math.max(...v));
      const [x, y] = [best(a), best(b)];
      const clash = (v: readonly number[], own: number, its: number): boolean =>
        (v[own] ?? 0) > CONTRADICTS * (v[its] ?? 0);
      const key = [one.seq, other.seq].sort((p, q) => p - q).join(' ');
      if (x === y || !clash(a, x, y) || !clash(b, y, x) || said.has(key)) continue;
      const decided = Math.min(held(belief, one, states[x]), held(belief, one, states[y])) < DECIDED;
      if (one.check !== other.check && decided) {
        if (asked >= ASKED_AT_MOST) continue;
        asked += 1;
        if (Math.min(...withoutBoth(network, belief, evidence, one, other, [x, y])) < DECIDED) continue;
      }
      said.add(key);
      const [first, second] = one.seq < other.seq ? [one, other] : [other, one];
      const name = (e: Evidence): string =>
        network.rulebook.instruments.find((i) => i.id === e.instrument)?.title.toLowerCase() ?? '';
      const instruments =
        first.instrument !== second.instrument && name(first) !== '' && name(second) !== ''
          ? ` (${name(first)} and ${name(second)})`
          : '';
      if (!readings.some((r) => r.seq === second.seq)) continue;
      found.push({
        seq: second.seq,
        check: second.check,
        surprise: 1,
        slip: { kind: 'disagree', probability: 0.5 },
        readings: [first.seq, second.seq],
        say: sayDisagree(network.rulebook, first.check, second.check, instruments),
      });
    }
  }
  return found;
}
