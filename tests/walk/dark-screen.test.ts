// What a dark screen leaves to look at: nothing. And proofs that would lapse while a long check is taken.
import { describe, expect, it } from 'vitest';
import { drawSet, setFactsOf } from '../../src/practice/index.ts';
import { evaluateWalk } from '../../src/walk/evaluate.ts';
import { book, engine, WELL_EQUIPPED } from './simulated-walk.ts';

const checkOf = new Map(book.checks.map((c) => [c.id, c]));

/** A walk on a simulated set, every check with its place in the order. */
async function walkOn(family: string, fault: string, seed = 91000) {
  const set = await drawSet({ seed, family, level: 'single', fault });
  const walk = evaluateWalk(engine, { set: setFactsOf(set), instruments: WELL_EQUIPPED }, (check, now) =>
    set.answer(check, now.state.config),
  );
  return { walk, order: walk.asked.map((a) => a.check) };
}

describe('a set that runs with a dark screen', () => {
  it('is not asked for the size, shape or focus of a raster once nobody saw one', async () => {
    const { walk, order } = await walkOn('series-halfwave', 'gun-voltages.g2-feed/open');
    const seen = walk.asked.findIndex((a) => a.check === 'raster-brightness' && a.answer === 'none');
    expect(seen).toBeGreaterThan(0);
    const silly = order.slice(seen + 1).filter((id) => checkOf.get(id)?.shownBy.includes('raster-light'));
    expect(silly).toEqual([]);
    // It ends all the same, with the feed named or among the suspects.
    expect(walk.view.step.kind).toBe('stop');
    expect(walk.view.suspects.slice(0, 3).map((s) => s.part)).toContain('gun-voltages.g2-feed');
  });

  it('is asked for them again once the part that kept it dark is renewed', async () => {
    const { walk } = await walkOn('series-halfwave', 'gun-voltages.g2-feed/open');
    const looks = ['raster-width', 'raster-geometry', 'raster-focus'];
    const offered = (ids: readonly string[]): string[] => looks.filter((id) => ids.includes(id));
    const healthy = await drawSet({
      seed: 91000,
      family: 'series-halfwave',
      level: 'single',
      fault: 'tuner.contacts/dirty',
    });
    const after = evaluateWalk(
      engine,
      { set: setFactsOf(healthy), instruments: WELL_EQUIPPED },
      (check, now) => healthy.answer(check, now.state.config),
      {
        after: {
          state: walk.view.state,
          minutes: walk.minutes,
          events: [
            {
              type: 'repaired',
              part: 'gun-voltages.g2-feed',
              action: 'replaced',
              found: 'open',
            },
          ],
        },
      },
    );
    const later = after.asked.map((a) => a.check);
    expect(later).toContain('raster-brightness');
    expect(offered(later)).toEqual(looks);
  });
});

it('a single line is not asked for hold, linearity or a picture', async () => {
  const { walk, order } = await walkOn('transformer', 'vertical-output.transformer/open');
  const seen = walk.asked.findIndex((a) => a.check === 'raster-height' && a.answer === 'line');
  expect(seen).toBeGreaterThan(0);
  const silly = order
    .slice(seen + 1)
    .filter((id) => checkOf.get(id)?.shownBy.includes('vertical-deflection'));
  expect(silly).toEqual([]);
});

describe('proofs that the set is dead', () => {
  it('hold to the end of every cold check: no reading is refused or read twice because one lapsed', async () => {
    const { walk } = await walkOn('heater-transformer-doubler', 'picture-tube.gun/weak');
    expect(walk.refused).toEqual([]);
    expect(walk.view.safety.disbelieved.size).toBe(0);
    const cold = walk.asked.filter((a) => ['S0', 'SB'].includes(a.state)).map((a) => a.check);
    expect(cold.filter((id, at) => cold.indexOf(id) !== at)).toEqual([]);
    expect(cold).toContain('picture-tube-bench-emission');
  });
});

it('a proof is renewed before a check that it would not last for, with time left on it', async () => {
  const set = await drawSet({
    seed: 91000,
    family: 'heater-transformer-doubler',
    level: 'single',
    fault: 'picture-tube.gun/weak',
  });
  const early: { gate: string; supply: string; toward: string }[] = [];
  evaluateWalk(
    engine,
    { set: setFactsOf(set), instruments: WELL_EQUIPPED },
    (check, now) => set.answer(check, now.state.config),
    {
      choose: ({ step, safety }) => {
        if (step.kind === 'gate' && step.early)
          early.push({ gate: step.gate.id, supply: safety.supply, toward: step.toward });
        return undefined;
      },
    },
  );
  expect(early.length).toBeGreaterThan(0);
  expect(early.filter((e) => e.supply !== 'discharged')).toEqual([]);
  expect(early.filter((e) => !['still-cold', 'anode-third'].includes(e.gate))).toEqual([]);
});
