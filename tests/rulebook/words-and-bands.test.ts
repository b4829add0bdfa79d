// Words of a result that begin with a figure are held against the band that they are said of: an 11 ohm reading is not told `1 to 4 ohm`.
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { loadRules } from '../../src/rulebook/index.ts';
import type { Check, Read } from '../../src/rulebook/types.ts';
import { unitFactor } from '../../src/rulebook/units.ts';

const book = loadRules(join(import.meta.dirname, '../../rules')).book;
if (!book) throw new Error('the rule pack has errors');

type Span = readonly [low: number, high: number];

/** A figure in words may be this much rounder than the band's edge, as people round. */
const ROUNDED = 1.26;
/** Words that say what is common and not what was read, or that give a rule for several figures at once. */
const NO_CLAIM = /\b(usual|new|by design|gated|where|reject|between|or the marked)\b|;[^.]*\d/i;

const NUMBER = '([-+]?\\d+(?:\\.\\d+)?)';
const UNIT = '\\s*(%|[kM]?ohm|k|mV|kV|Vpp|V|mA|A|uF|s|C)?(?![\\w/])';

/** The span that the words claim for the reading, in the base unit (`%`: share of what is expected); undefined where they claim none. */
function claimed(
  words: string,
  check: Check,
): { readonly span: Span; readonly percent: boolean } | undefined {
  const text = /^.*?[.!?](?=\s|$)/s.exec(words)?.[0] ?? words;
  if (NO_CLAIM.test(text)) return undefined;
  const base = unitFactor(check.unit)?.factor ?? 1;
  const scaled = (number: string, unit: string | undefined): number => {
    const known: Readonly<Record<string, number>> = { k: 1e3, Vpp: 1 };
    const own = unit === undefined ? base : (known[unit] ?? unitFactor(unit)?.factor ?? Number.NaN);
    return Number(number) * own;
  };
  const at = (pattern: string) => new RegExp(`^${pattern}`, 'i').exec(text);
  const within = at(`Within ${NUMBER} %`);
  if (within) return { span: [1 - Number(within[1]) / 100, 1 + Number(within[1]) / 100], percent: true };
  const under = at(`(?:Under|Up to) (?:${NUMBER} to )?${NUMBER}${UNIT}`);
  if (under?.[2] !== undefined)
    return under[3] === '%'
      ? { span: [-Infinity, Number(under[2]) / 100], percent: true }
      : { span: [-Infinity, scaled(under[2], under[3])], percent: false };
  const over = at(`Over ${NUMBER}${UNIT}`) ?? at(`${NUMBER}${UNIT} (?:or|and) more`);
  if (over?.[1] !== undefined && over[2] !== '%')
    return { span: [scaled(over[1], over[2]), Infinity], percent: false };
  const span = at(`${NUMBER} to ${NUMBER}${UNIT}`);
  if (span?.[1] === undefined || span[2] === undefined || span[3] === '%') return undefined;
  const ends = [scaled(span[1], span[3]), scaled(span[2], span[3])];
  return {
    span: [Math.min(...ends), /or more/.test(text) ? Infinity : Math.max(...ends)],
    percent: false,
  };
}

/** Whether a reading inside the band would be told a figure that it plainly is not. */
function contradicts(check: Check, read: Read, level: string, words: string): boolean {
  const claim = claimed(words, check);
  const absolute = read.scale === 'bound' || read.scale === 'difference';
  if (!claim || (claim.percent ? read.scale !== 'ratio' : !absolute)) return false;
  const [low, high] = claim.span;
  const looser = (edge: number, outward: 1 | -1) =>
    claim.percent ? edge + outward * 0.005 : edge * (edge * outward > 0 ? ROUNDED : 1 / ROUNDED);
  // Only the first band of a level is what its words are about; others stand for what hides in a right reading.
  const [first] = read.bands[level] ?? [];
  if (!first) return false;
  const [from, to] = first;
  const tooLow = Number.isFinite(low) && from !== null && from < looser(low, -1);
  const tooHigh = Number.isFinite(high) && to !== null && to > looser(high, 1);
  return tooLow || tooHigh;
}

const found = (checks: readonly Check[]): readonly string[] =>
  checks.flatMap((check) => {
    const [read] = check.reads;
    if (check.kind === 'choice' || !read) return [];
    return Object.entries(check.meaning)
      .filter(([level, words]) => contradicts(check, read, level, words))
      .map(([level, words]) => `${check.id}, ${level} ${JSON.stringify(read.bands[level])}: ${words}`);
  });

describe('words that begin with a figure', () => {
  it('hold for every reading that they are said of', () => {
    expect(found(book.checks)).toEqual([]);
  });

  it('are found out where they do not', () => {
    const check = book.checks.find(({ id }) => id === 'picture-tube-heater-ohms');
    if (!check) throw new Error('no such check');
    const saying = (normal: string) => found([{ ...check, meaning: { normal } }]);
    expect(saying('1 to 4 ohm cold is whole.')).toHaveLength(1);
    expect(saying('Under 5 ohm: whole.')).toHaveLength(1);
    expect(saying('Over 5 ohm: whole.')).toHaveLength(1);
    expect(saying('1 to 4 ohm is usual.')).toEqual([]);
    expect(saying('Under 12 ohm: whole.')).toEqual([]);
  });
});
