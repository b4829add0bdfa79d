// The key table: no command takes a key that a reading may begin with; every sheet of a session has "power off" and help.
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { splitKeys } from '../../src/ui/key-stream.ts';
import {
  commandFor,
  footerOf,
  helpOf,
  KEYS,
  keysPage,
  keyWord,
  SCREENS,
  type ScreenName,
} from '../../src/ui/keys.ts';

const keyOf = (bytes: string) => {
  const [key] = splitKeys(bytes, true).keys;
  if (!key) throw new Error('no key');
  return key;
};
const SHEETS: readonly ScreenName[] = ['walk', 'list', 'browser', 'tree', 'log', 'verdict'];

describe('typing a value', () => {
  /** Every character that a reading of the syntax page can hold: 284, 4k7, .047u, <0.5, 100-140, ol, open, short, 120~, `34 / 35`. */
  const characters = [...'0123456789.,-+~<>/kKmMuUnpPGVvAaWwFfHhzsSoOlLeEtTrRiIcCdDxXyYbBgGjJqQ%µΩ'];

  it('never meets a command in the walk', () => {
    for (const c of characters) expect([c, commandFor(keyOf(c), 'walk', true)]).toEqual([c, undefined]);
  });

  it('meets only the full stop in the list, and only while nothing is typed', () => {
    for (const c of characters) {
      expect([c, commandFor(keyOf(c), 'list', true)]).toEqual([c, c === '.' ? 'expected' : undefined]);
      expect([c, commandFor(keyOf(c), 'list', false)]).toEqual([c, undefined]);
    }
  });

  it('leaves blank, question mark and exclamation mark to the text once something is typed', () => {
    for (const c of [' ', '?', '!']) expect(commandFor(keyOf(c), 'walk', false)).toBeUndefined();
  });
});

describe('power off', () => {
  it('is one key on every screen, typed text or not, and first in the footer of a session', () => {
    for (const screen of SCREENS) {
      for (const empty of [true, false]) expect(commandFor(keyOf('\u0018'), screen, empty)).toBe('power-off');
    }
    for (const screen of SHEETS) {
      expect(commandFor(keyOf('!'), screen, true)).toBe('power-off');
      expect(footerOf(screen)[0]?.command).toBe('power-off');
    }
  });
});

describe('the table', () => {
  it('gives a key one meaning on a screen', () => {
    for (const screen of SCREENS) {
      const here = KEYS.filter((b) => b.on === 'everywhere' || b.on.includes(screen));
      const keys = here.flatMap((b) => b.keys);
      const twice = keys.filter((k, n) => keys.indexOf(k) !== n);
      expect([screen, twice]).toEqual([screen, []]);
    }
  });

  it('uses no control key that a terminal turns into another key, nor the one that suspends', () => {
    const taken = ['ctrl-h', 'ctrl-i', 'ctrl-j', 'ctrl-m', 'ctrl-['];
    expect(KEYS.flatMap((b) => b.keys).filter((k) => taken.includes(k))).toEqual([]);
  });

  it('explains every key in help, and offers help on every screen', () => {
    for (const screen of SCREENS) {
      expect(helpOf(screen).length).toBeGreaterThan(5);
      for (const row of helpOf(screen)) expect(row.text).toMatch(/^[A-Z].*\.$/);
      expect(commandFor(keyOf('\u001bOP'), screen, false)).toBe('help');
    }
  });

  it('writes keys as people read them', () => {
    expect(['ctrl-x', 'escape', 'page-down', '?'].map(keyWord)).toEqual(['^X', 'Esc', 'PgDn', '?']);
  });
});

// `FIRST_RASTER_KEYS_PAGE=write npm run test:only -- tests/ui/keys.test.ts` writes the page anew.
it('is printed on the page of keys as it is', () => {
  const page = join(import.meta.dirname, '../../src/ui/keys.md');
  if (process.env.FIRST_RASTER_KEYS_PAGE === 'write') writeFileSync(page, keysPage());
  expect(readFileSync(page, 'utf8')).toBe(keysPage());
});
