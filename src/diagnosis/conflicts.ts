// Readings that do not fit the others: how surprising each one is given all the rest, and whether a slip explains it.
import type { Read } from '../rulebook/types.ts';
import { disagreements, doubtedInstruments, swappedPoints } from './conflicts-joint.ts';
import { sayOne } from './conflicts-words.ts';
import { explainCondition } from './explain.ts';
import { aligned, combine, posteriorOf, statesOf } from './infer.ts';
import { type DoubtedSource, leftOut } from './infer-instruments.ts';
import { outcomeTable, predict } from './information.ts';
import { mixture, SHARES } from './likelihood.ts';
import { domainOf } from './likelihood-bands.ts';
import type { Network } from './network.ts';
import type { Belief, Conflict, Evidence, JudgedReading } from './types.ts';

/** A reading is called a slip, of whatever kind, when all kinds together are about half as likely as that it stands. */
const SLIP_FROM = 0.3;
/**
 * A slip of a known kind (decimal, sign, AC for DC) is named from this chance on: to look at the decimal point again costs less than to
 * chase a suspect. Good readings stay at one false call in two hundred (tests). What a reading may prove is decided elsewhere, at one half.
 */
const KNOWN_SLIP_FROM = 0.05;
/** A reading less expected than this is called out ... */
const SURPRISING = 0.02;
/** ... if the other readings are what made it so: a rare fault is no contradiction. */
const MADE_SO = 0.3;
/** A fault believed this much accounts for what it would read like. */
const ACCOUNTED = 0.8;
/** What-if passes for the loudest opponent stop where nothing changes by more than this. */
const STILL = 1e-4;
/** Bins of the predictive distribution. */
const BINS = 60;

/** What is computed for every reading, flagged or not. */
export interface Fit {
  readonly evidence: Evidence;
  /** P(a reading at least as unlikely as this one, given all others), 0 to 1. */
  readonly surprise: number;
  /** The same with no other reading at all. */
  readonly surpriseAlone: number;
  readonly slip: Conflict['slip'];
  /** Whether a fault that is believed accounts for the reading as it stands. */
  readonly accounted: boolean;
}

/**
 * Readings to be looked at again: instruments and return points that are doubted first, then readings taken at each other's points and
 * instruments that contradict each other, then single readings, worst first: a slip (ten times, a tenth, the sign, AC for DC, something
 * else) is likelier than the reading as it stands, or the other readings make it a 1 in 100 surprise. Looks at all readings each time,
 * since a later one may put an earlier one in doubt. `evidence` is as weighed by `weighInstruments`, `doubted` what that found.
 */
export function conflictsOf(
  network: Network,
  belief: Belief,
  evidence: readonly Evidence[],
  readings: readonly JudgedReading[],
  doubted: readonly DoubtedSource[] = [],
): Conflict[] {
  const fits = fitOf(network, belief, evidence, readings);
  const together = [
    ...doubtedInstruments(doubted, fits),
    ...swappedPoints(network, belief, evidence, readings, fits),
    ...disagreements(network, belief, evidence, readings),
  ];
  const said = new Set(together.filter((c) => c.slip.kind !== 'disagree').flatMap((c) => c.readings ?? []));
  // What one fault accounts for whole does not have to fit whatever else the reading might have told: a short reads as a short past a leak beside it.
  const accounted = new Set(fits.filter((fit) => fit.accounted).map((fit) => fit.evidence.seq));
  const worst = new Map<number, { conflict: Omit<Conflict, 'say'>; evidence: Evidence }>();
  for (const fit of fits) {
    const { seq, check } = fit.evidence;
    const reading = readings.find((r) => r.seq === seq);
    if (!reading || said.has(seq) || accounted.has(seq)) continue;
    const slipped = fit.slip.kind !== 'none';
    const odd = fit.surprise < SURPRISING && fit.surprise < MADE_SO * fit.surpriseAlone;
    if (!slipped && !odd) continue;
    const slip = slipped ? fit.slip : ({ kind: 'none', probability: fit.slip.probability } as const);
    const known = worst.get(seq);
    if (known && known.conflict.surprise <= fit.surprise) continue;
    worst.set(seq, { conflict: { seq, check, surprise: fit.surprise, slip }, evidence: fit.evidence });
  }
  const again = new Set(readings.filter((r) => r.twice).map((r) => r.seq));
  const single = [...worst.values()]
    .map(({ conflict, evidence: own }) => {
      let said: string | undefined;
      return {
        ...conflict,
        // What speaks against it costs what-if passes: only for the few that are shown.
        get say(): string {
          said ??= sayOne(
            network.rulebook,
            conflict,
            opponent(network, belief, evidence, own, readings),
            again.has(conflict.seq),
          );
          return said;
        },
      };
    })
    .sort((a, b) => a.surprise - b.surprise || a.seq - b.seq);
  return [...together, ...single];
}

