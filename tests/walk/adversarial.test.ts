// Wrong readings on purpose, on sets drawn from the rules in every supply family: are they noticed, is the true fault kept, are good readings left alone?
import { resolve } from 'node:path';
import { expect, it } from 'vitest';
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
/** With fewer sets there are too few signs among the slips to say anything of them. */
const SETS_A_FAMILY = 4;
const READINGS = 90;
const SLIPS_A_SET = 8;

interface Subject {
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

function subjects(): Subject[] {
  return book.families.flatMap((family, f) =>
    Array.from({ length: SETS_A_FAMILY }, (_, n): Subject => {
      const random = seededRandom(7000 + 31 * n + 977 * f);
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
      // The first of each family is in order, the others have one fault.
      const fault = n === 0 ? '' : (faults[Math.floor(random() * faults.length)] ?? '');
      const sampled = sampleSet(book, set, fault, random);
      return { set, sampled, network, readings: readingsOf(sampled, random), random };
    }),
  );
}

/** Looks at the running set, two readings on the faulty part, and others as they come, in the order of the walk. */
function readingsOf(sampled: SampledSet, random: () => number): JudgedReading[] {
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
      const value = sampledValue(book, sampled, check, random);
      return value ? [judgedAs(book, sampled.set, n + 1, check, value)] : [];
    })
    .filter((r) => evidenceOf(r).length > 0);
}

function diagnose(
  network: Network,
  readings: readonly JudgedReading[],
): { readonly belief: Belief; readonly conflicts: readonly Conflict[] } {
  const asRead = readings.flatMap(evidenceOf);
  const first = infer(network, asRead);
  if (isImpossible(first)) throw new Error(first.impossible);
  const { evidence, doubted } = weighInstruments(network, first, asRead, readings);
  const belief = evidence === asRead ? first : infer(network, evidence);
  if (isImpossible(belief)) throw new Error(belief.impossible);
  return { belief, conflicts: conflictsOf(network, belief, evidence, readings, doubted) };
}

const about = (conflicts: readonly Conflict[], seq: number): boolean =>
  conflicts.some((c) => c.seq === seq || c.readings?.includes(seq));

/** P(the part that is bad in truth is bad), or undefined for a set in order. */
function held({ sampled }: Subject, belief: Belief): number | undefined {
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

function slipsOf({ readings, random }: Subject): { readonly kind: string; readonly changes: Changes }[] {
  const numbers = readings.filter((r) => r.value.kind === 'number');
  const slips: { kind: string; changes: Changes }[] = [];
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

it('notices four slips in five (AC for DC three in four), leaves 99 good readings in 100 alone, and loses no fault to one wrong reading', {
  timeout: 240_000,
}, () => {
  const tally = new Map<string, { cases: number; noticed: number }>();
  const count = (kind: string, noticed: boolean): void => {
    const so = tally.get(kind) ?? { cases: 0, noticed: 0 };
    tally.set(kind, { cases: so.cases + 1, noticed: so.noticed + (noticed ? 1 : 0) });
  };
  let lowest = 1;
  let kept = 0;
  for (const subject of subjects()) {
    const { network, readings } = subject;
    const right = diagnose(network, readings);
    for (const reading of readings) count('good', about(right.conflicts, reading.seq));
    for (const { kind, changes } of slipsOf(subject)) {
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
      const { belief, conflicts } = diagnose(network, wrong);
      count(
        kind,
        [...changes.keys()].some((seq) => about(conflicts, seq)),
      );
      if (changes.size > 1) continue;
      // Where the other readings leave the fault more likely than not, one wrong one may not rule it out.
      const without = held(
        subject,
        diagnose(
          network,
          readings.filter((r) => !changes.has(r.seq)),
        ).belief,
      );
      if (without === undefined || without < 0.5) continue;
      kept += 1;
      lowest = Math.min(lowest, held(subject, belief) ?? 1);
    }
  }
  const rates = new Map([...tally].map(([kind, { cases, noticed }]) => [kind, noticed / cases]));
  const said = [...tally].map(([kind, { cases, noticed }]) => `${kind} ${noticed} of ${cases}`).join(', ');
  expect(tally.get('good')?.cases, said).toBeGreaterThan(1000);
  expect(rates.get('good'), said).toBeLessThan(0.01);
  for (const kind of ['times ten', 'a tenth', 'sign', 'AC for DC', 'exchanged points']) {
    expect(tally.get(kind)?.cases ?? 0, said).toBeGreaterThan(20);
    // A dead stage shows no volts either: with the meter on AC only another reading of that stage tells.
    expect(rates.get(kind) ?? 0, said).toBeGreaterThanOrEqual(kind === 'AC for DC' ? 0.75 : 0.8);
  }
  expect(kept).toBeGreaterThan(30);
  expect(lowest).toBeGreaterThanOrEqual(0.01);
  console.info(
    `slips noticed: ${said}; least chance of the true fault under one wrong reading ${lowest.toFixed(3)} (${kept} cases)`,
  );
});
