// Properties of the bench arithmetic: there and back gives the start, monotonic where physics is, right shapes.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  balanceOfHalves,
  chargedVolts,
  chargeTime,
  copperOhmsAt,
  cutoffVolts,
  dischargeTime,
  dissipationFactor,
  esrFrom,
  formatQuantity,
  forwardDrop,
  gridShiftFromLeak,
  judgeLamp,
  leakFromGridShift,
  limitedVolts,
  lineCorrected,
  meterReading,
  nearestPreferred,
  parseQuantity,
  qToRingCount,
  RECTIFIERS,
  remainingVolts,
  resonantHz,
  resonatingFarads,
  ringCountToQ,
  selfBiasPoint,
  setLoad,
  sourceFromTwoReadings,
  stackResidual,
  stringWarmUp,
  trueVolts,
  windingCelsius,
} from '../../src/bench/index.ts';

/** Positive numbers spread evenly over decades, as part values are. */
const decades = (low: number, high: number) =>
  fc.double({ min: Math.log10(low), max: Math.log10(high), noNaN: true }).map((x) => 10 ** x);
const near = (a: number, b: number, relative = 1e-9) =>
  expect(Math.abs(a - b)).toBeLessThanOrEqual(relative * Math.max(Math.abs(a), Math.abs(b), 1e-300));
const rectifier = fc.constantFrom(...RECTIFIERS);

describe('there and back', () => {
  it('discharge time and remaining volts', () => {
    fc.assert(
      fc.property(
        decades(1e-12, 1e-2),
        decades(1, 1e10),
        decades(2, 3e4),
        fc.double({ min: 0.01, max: 0.99, noNaN: true }),
        (capacitanceFarads, ohms, fromVolts, share) => {
          const seconds = dischargeTime({ capacitanceFarads, ohms, fromVolts, toVolts: share * fromVolts });
          near(remainingVolts({ capacitanceFarads, ohms, fromVolts, seconds }), share * fromVolts);
        },
      ),
    );
  });
  it('charging to a level', () => {
    fc.assert(
      fc.property(
        decades(1, 1000),
        decades(1, 1e8),
        decades(1e-10, 1e-2),
        fc.double({ min: 0.01, max: 0.98, noNaN: true }),
        (supplyVolts, ohms, farads, share) => {
          near(
            chargedVolts(
              supplyVolts,
              ohms,
              farads,
              chargeTime(supplyVolts, ohms, farads, share * supplyVolts),
            ),
            share * supplyVolts,
            1e-8,
          );
        },
      ),
    );
  });
  it('meter loading', () => {
    fc.assert(
      fc.property(decades(0.1, 2e4), decades(1, 1e9), decades(1e3, 1e10), (volts, sourceOhms, meter) => {
        near(trueVolts(meterReading(volts, sourceOhms, meter), sourceOhms, meter).value, volts);
      }),
    );
  });
  it('source resistance from two meters', () => {
    fc.assert(
      fc.property(
        decades(1, 1000),
        decades(1e3, 1e7),
        decades(1e4, 1e6),
        decades(3, 100),
        (volts, sourceOhms, meterA, ratio) => {
          const meterB = meterA * ratio;
          const found = sourceFromTwoReadings(
            meterReading(volts, sourceOhms, meterA),
            meterA,
            meterReading(volts, sourceOhms, meterB),
            meterB,
          );
          near(found.sourceOhms, sourceOhms, 1e-6);
          near(found.volts, volts, 1e-6);
        },
      ),
    );
  });
  it('coupling leakage', () => {
    fc.assert(
      fc.property(
        decades(20, 600),
        decades(1e4, 1e11),
        decades(1e4, 1e7),
        (supplyVolts, leakOhms, gridOhms) => {
          near(
            leakFromGridShift(supplyVolts, gridShiftFromLeak(supplyVolts, leakOhms, gridOhms), gridOhms),
            leakOhms,
            1e-6,
          );
        },
      ),
    );
  });
  it('rings and Q', () => {
    fc.assert(
      fc.property(decades(0.5, 500), fc.double({ min: 0.05, max: 0.9, noNaN: true }), (count, level) => {
        near(qToRingCount(ringCountToQ(count, level), level), count, 1e-6);
      }),
    );
  });
  it('resonance, loss, copper', () => {
    fc.assert(
      fc.property(
        decades(1e-6, 100),
        decades(1e-12, 1e-3),
        decades(0.01, 1e4),
        fc.double({ min: -20, max: 120, noNaN: true }),
        (henries, farads, ohms, celsius) => {
          near(resonatingFarads(henries, resonantHz(henries, farads)), farads);
          near(esrFrom(farads, dissipationFactor(farads, ohms)), ohms);
          expect(windingCelsius(ohms, 20, copperOhmsAt(ohms, 20, celsius))).toBeCloseTo(celsius, 6);
        },
      ),
    );
  });
  it('numbers as typed: formatted and read again', () => {
    fc.assert(
      fc.property(
        decades(1e-11, 1e11),
        fc.constantFrom('V', 'A', 'ohm', 'F', 'H', 'Hz', 's', 'W'),
        (value, unit) => {
          const parsed = parseQuantity(formatQuantity(value, unit, 9), unit);
          expect(parsed.ok).toBe(true);
          if (parsed.ok) near(parsed.value, value, 1e-7);
        },
      ),
    );
  });
});

