// Bench arithmetic against standards, handbooks and regulations: colour code, preferred values, electrolytics, scan rates,
// leakage limits, lamps, tube data.
import { describe, expect, it } from 'vitest';
import {
  coldLeakage,
  colourCode,
  electrolyticLeakLimit,
  exposedMetalLeakage,
  forwardDrop,
  lampAmps,
  limitedVolts,
  modernLeakLimit,
  nearestPreferred,
  reforming,
  SERIES,
  scanRates,
  touchableCharge,
  tubeLaw,
} from '../../src/bench/index.ts';

describe('resistor colour code (IEC 60062)', () => {
  // T. R. Kuphaldt, Lessons In Electric Circuits, Vol V Reference, ch. 2, worked examples.
  it.each([
    [['yellow', 'violet', 'orange', 'gold'], 47000, 5],
    [['green', 'red', 'gold', 'silver'], 5.2, 10],
    [['white', 'violet', 'black'], 97, 20],
    [['orange', 'orange', 'black', 'brown', 'violet'], 3300, 0.1],
  ])('%j', (bands, ohms, tolerance) => {
    const r = colourCode(bands);
    expect(r.ohms).toBeCloseTo(ohms, 9);
    expect(r.tolerancePercent).toBe(tolerance);
  });

  it('silver as multiplier in a five-band code (1.58 ohm class, same chapter)', () => {
    expect(colourCode(['brown', 'green', 'grey', 'silver', 'red'])).toEqual({
      ohms: 1.58,
      tolerancePercent: 2,
    });
  });
});

describe('preferred values (IEC 60063, as listed on qsl.net/g4usp)', () => {
  it('E6, E12 and the E24 values that E12 lacks', () => {
    expect(SERIES.E6).toEqual([10, 15, 22, 33, 47, 68]);
    expect(SERIES.E12).toEqual([10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82]);
    const e12: readonly number[] = SERIES.E12;
    expect(SERIES.E24.filter((v) => !e12.includes(v))).toEqual([
      11, 13, 16, 20, 24, 30, 36, 43, 51, 62, 75, 91,
    ]);
  });

  it('every value of the decade is its own neighbour', () => {
    for (const step of SERIES.E24) {
      const value = step * 100;
      expect(nearestPreferred(value, 'E24', 'up')).toBe(value);
      expect(nearestPreferred(value, 'E24', 'down')).toBe(value);
      expect(nearestPreferred(value, 'E24')).toBe(value);
    }
  });
});

describe('electrolytics', () => {
  // JAN-C-62 leakage limit, I = K C + 0.3 mA, as quoted on the amradio list, msg21215.
  it.each([
    [20e-6, 450, 1.1e-3],
    [20e-6, 250, 0.7e-3],
  ])('%d F at %d V: %d A', (farads, volts, amps) => {
    expect(electrolyticLeakLimit(farads, volts)).toBeCloseTo(amps, 9);
  });
  it('K by working volts: 0.01, 0.02, 0.025, 0.04 mA/uF (same source)', () => {
    const k = [100, 250, 350, 450].map((volts) => electrolyticLeakLimit(100e-6, volts) * 10 - 0.003);
    expect(k.map((v) => Number(v.toFixed(6)))).toEqual([0.01, 0.02, 0.025, 0.04]);
  });
  it('modern part, 47 uF 40 V: 18.8 uA, floor 3 uA (small electrolytic data, capacitor guide excerpt)', () => {
    expect(modernLeakLimit(47e-6, 40)).toBeCloseTo(18.8e-6, 12);
    expect(modernLeakLimit(1e-6, 16)).toBe(3e-6);
  });
  it('re-forming supply 450 V, 90 kohm: 5 mA at most (amradio list, msg21215)', () => {
    expect(reforming({ supplyVolts: 450, ohms: 90e3, farads: 20e-6, leakAmps: 0 }).faultAmps).toBeCloseTo(
      5e-3,
      12,
    );
  });
});

