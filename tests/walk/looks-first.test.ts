// Before the set goes cold for one suspect, everything that no walk ends without is looked at: coming back costs a discharge and a bring-up.
import { expect, it } from 'vitest';
import { drawSet, setFactsOf } from '../../src/practice/index.ts';
import { evaluateWalk } from '../../src/walk/evaluate.ts';
import { engine, WELL_EQUIPPED } from './simulated-walk.ts';

const LOOKS = [
  'raster-height',
  'raster-brightness',
  'raster-width',
  'raster-focus',
  'raster-geometry',
  'vertical-linearity-look',
  'horizontal-hold-look',
  'vertical-hold-look',
  'picture-look',
  'sound-look',
];

it('looks at the running picture before it goes for a capacitor', async () => {
  // A leaky timing capacitor and a drifted grid resistor: both are proven cold, after the picture was seen.
  const set = await drawSet({ seed: 30, family: 'series-halfwave', level: 'double' });
  const { asked } = evaluateWalk(
    engine,
    { set: setFactsOf(set), instruments: WELL_EQUIPPED },
    (check, now) => set.answer(check, now.state.config),
    { goOn: true },
  );
  const order = asked.map((a) => a.check);
  const first = Math.min(...LOOKS.map((id) => order.indexOf(id)).filter((at) => at >= 0));
  const cold = asked.findIndex((a, at) => at > first && a.state === 'S0');
  expect(first).toBeGreaterThan(0);
  expect(cold).toBeGreaterThan(first);
  expect(LOOKS.filter((id) => !order.slice(first, cold).includes(id))).toEqual([]);
});
