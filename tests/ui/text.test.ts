// Text on the terminal: harmless, of known width, never moving a column.
import fc from 'fast-check';
import stringWidth from 'string-width';
import { describe, expect, it } from 'vitest';
import {
  beside,
  clean,
  cut,
  ends,
  fitLine,
  lineWidth,
  pad,
  span,
  toAscii,
  widthOf,
  windowStart,
  wrap,
} from '../../src/ui/text.ts';

const unicode = fc.string({ unit: 'grapheme', maxLength: 60 });

describe('clean', () => {
  it('takes escape sequences, control and direction characters out', () => {
    expect(clean('a\u001b[31mred\u001b[0m\u0007b')).toBe('aredb');
    expect(clean('\u001b]0;title\u0007x')).toBe('x');
    expect(clean('one\ntwo\tthree')).toBe('one two three');
    expect(clean('abc\u202egnp')).toBe('abcgnp');
    expect(clean('\u009b31m')).toBe('31m');
  });

  it('leaves no control character whatever comes in', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary', maxLength: 80 }), (text) => {
        expect(clean(text)).not.toMatch(/[\u0000-\u001f\u007f-\u009f]/);
      }),
    );
  });
});

describe('width', () => {
  it('cuts and pads to exactly the width asked for, wide characters included', () => {
    expect(pad('ab', 4)).toBe('ab  ');
    expect(pad('abcdef', 4)).toBe('abc…');
    expect(pad('ab', 4, 'right')).toBe('  ab');
    expect(pad('テレビ', 4)).toBe('テ… ');
    fc.assert(
      fc.property(unicode, fc.integer({ min: 1, max: 40 }), (text, width) => {
        const safe = clean(text);
        expect(stringWidth(pad(safe, width))).toBe(width);
        expect(stringWidth(cut(safe, width))).toBeLessThanOrEqual(width);
      }),
    );
  });

  it('wraps within the width and loses no word', () => {
    expect(wrap('one two three', 7)).toEqual(['one two', 'three']);
    expect(wrap('abcdefghij', 4)).toEqual(['abcd', 'efgh', 'ij']);
    expect(wrap('', 10)).toEqual(['']);
    fc.assert(
      fc.property(
        fc.array(fc.stringMatching(/^[a-z]{1,12}$/), { maxLength: 20 }),
        fc.integer({ min: 12, max: 60 }),
        (words, width) => {
          const lines = wrap(words.join(' '), width);
          for (const line of lines) expect(widthOf(line)).toBeLessThanOrEqual(width);
          expect(lines.join(' ').split(' ').filter(Boolean)).toEqual(words);
        },
      ),
    );
  });

  it('composes lines of exact width', () => {
    const line = [span('abc'), span('defgh', 'good')];
    expect(lineWidth(fitLine(line, 12))).toBe(12);
    expect(lineWidth(fitLine(line, 5))).toBe(5);
    expect(lineWidth(ends(line, [span('right')], 20))).toBe(20);
    const rows = beside([[span('a')], [span('b')]], 4, [[span('x')]], '|');
    expect(rows.map((r) => r.map((s) => s.text).join(''))).toEqual(['a   |x', 'b   |']);
  });
});

describe('ASCII', () => {
  it('keeps the width column by column and leaves nothing but ASCII', () => {
    expect(toAscii('▸ ohm ━━▼ 1 × é')).toBe('> ohm ==v 1 x e');
    fc.assert(
      fc.property(unicode, (text) => {
        const safe = clean(text);
        const ascii = toAscii(safe);
        expect(ascii).toMatch(/^[ -~]*$/);
        expect(ascii.length).toBeGreaterThanOrEqual(stringWidth(safe));
      }),
    );
  });
});

it('keeps the marked row of a long list in sight', () => {
  fc.assert(
    fc.property(fc.nat(500), fc.integer({ min: 1, max: 40 }), fc.nat(500), (count, height, place) => {
      const index = Math.min(place, Math.max(0, count - 1));
      const from = windowStart(index, count, height);
      expect(from).toBeGreaterThanOrEqual(0);
      if (count > 0) expect(index >= from && index < from + height).toBe(true);
    }),
  );
});