describe('scan rates', () => {
  it('525 lines: 15 750 Hz, 60 Hz, 63.5 us (47 CFR 73.682(a)(6), rev. 2006; Roddy, Electronic Communications, ex. 18.3.2, p. 694)', () => {
    const s = scanRates('525');
    expect(s.lineHz).toBe(15750);
    expect(s.fieldHz).toBe(60);
    expect(s.frameHz).toBe(30);
    expect(s.lineSeconds * 1e6).toBeCloseTo(63.5, 1);
  });
  it('525 lines, colour: 15 734.264 +/- 0.044 Hz and 59.94 Hz (47 CFR 73.682(a)(5)-(6))', () => {
    const s = scanRates('525-colour');
    expect(Math.abs(s.lineHz - 15734.264)).toBeLessThan(0.044);
    expect(s.fieldHz).toBeCloseTo(59.94, 2);
  });
  it('625 lines: 15 625 Hz, 50 Hz, 64 us (camerasunderwater.info, monochrome video standards table)', () => {
    const s = scanRates('625');
    expect([s.lineHz, s.fieldHz]).toEqual([15625, 50]);
    expect(s.lineSeconds * 1e6).toBeCloseTo(64, 9);
  });
  it('405 lines: 10 125 Hz, 50 Hz (oldtellys.co.uk, UK frequencies page)', () => {
    const s = scanRates('405');
    expect([s.lineHz, s.fieldHz]).toEqual([10125, 50]);
  });
});

describe('limits that protect people', () => {
  it('exposed metal: 0.75 V over 1500 ohm is 0.5 mA (safety check-out pages of receiver service manuals)', () => {
    expect(exposedMetalLeakage(0.75).resistorAmps).toBeCloseTo(0.5e-3, 12);
    expect(exposedMetalLeakage(0.7).verdict).toBe('within the limit');
    expect(exposedMetalLeakage(0.75).verdict).toBe('too close, treat as a reject');
    expect(exposedMetalLeakage(0.76).verdict).toBe('reject');
  });
  it('cold check: 1 to 5.2 Mohm with a return path, infinite without (same pages)', () => {
    expect([0.9e6, 1e6, 5.2e6, 6e6].map((ohms) => coldLeakage(ohms, true))).toEqual([
      'reject',
      'within the limit',
      'within the limit',
      'too high: bleeder open',
    ]);
    expect(coldLeakage(5e6, false)).toBe('reject');
  });
  it('stored charge: 42.4 V, 0.1 uF to 450 V, 45 uC to 15 kV, 350 mJ above (IEC 60335-1 cl. 8.1.4, as quoted)', () => {
    expect(touchableCharge(1e-3, 42.4).verdict).toBe('below the limit');
    expect(touchableCharge(0.1e-6, 450).verdict).toBe('below the limit');
    expect(touchableCharge(0.11e-6, 450).verdict).toBe('above the limit');
    expect(touchableCharge(45e-6 / 10000, 10000).coulombs).toBeCloseTo(45e-6, 12);
    expect(touchableCharge(46e-6 / 10000, 10000).verdict).toBe('above the limit');
    expect(touchableCharge(1000e-12, 20000).verdict).toBe('below the limit');
    expect(touchableCharge(2000e-12, 20000).verdict).toBe('above the limit');
  });
});

describe('tungsten lamps', () => {
  it('I ~ V^(1/1.9) within 5 % of the exponent near rated current (SPIE Field Guide to Illumination, 2007, Tungsten Lamps)', () => {
    const exponent =
      Math.log(lampAmps(100, 117, 117 * 1.05) / lampAmps(100, 117, 117 * 0.95)) / Math.log(1.05 / 0.95);
    expect(Math.abs(exponent - 1 / 1.9) * 1.9).toBeLessThan(0.05);
  });
  it('light ~ I^6.5 (same page)', () => {
    const half = limitedVolts({ lampWatts: 100, lineVolts: 117, load: { kind: 'ohms', ohms: 100 } });
    expect(Math.log(half.lightShare) / Math.log(half.amps / (100 / 117))).toBeCloseTo(6.5, 6);
  });
  it('cold resistance 1/14 of hot: inrush 14 times (lamptech.co.uk, Incandescent: Starting Characteristics, 2011)', () => {
    const cold = 0.01 / lampAmps(100, 230, 0.01);
    expect(230 ** 2 / 100 / cold).toBeCloseTo(14, 6);
  });
});

describe('rectifier tubes', () => {
  it('directly heated full-wave power rectifier: 45 V at 225 mA per plate (5T4 data sheet, via tubeofile.com)', () => {
    expect(Math.abs(forwardDrop('tube-direct', 0.225) - 45)).toBeLessThan(1.5);
  });
  it('three-halves power law through a data-sheet point: 67 V at 250 mA gives back 67 V (5R4GY data sheet, via tubeofile.com)', () => {
    const law = tubeLaw(67, 0.25);
    expect(forwardDrop(law, 0.25)).toBeCloseTo(67, 9);
    // At an eighth of the current a space-charge-limited diode drops a quarter.
    expect(forwardDrop(law, 0.25 / 8)).toBeCloseTo(67 / 4, 9);
  });
});
