// Calculations on windings and resonance.
import { define } from '../calculation.ts';
import {
  balanceOfHalves,
  copperOhmsAt,
  HALVES,
  judgeRing,
  logDecrement,
  qToRingCount,
  regulationPercent,
  resonantHz,
  resonatingFarads,
  ringCountToQ,
  turnsRatio,
  windingCelsius,
} from '../windings.ts';

const DECREMENT = 'logarithmic decrement, Q = 0.5 sqrt(1 + (2 pi n / ln(x0/xn))^2)';

export const windingCalculations = [
  define({
    name: 'ring-test',
    title: 'Ring test of a flyback or yoke',
    summary: 'Q from the rings to a level, and what the count means.',
    inputs: [
      { name: 'count', unit: '', description: 'rings until the level', min: 0.5, max: 1000 },
      {
        name: 'levelPercent',
        unit: '%',
        description: 'level that ends the count',
        min: 1,
        max: 90,
        default: 25,
      },
    ],
    outputs: [
      { name: 'q', unit: '', description: 'Q' },
      { name: 'countTo25Percent', unit: '', description: 'the same ring counted to 25 %' },
      { name: 'verdict', unit: '', description: '8 and more healthy, 4 and less shorted or loaded' },
    ],
    source: `${DECREMENT}; verdict common practice, no source`,
    example: { count: 10 },
    run: (a) => {
      const q = ringCountToQ(a.count, a.levelPercent / 100);
      const countTo25Percent = qToRingCount(q, 0.25);
      return { q, countTo25Percent, verdict: judgeRing(countTo25Percent) };
    },
  }),
  define({
    name: 'log-decrement',
    title: 'Logarithmic decrement',
    summary: 'From two amplitudes some cycles apart, with Q.',
    inputs: [
      { name: 'first', unit: '', description: 'first amplitude, any unit', min: 1e-6 },
      { name: 'last', unit: '', description: 'last amplitude, same unit', min: 1e-6 },
      { name: 'count', unit: '', description: 'cycles between them', min: 0.5, max: 1e6 },
    ],
    outputs: [
      { name: 'decrement', unit: '', description: 'logarithmic decrement' },
      { name: 'q', unit: '', description: 'Q' },
    ],
    source: DECREMENT,
    example: { first: 20, last: 2, count: 100 },
    run: (a) => {
      const decrement = logDecrement(a.first, a.last, a.count);
      return { decrement, q: 0.5 * Math.sqrt(1 + ((2 * Math.PI) / decrement) ** 2) };
    },
  }),
  define({
    name: 'resonance',
    title: 'Resonant frequency',
    summary: 'Of a coil and a capacitor.',
    inputs: [
      { name: 'henries', unit: 'H', description: 'inductance' },
      { name: 'farads', unit: 'F', description: 'capacitance' },
    ],
    outputs: [{ name: 'hertz', unit: 'Hz', description: 'resonance' }],
    source: 'f = 1 / (2 pi sqrt(LC)) (textbook)',
    example: { henries: '100m', farads: '10u' },
    run: (a) => ({ hertz: resonantHz(a.henries, a.farads) }),
  }),
  define({
    name: 'resonating-capacitor',
    title: 'Capacitor for a resonance',
    summary: 'Capacitance that tunes a coil to a frequency.',
    inputs: [
      { name: 'henries', unit: 'H', description: 'inductance' },
      { name: 'hertz', unit: 'Hz', description: 'frequency' },
    ],
    outputs: [{ name: 'farads', unit: 'F', description: 'capacitance' }],
    source: 'C = 1 / (L (2 pi f)^2) (textbook)',
    example: { henries: '239u', hertz: '1M' },
    run: (a) => ({ farads: resonatingFarads(a.henries, a.hertz) }),
  }),
  define({
    name: 'copper-resistance',
    title: 'Winding resistance at another temperature',
    summary: 'Carries a copper resistance from one temperature to another.',
    inputs: [
      { name: 'ohms', unit: 'ohm', description: 'measured' },
      { name: 'measuredCelsius', unit: 'C', description: 'at' },
      { name: 'wantedCelsius', unit: 'C', description: 'wanted at', default: 20 },
    ],
    outputs: [{ name: 'ohms', unit: 'ohm', description: 'at the wanted temperature' }],
    source: 'copper, (235 + t2) / (235 + t1), IEC 60034-1',
    example: { ohms: 100, measuredCelsius: 20, wantedCelsius: 70 },
    run: (a) => ({ ohms: copperOhmsAt(a.ohms, a.measuredCelsius, a.wantedCelsius) }),
  }),
  define({
    name: 'winding-temperature',
    title: 'Temperature of a winding',
    summary: 'From its cold and hot resistance.',
    inputs: [
      { name: 'coldOhms', unit: 'ohm', description: 'cold' },
      { name: 'coldCelsius', unit: 'C', description: 'room temperature then', default: 20 },
      { name: 'hotOhms', unit: 'ohm', description: 'hot' },
    ],
    outputs: [{ name: 'celsius', unit: 'C', description: 'mean temperature of the winding' }],
    source: 'copper, (235 + t2) / (235 + t1), IEC 60034-1',
    example: { coldOhms: 100, hotOhms: '119.6' },
    run: (a) => ({ celsius: windingCelsius(a.coldOhms, a.coldCelsius, a.hotOhms) }),
  }),
  define({
    name: 'balance',
    title: 'Balance of two halves',
    summary: 'Two halves of a winding or a diode pair at one temperature.',
    inputs: [
      { name: 'aOhms', unit: 'ohm', description: 'one half' },
      { name: 'bOhms', unit: 'ohm', description: 'the other' },
      { name: 'kind', unit: '', description: 'what they are', choices: HALVES },
      {
        name: 'meterPercent',
        unit: '%',
        description: 'one reading against the other',
        max: 20,
        default: 0.5,
      },
    ],
    outputs: [
      { name: 'differencePercent', unit: '%', description: 'difference over the mean' },
      { name: 'plusMinusPercent', unit: '%', description: 'doubt of the difference' },
      { name: 'limitPercent', unit: '%', description: 'limit' },
      { name: 'verdict', unit: '', description: 'equal enough, unequal, cannot tell' },
    ],
    source: 'limits common practice, no source',
    example: { aOhms: 12, bOhms: '10.5', kind: 'yoke-horizontal' },
    run: (a) => ({ ...balanceOfHalves(a.aOhms, a.bOhms, a.kind, a.meterPercent) }),
  }),
  define({
    name: 'regulation',
    title: 'Regulation of a supply',
    summary: 'In percent of the full-load volts.',
    inputs: [
      { name: 'noLoadVolts', unit: 'V', description: 'without load' },
      { name: 'fullLoadVolts', unit: 'V', description: 'with load' },
    ],
    outputs: [{ name: 'percent', unit: '%', description: 'regulation, full-load base' }],
    source: 'Boylestad and Nashelsky, Electronic Devices and Circuit Theory, ex. 15.2',
    example: { noLoadVolts: 60, fullLoadVolts: 56 },
    run: (a) => ({ percent: regulationPercent(a.noLoadVolts, a.fullLoadVolts) }),
  }),
  define({
    name: 'turns-ratio',
    title: 'Turns ratio from impedances',
    summary: 'Square root of two impedances or inductances.',
    inputs: [
      { name: 'primary', unit: 'ohm', description: 'primary impedance' },
      { name: 'secondary', unit: 'ohm', description: 'secondary impedance' },
    ],
    outputs: [{ name: 'ratio', unit: '', description: 'turns ratio' }],
    source: 'Kuphaldt, Lessons In Electric Circuits, Vol II AC, ch. 9',
    example: { primary: 500, secondary: 8 },
    run: (a) => ({ ratio: turnsRatio(a.primary, a.secondary) }),
  }),
];
