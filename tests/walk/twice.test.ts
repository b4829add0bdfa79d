// "Measure it again": a value that is found again is believed more, and is not asked for a third time.
import { describe, expect, it } from 'vitest';
import { sayOne } from '../../src/diagnosis/conflicts-words.ts';
import { foldAll, type RecordedEvent, type SessionEvent } from '../../src/session/index.ts';
import { judgedReadings } from '../../src/walk/beliefs.ts';
import { BENCH, MERIDIAN } from './scenarios.ts';
import { book, engine } from './simulated-walk.ts';

const PART = 'vertical-output.grid-resistor';
const measured = (ohms: number): SessionEvent => ({
  type: 'reading',
  check: 'vertical-grid-resistor',
  raw: `${ohms} 2.2M`,
  value: { kind: 'pair', values: [ohms, 2.2e6], unit: 'ohm' },
  context: { supply: 'discharged', lineVolts: 0, instrument: 'dmm', config: {} },
});
const looked: SessionEvent = {
  type: 'reading',
  check: 'flyback-look',
  raw: '1',
  value: { kind: 'choice', option: 'clean' },
  context: { supply: 'unplugged', lineVolts: 0, instrument: '', config: {} },
};
const repaired: SessionEvent = {
  type: 'repaired',
  part: 'b-plus.filter-leakage',
  action: 'replaced',
  found: '',
};

const stateOf = (...events: SessionEvent[]) =>
  foldAll(
    [
      { type: 'set-described', set: MERIDIAN } as const,
      { type: 'bench-described', instruments: [...BENCH] } as const,
      ...events,
    ].map((event, n): RecordedEvent => ({ ...event, seq: n + 1, at: '2000-01-01T18:00:00.000Z' })),
  );
const twice = (...events: SessionEvent[]): boolean[] =>
  judgedReadings(book, stateOf(...events)).map((r) => r.twice ?? false);
/** Odds that the part is bad. */
const bad = (...events: SessionEvent[]): number => {
  const view = engine.view(stateOf(...events), new Date('2000-01-01T18:30:00.000Z'), { trust: true });
  const ok = view.belief?.parts.get(PART)?.ok ?? 1;
  return (1 - ok) / ok;
};

describe('a value that is found again', () => {
  it('counts as measured twice where it is the same to a tenth, by number, and nothing was repaired in between', () => {
    expect(twice(measured(14.4e6), measured(14.1e6))).toEqual([false, true]);
    expect(twice(measured(14.4e6), measured(2.2e6))).toEqual([false, false]);
    expect(twice(measured(14.4e6), repaired, measured(14.4e6))).toEqual([false, false]);
    expect(twice(looked, looked)).toEqual([false, false]);
    expect(twice(measured(14.4e6), measured(2.2e6), measured(14.4e6))).toEqual([false, false, false]);
  });

  it('is believed more than one that was measured once, and than one that was found different', () => {
    const once = bad(measured(14.4e6));
    expect(bad(measured(14.4e6), measured(14.3e6))).toBeGreaterThan(3 * once);
    expect(bad(measured(14.4e6), measured(2.2e6))).toBeLessThan(once);
  });

  it('is not asked for a third time', () => {
    const conflict = { seq: 1, check: 'vertical-grid-resistor', surprise: 0.01 };
    const slip = { kind: 'other', probability: 0.6 } as const;
    expect(sayOne(book, { ...conflict, slip }, undefined)).toMatch(/Measure it again\.$/);
    expect(sayOne(book, { ...conflict, slip }, 'Grid volts', true)).toMatch(/measured twice .* It stands:/);
    // A decimal point is misread twice the same way.
    const point = { kind: 'tenth', probability: 0.6 } as const;
    expect(sayOne(book, { ...conflict, slip: point }, undefined, true)).toMatch(/ten times too small/);
  });
});