describe('monotonic where physics is', () => {
  it('a bigger lamp leaves the set more volts; a heavier load fewer', () => {
    fc.assert(
      fc.property(
        decades(15, 500),
        fc.double({ min: 1.05, max: 3, noNaN: true }),
        decades(0.1, 3),
        fc.constantFrom(110, 117, 240),
        (lampWatts, more, amps, lineVolts) => {
          const at = (watts: number, heaterAmps: number) =>
            limitedVolts({ lampWatts: watts, lineVolts, load: { kind: 'heaters', amps: heaterAmps } });
          const base = at(lampWatts, amps);
          expect(at(lampWatts * more, amps).setVolts).toBeGreaterThanOrEqual(base.setVolts);
          expect(at(lampWatts, amps * more).setVolts).toBeLessThanOrEqual(base.setVolts);
          expect(base.setVolts + base.lampVolts).toBeCloseTo(lineVolts, 9);
        },
      ),
    );
  });
  it('a short puts the whole line on the lamp, an open none', () => {
    const lamp = (kind: 'short' | 'open') => limitedVolts({ lampWatts: 100, lineVolts: 117, load: { kind } });
    expect([lamp('short').lampVolts, lamp('short').glow]).toEqual([117, 'full']);
    expect([lamp('open').lampVolts, lamp('open').amps, lamp('open').glow]).toEqual([0, 0, 'dark']);
  });
  it('lamp volts of a healthy set read as normal, others do not', () => {
    fc.assert(
      fc.property(
        decades(80, 300),
        fc.double({ min: 1.2, max: 3, noNaN: true }),
        fc.constantFrom(0.3, 0.6),
        (ratedWatts, ratio, amps) => {
          const load = setLoad(ratedWatts, 117, amps);
          const lampWatts = ratio * ratedWatts;
          const healthy = limitedVolts({ lampWatts, lineVolts: 117, load });
          const judge = (lampVolts: number) =>
            judgeLamp({ lampWatts, lineVolts: 117, load, lampVolts }).verdict;
          expect(judge(healthy.lampVolts)).toBe('normal');
          expect(judge(117)).toBe('short');
          expect(judge(1)).toBe('nothing draws current');
          // The same set with a leak of its own current again.
          const leaky = { ...load, supplyAmps: load.supplyAmps + 2 * (load.supplyAmps + load.heaterAmps) };
          const lampVolts = limitedVolts({ lampWatts, lineVolts: 117, load: leaky }).lampVolts;
          expect(judge(lampVolts)).toBe(lampVolts >= 0.93 * 117 ? 'short' : 'overload');
        },
      ),
    );
  });
  it('line correction grows with the line and is exact at the printed line', () => {
    fc.assert(
      fc.property(decades(1, 1000), fc.double({ min: 100, max: 125, noNaN: true }), (printed, line) => {
        near(lineCorrected(printed, line, line, 'supply').value, printed);
        expect(lineCorrected(printed, 117, line + 1, 'supply').value).toBeGreaterThan(
          lineCorrected(printed, 117, line, 'supply').value,
        );
        expect(lineCorrected(printed, 117, line, 'fixed').value).toBe(printed);
      }),
    );
  });
  it('self-bias: more cathode resistance, less current', () => {
    fc.assert(
      fc.property(
        decades(1e-4, 5e-3),
        decades(3, 40),
        decades(50, 500),
        decades(50, 5000),
        (perveance, mu, supplyVolts, cathodeOhms) => {
          const at = (ohms: number) => selfBiasPoint({ perveance, mu, supplyVolts, cathodeOhms: ohms }).amps;
          expect(at(cathodeOhms * 1.5)).toBeLessThanOrEqual(at(cathodeOhms));
        },
      ),
    );
  });
  it('rectifier drops and cut-off rise with current and G2', () => {
    fc.assert(
      fc.property(rectifier, decades(1e-3, 0.5), decades(100, 900), (kind, amps, g2) => {
        expect(forwardDrop(kind, amps * 1.1)).toBeGreaterThan(forwardDrop(kind, amps));
        expect(cutoffVolts(g2 * 1.1).volts).toBeGreaterThan(cutoffVolts(g2).volts);
      }),
    );
  });
});

