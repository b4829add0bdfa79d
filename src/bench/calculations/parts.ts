// Calculations on parts: colour code, preferred values, tolerance, electrolytics.
import { define } from '../calculation.ts';
import {
  capacitiveOhms,
  colourCode,
  dissipationFactor,
  electrolyticLeakLimit,
  esrFrom,
  inCircuitOhms,
  leakVerdict,
  modernLeakLimit,
  TIRED_FACTOR,
  toleranceVerdict,
} from '../parts.ts';
import { nearestPreferred } from '../preferred-values.ts';

const SERIES_NAMES = ['E6', 'E12', 'E24'] as const;

export const partCalculations = [
  define({
    name: 'colour-code',
    title: 'Resistor colour code',
    summary: 'Three to five bands to ohms and tolerance.',
    inputs: [{ name: 'bands', unit: '', description: 'colours separated by commas', list: 'words' }],
    outputs: [
      { name: 'ohms', unit: 'ohm', description: 'resistance' },
      { name: 'tolerancePercent', unit: '%', description: 'tolerance' },
    ],
    source: 'IEC 60062; Kuphaldt, Lessons In Electric Circuits, Vol V Reference, ch. 2',
    example: { bands: 'yellow,violet,orange,gold' },
    run: (a) => ({ ...colourCode(a.bands) }),
  }),
  define({
    name: 'preferred-value',
    title: 'Preferred value',
    summary: 'Nearest, next higher and next lower value of a series; any unit.',
    inputs: [
      { name: 'value', unit: '', description: 'value wanted (prefixes allowed)', min: 1e-13, max: 1e13 },
      { name: 'series', unit: '', description: 'series', choices: SERIES_NAMES, default: 'E12' },
    ],
    outputs: [
      { name: 'nearest', unit: '', description: 'nearest' },
      { name: 'up', unit: '', description: 'same or next higher' },
      { name: 'down', unit: '', description: 'same or next lower' },
    ],
    source: 'IEC 60063',
    example: { value: 182 },
    run: (a) => ({
      nearest: nearestPreferred(a.value, a.series),
      up: nearestPreferred(a.value, a.series, 'up'),
      down: nearestPreferred(a.value, a.series, 'down'),
    }),
  }),
  define({
    name: 'tolerance',
    title: 'Resistor against its marking',
    summary: 'Verdict on a measured resistor, in or out of circuit, with a known parallel path taken out.',
    inputs: [
      { name: 'markedOhms', unit: 'ohm', description: 'marked value' },
      { name: 'tolerancePercent', unit: '%', description: 'tolerance', max: 100, default: 20 },
      { name: 'measuredOhms', unit: 'ohm', description: 'reading' },
      {
        name: 'inCircuit',
        unit: '',
        description: 'both ends still soldered in',
        choices: ['yes', 'no'],
        default: 'no',
      },
      { name: 'parallelOhms', unit: 'ohm', description: 'known path across it', optional: true },
      { name: 'meterPercent', unit: '%', description: 'meter accuracy', max: 20, default: 1 },
    ],
    outputs: [
      { name: 'deviationPercent', unit: '%', description: 'deviation' },
      { name: 'lowOhms', unit: 'ohm', description: 'low limit' },
      { name: 'highOhms', unit: 'ohm', description: 'high limit' },
      { name: 'verdict', unit: '', description: 'within tolerance, high, low, cannot tell, lift one end' },
    ],
    source: 'parallel paths can only lower a reading (circuit theory)',
    example: { markedOhms: '470k', tolerancePercent: 10, measuredOhms: '560k' },
    run: (a) => {
      const v = toleranceVerdict({ ...a, inCircuit: a.inCircuit === 'yes' });
      return {
        deviationPercent: v.deviationPercent,
        lowOhms: v.lowOhms,
        highOhms: v.highOhms,
        verdict: v.verdict,
      };
    },
  }),
  define({
    name: 'in-circuit-ohms',
    title: 'Resistor with a path across it',
    summary: 'What an ohmmeter reads with a known parallel path.',
    inputs: [
      { name: 'ohms', unit: 'ohm', description: 'the resistor' },
      { name: 'pathOhms', unit: 'ohm', description: 'path across it' },
    ],
    outputs: [{ name: 'readingOhms', unit: 'ohm', description: 'reading' }],
    source: 'parallel resistors (textbook)',
    example: { ohms: '470k', pathOhms: '1M' },
    run: (a) => ({ readingOhms: inCircuitOhms(a.ohms, a.pathOhms) }),
  }),
  define({
    name: 'electrolytic-leakage',
    title: 'Leakage limit of an electrolytic',
    summary: 'Old-style limit, modern limit and a verdict on a reading after 30 minutes at working volts.',
    inputs: [
      { name: 'farads', unit: 'F', description: 'capacitance', min: 1e-7, max: 0.1 },
      { name: 'workingVolts', unit: 'V', description: 'working volts', min: 1, max: 500 },
      { name: 'readingAmps', unit: 'A', description: 'leakage read', min: 0, max: 1, optional: true },
    ],
    outputs: [
      { name: 'limitAmps', unit: 'A', description: 'limit for parts of the period' },
      { name: 'modernLimitAmps', unit: 'A', description: 'limit of a modern part' },
      { name: 'verdict', unit: '', description: 'on the reading, or a dash' },
    ],
    source: 'JAN-C-62 limit K C + 0.3 mA as quoted on a list; modern 0.01 C V',
    example: { farads: '20u', workingVolts: 450, readingAmps: '2m' },
    run: (a) => {
      const limitAmps = electrolyticLeakLimit(a.farads, a.workingVolts);
      return {
        limitAmps,
        modernLimitAmps: modernLeakLimit(a.farads, a.workingVolts),
        verdict: a.readingAmps === undefined ? '-' : leakVerdict(a.readingAmps, limitAmps),
      };
    },
  }),
  define({
    name: 'esr',
    title: 'ESR and dissipation factor',
    summary: 'Loss of an electrolytic from its ESR.',
    inputs: [
      { name: 'farads', unit: 'F', description: 'capacitance', max: 0.1 },
      { name: 'esrOhms', unit: 'ohm', description: 'ESR', min: 0, max: 1e5 },
      { name: 'hertz', unit: 'Hz', description: 'test frequency', min: 1, max: 1e7, default: 120 },
    ],
    outputs: [
      { name: 'dissipationFactor', unit: '', description: 'tan d' },
      { name: 'reactanceOhms', unit: 'ohm', description: 'reactance at that frequency' },
      { name: 'verdict', unit: '', description: 'tired above 0.25 at 120 Hz' },
    ],
    source: 'tan d = 2 pi f C ESR (textbook); limit common practice, no source',
    example: { farads: '40u', esrOhms: 5 },
    run: (a) => ({
      dissipationFactor: dissipationFactor(a.farads, a.esrOhms, a.hertz),
      reactanceOhms: capacitiveOhms(a.farads, a.hertz),
      verdict: dissipationFactor(a.farads, a.esrOhms, 120) > TIRED_FACTOR ? 'tired' : 'good',
    }),
  }),
  define({
    name: 'esr-from-loss',
    title: 'ESR from a dissipation factor',
    summary: 'For bridges that read the loss instead of the ESR.',
    inputs: [
      { name: 'farads', unit: 'F', description: 'capacitance', max: 0.1 },
      { name: 'factor', unit: '', description: 'dissipation factor (0.15 = 15 %)', max: 100 },
      { name: 'hertz', unit: 'Hz', description: 'test frequency', min: 1, max: 1e7, default: 120 },
    ],
    outputs: [{ name: 'esrOhms', unit: 'ohm', description: 'ESR' }],
    source: 'tan d = 2 pi f C ESR (textbook)',
    example: { farads: '40u', factor: '0.15' },
    run: (a) => ({ esrOhms: esrFrom(a.farads, a.factor, a.hertz) }),
  }),
];
