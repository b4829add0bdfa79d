// Wrong readings on purpose, put one at a time into the readings of sets drawn from the rules: how many are noticed, of each kind, and how many good readings are doubted.
import { resolve } from 'node:path';
import {
  type Belief,
  type Conflict,
  compileNetwork,
  conflictsOf,
  evidenceOf,
  infer,
  isImpossible,
  type JudgedReading,
  type Network,
  weighInstruments,
} from '../../src/diagnosis/index.ts';
import { seededRandom } from '../../src/diagnosis/junction-tree-order.ts';
import { factsOf, holds } from '../../src/rulebook/facts.ts';
import { loadRules } from '../../src/rulebook/index.ts';
import type { Check, Rulebook, SetFacts } from '../../src/rulebook/types.ts';
import type { ReadingValue } from '../../src/session/index.ts';
import { judgeReading } from '../../src/walk/judge.ts';
import { judgedAs, type SampledSet, sampledValue, sampleSet } from './sampled-set.ts';
import { BENCH, MERIDIAN } from './scenarios.ts';

const book: Rulebook = loadRules(resolve(import.meta.dirname, '../../rules')).book ?? missing();
function missing(): never {
  throw new Error('the rule pack does not load');
}

/** A well-equipped bench: what is never read can never contradict a slip. */
const RICH: ReadonlySet<string> = new Set([
  ...BENCH,
  'oscilloscope',
  'capacitor-leakage-tester',
  'capacitance-meter',
  'esr-meter',
  'insulation-tester',
  'substitution-tubes',
]);
const READINGS = 90;
const SLIPS_A_SET = 8;

export interface Draw {
  /** Start of the random numbers: another start, other sets and other readings. */
  readonly start: number;
  readonly setsAFamily: number;
  /** Share of each band's width that readings come from, about its middle: 0.6 well inside, 1 from edge to edge. */
  readonly width: number;
}

export interface Subject {
  readonly set: SetFacts;
  readonly sampled: SampledSet;
  readonly network: Network;
  readonly readings: readonly JudgedReading[];
  readonly random: () => number;
}

function shuffled<T>(list: readonly T[], random: () => number): T[] {
  return list
    .map((item) => ({ item, at: random() }))
    .sort((a, b) => a.at - b.at)
    .map(({ item }) => item);
}

/** Sets of every supply family with what an honest technician read on them; the first of each family is in order, the others have one fault. */
export function subjects(draw: Draw): Subject[] {
  return book.families.flatMap((family, f) =>
    Array.from({ length: draw.setsAFamily }, (_, n): Subject => {
      const random = seededRandom(draw.start + 31 * n + 977 * f);
      const set: SetFacts = {
        ...MERIDIAN,
        family: family.id,
        lineVolts: family.ratedVolts,
        ratedVolts: family.ratedVolts,
        ratedWatts: 0,
        standard: family.ratedVolts > 180 ? '625' : '525',
      };
      const network = compileNetwork(book, set);
      const faults = [...network.parts.values()]
        .filter((p) => p.signals.length > 0)
        .flatMap((p) => p.part.faults.map((fault) => `${p.id}/${fault.id}`));
      const fault = n === 0 ? '' : (faults[Math.floor(random() * faults.length)] ?? '');
      const sampled = sampleSet(book, set, fault, random);
      return { set, sampled, network, readings: readingsOf(sampled, draw.width, random), random };
    }),
  );
}

/** Looks at the running set, two readings on the faulty part, and others as they come, in the order of the walk. */
function readingsOf(sampled: SampledSet, width: number, random: () => number): JudgedReading[] {
  const facts = factsOf(book, sampled.set);
  const possible = book.checks.filter(
    (c) => holds(c.when, facts) && c.reads.length > 0 && c.needs.every((n) => RICH.has(n)) && !c.risky,
  );
  const part = sampled.fault.split('/')[0];
  const own = possible.filter((c) => c.reads.some((r) => r.part === part)).slice(0, 2);
  const looks = possible.filter((c) => c.method === 'eye' && c.state === 'S2').slice(0, 10);
  const chosen = new Set([...looks, ...own, ...shuffled(possible, random)].slice(0, READINGS));
  return book.checks
    .filter((c) => chosen.has(c))
    .flatMap((check: Check, n) => {
      const value = sampledValue(book, sampled, check, random, width);
      return value ? [judgedAs(book, sampled.set, n + 1, check, value)] : [];
    })
    .filter((r) => evidenceOf(r).length > 0);
}

export interface Diagnosed {
  readonly belief: Belief;
  readonly conflicts: readonly Conflict[];
}

export function diagnose(network: Network, readings: readonly JudgedReading[]): Diagnosed {
  const asRead = readings.flatMap(evidenceOf);
  const first = infer(network, asRead);
  if (isImpossible(first)) throw new Error(first.impossible);
  const { evidence, doubted } = weighInstruments(network, first, asRead, readings);
  const belief = evidence === asRead ? first : infer(network, evidence);
  if (isImpossible(belief)) throw new Error(belief.impossible);
  return { belief, conflicts: conflictsOf(network, belief, evidence, readings, doubted) };
}

export const about = (conflicts: readonly Conflict[], seq: number): boolean =>
  conflicts.some((c) => c.seq === seq || c.readings?.includes(seq));

