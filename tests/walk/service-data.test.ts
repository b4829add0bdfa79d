// Printed values: typed with line voltage and meter, they replace the default expectation and are carried to today's line.
import { resolve } from 'node:path';
import { describe, expect, it } from 'vitest';
import { loadRules } from '../../src/rulebook/index.ts';
import { emptyState, fold, type SessionEvent, type SessionState } from '../../src/session/index.ts';
import { createEngine } from '../../src/walk/engine.ts';
import { BENCH, MERIDIAN } from './scenarios.ts';

const book = loadRules(resolve(import.meta.dirname, '../../rules')).book;
if (!book) throw new Error('the rule pack does not load');
const engine = createEngine(book);
const now = new Date('2001-01-01T12:00:00Z');

function add(state: SessionState, events: readonly SessionEvent[]): SessionState {
  return events.reduce(
    (so, event) => fold(so, { ...event, seq: so.lastSeq + 1, at: now.toISOString() }),
    state,
  );
}

const start = add(emptyState(), [
  { type: 'set-described', set: MERIDIAN },
  { type: 'bench-described', instruments: BENCH },
]);

function expectedAfter(
  text: string,
  check = 'b-plus-working',
): { value: number; reasons: readonly string[] } {
  const view = engine.view(start, now);
  const entry = engine.printed(
    view,
    book?.checks.find((c) => c.id === check) ?? view.standings[0]?.check ?? fail(),
    text,
  );
  if (entry.kind !== 'events') throw new Error(entry.kind === 'refused' ? entry.message : entry.kind);
  const after = engine.view(add(start, entry.events), now);
  const expected = after.standings.find((s) => s.check.id === check)?.expected;
  if (!expected) throw new Error('nothing expected');
  return expected;
}

function fail(): never {
  throw new Error('no such check');
}

describe('printed values', () => {
  it('replace the default as they stand when the line is the same', () => {
    expect(expectedAfter('243').value).toBeCloseTo(243, 3);
    expect(expectedAfter('243').reasons.join(' ')).toContain('service data: 243 V at 117 V line');
  });

  it('are carried from the printed line to the line of today', () => {
    // An unregulated supply follows the line: 240 V at 120 V is 234 V at 117 V (common practice, no source).
    expect(expectedAfter('240 @ 120').value).toBeCloseTo(234, 0);
  });

  it('are undone for the meter that they were printed with, where the point has resistance', () => {
    const check = book.checks.find(
      (c) => c.quantity === 'dc-volts' && c.sourceOhms >= 100_000 && c.kind === 'number' && c.expect,
    );
    if (!check) throw new Error('no high-resistance point in the rules');
    const low = expectedAfter('-20 @ 117 / 1M', check.id).value;
    const same = expectedAfter('-20 @ 117 / 10M', check.id).value;
    expect(Math.abs(low)).toBeGreaterThan(Math.abs(same));
    expect(same).toBeCloseTo(-20, 1);
  });

  it.each(['abc', '240 @ 900', '240 / zero', ''])('refuses "%s" and says how', (text) => {
    const view = engine.view(start, now);
    const entry = engine.printed(view, book.checks.find((c) => c.id === 'b-plus-working') ?? fail(), text);
    expect(entry.kind).toBe('refused');
  });

  it('are forgotten with a dash', () => {
    const before = engine.view(start, now).standings.find((s) => s.check.id === 'b-plus-working')
      ?.expected?.value;
    expect(expectedAfter('-').value).toBeCloseTo(before ?? 0, 6);
  });
});
