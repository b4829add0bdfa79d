// Properties of solved supplies, expected B+ and bring-up plans: monotonic, charge conserved, quick, never NaN.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  bringUpPlan,
  expectedBPlus,
  loadingWords,
  RECTIFIERS,
  siliconSeriesResistor,
  solveSupply,
  TOPOLOGIES,
} from '../../src/bench/index.ts';

/** Positive numbers spread evenly over decades, as part values are. */
const decades = (low: number, high: number) =>
  fc.double({ min: Math.log10(low), max: Math.log10(high), noNaN: true }).map((x) => 10 ** x);
const near = (a: number, b: number, relative = 1e-9) =>
  expect(Math.abs(a - b)).toBeLessThanOrEqual(relative * Math.max(Math.abs(a), Math.abs(b), 1e-300));
const topology = fc.constantFrom(...TOPOLOGIES);
const rectifier = fc.constantFrom(...RECTIFIERS);
const supply = fc.record({
  topology,
  rectifier,
  sourceVolts: decades(20, 600),
  frequencyHz: fc.constantFrom(50, 60),
  sourceOhms: decades(1, 300),
  capacitanceFarads: decades(4e-6, 500e-6),
  secondCapacitanceFarads: decades(4e-6, 500e-6),
});

describe('solved supplies', () => {
  it('more load never raises B+', () => {
    fc.assert(
      fc.property(
        supply,
        decades(0.005, 0.4),
        fc.double({ min: 1.05, max: 3, noNaN: true }),
        (s, amps, more) => {
          const light = solveSupply({ ...s, load: { amps } }).volts;
          const heavy = solveSupply({ ...s, load: { amps: amps * more } }).volts;
          expect(heavy).toBeLessThanOrEqual(light * (1 + 1e-4));
        },
      ),
      { numRuns: 150 },
    );
  });
  it('more source resistance never raises B+, more line never lowers it', () => {
    fc.assert(
      fc.property(
        supply,
        decades(200, 20000),
        fc.double({ min: 1.05, max: 2, noNaN: true }),
        (s, ohms, more) => {
          const base = solveSupply({ ...s, load: { ohms } }).volts;
          expect(
            solveSupply({ ...s, sourceOhms: s.sourceOhms * more, load: { ohms } }).volts,
          ).toBeLessThanOrEqual(base * (1 + 1e-3));
          expect(
            solveSupply({ ...s, sourceVolts: s.sourceVolts * more, load: { ohms } }).volts,
          ).toBeGreaterThanOrEqual(base);
        },
      ),
      { numRuns: 150 },
    );
  });
  it('nothing exceeds the no-load volts', () => {
    fc.assert(
      fc.property(supply, decades(0.001, 0.5), (s, amps) => {
        const top = solveSupply({ ...s, load: { amps: 0 } }).volts;
        expect(solveSupply({ ...s, load: { amps } }).volts).toBeLessThanOrEqual(top * (1 + 1e-5));
      }),
      { numRuns: 150 },
    );
  });
  it('charge is conserved: mean rectifier current feeds the load', () => {
    fc.assert(
      fc.property(supply, decades(0.01, 0.3), (s, amps) => {
        const r = solveSupply({ ...s, load: { amps } });
        const rectified = s.topology === 'full-wave' ? 2 * r.rectifierMeanAmps : r.rectifierMeanAmps;
        near(rectified, r.loadAmps, 0.02);
        expect(r.rectifierRmsAmps).toBeGreaterThanOrEqual(r.rectifierMeanAmps);
        expect(r.rectifierPeakAmps).toBeGreaterThanOrEqual(r.rectifierRmsAmps);
      }),
      { numRuns: 150 },
    );
  });
  it('silicon series resistor restores the wanted volts', () => {
    fc.assert(
      fc.property(topology, fc.double({ min: 0.75, max: 0.97, noNaN: true }), (kind, share) => {
        const base = {
          topology: kind,
          sourceVolts: 117,
          sourceOhms: 8,
          capacitanceFarads: 150e-6,
          loadAmps: 0.2,
        };
        const solve = (sourceOhms: number) =>
          solveSupply({ ...base, sourceOhms, rectifier: 'silicon', load: { amps: 0.2 } }).volts;
        const wantedVolts = share * solve(8);
        near(solve(8 + siliconSeriesResistor({ ...base, wantedVolts }).ohms), wantedVolts, 1e-4);
      }),
      { numRuns: 20 },
    );
  });
});