/** P(the part that is bad in truth is bad), or undefined for a set in order. */
export function held({ sampled }: Subject, belief: Belief): number | undefined {
  if (sampled.fault === '') return undefined;
  return 1 - (belief.parts.get(sampled.fault.split('/')[0] ?? '')?.ok ?? 1);
}

type Changes = ReadonlyMap<number, ReadingValue>;

function number(value: ReadingValue): number {
  if (value.kind !== 'number') throw new Error('no number');
  return value.value;
}

function changed({ seq }: JudgedReading, value: number): Changes {
  return new Map([[seq, { kind: 'number', value, unit: '', unstable: false }]]);
}

/** Kinds of slips in the order in which they are told of. */
export const KINDS = ['times ten', 'a tenth', 'sign', 'AC for DC', 'exchanged points'] as const;

export interface Slip {
  readonly kind: (typeof KINDS)[number];
  readonly changes: Changes;
}

function slipsOf({ readings, random }: Subject): Slip[] {
  const numbers = readings.filter((r) => r.value.kind === 'number');
  const slips: Slip[] = [];
  for (const reading of shuffled(numbers, random).slice(0, SLIPS_A_SET)) {
    const typed = number(reading.value);
    const ratio = reading.check.reads[0]?.scale === 'ratio';
    slips.push({ kind: 'times ten', changes: changed(reading, 10 * typed) });
    slips.push({ kind: 'a tenth', changes: changed(reading, typed / 10) });
    if (ratio) slips.push({ kind: 'sign', changes: changed(reading, -typed) });
  }
  // On AC a meter shows nothing behind its capacitor, or 2.22 times the steady volts (common practice, no source).
  const direct = numbers.filter(
    (r) => r.check.quantity === 'dc-volts' && r.check.reads[0]?.scale === 'ratio',
  );
  for (const reading of shuffled(direct, random).slice(0, SLIPS_A_SET))
    for (const factor of [0.001, 2.22])
      slips.push({ kind: 'AC for DC', changes: changed(reading, factor * number(reading.value)) });
  const pairs = numbers.flatMap((one, n) => {
    const other = numbers[n + 1];
    return other && other.check.quantity === one.check.quantity ? [[one, other] as const] : [];
  });
  for (const [one, other] of shuffled(pairs, random).slice(0, SLIPS_A_SET)) {
    slips.push({
      kind: 'exchanged points',
      changes: new Map([
        [one.seq, other.value],
        [other.seq, one.value],
      ]),
    });
  }
  return slips;
}

/** One slip and what became of it. */
export interface Outcome {
  readonly subject: Subject;
  readonly slip: Slip;
  readonly noticed: boolean;
  readonly found: Diagnosed;
  readonly wrong: readonly JudgedReading[];
}

export interface Tally {
  /** By kind, and `good` for readings that nobody touched. */
  readonly counts: ReadonlyMap<string, { readonly cases: number; readonly noticed: number }>;
  /** Least chance of the true fault under one wrong reading, of the sets where the other readings leave it more likely than not. */
  readonly lowest: number;
  readonly kept: number;
  /** In words. */
  readonly said: string;
}

/** Puts slips of every kind into the readings of every subject, one at a time. `each` is told of every slip that matters. */
export function tallySlips(all: readonly Subject[], each?: (outcome: Outcome) => void): Tally {
  const counts = new Map<string, { cases: number; noticed: number }>();
  const count = (kind: string, noticed: boolean): void => {
    const so = counts.get(kind) ?? { cases: 0, noticed: 0 };
    counts.set(kind, { cases: so.cases + 1, noticed: so.noticed + (noticed ? 1 : 0) });
  };
  let lowest = 1;
  let kept = 0;
  for (const subject of all) {
    const { network, readings } = subject;
    const right = diagnose(network, readings);
    for (const reading of readings) count('good', about(right.conflicts, reading.seq));
    for (const slip of slipsOf(subject)) {
      const { kind, changes } = slip;
      const wrong = readings.map((r) => {
        const value = changes.get(r.seq);
        return value ? { ...r, value } : r;
      });
      // A slip that leaves the level where it was is none that matters.
      const shifts = readings.some(
        (r, n) =>
          changes.has(r.seq) && judgeReading(book, r).state !== judgeReading(book, wrong[n] ?? r).state,
      );
      if (!shifts) continue;
      const found = diagnose(network, wrong);
      const noticed = [...changes.keys()].some((seq) => about(found.conflicts, seq));
      count(kind, noticed);
      each?.({ subject, slip, noticed, found, wrong });
      if (changes.size > 1) continue;
      // Where the other readings leave the fault more likely than not, one wrong one may not rule it out.
      const others = readings.filter((r) => !changes.has(r.seq));
      const without = held(subject, diagnose(network, others).belief);
      if (without === undefined || without < 0.5) continue;
      kept += 1;
      lowest = Math.min(lowest, held(subject, found.belief) ?? 1);
    }
  }
  const said = [...counts].map(([kind, { cases, noticed }]) => `${kind} ${noticed} of ${cases}`).join(', ');
  return {
    counts,
    lowest,
    kept,
    said: `${said}; least chance of the true fault under one wrong reading ${lowest.toFixed(3)} (${kept} cases)`,
  };
}
