// A faulty set drawn from the rules themselves: one fault (or none), the levels that follow from it, and what is then read, with the scatter of good readings.
import type { JudgedReading } from '../../src/diagnosis/index.ts';
import { factsOf, holds } from '../../src/rulebook/facts.ts';
import type {
  Band,
  Check,
  EffectRow,
  Level,
  Read,
  Rulebook,
  SetFacts,
  Signal,
} from '../../src/rulebook/types.ts';
import type { ReadingValue } from '../../src/session/index.ts';
import { circumstancesOf } from '../../src/walk/beliefs.ts';
import { expectedFor } from '../../src/walk/expected.ts';

export interface SampledSet {
  readonly set: SetFacts;
  /** `section.part/fault`, or empty for a set in order. */
  readonly fault: string;
  readonly levels: ReadonlyMap<string, Level>;
}

const DOMINANCE: readonly Level[] = ['normal', 'high', 'low', 'absent'];

function drawn(row: EffectRow | undefined, random: () => number): Level {
  let left = random();
  for (const level of ['absent', 'low', 'high'] as const) {
    left -= row?.[level] ?? 0;
    if (left < 0) return level;
  }
  return 'normal';
}

/** Levels of all signals of a set with this fault: every cause draws what it does, the dominant one shows. No causes outside the rules. */
export function sampleSet(book: Rulebook, set: SetFacts, fault: string, random: () => number): SampledSet {
  const facts = factsOf(book, set);
  const [partId, faultId] = fault.split('/');
  const effects =
    book.parts.find((p) => p.id === partId)?.faults.find((f) => f.id === faultId)?.effects ?? {};
  const signals = new Map(book.signals.filter((s) => holds(s.when, facts)).map((s) => [s.id, s]));
  const levels = new Map<string, Level>();
  const levelOf = (signal: Signal): Level => {
    const known = levels.get(signal.id);
    if (known) return known;
    let level: Level = drawn(effects[signal.id], random);
    const fed = new Set<string>();
    for (const input of signal.inputs) {
      const from = signals.get(input.signal);
      if (!from || fed.has(input.signal) || !holds(input.when, facts)) continue;
      fed.add(input.signal);
      const above = levelOf(from);
      const caused: Level = above === 'normal' ? 'normal' : drawn(input.rows[above], random);
      if (DOMINANCE.indexOf(caused) > DOMINANCE.indexOf(level)) level = caused;
    }
    levels.set(signal.id, level);
    return level;
  };
  for (const signal of signals.values()) levelOf(signal);
  return { set, fault, levels };
}

function stateOf(read: Read, { fault, levels }: SampledSet): string {
  if (!read.part) return levels.get(read.signal ?? '') ?? 'normal';
  const [part, mode] = fault.split('/');
  return part === read.part && mode !== undefined && (read.bands[mode] || read.table[mode]) ? mode : 'ok';
}

/** A value inside a band, evenly in its own domain, from the middle `width` of it: 1 is edge to edge. */
function inside([low, high]: Band, linear: boolean, width: number, random: () => number): number {
  const at = 0.5 + width * (random() - 0.5);
  if (low === null && high === null) return 1;
  if (low === null) return linear ? (high ?? 0) - Math.abs(high ?? 1) * at : (high ?? 1) * (0.3 + 0.5 * at);
  if (high === null) return linear ? low + Math.abs(low || 1) * at : (low || 1) * (1.3 + 3 * at);
  if (linear || low <= 0) return low + at * (high - low);
  return low * (high / low) ** at;
}

/**
 * What an honest and careful technician reads at `check` on this set, in base units; `undefined` where the rules do not say. Numbers come
 * from the middle `width` of their band: well inside, between a fifth and four fifths of it, if nothing else is said.
 */
export function sampledValue(
  book: Rulebook,
  sampled: SampledSet,
  check: Check,
  random: () => number,
  width = 0.6,
): ReadingValue | undefined {
  if (check.kind === 'choice') {
    const chances = check.options.map((o) => {
      let p = 1;
      for (const read of check.reads) {
        const row = read.table[stateOf(read, sampled)];
        if (row) p *= row[o.id] ?? 0.005;
      }
      return p;
    });
    // The likelier half of the options only: a good reading is no outlier of its own kind.
    const best = Math.max(...chances);
    const usual = chances.map((p) => (p >= best / 3 ? p : 0));
    let left = random() * usual.reduce((a, b) => a + b, 0);
    const at = usual.findIndex((p) => {
      left -= p;
      return left < 0 && p > 0;
    });
    const option = check.options[at]?.id;
    return option === undefined ? undefined : { kind: 'choice', option };
  }
  const read = check.reads[0];
  if (!read) return undefined;
  const state = stateOf(read, sampled);
  const bands = read.bands[state] ?? read.bands[read.part ? 'ok' : 'normal'];
  const band = bands?.[Math.floor(random() * bands.length)];
  if (!band) return undefined;
  const at = circumstancesOf(book, sampled.set, sampled.set.lineVolts, 'dmm');
  const expected = at && expectedFor(check, at);
  if (read.scale === 'ratio' && !expected?.value) return undefined;
  const value =
    inside(band, read.scale === 'difference', width, random) *
    (read.scale === 'ratio' ? (expected?.value ?? 1) : 1);
  if (check.kind === 'pair')
    return check.combine === 'difference'
      ? { kind: 'pair', values: [value + 100, 100], unit: '' }
      : { kind: 'pair', values: [100 * value, 100], unit: '' };
  return { kind: 'number', value, unit: expected?.unit ?? '', unstable: false };
}

/** A reading of a value on this set, ready for diagnosis. */
export function judgedAs(
  book: Rulebook,
  set: SetFacts,
  seq: number,
  check: Check,
  value: ReadingValue,
): JudgedReading {
  const at = circumstancesOf(book, set, set.lineVolts, 'dmm');
  const instrument = check.needs[0] ?? 'dmm';
  return { seq, check, value, expected: at && expectedFor(check, at), meterSpread: 0.02, instrument };
}
