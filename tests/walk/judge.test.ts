// The words, the colour and the gauge of a reading say one thing: right inside its band, not right outside, gaps between bands included.
import { resolve } from 'node:path';
import { expect, it } from 'vitest';
import { factsOf, holds } from '../../src/rulebook/facts.ts';
import { loadRules } from '../../src/rulebook/index.ts';
import { rightRange } from '../../src/ui/views/gauge.ts';
import { circumstancesOf } from '../../src/walk/beliefs.ts';
import { expectedFor } from '../../src/walk/expected.ts';
import { judgeReading } from '../../src/walk/judge.ts';
import { judgedAs } from './sampled-set.ts';
import { MERIDIAN } from './scenarios.ts';

const book = loadRules(resolve(import.meta.dirname, '../../rules')).book;
if (!book) throw new Error('the rule pack does not load');

it('never calls a reading right outside the range that is drawn, nor bad inside it', () => {
  const at = circumstancesOf(book, MERIDIAN, 117, 'dmm');
  const facts = factsOf(book, MERIDIAN);
  let [looked, gaps] = [0, 0];
  for (const check of book.checks.filter((c) => c.kind === 'number' && holds(c.when, facts))) {
    const range = rightRange(check, at && expectedFor(check, at));
    const read = check.reads[0];
    if (!range || !read || (read.bands.normal ?? read.bands.ok ?? []).length > 1) continue;
    const edges = Object.values(read.bands)
      .flat(2)
      .filter((e): e is number => e !== null && Number.isFinite(e));
    const reference = read.scale === 'ratio' ? (range.around ?? 1) : 1;
    for (const edge of edges)
      for (const nudge of [0.9, 0.97, 0.999, 1.001, 1.03, 1.1]) {
        const value = edge * nudge * reference;
        const inside =
          (range.low === undefined || value >= range.low) &&
          (range.high === undefined || value <= range.high);
        const judged = judgeReading(
          book,
          judgedAs(book, MERIDIAN, 1, check, { kind: 'number', value, unit: range.unit, unstable: false }),
        );
        if (judged.standing === 'noted') continue;
        looked += 1;
        const said = `${check.id} at ${value}`;
        if (inside) expect(judged.standing, said).not.toBe('bad');
        else expect(judged.standing, said).not.toBe('good');
        const held = Object.values(read.bands).some((bands) =>
          bands.some(
            ([low, high]) => (low === null || edge * nudge >= low) && (high === null || edge * nudge <= high),
          ),
        );
        if (!held) gaps += 1;
      }
  }
  expect(looked).toBeGreaterThan(500);
  // The case that matters is in the rules: values between two bands.
  expect(gaps).toBeGreaterThan(10);
});

it('calls what is seen bad if it speaks clearly for any fault, and right if it is what is usually seen', () => {
  const standing = (id: string, option: string) => {
    const check = book.checks.find((c) => c.id === id);
    if (!check) throw new Error(id);
    return judgeReading(book, judgedAs(book, MERIDIAN, 1, check, { kind: 'choice', option })).standing;
  };
  // Each of these checks reads several parts, and the first of them is not the one that is seen.
  expect(standing('hv-dark-room', 'flyback')).toBe('bad');
  expect(standing('hv-dark-room', 'dark')).toBe('good');
  expect(standing('picture-tube-heater-colour', 'dark')).toBe('bad');
  expect(standing('socket-grip', 'damper')).toBe('bad');
  expect(standing('socket-grip', 'none')).toBe('good');
  // Open with the switch off is right, although a feed that is broken would read so too.
  expect(standing('switch-off-path', 'open')).toBe('good');
});

it('does not call a reading by a fault that it is far from: 138 ohm is no open winding, and no good one', () => {
  const check = book.checks.find((c) => c.id === 'yoke-horizontal-ohms');
  if (!check) throw new Error('no such check');
  const ohms = (value: number) =>
    judgeReading(
      book,
      judgedAs(book, MERIDIAN, 1, check, { kind: 'number', value, unit: 'ohm', unstable: false }),
    );
  expect(ohms(138).standing).toBe('bad');
  expect(ohms(138).say).toMatch(/^Nothing known reads like this here/);
  expect(ohms(20e6).say).not.toMatch(/Nothing known/);
  expect(ohms(14).standing).toBe('good');
});

it('takes two dead halves for nothing known, never for two equal ones', () => {
  const volts = book.checks.filter((c) => c.combine === 'ratio' && c.unit.endsWith('V'));
  expect(volts.length).toBeGreaterThan(5);
  for (const check of volts) {
    const least = check.pairLeast ?? 0;
    const standing = (a: number, b: number) =>
      judgeReading(book, judgedAs(book, MERIDIAN, 1, check, { kind: 'pair', values: [a, b], unit: 'V' }))
        .standing;
    // What would prove windings, diodes or a doubler good where the set is only off.
    expect(standing(0, 0), check.id).toBe('noted');
    expect(standing(0.4 * least, -0.6 * least), check.id).toBe('noted');
    expect(standing(3 * least, 0.1 * least), check.id).not.toBe('noted');
  }
});
