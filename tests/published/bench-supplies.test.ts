// Bench arithmetic against numbers printed in textbooks and data sheets: supplies, smoothing, windings.
import { describe, expect, it } from 'vitest';
import {
  copperOhmsAt,
  dividerReading,
  logDecrement,
  qToRingCount,
  regulationPercent,
  resonantHz,
  resonatingFarads,
  ringCountToQ,
  smoothingSection,
  solveSupply,
  tubeLaw,
  turnsRatio,
  windingCelsius,
} from '../../src/bench/index.ts';
import { publishedFigures, type Row } from './bench-rows.ts';

const LESSONS_2 = 'T. R. Kuphaldt, Lessons In Electric Circuits, Vol II AC';
const LESSONS_3 = 'T. R. Kuphaldt, Lessons In Electric Circuits, Vol III Semiconductors';
const GROB = "Schultz, Grob's Basic Electronics";
const BOYLESTAD = 'Boylestad and Nashelsky, Electronic Devices and Circuit Theory';

const SUPPLY_BASE = { sourceOhms: 0.1, frequencyHz: 60 } as const;
const diode = (kneeVolts: number) => ({ kind: 'solid', kneeVolts, ohms: 0.01 }) as const;

const SUPPLIES: readonly Row[] = [
  [
    'peak of 115 V rms (factor 1.414)',
    () =>
      solveSupply({
        ...SUPPLY_BASE,
        topology: 'half-wave',
        sourceVolts: 115,
        rectifier: diode(0),
        capacitanceFarads: 1e-4,
        load: { amps: 0 },
      }).volts,
    162.6,
    0.05,
    'US Army TC 9-62, para 4-10 to 4-12',
  ],
  [
    'doubler, 5 V peak, two 0.7 V drops',
    () =>
      solveSupply({
        ...SUPPLY_BASE,
        topology: 'doubler-full-wave',
        sourceVolts: 5 / Math.SQRT2,
        rectifier: diode(0.7),
        capacitanceFarads: 1e-4,
        load: { amps: 0 },
      }).volts,
    8.6,
    1e-9,
    `${LESSONS_3}, ch. 3, voltage multipliers`,
  ],
  [
    'half-wave doubler the same',
    () =>
      solveSupply({
        ...SUPPLY_BASE,
        topology: 'doubler-half-wave',
        sourceVolts: 5 / Math.SQRT2,
        rectifier: diode(0.7),
        capacitanceFarads: 1e-4,
        load: { ohms: 1e7 },
      }).volts,
    8.6,
    0.02,
    `${LESSONS_3}, ch. 3, voltage multipliers`,
  ],
  [
    'doubler on 120 V, about 300 V',
    () =>
      solveSupply({
        ...SUPPLY_BASE,
        sourceOhms: 7,
        topology: 'doubler-full-wave',
        sourceVolts: 120,
        rectifier: diode(0.7),
        capacitanceFarads: 1e-4,
        load: { amps: 0.15 },
      }).volts,
    300,
    15,
    `${LESSONS_3}, ch. 3, voltage multipliers`,
  ],
  [
    'half-wave ripple rate, 60 Hz line',
    () =>
      solveSupply({
        ...SUPPLY_BASE,
        topology: 'half-wave',
        sourceVolts: 117,
        rectifier: 'silicon',
        capacitanceFarads: 1e-4,
        load: { amps: 0.1 },
      }).rippleHz,
    60,
    1e-9,
    'NEETS Module 6, ch. 3, A10',
  ],
  [
    'full-wave ripple rate',
    () =>
      solveSupply({
        ...SUPPLY_BASE,
        topology: 'full-wave',
        sourceVolts: 117,
        rectifier: 'silicon',
        capacitanceFarads: 1e-4,
        load: { amps: 0.1 },
      }).rippleHz,
    120,
    1e-9,
    'NEETS Module 6, ch. 3, A12',
  ],
  // The sources of the next rows take the capacitor to discharge for the whole period; the solved circuit recharges it a little
  // earlier, so it must lie above in volts by up to 3 % and below in ripple by up to 15 %.
  [
    'half-wave, 250 ohm, 500 uF',
    () =>
      solveSupply({
        ...SUPPLY_BASE,
        topology: 'half-wave',
        sourceVolts: 30,
        rectifier: diode(0.7),
        capacitanceFarads: 500e-6,
        load: { ohms: 250 },
      }).volts,
    39.12,
    0.5,
    `${GROB}, ex. 27-7, p. 883`,
  ],
  [
    'its ripple p-p',
    () =>
      solveSupply({
        ...SUPPLY_BASE,
        topology: 'half-wave',
        sourceVolts: 30,
        rectifier: diode(0.7),
        capacitanceFarads: 500e-6,
        load: { ohms: 250 },
      }).rippleVoltsPeakToPeak,
    5.21,
    0.5,
    `${GROB}, ex. 27-7, p. 883`,
  ],
  [
    'full-wave, same load',
    () =>
      solveSupply({
        ...SUPPLY_BASE,
        topology: 'full-wave',
        sourceVolts: 30,
        rectifier: diode(0.7),
        capacitanceFarads: 500e-6,
        load: { ohms: 250 },
      }).volts,
    40.38,
    0.4,
    `${GROB}, ex. 27-7, p. 883`,
  ],
  [
    'its ripple p-p',
    () =>
      solveSupply({
        ...SUPPLY_BASE,
        topology: 'full-wave',
        sourceVolts: 30,
        rectifier: diode(0.7),
        capacitanceFarads: 500e-6,
        load: { ohms: 250 },
      }).rippleVoltsPeakToPeak,
    2.69,
    0.35,
    `${GROB}, ex. 27-7, p. 883`,
  ],
  [
    '30 V peak, 50 mA, 100 uF',
    () =>
      solveSupply({
        ...SUPPLY_BASE,
        topology: 'full-wave',
        sourceVolts: 30 / Math.SQRT2,
        rectifier: diode(0),
        capacitanceFarads: 100e-6,
        load: { amps: 0.05 },
      }).volts,
    27.9,
    0.6,
    `${BOYLESTAD}, ex. 15.4`,
  ],
  [
    'its ripple rms, 2.4 I/C',
    () =>
      solveSupply({
        ...SUPPLY_BASE,
        topology: 'full-wave',
        sourceVolts: 30 / Math.SQRT2,
        rectifier: diode(0),
        capacitanceFarads: 100e-6,
        load: { amps: 0.05 },
      }).rippleVoltsRms,
    1.2,
    0.18,
    `${BOYLESTAD}, ex. 15.3`,
  ],
  [
    '24 V rms, 5 k, 100 uF',
    () =>
      solveSupply({
        ...SUPPLY_BASE,
        topology: 'full-wave',
        sourceVolts: 24,
        rectifier: diode(0),
        capacitanceFarads: 100e-6,
        load: { ohms: 5000 },
      }).volts,
    33.95,
    0.35,
    'Malvino and Bates, Electronic Principles, ex. 4-8, p. 110',
  ],
  [
    'its ripple p-p',
    () =>
      solveSupply({
        ...SUPPLY_BASE,
        topology: 'full-wave',
        sourceVolts: 24,
        rectifier: diode(0),
        capacitanceFarads: 100e-6,
        load: { ohms: 5000 },
      }).rippleVoltsPeakToPeak,
    0.57,
    0.06,
    'Malvino and Bates, Electronic Principles, ex. 4-8, p. 110',
  ],
  [
    'tube rectifier chart: 550-0-550 V, 10 uF, 170 to 230 ohm, 125 mA',
    () =>
      solveSupply({
        topology: 'full-wave',
        sourceVolts: 550,
        sourceOhms: 200,
        rectifier: tubeLaw(44, 0.225),
        capacitanceFarads: 10e-6,
        load: { amps: 0.125 },
      }).volts,
    620,
    20,
    '5U4G data sheet charts (emissionlabs.com reprint of the historical curves), capacitor input',
  ],
  [
    'RC section, DC',
    () =>
      smoothingSection({
        volts: 150,
        rippleVoltsRms: 15,
        rippleHz: 120,
        seriesOhms: 500,
        farads: 10e-6,
        loadOhms: 5000,
      }).volts,
    136.4,
    0.05,
    `${BOYLESTAD}, ex. 15.7`,
  ],
  [
    'RC section, ripple (source takes Xc/R)',
    () =>
      smoothingSection({
        volts: 150,
        rippleVoltsRms: 15,
        rippleHz: 120,
        seriesOhms: 500,
        farads: 10e-6,
        loadOhms: 5000,
      }).rippleVoltsRms,
    3.9,
    0.1,
    `${BOYLESTAD}, ex. 15.7`,
  ],
  ['regulation 60 to 56 V, %', () => regulationPercent(60, 56), 7.1, 0.05, `${BOYLESTAD}, ex. 15.2`],
  ['regulation 45 to 36 V, %', () => regulationPercent(45, 36), 25, 1e-9, 'qammunity.org question 18676268'],
  [
    'line drop 5 ohm at 4 A from 120 V leaves',
    () => dividerReading({ supplyVolts: 120, upperOhms: 5, lowerOhms: 25, meterOhms: 1e12 }).shownVolts,
    100,
    1e-6,
    'RCA Institutes Home Study, Electronic Fundamentals, lesson 9, sec. 9-1',
  ],
];