/** How every reading fits the others, in the order of `evidence`; readings that gave no evidence are left out. */
export function fitOf(
  network: Network,
  belief: Belief,
  evidence: readonly Evidence[],
  readings: readonly JudgedReading[],
): Fit[] {
  const posterior = posteriorOf(network, belief);
  const prior = network.prior();
  return evidence.flatMap((one) => {
    const states = statesOf(network, one.variable);
    const reading = readings.find((r) => r.seq === one.seq);
    const read = reading?.check.reads.find(
      (r) => (r.part ? `part:${r.part}` : `signal:${r.signal ?? ''}`) === one.variable,
    );
    if (!states || !reading || !read) return [];
    const id = one.variable.slice(one.variable.indexOf(':') + 1);
    const [now, unread] =
      read.part !== undefined
        ? [posterior.part(id), prior.part(id)]
        : [posterior.signal(id), prior.signal(id)];
    const rest = leftOut(
      states,
      now,
      evidence.filter((e) => e.variable === one.variable),
      one,
    );
    return [
      {
        evidence: one,
        surprise: surprise(reading, read, one, states, rest),
        surpriseAlone: surprise(reading, read, one, states, normalised(unread)),
        slip: slipOf(one, states, rest),
        accounted: accountsFor(one, states, now),
      },
    ];
  });
}

/** Whether what is believed of a variable, this reading included, is a state other than right that the reading plainly speaks for. */
function accountsFor(one: Evidence, states: readonly string[], now: Float64Array): boolean {
  const core = aligned(states, one, one.terms.core);
  const [right = 0] = core;
  const most = Math.max(...core);
  return states.some(
    (_, s) => s > 0 && (now[s] ?? 0) >= ACCOUNTED && (core[s] ?? 0) >= most / 2 && (core[s] ?? 0) > 2 * right,
  );
}

function slipOf(one: Evidence, states: readonly string[], rest: Float64Array): Conflict['slip'] {
  const expected = (values: readonly number[], share: number): number =>
    aligned(states, one, values).reduce((sum, v, s) => sum + share * v * (rest[s] ?? 0), 0);
  const stands = expected(one.terms.core, SHARES.core);
  const slips = [
    { kind: 'times-ten', mass: expected(one.terms.timesTen, SHARES.timesTen) },
    { kind: 'tenth', mass: expected(one.terms.tenth, SHARES.tenth) },
    { kind: 'sign', mass: expected(one.terms.sign, SHARES.sign) },
    { kind: 'ac-dc', mass: expected(one.terms.wrongRange, SHARES.wrongRange) },
    { kind: 'other', mass: expected(one.terms.uniform, SHARES.uniform) },
  ] as const;
  const mass = slips.reduce((sum, s) => sum + s.mass, 0);
  const total = mass + stands;
  if (!(total > 0)) return { kind: 'other', probability: 1 };
  const winner = slips.reduce((a, b) => (b.mass > a.mass ? b : a));
  const probability = mass / total;
  const known = winner.kind !== 'other' && winner.mass / total > KNOWN_SLIP_FROM;
  return { kind: known || probability > SLIP_FROM ? winner.kind : 'none', probability };
}

function surprise(
  reading: JudgedReading,
  read: Read,
  one: Evidence,
  states: readonly string[],
  rest: Float64Array,
): number {
  const { value } = reading;
  const table = outcomeTable(reading.check, read, reading.expected, BINS);
  const belief = table.states.map((state) =>
    states.reduce((sum, s, i) => {
      const known = s === state || (state === 'ok' && !table.states.includes(s));
      return known ? sum + (rest[i] ?? 0) : sum;
    }, 0),
  );
  if (value.kind === 'bound' || value.kind === 'over-range')
    return Math.min(
      1,
      aligned(states, one, mixture(one.terms)).reduce((sum, v, s) => sum + v * (rest[s] ?? 0), 0),
    );
  const predicted = predict(table, belief);
  let here: number;
  if (value.kind === 'choice') {
    here = predicted[reading.check.options.findIndex((o) => o.id === value.option)] ?? 0;
  } else {
    const domain = domainOf(read);
    const width = (domain.to - domain.from) / predicted.length;
    here =
      width * aligned(states, one, mixture(one.terms)).reduce((sum, v, s) => sum + v * (rest[s] ?? 0), 0);
  }
  return Math.min(
    1,
    predicted.reduce((sum, p) => (p <= here * (1 + 1e-6) ? sum + p : sum), 0),
  );
}

function normalised(p: Float64Array): Float64Array {
  const total = p.reduce((a, b) => a + b, 0);
  return total > 0 ? p.map((x) => x / total) : p;
}

/** Title of the other reading that speaks loudest against what `one` says. */
function opponent(
  network: Network,
  belief: Belief,
  evidence: readonly Evidence[],
  one: Evidence,
  readings: readonly JudgedReading[],
): string | undefined {
  const states = statesOf(network, one.variable) ?? [];
  const likelihood = aligned(states, one);
  const claimed = states[likelihood.indexOf(Math.max(...likelihood))];
  const name = one.variable.startsWith('part:') ? one.variable.slice(5) : one.variable;
  const others = evidence.filter((e) => e.seq !== one.seq);
  const explained = {
    posterior: posteriorOf(network, belief),
    prior: network.prior(),
    weights: combine(network, others).weights,
    evidence: others,
  };
  const loudest = explainCondition(network, explained, `${name}/${claimed}`, { still: STILL })
    .filter((w) => w.check !== one.check)
    .reduce((a, b) => (b.weight < a.weight ? b : a), { check: '', weight: -0.5 });
  return readings.find((r) => r.check.id === loudest.check)?.check.title;
}
