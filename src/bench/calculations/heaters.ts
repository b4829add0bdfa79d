// Calculations on heater strings.
import { define, words } from '../calculation.ts';
import {
  diodeFedHeaters,
  locateOpen,
  rmsFromAcDc,
  stringDropper,
  stringOhms,
  stringWarmUp,
  stringWithShort,
} from '../heater-string.ts';

export const heaterCalculations = [
  define({
    name: 'heater-dropper',
    title: 'Dropper of a heater string',
    summary: 'Sum of the heaters, dropping resistor and its watts.',
    inputs: [
      {
        name: 'heaterVolts',
        unit: 'V',
        description: 'heater volts of every tube',
        list: 'numbers',
        max: 300,
      },
      { name: 'amps', unit: 'A', description: 'string current', max: 10 },
      { name: 'lineVolts', unit: 'V', description: 'line or tap', min: 5, max: 300 },
      {
        name: 'thermistorVolts',
        unit: 'V',
        description: 'drop of the hot thermistor',
        min: 0,
        max: 100,
        default: 0,
      },
    ],
    outputs: [
      { name: 'sumVolts', unit: 'V', description: 'sum of the heaters' },
      { name: 'dropVolts', unit: 'V', description: 'volts for the dropper' },
      { name: 'ohms', unit: 'ohm', description: 'dropper' },
      { name: 'watts', unit: 'W', description: 'watts in it' },
      { name: 'ratingWatts', unit: 'W', description: 'rating to buy' },
    ],
    source: 'AC/DC dropping-resistor practice (capeoldradio.com)',
    example: { heaterVolts: '6.3,6.3,25,25', amps: '0.3', lineVolts: 117 },
    run: (a) => ({ ...stringDropper(a) }),
  }),
  define({
    name: 'heater-string-ohms',
    title: 'Hot and cold resistance of a string',
    summary: 'What a bare heater string measures cold; thermistor and dropper are extra.',
    inputs: [
      { name: 'volts', unit: 'V', description: 'sum of the heaters', max: 300 },
      { name: 'amps', unit: 'A', description: 'string current', max: 10 },
    ],
    outputs: [
      { name: 'hotOhms', unit: 'ohm', description: 'hot' },
      { name: 'coldLowOhms', unit: 'ohm', description: 'cold, low end' },
      { name: 'coldHighOhms', unit: 'ohm', description: 'cold, high end' },
    ],
    source: 'cold 1/5 to 1/7 of hot: common practice, no source',
    example: { volts: 117, amps: '0.6' },
    run: (a) => ({ ...stringOhms(a.volts, a.amps) }),
  }),
  define({
    name: 'heater-warm-up',
    title: 'Warm-up of a heater string',
    summary: 'Current and heater volts some seconds after switch-on, with or without thermistor.',
    inputs: [
      { name: 'lineVolts', unit: 'V', description: 'line', min: 5, max: 300 },
      { name: 'ratedVolts', unit: 'V', description: 'sum of the heaters', min: 1, max: 300 },
      { name: 'ratedAmps', unit: 'A', description: 'string current', max: 10 },
      {
        name: 'dropperOhms',
        unit: 'ohm',
        description: 'fixed series resistance',
        min: 0,
        max: 1e5,
        default: 0,
      },
      {
        name: 'coldOhms',
        unit: 'ohm',
        description: 'thermistor cold (0 = none)',
        min: 0,
        max: 1e5,
        default: 0,
      },
      { name: 'hotOhms', unit: 'ohm', description: 'thermistor hot', min: 0, max: 1e4, default: 0 },
      { name: 'seconds', unit: 's', description: 'time after switch-on', min: 0, max: 600, default: 10 },
    ],
    outputs: [
      { name: 'inrushAmps', unit: 'A', description: 'first instant' },
      { name: 'amps', unit: 'A', description: 'at that time' },
      { name: 'heaterPercent', unit: '%', description: 'heater volts against rated at that time' },
      { name: 'thermistorVolts', unit: 'V', description: 'across the thermistor at that time' },
    ],
    source: 'lumped thermal model; constants from memory, time within 30 %',
    example: {
      lineVolts: 240,
      ratedVolts: 148,
      ratedAmps: '0.3',
      dropperOhms: 267,
      coldOhms: '5k5',
      hotOhms: 40,
      seconds: 20,
    },
    run: (a) => {
      const thermistor = a.coldOhms > 0 ? { coldOhms: a.coldOhms, hotOhms: a.hotOhms } : undefined;
      const [start, then] = stringWarmUp({ ...a, thermistor, seconds: [0, a.seconds] });
      const at = then ?? start;
      return {
        inrushAmps: start?.amps ?? 0,
        amps: at?.amps ?? 0,
        heaterPercent: 100 * (at?.heaterShare ?? 0),
        thermistorVolts: at?.thermistorVolts ?? 0,
      };
    },
  }),
  define({
    name: 'open-in-string',
    title: 'Where the string is open',
    summary: 'From two or more readings to chassis along the string, line end first.',
    inputs: [
      {
        name: 'readings',
        unit: 'V',
        description: 'volts AC to chassis, line end first',
        list: 'numbers',
        min: 0,
        max: 300,
      },
      { name: 'lineVolts', unit: 'V', description: 'line', min: 5, max: 300 },
    ],
    outputs: [
      {
        name: 'gap',
        unit: '',
        description: '1 = between reading 1 and 2; 0 = before the first; -1 = not one open',
      },
      { name: 'words', unit: '', description: 'in words' },
    ],
    source: 'circuit theory: no current, no drop',
    example: { readings: '117,117,0,0', lineVolts: 117 },
    run: (a) => ({ ...locateOpen(a.readings, a.lineVolts) }),
  }),
  define({
    name: 'short-in-string',
    title: 'One heater bridged',
    summary: 'Over-voltage on the remaining heaters of a string.',
    inputs: [
      {
        name: 'heaterVolts',
        unit: 'V',
        description: 'heater volts of every tube',
        list: 'numbers',
        max: 300,
      },
      { name: 'amps', unit: 'A', description: 'string current', max: 10 },
      { name: 'lineVolts', unit: 'V', description: 'line', min: 5, max: 300 },
      {
        name: 'shorted',
        unit: '',
        description: 'which heater is bridged, from 1',
        integer: true,
        min: 1,
        max: 50,
      },
      {
        name: 'dropperOhms',
        unit: 'ohm',
        description: 'fixed series resistance',
        min: 0,
        max: 1e5,
        default: 0,
      },
    ],
    outputs: [
      { name: 'amps', unit: 'A', description: 'new current' },
      { name: 'percent', unit: '%', description: 'volts of the others against rated' },
      { name: 'eachVolts', unit: 'V', description: 'volts of each' },
    ],
    source: 'heater current ~ V^0.6 (common practice, no source), solved',
    example: {
      heaterVolts: '12.6,12.6,12.6,25,25,6.3',
      amps: '0.3',
      lineVolts: 117,
      shorted: 1,
      dropperOhms: 76,
    },
    run: (a) => {
      const s = stringWithShort(a);
      return { amps: s.amps, percent: 100 * s.share, eachVolts: words(s.eachVolts) };
    },
  }),
  define({
    name: 'diode-fed-heaters',
    title: 'Heaters fed through a diode',
    summary: 'True rms of half-wave heaters, what meters show, and what a shorted diode does.',
    inputs: [{ name: 'lineVolts', unit: 'V', description: 'line', min: 5, max: 300 }],
    outputs: [
      { name: 'rmsVolts', unit: 'V', description: 'true rms across the string' },
      { name: 'dcVolts', unit: 'V', description: 'DC part' },
      { name: 'acVolts', unit: 'V', description: 'AC part' },
      { name: 'acCoupledRmsVolts', unit: 'V', description: 'true-rms meter with DC blocked' },
      { name: 'acCoupledAverageVolts', unit: 'V', description: 'average-responding, DC blocked' },
      { name: 'dcCoupledAverageVolts', unit: 'V', description: 'average-responding, DC coupled' },
      {
        name: 'halfWaveMeterVolts',
        unit: 'V',
        description: 'half-wave moving coil (or zero, leads reversed)',
      },
      {
        name: 'shortedVoltsShare',
        unit: '',
        description: 'heater volts against rated when the diode shorts',
      },
      { name: 'shortedAmpsShare', unit: '', description: 'heater current against rated' },
    ],
    source: 'half sine by calculus; heater current ~ V^0.6 (common practice, no source)',
    example: { lineVolts: 117 },
    run: (a) => ({ ...diodeFedHeaters(a.lineVolts) }),
  }),
  define({
    name: 'rms-from-ac-dc',
    title: 'True rms from AC and DC readings',
    summary: 'Root of the sum of squares of a DC reading and a true-rms AC reading.',
    inputs: [
      { name: 'acVolts', unit: 'V', description: 'AC reading', min: 0 },
      { name: 'dcVolts', unit: 'V', description: 'DC reading', min: -100000 },
    ],
    outputs: [{ name: 'rmsVolts', unit: 'V', description: 'true rms' }],
    source: 'definition of rms',
    example: { acVolts: '63.8', dcVolts: '52.7' },
    run: (a) => ({ rmsVolts: rmsFromAcDc(a.acVolts, a.dcVolts) }),
  }),
];
