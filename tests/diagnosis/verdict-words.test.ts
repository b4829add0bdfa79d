// How chances, lists and spans are spoken.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { chanceWords, inSentence, listWords, sentences, spanWords } from '../../src/diagnosis/plain-words.ts';

describe('words', () => {
  it.each([
    [0, 'under 1 in 50'],
    [0.05, 'about 1 in 20'],
    [0.31, 'about 3 in 10'],
    [0.95, 'about 19 in 20'],
    [1, 'better than 49 in 50'],
    [Number.NaN, 'unknown'],
  ])('a chance of %s is %s', (chance, words) => expect(chanceWords(chance)).toBe(words));

  it('never speak of certainty', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 1, noNaN: true }), (chance) => {
        const words = chanceWords(chance);
        const [, n, of] = /(\d+) in (\d+)$/.exec(words) ?? [];
        expect(Number(n)).toBeGreaterThan(0);
        expect(Number(n)).toBeLessThan(Number(of));
        expect(Math.abs(Number(n) / Number(of) - chance)).toBeLessThanOrEqual(0.051);
      }),
    );
  });

  it('join lists', () => {
    expect(listWords([])).toBe('');
    expect(listWords(['a'])).toBe('a');
    expect(listWords(['a', 'b', 'c'])).toBe('a, b and c');
    expect(listWords(['string, cold', 'B+'], 'or')).toBe('string, cold or B+');
    expect(listWords(['string, cold', 'B+', 'boost'])).toBe('string, cold; B+; and boost');
  });

  it('round spans to what an estimate deserves', () => {
    expect(spanWords([0.52, 3.1])).toBe('0.5 to 3');
    expect(spanWords([0, 94.4])).toBe('up to 94');
    expect(spanWords([144, 689])).toBe('140 to 690');
    expect(spanWords([2, 2.1])).toBe('2');
  });

  it('keep abbreviations and type numbers as they are', () => {
    expect(inSentence('Picture tube')).toBe('picture tube');
    expect(inSentence('AGC')).toBe('AGC');
    expect(inSentence('B+ supply')).toBe('B+ supply');
    expect(inSentence('6SN7GTB')).toBe('6SN7GTB');
  });

  it('end sentences once', () => {
    expect(sentences('One', '', 'two.', ' Three! ')).toBe('One. two. Three!');
  });
});
