// Keys from bytes: bursts, pastes, sequences torn apart by a slow line, and the Esc key by itself.
import fc from 'fast-check';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { createKeyStream, type Key, splitKeys } from '../../src/ui/key-stream.ts';

const names = (bytes: string): string[] =>
  splitKeys(bytes, true).keys.map((k) => (k.name === 'char' ? k.text : k.name));

describe('splitKeys', () => {
  it('splits what arrives together', () => {
    expect(names('284\r')).toEqual(['2', '8', '4', 'enter']);
    expect(names('\u001b[A\u001b[B\u001bOC\u001b[D')).toEqual(['up', 'down', 'right', 'left']);
    expect(names('\u0018\u001a\t\u007f')).toEqual(['ctrl-x', 'ctrl-z', 'tab', 'backspace']);
    expect(names('\u001b[3~\u001b[5~\u001b[6~\u001bOP')).toEqual(['delete', 'page-up', 'page-down', 'f1']);
    expect(names('µΩ')).toEqual(['µ', 'Ω']);
  });

  it('takes a bracketed paste as one piece of text', () => {
    const { keys } = splitKeys('\u001b[200~47k\nsecond\u001b[201~\r');
    expect(keys.map((k) => [k.name, k.text])).toEqual([
      ['paste', '47k\nsecond'],
      ['enter', ''],
    ]);
  });

  it('knows a lone Esc, and Esc before a key', () => {
    expect(splitKeys('\u001b').rest).toBe('\u001b');
    expect(names('\u001b')).toEqual(['escape']);
    expect(names('\u001bx')).toEqual(['escape', 'x']);
  });

  it('ignores sequences that it does not know, whole', () => {
    expect(names('\u001b[1;5C\u001b[?1;2c7')).toEqual(['unknown', 'unknown', '7']);
  });
});

describe('createKeyStream', () => {
  afterEach(() => {
    vi.useRealTimers();
  });

  it('gives the same keys however the bytes are torn', () => {
    vi.useFakeTimers();
    const piece = fc.constantFrom(
      '1',
      'k',
      '\r',
      '\u001b[A',
      '\u001b[6~',
      '\u001bOP',
      '\u0018',
      'é',
      '\u001b[200~4k7\u001b[201~',
    );
    fc.assert(
      fc.property(
        fc.array(piece, { maxLength: 12 }),
        fc.array(fc.nat(40), { maxLength: 8 }),
        (pieces, cuts) => {
          const bytes = pieces.join('');
          const whole = splitKeys(bytes, true).keys.map((k) => k.name + k.text);
          const got: string[] = [];
          const stream = createKeyStream((k: Key) => got.push(k.name + k.text));
          const at = [...new Set(cuts.map((c) => Math.min(c, bytes.length)))].sort((a, b) => a - b);
          let from = 0;
          for (const to of [...at, bytes.length]) {
            stream.push(bytes.slice(from, to));
            from = to;
          }
          vi.advanceTimersByTime(100);
          stream.stop();
          expect(got).toEqual(whole);
        },
      ),
    );
  });

  it('gives a lone Esc after a short wait', () => {
    vi.useFakeTimers();
    const got: string[] = [];
    const stream = createKeyStream((k) => got.push(k.name));
    stream.push('\u001b');
    expect(got).toEqual([]);
    vi.advanceTimersByTime(50);
    expect(got).toEqual(['escape']);
  });
});
