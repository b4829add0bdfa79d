// Bench arithmetic against numbers printed in textbooks and handbooks: charge, meters, heaters and stages.
import {
  capacitiveOhms,
  chargedVolts,
  chargeTime,
  decibels,
  dividerReading,
  meterOhms,
  multiplierOhms,
  ohmsPerVolt,
  perveanceFrom,
  plateLoadAmps,
  remainingVolts,
  storedJoules,
  stringDropper,
  stringOhms,
  threeHalvesAmps,
  timeConstant,
} from '../../src/bench/index.ts';
import { publishedFigures, type Row } from './bench-rows.ts';

const LESSONS_1 = 'T. R. Kuphaldt, Lessons In Electric Circuits, Vol I DC';
const LESSONS_3 = 'T. R. Kuphaldt, Lessons In Electric Circuits, Vol III Semiconductors';
const GROB = "Schultz, Grob's Basic Electronics";
const KALSI = 'Kalsi, Electronic Instrumentation';
const NEETS_3 = 'NEETS Module 3';
const ARMY = 'US Army MM0704 subcourse';

const CHARGE: readonly Row[] = [
  [
    '15 V, 10 k, 100 uF after 1 s',
    () => chargedVolts(15, 10e3, 100e-6, 1),
    9.482,
    0.0005,
    `${LESSONS_1}, ch. 16`,
  ],
  ['after 2 s', () => chargedVolts(15, 10e3, 100e-6, 2), 12.97, 0.005, `${LESSONS_1}, ch. 16`],
  ['after 5 s', () => chargedVolts(15, 10e3, 100e-6, 5), 14.899, 0.0005, `${LESSONS_1}, ch. 16`],
  [
    'charging current after 2 s, uA',
    () => ((15 - chargedVolts(15, 10e3, 100e-6, 2)) / 10e3) * 1e6,
    203,
    0.5,
    `${LESSONS_1}, ch. 16`,
  ],
  [
    'Thevenin source, 60 ms',
    () => chargedVolts(1.8182, 454.545, 100e-6, 0.06),
    1.3325,
    0.00005,
    `${LESSONS_1}, ch. 16`,
  ],
  ['1 time constant, %', () => chargedVolts(100, 1e3, 1e-3, 1), 63.2, 0.05, `${ARMY}, fig. 1-14`],
  ['2 time constants, %', () => chargedVolts(100, 1e3, 1e-3, 2), 86.5, 0.05, `${ARMY}, fig. 1-14`],
  ['3 time constants, %', () => chargedVolts(100, 1e3, 1e-3, 3), 95.1, 0.1, `${ARMY}, fig. 1-14`],
  ['4 time constants, %', () => chargedVolts(100, 1e3, 1e-3, 4), 98.2, 0.05, `${ARMY}, fig. 1-14`],
  ['5 time constants, %', () => chargedVolts(100, 1e3, 1e-3, 5), 99.3, 0.05, `${ARMY}, fig. 1-14`],
  [
    'time constant 1 Mohm, 0.01 uF',
    () => timeConstant(1e6, 0.01e-6),
    0.01,
    1e-9,
    `${GROB}, ex. 22-4, p. 676`,
  ],
  [
    '300 V, one time constant (63 %)',
    () => chargedVolts(300, 1e6, 0.01e-6, 0.01),
    189,
    0.7,
    `${GROB}, ex. 22-5, p. 677`,
  ],
  [
    '200 V discharged for one time constant (37 %)',
    () => remainingVolts({ capacitanceFarads: 0.01e-6, ohms: 1e6, fromVolts: 200, seconds: 0.01 }),
    74,
    0.5,
    `${GROB}, ex. 22-7, p. 680`,
  ],
  [
    '36 V to 24 V, ms',
    () => 1000 * chargeTime(36, 10e3, 0.05e-6, 24),
    0.549,
    0.0005,
    `${GROB}, ex. 22-10, p. 682`,
  ],
  [
    'picture-tube circuit, 30 kV on 500 pF, J',
    () => storedJoules(500e-12, 30e3),
    0.225,
    1e-9,
    `${GROB}, ex. 16-11, p. 514`,
  ],
  [
    'reactance 0.1 uF at 1400 Hz',
    () => capacitiveOhms(0.1e-6, 1400),
    1136.8,
    0.05,
    `${GROB}, ex. 17-1, p. 530`,
  ],
];

