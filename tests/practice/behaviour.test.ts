// What simulated faults do, against what the trade and circuit theory say of them.
import { describe, expect, it } from 'vitest';
import { drawValues, type Values } from '../../src/practice/circuits/component.ts';
import { type Design, designOf } from '../../src/practice/circuits/design.ts';
import { observe } from '../../src/practice/circuits/observe.ts';
import { partsList } from '../../src/practice/circuits/parts-list.ts';
import { type Solved, solveSet } from '../../src/practice/circuits/solve.ts';

const FAMILY = 'series-doubler-halfwave';
const design: Design = designOf(FAMILY);
const base: Values = drawValues(partsList(design), 5, 'recapped');

const solve = (
  change: Record<string, number>,
  horizontal: 'enabled' | 'disabled' = 'enabled',
): Promise<Solved> =>
  solveSet(
    design,
    { ...base, ...change },
    { horizontal, signal: 'applied' },
    { lineVolts: 117, directCoupled: true },
  );

describe('half-wave doubler', () => {
  // Solved circuits of the trade: 100 + 100 uF at 0.2 to 0.26 A; 20 uF in the series place takes B+ to about 139 V and leaves
  // the ripple; a dried output capacitor raises the ripple tenfold (common practice, no source).
  it('loses B+ but keeps its ripple when the series capacitor dries out', async () => {
    const good = await solve({});
    const tired = await solve({ 'b-plus.doubler-series-capacitor': 20e-6 });
    expect(good.supply.raw).toBeGreaterThan(245);
    expect(good.supply.raw).toBeLessThan(285);
    // These stages draw less as B+ falls, so it ends above the 139 V of a constant load.
    expect(tired.supply.raw).toBeGreaterThan(130);
    expect(tired.supply.raw).toBeLessThan(0.75 * good.supply.raw);
    expect(tired.supply.ripple).toBeLessThan(1.3 * good.supply.ripple);
  });

  it('hums when the output capacitor dries out', async () => {
    const good = await solve({});
    const dry = await solve({ 'b-plus.doubler-output-capacitor': 10e-6 });
    expect(dry.supply.ripple).toBeGreaterThan(4 * good.supply.ripple);
  });
});

describe('horizontal output', () => {
  // A leak makes the grid less negative: screen low, cathode current high. A weak tube: screen high, current low, drive as it was
  // (common practice, no source).
  it('tells a leaking coupling capacitor from a weak tube', async () => {
    const good = await solve({});
    const leak = await solve({ 'horizontal-output.grid-coupling-capacitor.leak': 3e5 });
    const weak = await solve({ 'horizontal-output.tube.k': 0.35 });
    expect(leak.node('hg')).toBeGreaterThan(good.node('hg') + 8);
    expect(leak.node('hs')).toBeLessThan(good.node('hs') - 8);
    expect(leak.node('hk')).toBeGreaterThan(1.1 * good.node('hk'));
    expect(weak.node('hs')).toBeGreaterThan(good.node('hs') + 8);
    expect(weak.node('hk')).toBeLessThan(0.8 * good.node('hk'));
    expect(Math.abs(weak.node('hg') / good.node('hg') - 1)).toBeLessThan(0.15);
  });

  // Shorted turns: boost falls toward B+ (ratio 1.05 to 1.35 in heavy loss) while the current rises (common practice, no source).
  it('loses boost and draws more with shorted turns', async () => {
    const good = await solve({});
    const shorted = await solve({ 'flyback.loss': 700 });
    const ratio = (s: Solved): number => s.deflection.boost / s.node('bp');
    expect(ratio(good)).toBeGreaterThan(1.6);
    expect(ratio(good)).toBeLessThan(2.4);
    expect(ratio(shorted)).toBeLessThan(1.5);
    expect(shorted.node('hk')).toBeGreaterThan(1.1 * good.node('hk'));
    expect(observe(shorted).width).toBeLessThan(0.85 * observe(good).width);
  });

  it('without drive has no bias and far too much current', async () => {
    const good = await solve({});
    const dead = await solve({ 'horizontal-oscillator.tube.k': 0.0005 });
    expect(dead.node('hg')).toBeGreaterThan(-3);
    expect(dead.node('hk')).toBeGreaterThan(1.5 * good.node('hk'));
    expect(observe(dead).redPlate || observe(dead).screenGlow).toBe(true);
  });
});

describe('series string', () => {
  // One open heater puts all out; B+ then stands at the no-load peak, 331 V for a doubler on 117 V: 2 x 1.414 x 117 (theory).
  it('is the charged set when a heater opens', async () => {
    const open = await solve({ 'heaters.string': 0 });
    expect(open.heaters.amps).toBe(0);
    expect(open.supply.raw).toBeGreaterThan(290);
    expect(open.supply.raw).toBeLessThan(331);
  });
});

describe('vertical output', () => {
  it('runs hot with a leaking coupling capacitor, and cold with a high cathode resistor', async () => {
    const good = await solve({});
    const leak = await solve({ 'vertical-output.coupling-capacitor.leak': 2e6 });
    const high = await solve({
      'vertical-output.cathode-resistor': 3 * (base['vertical-output.cathode-resistor'] ?? 0),
    });
    expect(leak.node('vk')).toBeGreaterThan(1.15 * good.node('vk'));
    expect(observe(high, good).height).toBeLessThan(0.9 * observe(good).height);
  });
});

describe('picture tube', () => {
  it('goes dark without anode, and cannot be turned down with grid and cathode together', async () => {
    const dark = await solve({ 'high-voltage.rectifier.k': 1e-4 });
    const joined = await solve({ 'picture-tube.grid-cathode': 1000 });
    expect(observe(dark).lightBright).toBe(0);
    expect(observe(joined).lightDark).toBeGreaterThan(0.3);
  });
});
