// Judges one reading by itself, at once: in or out of its band, by how much, and what that means in trade words.
import { type Evidence, evidenceOf, isTooSmall, type JudgedReading, variableOf } from '../diagnosis/index.ts';
import { LEVELS, type Part, type Read, type Rulebook } from '../rulebook/types.ts';
import { formatValue } from '../session/index.ts';
import type { Judgement } from './types.ts';

/** How much likelier an abnormal state must be than the normal one before a reading is called bad rather than watched. */
const BAD_ODDS = 4;
/**
 * Under this a reading is good: bands overlap, and where both the normal and an abnormal one hold the value, the narrower says
 * a little more for itself without saying anything of the set.
 */
const WATCH_ODDS = 2;

/** Measured over expected, where both are plain numbers; a pair is combined first. */
export function ratioOf(reading: JudgedReading): number | undefined {
  const expected = reading.expected?.value;
  const value = reading.value;
  if (!expected) return undefined;
  if (value.kind === 'number') return value.value / expected;
  if (value.kind === 'range') return (value.low + value.high) / 2 / expected;
  return undefined;
}

/** A number farther than this factor from every band is read as nothing known. */
const STRAY = 1.25;

const before = new WeakMap<JudgedReading, { book: Rulebook; judgement: Judgement }>();

/** The judgement of a reading by itself, other readings not considered; worked out once a reading. */
export function judgeReading(book: Rulebook, reading: JudgedReading): Judgement {
  const known = before.get(reading);
  if (known?.book === book) return known.judgement;
  const judgement = judgeAfresh(book, reading);
  before.set(reading, { book, judgement });
  return judgement;
}

function judgeAfresh(book: Rulebook, reading: JudgedReading): Judgement {
  const { check, value } = reading;
  const text =
    value.kind === 'choice'
      ? (check.options.find((o) => o.id === value.option)?.title ?? value.option)
      : formatValue(value, check.options);
  const base = { seq: reading.seq, check, value, text, expected: reading.expected, ratio: ratioOf(reading) };
  if (reading.early !== undefined) return { ...base, state: 'noted', standing: 'noted', say: reading.early };
  if (isTooSmall(reading))
    return {
      ...base,
      state: 'noted',
      standing: 'noted',
      say: 'Next to nothing on either side: nothing arrives here, so the two tell nothing beside each other.',
    };
  const evidence = foremost(reading, evidenceOf(reading));
  const read = check.reads.find((r) => evidence?.variable === variableOf(r));
  if (!read || !evidence) {
    const say = value.kind === 'choice' ? (check.meaning[value.option] ?? '') : '';
    return { ...base, state: 'noted', standing: 'noted', say: say || 'Noted.' };
  }
  const states = evidence.states ?? statesOf(book, read);
  const good = evidence.likelihood[0] ?? 0;
  const right = insideRight(reading, read);
  let best = right === false ? 1 : 0;
  evidence.likelihood.forEach((p, n) => {
    if ((n > 0 || right !== false) && p > (evidence.likelihood[best] ?? 0) * 1.05) best = n;
  });
  const odds = good > 0 ? (evidence.likelihood[best] ?? 0) / good : Number.POSITIVE_INFINITY;
  if (odds < WATCH_ODDS && right !== false) best = 0;
  const state = states[best] ?? 'normal';
  // Inside the right range a reading is never bad, only worth watching: the gauge and the words say one thing.
  const standing = best === 0 ? 'good' : odds >= BAD_ODDS && right !== true ? 'bad' : 'watch';
  const meaning = (value.kind === 'choice' ? check.meaning[value.option] : undefined) ?? check.meaning[state];
  const words = meaning ?? plainWords(state, read, book);
  // Far outside every band the nearest state is no finding: the words must not call 138 ohm open.
  const held = check.reads.flatMap((each) =>
    Object.values(each.bands).map((bands) => inside(reading, each, bands, STRAY)),
  );
  const stray = standing === 'bad' && held.includes(false) && !held.includes(true);
  return {
    ...base,
    state,
    standing,
    say: stray ? `Nothing known reads like this here. Right point, range and unit? Nearest: ${words}` : words,
  };
}

/**
 * What a reading is judged by: a number by the first thing that it reads; a choice by the worst that it says of any of them, unless it is
 * what is usually found of the first where that is right (a path that is open with the switch off accuses nobody).
 */
function foremost({ check, value }: JudgedReading, all: readonly Evidence[]): Evidence | undefined {
  const right = check.reads[0]?.table.normal ?? check.reads[0]?.table.ok ?? {};
  if (value.kind !== 'choice' || (right[value.option] ?? 0) >= Math.max(...Object.values(right)))
    return all[0];
  const odds = (e: Evidence): number => Math.max(0, ...e.likelihood.slice(1)) / (e.likelihood[0] ?? 1);
  return all.toSorted((x, y) => odds(y) - odds(x))[0];
}

/**
 * Whether a number lies within the right range of its first read, edges included; `undefined` for what is no plain number (choices,
 * over-range, bounds) or has no range. Bands may leave gaps: a reading in a gap is outside whatever state it speaks for most.
 */
export function insideRight(reading: JudgedReading, read: Read): boolean | undefined {
  return inside(reading, read, read.bands.normal ?? read.bands.ok, 1);
}

/** Whether a number lies within bands; `wide` times below or above an edge still counts. */
function inside(
  { check, value, expected }: JudgedReading,
  read: Read,
  bands: Read['bands'][string] | undefined,
  wide: number,
): boolean | undefined {
  if (!bands?.length || read.scale === 'choice') return undefined;
  let number: number;
  if (value.kind === 'number') number = value.value;
  else if (value.kind === 'range') number = (value.low + value.high) / 2;
  else if (value.kind === 'short') number = 0;
  else if (value.kind === 'pair')
    number =
      check.combine === 'difference' ? value.values[0] - value.values[1] : value.values[0] / value.values[1];
  else return undefined;
  if (read.scale === 'ratio' && !expected?.value) return undefined;
  const at = read.scale === 'ratio' ? number / (expected?.value ?? 1) : number;
  if (!Number.isFinite(at)) return undefined;
  // Limits are compared with the care that the writing of a decimal needs.
  const slack = 1e-9 * Math.max(1, Math.abs(at));
  return bands.some(
    ([low, high]) =>
      (low === null || at >= (low > 0 ? low / wide : low * wide) - slack) &&
      (high === null || at <= (high > 0 ? high * wide : high / wide) + slack),
  );
}

/** State names in the order of a read's likelihood vector. */
export function statesOf(book: Rulebook, read: Read): readonly string[] {
  if (!read.part) return LEVELS;
  return ['ok', ...(partOf(book, read)?.faults.map((f) => f.id) ?? [])];
}

function partOf(book: Rulebook, read: Read): Part | undefined {
  return book.parts.find((p) => p.id === read.part);
}

function plainWords(state: string, read: Read, book: Rulebook): string {
  if (read.part) {
    const part = partOf(book, read);
    const fault = part?.faults.find((f) => f.id === state);
    return fault ? `Speaks for: ${part?.title}, ${fault.title}.` : 'Speaks against a fault here.';
  }
  const words: Readonly<Record<string, string>> = {
    normal: 'As it should be.',
    high: 'Higher than it should be.',
    low: 'Lower than it should be.',
    absent: 'Not there.',
  };
  return words[state] ?? 'Noted.';
}
