// A session whose rule base changed since: readings of checks that are gone are kept, named, and not judged.
import { resolve } from 'node:path';
import { expect, it } from 'vitest';
import { loadRules } from '../../src/rulebook/index.ts';
import { emptyState, fold, type SessionEvent } from '../../src/session/index.ts';
import { createEngine } from '../../src/walk/engine.ts';
import { BENCH, MERIDIAN } from './scenarios.ts';

const book = loadRules(resolve(import.meta.dirname, '../../rules')).book;
if (!book) throw new Error('the rule pack does not load');

it('names the checks that are gone and keeps their readings', () => {
  const events: SessionEvent[] = [
    { type: 'set-described', set: MERIDIAN },
    { type: 'bench-described', instruments: BENCH },
    {
      type: 'reading',
      check: 'check-of-an-older-pack',
      raw: '12',
      value: { kind: 'number', value: 12, unit: 'V', unstable: false },
      context: { lineVolts: 0, instrument: 'dmm', supply: 'discharged', config: {} },
    },
  ];
  const at = '2001-01-01T12:00:00.000Z';
  const state = events.reduce((so, event) => fold(so, { ...event, seq: so.lastSeq + 1, at }), emptyState());
  const view = createEngine(book).view(state, new Date(at));
  expect(view.trouble).toContain('check-of-an-older-pack');
  expect(view.state.readings).toHaveLength(1);
  expect(view.judged).toEqual([]);
});
