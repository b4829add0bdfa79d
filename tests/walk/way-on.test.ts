// The walk goes on: past what was put off, to the cause of what keeps a set off, and through a bring-up that is due once more.
import { beforeAll, describe, expect, it } from 'vitest';
import { drawSet, type SimulatedSet, setFactsOf } from '../../src/practice/index.ts';
import type { Check } from '../../src/rulebook/types.ts';
import { fold, type SessionEvent, type SessionState } from '../../src/session/index.ts';
import { isStale, retiredBy } from '../../src/walk/beliefs.ts';
import { evaluateWalk, type WalkResult } from '../../src/walk/evaluate.ts';
import type { WalkView } from '../../src/walk/types.ts';
import { book, engine, WELL_EQUIPPED } from './simulated-walk.ts';

let set: SimulatedSet;
let healthy: WalkResult;
beforeAll(async () => {
  set = await drawSet({
    seed: 2,
    family: 'series-doubler-halfwave',
    level: 'single',
    fault: 'vertical-oscillator.integrator/open',
  });
  healthy = evaluateWalk(
    engine,
    { set: setFactsOf(set), instruments: WELL_EQUIPPED },
    (check, { state }) => set.answer(check, state.config),
    { mostMinutes: 400 },
  );
}, 60_000);

const later = (state: SessionState, event: SessionEvent): SessionState =>
  fold(state, { ...event, seq: state.lastSeq + 1, at: state.lastAt });

it('a shorted B+ is looked into before anything else is asked', () => {
  const asked: { check: Check; why: string }[] = [];
  evaluateWalk(
    engine,
    { set: setFactsOf(set), instruments: WELL_EQUIPPED },
    (check, view) => {
      asked.push({ check, why: view.step.kind === 'check' ? view.step.why : '' });
      return check.id === 'b-plus-short' ? '240' : set.answer(check, view.state.config);
    },
    { mostMinutes: 120 },
  );
  const at = asked.findIndex(({ check }) => check.id === 'b-plus-short');
  expect(at).toBeGreaterThan(0);
  for (const { why } of asked.slice(at + 1, at + 4))
    expect(why).toMatch(/^The set stays off until the cause of what was read is found/);
});

it('a guard of power that was put off is not on the next card while something else can be taken cold', () => {
  const cards: string[] = [];
  const putOff = { ...engine, skip: (view: WalkView, check: Check) => engine.skip(view, check, 'later') };
  const walk = evaluateWalk(
    putOff,
    { set: setFactsOf(set), instruments: WELL_EQUIPPED },
    (check, { state }) =>
      check.before.some((step) => step.startsWith('power')) && check.state === 'S0'
        ? undefined
        : set.answer(check, state.config),
    {
      mostMinutes: 120,
      choose: ({ step, state }) => {
        if (step.kind === 'check') cards.push(`${state.skipped.length} ${step.check.id}`);
        return undefined;
      },
    },
  );
  const late = new Set(walk.view.state.skipped.filter((s) => s.reason === 'later').map((s) => s.check));
  expect(late.size).toBeGreaterThan(2);
  const again = cards.filter((card, n) => n > 0 && card.split(' ')[1] === cards[n - 1]?.split(' ')[1]);
  expect(again).toEqual([]);
});

describe('parts that make the drive', () => {
  it.each(['horizontal-oscillator.tube', 'horizontal-output.grid-coupling-capacitor'])(
    'changed since, %s leaves no drive that was read before it',
    (part) => {
      const drive = healthy.view.judged.find(({ check }) => check.id === 'horizontal-output-grid-drive');
      if (!drive) throw new Error('drive was not read');
      const repaired = later(later(healthy.view.state, { type: 'powered-off', why: '' }), {
        type: 'repaired',
        part,
        action: 'replaced',
        found: '',
      });
      expect(isStale(book, drive, retiredBy(book, healthy.view.state))).toBe(false);
      expect(isStale(book, drive, retiredBy(book, repaired))).toBe(true);
    },
  );
});

it('what stopped the running stage, put right, comes up on the lamp with the stage disabled, and the stage after it', () => {
  let red = 0;
  const walk = evaluateWalk(
    engine,
    { set: setFactsOf(set), instruments: WELL_EQUIPPED },
    (check, { state }) => {
      if (check.id !== 'horizontal-output-cathode-current') return set.answer(check, state.config);
      red += 1;
      return red === 1 ? '400 mA' : set.answer(check, state.config);
    },
    { mostMinutes: 900 },
  );
  expect(walk.end).not.toMatch(/^stuck/);
  expect(walk.view.step.kind).toBe('stop');
  const { history } = walk.view.state;
  const found = history.findIndex((e) => e.type === 'gate' && e.gate === 'cause-found');
  expect(found).toBeGreaterThan(0);
  const since = history.slice(found).flatMap((e) => {
    if (e.type === 'configured' && e.item === 'horizontal') return [e.value];
    return e.type === 'powered-up' ? [e.to] : [];
  });
  expect(since[0]).toBe('disabled');
  expect(since.find((what) => what.startsWith('isolated'))).toBe('isolated-limited');
  const back = since.indexOf('enabled');
  expect(back).toBeGreaterThan(since.indexOf('isolated-limited'));
  expect(since.indexOf('isolated-full', back)).toBeGreaterThan(back);
});
