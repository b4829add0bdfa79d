// Without drive the horizontal output stage stays off: nobody is told to refit its cap for a reading that waits for it.
// An output stage without drive burns its tube within a minute: common practice, no source.
import { describe, expect, it } from 'vitest';
import { drawSet, setFactsOf } from '../../src/practice/index.ts';
import { evaluateWalk } from '../../src/walk/evaluate.ts';
import { engine, WELL_EQUIPPED } from './simulated-walk.ts';

describe('a set whose oscillator is dead', async () => {
  const set = await drawSet({
    seed: 4,
    family: 'series-doubler-halfwave',
    level: 'single',
    fault: 'horizontal-oscillator.tube/dead',
  });
  const one = { set: setFactsOf(set), instruments: WELL_EQUIPPED };
  const walk = evaluateWalk(engine, one, (check, now) => set.answer(check, now.state.config));

  it('was read and has none', () => {
    const read = walk.asked.filter((a) => /^horizontal-output-(grid-drive|drive-pp)$/.test(a.check));
    expect(read.length).toBeGreaterThan(0);
    expect(walk.view.safety.horizontal).toBe('disabled');
  });

  it('leads to no check that wants the stage running, and says why before power goes off', () => {
    for (const id of ['boost-ratio', 'anode-hv-dark', 'horizontal-output-cathode-current'])
      expect(engine.stepFor(walk.view, id), id).toMatchObject({
        missing: [expect.stringMatching(/^drive at/)],
      });
  });

  it('still leads to what is read with the stage off', () => {
    expect(engine.stepFor(walk.view, 'b-plus-horizontal-off')).not.toHaveProperty('missing');
  });
});

it('a check of one\u2019s own choice is no way round the first live reading of the chassis', async () => {
  const set = await drawSet({ seed: 4, family: 'series-doubler-halfwave', level: 'healthy' });
  const one = { set: setFactsOf(set), instruments: WELL_EQUIPPED };
  let gates = 0;
  evaluateWalk(engine, one, (check, now) => set.answer(check, now.state.config), {
    choose(view) {
      if (view.step.kind !== 'gate' || view.step.gate.stage !== 'live') return undefined;
      gates += 1;
      expect(engine.stepFor(view, 'b-plus-horizontal-off')).toEqual(view.step);
      return undefined;
    },
  });
  expect(gates).toBeGreaterThan(1);
}, 60_000);