const METERS: readonly Row[] = [
  ['multiplier 1 mA, 500 ohm, 10 V', () => multiplierOhms(1e-3, 500, 10), 9500, 0.001, `${LESSONS_1}, ch. 8`],
  ['multiplier, 1000 V', () => multiplierOhms(1e-3, 500, 1000), 999500, 0.001, `${LESSONS_1}, ch. 8`],
  ['its sensitivity', () => ohmsPerVolt(1e-3), 1000, 1e-6, `${LESSONS_1}, ch. 8`],
  [
    'multiplier 10 mA, 1000 ohm, 100 V',
    () => multiplierOhms(10e-3, 1000, 100),
    9000,
    0.001,
    `${NEETS_3}, p. 1-29, fig. 1-28`,
  ],
  ['sensitivity of 200 uA', () => ohmsPerVolt(200e-6), 5000, 1e-6, `${KALSI}, ex. 4.1, p. 80`],
  [
    'multiplier 50 uA, 500 ohm, 10 V',
    () => multiplierOhms(50e-6, 500, 10),
    199.5e3,
    50,
    `${KALSI}, ex. 4.2, p. 81`,
  ],
  [
    'two 250 Mohm on 24 V, 10 Mohm meter',
    () => dividerReading({ supplyVolts: 24, upperOhms: 250e6, lowerOhms: 250e6, meterOhms: 10e6 }).shownVolts,
    0.8889,
    0.00005,
    `${LESSONS_1}, ch. 8`,
  ],
  [
    '10 k / 10 k, 1000 ohm/V on 50 V',
    () =>
      dividerReading({ supplyVolts: 100, upperOhms: 10e3, lowerOhms: 10e3, meterOhms: meterOhms(1000, 50) })
        .shownVolts,
    45.45,
    0.005,
    `${KALSI}, ex. 4.11, p. 87`,
  ],
  [
    'the same, 20 000 ohm/V',
    () =>
      dividerReading({ supplyVolts: 100, upperOhms: 10e3, lowerOhms: 10e3, meterOhms: meterOhms(20e3, 50) })
        .shownVolts,
    49.75,
    0.005,
    `${KALSI}, ex. 4.11, p. 87`,
  ],
  [
    '25 k / 5 k, 1000 ohm/V on 10 V',
    () =>
      dividerReading({ supplyVolts: 30, upperOhms: 25e3, lowerOhms: 5e3, meterOhms: meterOhms(1000, 10) })
        .shownVolts,
    3.53,
    0.005,
    `${KALSI}, ex. 4.12, p. 88`,
  ],
  [
    'the same, 20 000 ohm/V',
    () =>
      dividerReading({ supplyVolts: 30, upperOhms: 25e3, lowerOhms: 5e3, meterOhms: meterOhms(20e3, 10) })
        .shownVolts,
    4.9,
    0.05,
    `${KALSI}, ex. 4.12, p. 88`,
  ],
  [
    '45 k / 5 k, 20 000 ohm/V on 5 V',
    () =>
      dividerReading({ supplyVolts: 50, upperOhms: 45e3, lowerOhms: 5e3, meterOhms: meterOhms(20e3, 5) })
        .shownVolts,
    4.785,
    0.0005,
    `${KALSI}, ex. 4.13, p. 89`,
  ],
  [
    'its error, %',
    () =>
      -dividerReading({ supplyVolts: 50, upperOhms: 45e3, lowerOhms: 5e3, meterOhms: meterOhms(20e3, 5) })
        .errorPercent,
    4.31,
    0.005,
    `${KALSI}, ex. 4.13, p. 89`,
  ],
  ['10 mV to 1 V, dB', () => decibels(0.01, 1), 40, 1e-9, `${LESSONS_3}, ch. 1`],
];

const HEATERS_AND_STAGES: readonly Row[] = [
  [
    'sum of 6.3, 6.3, 25, 25 V',
    () => stringDropper({ heaterVolts: [6.3, 6.3, 25, 25], amps: 0.3, lineVolts: 117 }).sumVolts,
    62.6,
    1e-9,
    'capeoldradio.com, AC/DC dropping-resistor theory',
  ],
  [
    'volts to drop',
    () => stringDropper({ heaterVolts: [6.3, 6.3, 25, 25], amps: 0.3, lineVolts: 117 }).dropVolts,
    54.4,
    1e-9,
    'capeoldradio.com, AC/DC dropping-resistor theory',
  ],
  [
    'dropper',
    () => stringDropper({ heaterVolts: [6.3, 6.3, 25, 25], amps: 0.3, lineVolts: 117 }).ohms,
    181,
    0.5,
    'capeoldradio.com, AC/DC dropping-resistor theory',
  ],
  [
    'its watts (source rounds 16.3)',
    () => stringDropper({ heaterVolts: [6.3, 6.3, 25, 25], amps: 0.3, lineVolts: 117 }).watts,
    16,
    0.5,
    'capeoldradio.com, AC/DC dropping-resistor theory',
  ],
  [
    'rating to buy, 20 to 30 W',
    () => stringDropper({ heaterVolts: [6.3, 6.3, 25, 25], amps: 0.3, lineVolts: 117 }).ratingWatts,
    25,
    5,
    'capeoldradio.com, AC/DC dropping-resistor theory',
  ],
  [
    'filament 4.65 V, 1.28 A',
    () => stringOhms(4.65, 1.28).hotOhms,
    3.63,
    0.005,
    'bottlehead.com forum topic 11717',
  ],
  [
    'series resistor from 9.77 to 5 V',
    () => stringDropper({ heaterVolts: [5], amps: 1.28, lineVolts: 9.77 }).ohms,
    3.727,
    0.0005,
    'bottlehead.com forum topic 11717',
  ],
  [
    'load line 100 V over 5 k, mA',
    () => 1000 * plateLoadAmps(100, 0, 5e3),
    20,
    1e-9,
    'blissaudio.blogspot.com, operating point and cathode bias resistor',
  ],
  [
    'perveance, uA/V^1.5',
    () => 1e6 * perveanceFrom(15e-3, 1, 100, 0),
    15,
    1e-9,
    "Cathey, Schaum's Outline of Electronic Devices and Circuits, ex. 7.18, p. 219",
  ],
  [
    'and no current at the cut-off of -4 V with mu 25',
    () => threeHalvesAmps(15e-6, 25, 100, -4),
    0,
    1e-12,
    "Cathey, Schaum's Outline of Electronic Devices and Circuits, ex. 7.18, p. 219",
  ],
];

publishedFigures('charge', CHARGE);
publishedFigures('meters', METERS);
publishedFigures('heaters and stages', HEATERS_AND_STAGES);