describe('shape of results', () => {
  it('a stack loses its total, never its differences', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(decades(1e-6, 5e-4), decades(1, 400)), { minLength: 2, maxLength: 4 }),
        (parts) => {
          const left = stackResidual(
            parts.map(([c]) => c),
            parts.map(([, v]) => v),
          );
          const total = parts.reduce((s, [, v]) => s + v, 0);
          expect(Math.abs(left.eachVolts.reduce((s, v) => s + v, 0))).toBeLessThan(1e-9 * total);
        },
      ),
    );
  });
  it('preferred values: down <= value <= up, at most one step apart', () => {
    fc.assert(
      fc.property(decades(1e-12, 1e9), fc.constantFrom('E6', 'E12', 'E24' as const), (value, series) => {
        const up = nearestPreferred(value, series, 'up');
        const down = nearestPreferred(value, series, 'down');
        expect(down).toBeLessThanOrEqual(value * (1 + 1e-8));
        expect(up).toBeGreaterThanOrEqual(value * (1 - 1e-8));
        expect(up / down).toBeLessThan(1.6);
      }),
    );
  });
  it('balance does not care which half comes first', () => {
    fc.assert(
      fc.property(decades(0.5, 500), decades(0.5, 500), (a, b) => {
        near(
          balanceOfHalves(a, b, 'yoke-vertical').differencePercent,
          balanceOfHalves(b, a, 'yoke-vertical').differencePercent,
        );
      }),
    );
  });
  it('heater strings settle at their rated current and start at the cold one', () => {
    const points = stringWarmUp({ lineVolts: 117, ratedVolts: 117, ratedAmps: 0.6, seconds: [0, 60] });
    expect(points[0]?.amps).toBeCloseTo(3.6, 2);
    expect(points[1]?.amps).toBeCloseTo(0.6, 3);
    const thermistor = stringWarmUp({
      lineVolts: 240,
      ratedVolts: 148,
      ratedAmps: 0.3,
      dropperOhms: 267,
      thermistor: { coldOhms: 5500, hotOhms: 40 },
      seconds: [0, 180],
    });
    expect(thermistor[0]?.amps).toBeLessThan(0.05);
    expect(Math.abs((thermistor[1]?.amps ?? 0) - 0.3)).toBeLessThan(0.015);
  });
});