const WINDINGS: readonly Row[] = [
  ['resonance 100 mH, 10 uF', () => resonantHz(0.1, 10e-6), 159.155, 0.0005, `${LESSONS_2}, ch. 6`],
  ['resonance 2 uH, 3 pF, MHz', () => resonantHz(2e-6, 3e-12) / 1e6, 65, 0.5, `${GROB}, ex. 25-2, p. 776`],
  [
    'capacitor for 239 uH at 1 MHz, pF',
    () => resonatingFarads(239e-6, 1e6) * 1e12,
    106,
    0.5,
    `${GROB}, ex. 25-3, p. 778`,
  ],
  ['turns ratio 500 to 8 ohm', () => turnsRatio(500, 8), 7.906, 0.0005, `${LESSONS_2}, ch. 9`],
  ['turns ratio 10000 to 100 H', () => turnsRatio(10000, 100), 10, 1e-9, `${LESSONS_2}, ch. 9`],
  [
    'decrement 20 to 2 in 100',
    () => logDecrement(20, 2, 100),
    0.023,
    0.0005,
    'Prakash, Oscillations and Waves, ch. 2, ex. 10, p. 112',
  ],
  [
    'decrement 100 to 13 in 100',
    () => logDecrement(100, 13, 100),
    0.0204,
    0.00005,
    'physicsforums.com thread 326265',
  ],
  [
    'Q per cycle to 25 % (large Q)',
    () => ringCountToQ(1000) / 1000,
    2.266,
    0.0005,
    'derived from the logarithmic decrement (Wikipedia, Logarithmic decrement)',
  ],
  [
    'Q from half-life of one cycle (source for large Q)',
    () => ringCountToQ(100, 0.5) / 100,
    4.53,
    0.005,
    'LIGO 40m wiki, Q and decay time',
  ],
  [
    'Q from a half-cycle ratio of 0.8 (source rounds 7.04)',
    () => ringCountToQ(0.5, 0.8),
    7,
    0.1,
    'LIGO 40m wiki, Q and decay time',
  ],
  [
    'rings to 25 % at Q 22.66',
    () => qToRingCount(22.66),
    10,
    0.01,
    'derived from the logarithmic decrement (Wikipedia, Logarithmic decrement)',
  ],
  [
    'copper 28.2 ohm, 24.5 to 68.8 C (source: 0.004041 from the first temperature)',
    () => copperOhmsAt(28.2, 24.5, 68.8),
    33.248,
    0.33,
    'toughstem.com problem 319',
  ],
  [
    'rise for +26 %, C (source: 0.003862)',
    () => windingCelsius(1, 20, 1.26) - 20,
    67.32,
    1.4,
    'homeworksource.com 1035272',
  ],
];

publishedFigures('supplies', SUPPLIES);
publishedFigures('windings', WINDINGS);

describe('what the textbooks simplify', () => {
  it('solved supplies never ripple more than the whole-period rule, nor give less', () => {
    const s = solveSupply({
      ...SUPPLY_BASE,
      topology: 'full-wave',
      sourceVolts: 24,
      rectifier: diode(0),
      capacitanceFarads: 100e-6,
      load: { ohms: 5000 },
    });
    expect(s.rippleVoltsPeakToPeak).toBeLessThan(0.57);
    expect(s.volts).toBeGreaterThan(33.6);
  });
});
