// A picture-tube heater that reads open is not the end of the tube: the pins are re-soldered first, and it is read again.
// Source: open heater, first the soldered leads in the base pins and the holder: F. P. Rozee, Practical Television, Dec 1962.
import { describe, expect, it } from 'vitest';
import { drawSet, setFactsOf } from '../../src/practice/index.ts';
import { evaluateWalk } from '../../src/walk/evaluate.ts';
import { engine, WELL_EQUIPPED } from './simulated-walk.ts';

const walked = async (family: string, fault: string) => {
  const set = await drawSet({ seed: 3, family, level: 'single', fault });
  const one = { set: setFactsOf(set), instruments: WELL_EQUIPPED };
  return evaluateWalk(engine, one, (check, now) => set.answer(check, now.state.config), { goOn: false });
};
const bad = (walk: Awaited<ReturnType<typeof walked>>, part: string) =>
  1 - (walk.view.belief?.parts.get(part)?.ok ?? 1);

describe.each(['autotransformer', 'series-halfwave'])('heater pins without a path, %s', (family) => {
  it('a bad joint in a pin is looked for and named; the tube is not given up', async () => {
    const walk = await walked(family, 'picture-tube.base-pins/bad-joint');
    expect(walk.asked.map((a) => a.check)).toContain('picture-tube-base-pins');
    expect(walk.view.plan.stop?.reason).not.toBe('core-failed');
    expect(bad(walk, 'picture-tube.base-pins')).toBeGreaterThan(0.8);
    expect(walk.view.belief?.assemblies.get('picture-tube')).toBeLessThan(0.5);
  }, 60_000);

  it('an open heater is read again once its pins are re-soldered, and only then believed', async () => {
    const walk = await walked(family, 'picture-tube.heater/open');
    const asked = walk.asked.map((a) => a.check);
    const soldered = asked.indexOf('picture-tube-base-pins');
    expect(walk.asked[soldered]?.answer).toBe('resoldered');
    expect(asked.indexOf('picture-tube-heater-ohms')).toBeLessThan(soldered);
    expect(asked.lastIndexOf('picture-tube-heater-ohms')).toBeGreaterThan(soldered);
    expect(bad(walk, 'picture-tube.heater')).toBeGreaterThan(0.85);
  }, 60_000);
});
