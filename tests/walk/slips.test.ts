// Slips of the finger that would pass a short as good or end an evening: asked about once, and then taken as meant.
import { describe, expect, it } from 'vitest';
import { emptyState, foldAll, type ReadingValue } from '../../src/session/index.ts';
import { runMinutesLeft } from '../../src/walk/run-time.ts';
import { slipAt } from '../../src/walk/slips.ts';
import { MERIDIAN } from './scenarios.ts';
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

describe('a bare number where ohms are meant', () => {
  it('that would be right in kilohms is asked about', () => {
    const winding = check('flyback-hv-winding-ohms');
    expect(offered(slipAt(winding, '0.4', number(0.4, 'ohm'), undefined))).toEqual(['0.4 ohm', '400 ohm']);
    expect(slipAt(winding, '0.4ohm', number(0.4, 'ohm'), undefined)).toBeUndefined();
    expect(slipAt(winding, '400', number(400, 'ohm'), undefined)).toBeUndefined();
  });
});

describe('an hour of running', () => {
  it('is not answered five minutes after power came on', () => {
    const soak = check('soak-60');
    const at = (minutes: number) => new Date(Date.parse('2026-03-01T09:00:00Z') + minutes * 60_000);
    const on = {
      type: 'powered-up',
      seq: 1,
      at: at(0).toISOString(),
      to: 'isolated-full',
      lineVolts: 117,
    } as const;
    expect(runMinutesLeft(soak, { safetyLog: [on] }, at(5))).toBe(49);
    expect(runMinutesLeft(soak, { safetyLog: [on] }, at(60))).toBe(0);
    const off = { type: 'powered-off', seq: 2, at: at(5).toISOString(), why: '' } as const;
    expect(runMinutesLeft(soak, { safetyLog: [on, off] }, at(90))).toBe(49);
    expect(runMinutesLeft(check('b-plus-working'), { safetyLog: [on] }, at(1))).toBe(0);
  });
});

describe('volts at the anode', () => {
  const anode = (instruments: readonly string[]) => {
    const session = foldAll([
      { type: 'set-described', set: MERIDIAN, seq: 1, at: '2026-03-01T09:00:00Z' },
      { type: 'bench-described', instruments, seq: 2, at: '2026-03-01T09:00:00Z' },
    ]);
    const view = engine.view(session, new Date('2026-03-01T09:00:00Z'));
    const [gate] = view.safety.gates(['anode-first']);
    if (!gate) throw new Error('no such gate');
    const step = { kind: 'gate', gate, toward: '', position: 1, of: 1 } as const;
    return (typed: string) => engine.enter(view, step, typed, new Date('2026-03-01T09:00:00Z'));
  };
  it('may be kilovolts on the probe: asked, where one is on the bench', () => {
    const entry = anode(['dmm', 'hv-probe'])('16V');
    expect(entry.kind === 'ask' && entry.alternatives.map(({ label }) => label)).toEqual([
      '16 V, by the meter itself',
      'on the probe: 16 kV',
    ]);
    expect(anode(['dmm', 'hv-probe'])('0').kind).not.toBe('ask');
    expect(anode(['dmm', 'hv-probe'])('0.02kV').kind).not.toBe('ask');
    expect(anode(['dmm'])('16V').kind).not.toBe('ask');
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
    toFit: [],
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

it('behind the lamp, what the dial shows is not taken unasked for what the set gets', () => {
  const now = new Date('2000-01-01T00:00:00.000Z');
  const row = {
    dialVolts: 59,
    lineVolts: 22,
    holdSeconds: 60,
    currentCeilingAmps: 1,
    expectedBPlus: '',
    watch: '',
  };
  const step = {
    kind: 'power-up',
    to: 'isolated-limited',
    why: '',
    rows: [row],
    readings: [],
    toFit: [],
    leftOut: [],
    found: [],
  } as const;
  const view = engine.view(emptyState(), now);
  const asked = engine.enter(view, step, '59', now);
  expect(asked).toMatchObject({ kind: 'ask', message: expect.stringContaining('22 V at the set') });
  expect(engine.enter(view, step, '24', now).kind).not.toBe('ask');
  expect(engine.enter(view, { ...step, to: 'isolated-full' }, '117', now).kind).not.toBe('ask');
});