describe('expected B+ and bring-up', () => {
  it('every field is finite and in order for any reasonable set', () => {
    fc.assert(
      fc.property(
        topology,
        rectifier,
        fc.double({ min: 0.3, max: 1.1, noNaN: true }),
        fc.constantFrom(117, 240),
        decades(0.05, 0.35),
        fc.double({ min: 0, max: 1, noNaN: true }),
        (kind, rect, share, rated, loadAmps, loadShare) => {
          const b = expectedBPlus({
            topology: kind,
            rectifier: rect,
            lineVolts: share * rated,
            ratedLineVolts: rated,
            capacitanceFarads: 100e-6,
            loadAmps,
            loadShare,
          });
          for (const value of [
            b.volts,
            b.lowVolts,
            b.highVolts,
            b.noLoadVolts,
            b.rippleVoltsRms,
            b.inputRmsAmps,
          ])
            expect(Number.isFinite(value)).toBe(true);
          expect(b.lowVolts).toBeLessThanOrEqual(b.volts);
          expect(b.highVolts).toBeGreaterThanOrEqual(b.volts);
          expect(b.volts).toBeLessThanOrEqual(b.noLoadVolts * (1 + 1e-5));
        },
      ),
      { numRuns: 100 },
    );
  });
  it('plans climb, keep the horizontal stage off below 90 %, and end at the full line without a lamp', () => {
    fc.assert(
      fc.property(
        topology,
        rectifier,
        fc.constantFrom(0, 100, 300),
        fc.double({ min: 90, max: 250, noNaN: true }),
        fc.constantFrom(0, 0.3, 0.6),
        (kind, rect, lamp, ratedWatts, stringAmps) => {
          const plan = bringUpPlan({
            topology: kind,
            rectifier: rect,
            lineVolts: 117,
            ratedWatts,
            lamp,
            stringAmps,
          });
          const volts = plan.steps.map((s) => s.setVolts);
          expect(volts).toEqual([...volts].sort((a, b) => a - b));
          const last = plan.steps.at(-1);
          expect([last?.lineVolts, last?.setVolts, last?.lampIn]).toEqual([117, 117, false]);
          for (const step of plan.steps) {
            expect(step.currentCeilingAmps).toBeGreaterThan(0);
            expect(step.holdSeconds).toBeGreaterThanOrEqual(60);
            if (step.setVolts < 0.9 * 117) expect(step.horizontalStage).toBe('keep disabled');
            if (typeof step.expectedBPlus === 'string') expect(rect.startsWith('tube')).toBe(true);
            else expect(step.expectedBPlus.highVolts).toBeGreaterThan(step.expectedBPlus.lowVolts);
          }
        },
      ),
      { numRuns: 60 },
    );
  });
  it('says why in words', () => {
    const base = {
      topology: 'half-wave',
      rectifier: 'silicon',
      ratedLineVolts: 117,
      capacitanceFarads: 150e-6,
      loadAmps: 0.28,
    } as const;
    expect(expectedBPlus({ ...base, lineVolts: 117 }).reason).toBe(
      'half-wave supply at 117 V line, 280 mA drawn',
    );
    const off = expectedBPlus({ ...base, lineVolts: 100, loadShare: 0.5 });
    expect(off.reason).toContain('at 100 V line, rated 117 V');
    expect(off.reason).toContain('only 50 % of the load is on, so it reads high');
    expect(expectedBPlus({ ...base, lineVolts: 117, loadShare: 0 }).reason).toContain('sit at the peak');
    expect(loadingWords(1e6, 10e6)).toBe('a 10 Mohm meter on a 1 Mohm source reads 9.1 % low');
    expect(loadingWords(100, 10e6)).toBe('a 10 Mohm meter does not load this point');
  });
  it('solid rectifiers show B+ at the first step, tubes do not', () => {
    const first = (rect: 'silicon' | 'tube-direct') =>
      bringUpPlan({ topology: 'full-wave', rectifier: rect, lineVolts: 117, ratedWatts: 200 }).steps[0]
        ?.expectedBPlus;
    expect(typeof first('silicon')).toBe('object');
    expect(first('tube-direct')).toBe('absent until the rectifier warms');
  });
  it('is quick enough for a key press', () => {
    const run = () => {
      for (const kind of TOPOLOGIES) {
        for (const rect of RECTIFIERS) {
          expectedBPlus({
            topology: kind,
            rectifier: rect,
            lineVolts: 112,
            ratedLineVolts: 117,
            capacitanceFarads: 100e-6,
            loadAmps: 0.25,
          });
        }
      }
    };
    run();
    const start = process.cpuUsage();
    for (let i = 0; i < 5; i++) run();
    // Processor time, so that a busy machine does not fail it; about 2.5 ms each on a slow one.
    const milliseconds = process.cpuUsage(start).user / 1000;
    expect(milliseconds / (5 * TOPOLOGIES.length * RECTIFIERS.length)).toBeLessThan(8);
  });
});
