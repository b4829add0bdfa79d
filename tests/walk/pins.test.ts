// Pin numbers on the card, for the tube that is in the set.
import { resolve } from 'node:path';
import { expect, it } from 'vitest';
import { loadRules } from '../../src/rulebook/index.ts';
import type { Check } from '../../src/rulebook/types.ts';
import { pinsFor } from '../../src/walk/pins.ts';
import { MERIDIAN } from './scenarios.ts';

const book = loadRules(resolve(import.meta.dirname, '../../rules')).book;
if (!book) throw new Error('the rule pack does not load');

function check(id: string): Check {
  const found = book?.checks.find((c) => c.id === id);
  if (!found) throw new Error(id);
  return found;
}

// Octal base 6AM as registered for the 6DQ6A: 2 and 7 heater, 4 screen, 5 grid, 8 cathode and beam plates, top cap plate (tube handbooks; from memory).
it('names grid, screen, cathode and top cap of a 6DQ6A', () => {
  expect(pinsFor(book, MERIDIAN, check('horizontal-output-grid-drive'))).toBe(
    '6DQ6A: 4 screen, 5 grid, 8 cathode and suppressor, top cap plate, 2 and 7 heater',
  );
});

it('numbers the halves of a twin triode', () => {
  const set = { ...MERIDIAN, tubes: { 'horizontal-oscillator': '6SN7GTB' } };
  expect(pinsFor(book, set, check('horizontal-oscillator-grid'))).toContain('4 grid of half 1');
});

it('says nothing for an unknown tube, or a check that asks for no electrode', () => {
  expect(pinsFor(book, { ...MERIDIAN, tubes: {} }, check('horizontal-output-grid-drive'))).toBe('');
  expect(pinsFor(book, MERIDIAN, check('plug-ohms'))).toBe('');
});
