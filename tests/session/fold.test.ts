// Events become state: undo, correction, and a safety log that only grows.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { safetyOf } from '../../src/safety/index.ts';
import { emptyState, fold, foldAll, type SessionEvent } from '../../src/session/index.ts';
import { ALL_INSTRUMENTS, Bench, ORDINARY } from '../safety/bench-log.ts';
import { note, reading, recorded, volts } from './helpers.ts';

describe('fold', () => {
  it('keeps readings in order, a reading ends a skip', () => {
    const state = foldAll(
      recorded([{ type: 'skipped', check: 'a', reason: 'later' }, reading('a', 1), reading('b', 2)]),
    );
    expect(state.readings.map(({ check }) => check)).toEqual(['a', 'b']);
    expect(state.skipped).toEqual([]);
    expect(state.lastSeq).toBe(3);
  });

  it('a correction keeps what was typed before, oldest first', () => {
    const state = foldAll(
      recorded([
        reading('a', 46),
        { type: 'corrected', target: 1, raw: '-46', value: volts(-46) },
        { type: 'corrected', target: 1, raw: '-45', value: volts(-45) },
      ]),
    );
    expect(state.readings[0]).toMatchObject({ raw: '-45', value: volts(-45), corrections: ['46', '-46'] });
  });

  it('undoing a correction brings back what was typed before it', () => {
    const state = foldAll(
      recorded([
        reading('a', 46),
        { type: 'corrected', target: 1, raw: '-46', value: volts(-46) },
        { type: 'undone', target: 2 },
      ]),
    );
    expect(state.readings[0]).toMatchObject({ raw: '46', corrections: [] });
  });

  it('an undone reading is gone, an undone configuration is not known', () => {
    const state = foldAll(
      recorded([
        reading('a', 1),
        { type: 'configured', item: 'signal', value: 'none' },
        { type: 'configured', item: 'signal', value: 'applied' },
        { type: 'undone', target: 1 },
        { type: 'undone', target: 3 },
      ]),
    );
    expect(state.readings).toEqual([]);
    expect(state.config).toEqual({});
  });

  it('power and undo itself cannot be undone', () => {
    const state = foldAll(
      recorded([
        { type: 'powered-up', to: 'isolated-limited', lineVolts: 40 },
        { type: 'undone', target: 1 },
        note('x'),
        { type: 'undone', target: 3 },
        { type: 'undone', target: 4 },
      ]),
    );
    expect(state.lineVolts).toBe(40);
    expect(state.notes).toEqual([]);
  });

  it('undo never brings an earlier proof back to life', () => {
    const bench = new Bench().cold();
    const gates: SessionEvent[] = bench.log.map((entry) =>
      entry.type === 'gate'
        ? { type: 'gate', gate: entry.gate, raw: '', value: entry.value }
        : { type: 'resumed' },
    );
    const start = bench.log.map((entry) => Date.parse(entry.at));
    const at = (index: number) => new Date(start[index] ?? (start.at(-1) ?? 0) + 1000).toISOString();
    const cold = gates.map((event, index) => ({ ...event, seq: index + 1, at: at(index) }));
    const more = (events: readonly SessionEvent[]) =>
      foldAll([
        ...cold,
        ...events.map((event, index) => ({ ...event, seq: cold.length + index + 1, at: at(cold.length) })),
      ]);
    const supply = (events: readonly SessionEvent[]) =>
      safetyOf(more(events).safetyLog, ORDINARY, ALL_INSTRUMENTS, new Date(at(cold.length))).supply;
    expect(supply([])).toBe('discharged');
    const charged: SessionEvent = { type: 'gate', gate: 'electrolytics', raw: '80', value: volts(80) };
    expect(supply([charged])).toBe('unplugged');
    expect(supply([charged, { type: 'undone', target: cold.length + 1 }])).toBe('unplugged');
    const electrolytics =
      cold.findIndex((event) => event.type === 'gate' && event.gate === 'electrolytics') + 1;
    expect(supply([{ type: 'undone', target: electrolytics }])).toBe('unplugged');
    expect(supply([{ type: 'corrected', target: electrolytics, raw: '0', value: volts(0) }])).toBe(
      'unplugged',
    );
  });

  const event = fc.oneof(
    fc.constantFrom<SessionEvent>(
      reading('a', 1),
      reading('b', 2),
      note('n'),
      { type: 'skipped', check: 'a', reason: 'later' },
      { type: 'configured', item: 'horizontal', value: 'disabled' },
      { type: 'powered-up', to: 'isolated-limited', lineVolts: 40 },
      { type: 'powered-off', why: '' },
      { type: 'gate', gate: 'electrolytics', raw: '0', value: volts(0) },
      { type: 'link-fitted', what: 'clip' },
      { type: 'link-removed', what: 'clip' },
      { type: 'repaired', part: 'p.q', action: 'replaced', found: 'leaky' },
      { type: 'owner-wish', wish: 'watch' },
      { type: 'finished' },
    ),
    fc.integer({ min: 1, max: 30 }).map((target): SessionEvent => ({ type: 'undone', target })),
    fc
      .integer({ min: 1, max: 30 })
      .map((target): SessionEvent => ({ type: 'corrected', target, raw: '9', value: volts(9) })),
  );
  it('one by one is the same as all at once', () => {
    fc.assert(
      fc.property(fc.array(event, { maxLength: 40 }), (events) => {
        const list = recorded(events);
        expect(list.reduce(fold, emptyState())).toEqual(foldAll(list));
      }),
      { numRuns: 500 },
    );
  });
  it('the safety log only grows', () => {
    fc.assert(
      fc.property(fc.array(event, { maxLength: 40 }), (events) => {
        const list = recorded(events);
        const longer = foldAll(list).safetyLog;
        const shorter = foldAll(list.slice(0, -1)).safetyLog;
        expect(longer.slice(0, shorter.length)).toEqual(shorter);
      }),
    );
  });
});
