// Calculations on tube stages.
import { define } from '../calculation.ts';
import { gridShiftFromLeak, leakFromGridShift, liftedEndLeak } from '../leakage.ts';
import {
  cathodeBiasStage,
  dissipation,
  gridLeakAmps,
  perveanceFrom,
  plateLoadAmps,
  resistorAmps,
  screenFeed,
  selfBiasPoint,
  threeHalvesAmps,
} from '../stages.ts';

const OHM = "Ohm's law and volts times amperes (textbook)";
const LANGMUIR = 'three-halves power law (Langmuir-Child), as in tube textbooks; +/-30 %';

export const stageCalculations = [
  define({
    name: 'plate-load',
    title: 'Plate current from the plate load',
    summary: 'Current from the drop over a plate resistor, and the dissipation left to the tube.',
    inputs: [
      { name: 'supplyVolts', unit: 'V', description: 'supply end', max: 2000 },
      { name: 'plateVolts', unit: 'V', description: 'plate', min: 0, max: 2000 },
      { name: 'loadOhms', unit: 'ohm', description: 'plate load' },
      { name: 'cathodeVolts', unit: 'V', description: 'cathode', min: -1000, max: 1000, default: 0 },
    ],
    outputs: [
      { name: 'amps', unit: 'A', description: 'plate current' },
      { name: 'plateWatts', unit: 'W', description: 'plate dissipation' },
    ],
    source: OHM,
    example: { supplyVolts: 250, plateVolts: 150, loadOhms: '5k' },
    run: (a) => {
      const amps = plateLoadAmps(a.supplyVolts, a.plateVolts, a.loadOhms);
      return { amps, plateWatts: dissipation(a.plateVolts - a.cathodeVolts, amps) };
    },
  }),
  define({
    name: 'perveance',
    title: 'Perveance from a data-sheet point',
    summary: 'Constant of the three-halves power law from one known operating point.',
    inputs: [
      { name: 'amps', unit: 'A', description: 'current at that point', max: 10 },
      { name: 'mu', unit: '', description: 'amplification factor (1 for a diode)', min: 0.5, max: 500 },
      { name: 'anodeVolts', unit: 'V', description: 'plate (pentode: screen) to cathode' },
      { name: 'gridVolts', unit: 'V', description: 'grid to cathode', min: -1000, max: 100, default: 0 },
    ],
    outputs: [{ name: 'perveance', unit: 'A/V^1.5', description: 'perveance' }],
    source: LANGMUIR,
    example: { amps: '15m', mu: 1, anodeVolts: 100 },
    run: (a) => ({ perveance: perveanceFrom(a.amps, a.mu, a.anodeVolts, a.gridVolts) }),
  }),
  define({
    name: 'resistor-current',
    title: 'Current from the drop over a resistor',
    summary: 'Current with the doubt from meter and part.',
    inputs: [
      { name: 'volts', unit: 'V', description: 'volts across it', min: -100000 },
      { name: 'ohms', unit: 'ohm', description: 'resistance' },
      { name: 'tolerancePercent', unit: '%', description: 'tolerance of the part', max: 100, default: 10 },
    ],
    outputs: [
      { name: 'amps', unit: 'A', description: 'current' },
      { name: 'plusMinusAmps', unit: 'A', description: 'doubt' },
      { name: 'watts', unit: 'W', description: 'watts in the resistor' },
    ],
    source: OHM,
    example: { volts: '8.2', ohms: 330 },
    run: (a) => {
      const amps = resistorAmps(a.volts, a.ohms, { tolerance: a.tolerancePercent / 100 });
      return { amps: amps.value, plusMinusAmps: amps.plusMinus, watts: a.volts ** 2 / a.ohms };
    },
  }),
  define({
    name: 'cathode-bias',
    title: 'Cathode-biased stage',
    summary:
      'Cathode current, bias and dissipation from DC readings to chassis, against the limits of the tube.',
    inputs: [
      { name: 'cathodeVolts', unit: 'V', description: 'cathode', min: 0, max: 1000 },
      { name: 'cathodeOhms', unit: 'ohm', description: 'cathode resistor' },
      { name: 'gridVolts', unit: 'V', description: 'grid', min: -1000, max: 1000, default: 0 },
      { name: 'plateVolts', unit: 'V', description: 'plate', min: 0, max: 2000 },
      { name: 'screenVolts', unit: 'V', description: 'screen', min: 0, max: 2000, optional: true },
      { name: 'screenAmps', unit: 'A', description: 'screen current', min: 0, max: 1, default: 0 },
      { name: 'plateLimitWatts', unit: 'W', description: 'plate limit', optional: true },
      { name: 'screenLimitWatts', unit: 'W', description: 'screen limit', optional: true },
      { name: 'cathodeLimitAmps', unit: 'A', description: 'cathode current limit', optional: true },
    ],
    outputs: [
      { name: 'cathodeAmps', unit: 'A', description: 'cathode current' },
      { name: 'plusMinusAmps', unit: 'A', description: 'its doubt' },
      { name: 'biasVolts', unit: 'V', description: 'cathode above grid' },
      { name: 'plateWatts', unit: 'W', description: 'plate dissipation' },
      { name: 'screenWatts', unit: 'W', description: 'screen dissipation' },
      { name: 'verdict', unit: '', description: 'against the limits given' },
    ],
    source: OHM,
    example: {
      cathodeVolts: '12.5',
      cathodeOhms: 250,
      plateVolts: 250,
      screenVolts: 250,
      screenAmps: '4m',
      plateLimitWatts: 12,
    },
    run: (a) => {
      const b = cathodeBiasStage({
        cathodeVolts: a.cathodeVolts,
        cathodeOhms: a.cathodeOhms,
        gridVolts: a.gridVolts,
        plateVolts: a.plateVolts,
        screenVolts: a.screenVolts,
        screenAmps: a.screenAmps,
        limits: {
          plateWatts: a.plateLimitWatts,
          screenWatts: a.screenLimitWatts,
          cathodeAmps: a.cathodeLimitAmps,
        },
      });
      return {
        cathodeAmps: b.cathodeAmps.value,
        plusMinusAmps: b.cathodeAmps.plusMinus,
        biasVolts: b.biasVolts,
        plateWatts: b.plateWatts,
        screenWatts: b.screenWatts,
        verdict: b.verdict,
      };
    },
  }),
  define({
    name: 'screen-feed',
    title: 'Screen resistor',
    summary: 'Screen current and watts from the drop over the screen resistor.',
    inputs: [
      { name: 'supplyVolts', unit: 'V', description: 'supply end', min: 0, max: 2000 },
      { name: 'screenVolts', unit: 'V', description: 'screen end', min: 0, max: 2000 },
      { name: 'ohms', unit: 'ohm', description: 'screen resistor' },
      { name: 'cathodeVolts', unit: 'V', description: 'cathode', min: -1000, max: 1000, default: 0 },
      { name: 'limitWatts', unit: 'W', description: 'screen limit of the tube', optional: true },
    ],
    outputs: [
      { name: 'amps', unit: 'A', description: 'screen current' },
      { name: 'plusMinusAmps', unit: 'A', description: 'its doubt' },
      { name: 'screenWatts', unit: 'W', description: 'screen dissipation' },
      { name: 'resistorWatts', unit: 'W', description: 'watts in the resistor' },
      { name: 'verdict', unit: '', description: 'against the limit' },
    ],
    source: OHM,
    example: { supplyVolts: 260, screenVolts: 150, ohms: '12k', limitWatts: '2.5' },
    run: (a) => {
      const { amps, ...rest } = screenFeed(a);
      return { ...rest, amps: amps.value, plusMinusAmps: amps.plusMinus };
    },
  }),
  define({
    name: 'grid-leak-current',
    title: 'Grid current from grid-leak bias',
    summary: 'Drive rectified by the grid: current in the grid resistor (and meter).',
    inputs: [
      { name: 'gridVolts', unit: 'V', description: 'grid to cathode, negative', min: -1000, max: 0 },
      { name: 'gridOhms', unit: 'ohm', description: 'grid resistor' },
      { name: 'meterOhms', unit: 'ohm', description: 'meter across it', optional: true },
    ],
    outputs: [{ name: 'amps', unit: 'A', description: 'grid current' }],
    source: OHM,
    example: { gridVolts: -46, gridOhms: '470k', meterOhms: '10M' },
    run: (a) => ({ amps: gridLeakAmps(a.gridVolts, a.gridOhms, a.meterOhms) }),
  }),
  define({
    name: 'grid-shift',
    title: 'Grid shift by a leaky coupling capacitor',
    summary: 'Positive volts on a grid for a leakage and a grid resistor.',
    inputs: [
      { name: 'supplyVolts', unit: 'V', description: 'DC at the plate side' },
      { name: 'leakOhms', unit: 'ohm', description: 'leakage resistance' },
      { name: 'gridOhms', unit: 'ohm', description: 'grid resistor' },
    ],
    outputs: [{ name: 'gridVolts', unit: 'V', description: 'positive shift' }],
    source: 'voltage divider (textbook)',
    example: { supplyVolts: 250, leakOhms: '115M', gridOhms: '470k' },
    run: (a) => ({ gridVolts: gridShiftFromLeak(a.supplyVolts, a.leakOhms, a.gridOhms) }),
  }),
  define({
    name: 'coupling-leak',
    title: 'Leakage from the grid volts',
    summary: 'Leakage resistance of a coupling capacitor from the positive volts at the grid.',
    inputs: [
      { name: 'supplyVolts', unit: 'V', description: 'DC at the plate side' },
      { name: 'gridVolts', unit: 'V', description: 'positive volts across the grid resistor' },
      { name: 'gridOhms', unit: 'ohm', description: 'grid resistor' },
    ],
    outputs: [
      { name: 'leakOhms', unit: 'ohm', description: 'leakage resistance' },
      { name: 'leakAmps', unit: 'A', description: 'leakage current' },
    ],
    source: 'voltage divider (textbook); a gassy tube looks alike, pull it and read again',
    example: { supplyVolts: 250, gridVolts: '1.02', gridOhms: '470k' },
    run: (a) => ({
      leakOhms: leakFromGridShift(a.supplyVolts, a.gridVolts, a.gridOhms),
      leakAmps: a.gridVolts / a.gridOhms,
    }),
  }),
  define({
    name: 'lifted-end-leak',
    title: 'Leakage with one end lifted',
    summary: 'Grid end lifted, meter from it to chassis: leakage and verdict.',
    inputs: [
      { name: 'supplyVolts', unit: 'V', description: 'DC at the other end' },
      { name: 'readingVolts', unit: 'V', description: 'reading at the lifted end' },
      { name: 'meterOhms', unit: 'ohm', description: 'meter resistance', default: '10M' },
      { name: 'meterPercent', unit: '%', description: 'meter accuracy', max: 20, default: 2 },
    ],
    outputs: [
      { name: 'leakOhms', unit: 'ohm', description: 'leakage resistance' },
      { name: 'plusMinusOhms', unit: 'ohm', description: 'its doubt' },
      { name: 'leakAmps', unit: 'A', description: 'leakage at full volts' },
      { name: 'verdict', unit: '', description: 'good, aged, upsets its stage, cannot tell' },
    ],
    source: 'voltage divider (textbook); verdict common practice, no source',
    example: { supplyVolts: 250, readingVolts: 5 },
    run: (a) => ({ ...liftedEndLeak(a) }),
  }),
  define({
    name: 'plate-current',
    title: 'Plate current by the three-halves law',
    summary: 'Plausible current of a triode, or of a pentode by its screen.',
    inputs: [
      { name: 'perveance', unit: 'A/V^1.5', description: 'of the type' },
      { name: 'mu', unit: '', description: 'amplification factor', min: 0.5, max: 500 },
      { name: 'anodeVolts', unit: 'V', description: 'plate (pentode: screen) to cathode' },
      { name: 'gridVolts', unit: 'V', description: 'grid to cathode', min: -1000, max: 100 },
    ],
    outputs: [{ name: 'amps', unit: 'A', description: 'current' }],
    source: LANGMUIR,
    example: { perveance: '15u', mu: 1, anodeVolts: 100, gridVolts: 0 },
    run: (a) => ({ amps: threeHalvesAmps(a.perveance, a.mu, a.anodeVolts, a.gridVolts) }),
  }),
  define({
    name: 'self-bias',
    title: 'Operating point with a cathode resistor',
    summary: 'Solves current and cathode volts of a self-biased tube.',
    inputs: [
      { name: 'perveance', unit: 'A/V^1.5', description: 'of the type' },
      { name: 'mu', unit: '', description: 'amplification factor', min: 0.5, max: 500 },
      { name: 'supplyVolts', unit: 'V', description: 'supply', max: 2000 },
      { name: 'cathodeOhms', unit: 'ohm', description: 'cathode resistor' },
      { name: 'plateOhms', unit: 'ohm', description: 'plate load', min: 0, default: 0 },
    ],
    outputs: [
      { name: 'amps', unit: 'A', description: 'current' },
      { name: 'cathodeVolts', unit: 'V', description: 'cathode volts' },
      { name: 'plateVolts', unit: 'V', description: 'plate volts' },
    ],
    source: LANGMUIR,
    example: { perveance: '1.2m', mu: 8, supplyVolts: 250, cathodeOhms: 330 },
    run: (a) => ({ ...selfBiasPoint(a) }),
  }),
];
