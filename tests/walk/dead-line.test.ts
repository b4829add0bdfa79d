// A set whose line is found open on the bench: nothing is gained by putting power on it before that is mended.
import { describe, expect, it } from 'vitest';
import { drawSet, setFactsOf } from '../../src/practice/index.ts';
import { evaluateWalk } from '../../src/walk/evaluate.ts';
import { engine, WELL_EQUIPPED } from './simulated-walk.ts';

const FAULT = 'line-input.interlock/open';
const set = await drawSet({ seed: 13000, family: 'transformer', level: 'single', fault: FAULT });
const walk = evaluateWalk(engine, { set: setFactsOf(set), instruments: WELL_EQUIPPED }, (check, now) =>
  set.answer(check, now.state.config),
);

describe('an open interlock', () => {
  it('is found cold: no path between the blades, then none through the interlock', () => {
    const asked = walk.asked.map((a) => a.check);
    expect(asked).toEqual(expect.arrayContaining(['plug-ohms', 'line-path-ohms']));
    expect(walk.view.suspects[0]?.id).toBe(FAULT);
  });

  it('ends the walk without a reading at full line, where every volt would read zero', () => {
    const states = new Map(engine.book.checks.map((c) => [c.id, c.state]));
    expect(walk.asked.filter((a) => states.get(a.check) === 'S2')).toEqual([]);
    expect(walk.view.plan.stop?.reason).toBe('isolated');
  });
});
