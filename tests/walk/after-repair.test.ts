// After a repair: what the new part bears on is looked at again, and the walk does not end on what was seen before it.
import { describe, expect, it } from 'vitest';
import { drawSet, setFactsOf } from '../../src/practice/index.ts';
import type { SessionEvent } from '../../src/session/index.ts';
import { complaintsOf } from '../../src/walk/beliefs.ts';
import { evaluateWalk } from '../../src/walk/evaluate.ts';
import { freshReadings } from '../../src/walk/standing.ts';
import { book, engine, WELL_EQUIPPED } from './simulated-walk.ts';

const PART = 'vertical-oscillator.integrator';
const set = await drawSet({
  seed: 2,
  family: 'series-doubler-halfwave',
  level: 'single',
  fault: `${PART}/open`,
});

describe('a new integrator in a set that rolled', () => {
  const one = { set: setFactsOf(set), instruments: WELL_EQUIPPED };
  const before = evaluateWalk(engine, one, (check, now) => set.answer(check, now.state.config));

  it('was found by the walk', () => {
    const bad = 1 - (before.view.belief?.parts.get(PART)?.ok ?? 1);
    expect(bad).toBeGreaterThan(0.5);
    expect(before.asked.map((a) => a.check)).toContain('vertical-hold-look');
  });

  it('leaves nothing to complain of, whatever the owner once said', async () => {
    expect(set.troubles).toEqual(set.complaint);
    const mended = await set.repaired([PART]);
    expect(mended.troubles).toEqual([]);
    expect(mended.complaint).toEqual(set.complaint);
  });

  it('leads to another look at the hold, and then to the end', async () => {
    const mended = await set.repaired([PART]);
    const events: SessionEvent[] = [
      ...(before.view.safety.supply.startsWith('isolated')
        ? [{ type: 'powered-off' as const, why: 'a part is replaced' }]
        : []),
      { type: 'repaired', part: PART, action: 'replaced', found: '' },
    ];
    const after = evaluateWalk(engine, one, (check, now) => mended.answer(check, now.state.config), {
      after: { state: before.view.state, minutes: before.minutes, events },
    });
    const asked = after.asked.map((a) => a.check);
    expect(asked).toContain('vertical-hold-look');
    expect(asked.length).toBeLessThan(before.asked.length / 2);
    expect(after.view.step.kind).toBe('stop');
    expect(1 - (after.view.belief?.parts.get(PART)?.ok ?? 1)).toBeLessThan(0.05);
    const lock = after.view.belief?.signals.get('vertical-lock')?.normal ?? 0;
    expect(lock).toBeGreaterThan(0.9);
    // What was read of parts that the repair does not touch still counts.
    const kept = freshReadings(book, after.view.state, after.view.judged).map((r) => r.check.id);
    expect(kept).toContain('flyback-ring');
  });
});

describe('what the owner complained of, after a repair', () => {
  it('has to show again if the new part may have cured it, and stands if it cannot', () => {
    const facts = { ...setFactsOf(set), complaint: ['rolls', 'out-of-focus'] };
    const { view } = evaluateWalk(engine, { set: facts, instruments: WELL_EQUIPPED }, () => undefined);
    const titles = (state: typeof view.state): string[] => complaintsOf(book, state).map((c) => c.title);
    expect(titles(view.state)).toEqual(['Picture rolls', 'Out of focus']);
    const repair = { seq: 1, at: '', part: PART, action: 'replaced' as const, found: '', note: '' };
    expect(titles({ ...view.state, repairs: [repair] })).toEqual(['Out of focus']);
  });
});

it('a part of the supply that was renewed is brought up on the lamp again, with the stage disabled, before full line', async () => {
  const faulty = await drawSet({
    seed: 91000,
    family: 'series-doubler-halfwave',
    level: 'single',
    fault: 'sound.audio-tube/dead',
  });
  const one = { set: setFactsOf(faulty), instruments: WELL_EQUIPPED };
  const before = evaluateWalk(engine, one, (check, now) => faulty.answer(check, now.state.config));
  const events: SessionEvent[] = [
    ...(before.view.safety.supply.startsWith('isolated')
      ? [{ type: 'powered-off' as const, why: 'a part is replaced' }]
      : []),
    { type: 'repaired', part: 'b-plus.surge-resistor', action: 'replaced', found: 'cracked' },
  ];
  const after = evaluateWalk(engine, one, (check, now) => faulty.answer(check, now.state.config), {
    after: { state: before.view.state, minutes: before.minutes, events },
  });
  expect(after.end).not.toMatch(/^stuck/);
  expect(after.view.step.kind).toBe('stop');
  const order = after.asked.map((a) => a.check);
  expect(order).toContain('bring-up-b-plus');
  const full = after.asked.findIndex((a) => a.state === 'S2');
  expect(order.indexOf('bring-up-b-plus')).toBeLessThan(full);
});
