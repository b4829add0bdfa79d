// Slips of the finger that would pass a short as good or end an evening: asked about once, and then taken as meant.
import { describe, expect, it } from 'vitest';
import { emptyState, type ReadingValue } from '../../src/session/index.ts';
import { slipAt } from '../../src/walk/slips.ts';
import { book, engine } from './simulated-walk.ts';

const check = (id: string) => {
  const found = book.checks.find((c) => c.id === id);
  if (!found) throw new Error(id);
  return found;
};
const number = (value: number, unit: string): ReadingValue => ({
  kind: 'number',
  value,
  unit,
  unstable: false,
});
const expected = (value: number) => ({ value, spread: 0.2, unit: 'V', reasons: [] });
const offered = (entry: ReturnType<typeof slipAt>) =>
  entry?.kind === 'ask' ? entry.alternatives.map(({ label }) => label) : [];

describe('a bare number where the unit is kilohms', () => {
  const feed = check('tuner-feed-ohms');
  it('of a thousand and more may be meant in ohms: a short must not pass as a megohm', () => {
    expect(feed.unit).toBe('kohm');
    expect(offered(slipAt(feed, '1200', number(1.2e6, 'ohm'), undefined))).toEqual(['1.2 kohm', '1.2 Mohm']);
  });
  it('is taken as it stands with its unit, and where it is small', () => {
    expect(slipAt(feed, '1200k', number(1.2e6, 'ohm'), undefined)).toBeUndefined();
    expect(slipAt(feed, '1.2M', number(1.2e6, 'ohm'), undefined)).toBeUndefined();
    expect(slipAt(feed, '400', number(4e5, 'ohm'), undefined)).toBeUndefined();
  });
});

describe('a reading that would end the run', () => {
  const main = check('b-plus-horizontal-off');
  it('and is ten times what one expects is asked about first', () => {
    expect(main.stop.length).toBeGreaterThan(0);
    expect(offered(slipAt(main, '2600', number(2600, 'V'), expected(265)))).toEqual(['2.6 kV', '260 V']);
  });
  it('and is not ten times off counts at once', () => {
    expect(slipAt(main, '520', number(520, 'V'), expected(265))).toBeUndefined();
    expect(slipAt(main, '2600', number(2600, 'V'), undefined)).toBeUndefined();
  });
  it('what ends no run is taken as typed: the judgement says what it thinks of it', () => {
    expect(slipAt(main, '260', number(260, 'V'), expected(265))).toBeUndefined();
  });
});

it.each(['3', '9', '1', '900'])('%s is no line voltage to power up with', (typed) => {
  const now = new Date('2000-01-01T00:00:00.000Z');
  const step = {
    kind: 'power-up',
    to: 'isolated-limited',
    why: '',
    rows: [],
    readings: [],
    leftOut: [],
    found: [],
  } as const;
  const view = engine.view(emptyState(), now);
  const force = { force: number(Number(typed), 'V') };
  expect(engine.enter(view, step, typed, now, force)).toMatchObject({
    kind: 'refused',
    message: expect.stringMatching(/10 to 280 V/),
  });
});
