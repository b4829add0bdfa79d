// Calculations on scanning rates and RC timing.
import { define } from '../calculation.ts';
import { decibels, oscillatorHz, rateDriftPercent, SYSTEMS, scanRates, timeConstant } from '../timing.ts';

export const timingCalculations = [
  define({
    name: 'scan-rates',
    title: 'Line and field rates',
    summary: 'Of the 405, 525 and 625 line systems.',
    inputs: [{ name: 'system', unit: '', description: 'system', choices: SYSTEMS }],
    outputs: [
      { name: 'lineHz', unit: 'Hz', description: 'line rate' },
      { name: 'fieldHz', unit: 'Hz', description: 'field rate' },
      { name: 'frameHz', unit: 'Hz', description: 'frame rate' },
      { name: 'lineSeconds', unit: 's', description: 'line period' },
    ],
    source: '47 CFR 73.682(a) for 525; published standards tables for 405 and 625',
    example: { system: '525' },
    run: (a) => ({ ...scanRates(a.system) }),
  }),
  define({
    name: 'oscillator-rate',
    title: 'Free-running rate of an RC-timed oscillator',
    summary: 'Blocking oscillator or half a multivibrator from its grid resistor and capacitor.',
    inputs: [
      { name: 'ohms', unit: 'ohm', description: 'grid resistor with the hold control' },
      { name: 'farads', unit: 'F', description: 'grid capacitor' },
      {
        name: 'startVolts',
        unit: 'V',
        description: 'how far negative the grid is driven, as a positive number',
        max: 1000,
      },
      { name: 'cutoffVolts', unit: 'V', description: 'cut-off, as a positive number', max: 1000 },
      {
        name: 'aimVolts',
        unit: 'V',
        description: 'positive return of the grid resistor',
        min: 0,
        max: 1000,
        default: 0,
      },
    ],
    outputs: [
      { name: 'hertz', unit: 'Hz', description: 'rate' },
      { name: 'seconds', unit: 's', description: 'period' },
      { name: 'timeConstantSeconds', unit: 's', description: 'R times C' },
    ],
    source: 'RC discharge (textbook)',
    example: { ohms: '1M', farads: '.005u', startVolts: 60, cutoffVolts: 15 },
    run: (a) => ({ ...oscillatorHz(a) }),
  }),
  define({
    name: 'rate-drift',
    title: 'Rate change when parts drift',
    summary: 'Change of an RC-timed rate for drifts of R and C.',
    inputs: [
      { name: 'ohmsPercent', unit: '%', description: 'drift of R', min: -90 },
      { name: 'faradsPercent', unit: '%', description: 'drift of C', min: -90, default: 0 },
    ],
    outputs: [{ name: 'ratePercent', unit: '%', description: 'change of the rate' }],
    source: 'rate ~ 1 / (R C)',
    example: { ohmsPercent: 20, faradsPercent: -10 },
    run: (a) => ({ ratePercent: rateDriftPercent(a.ohmsPercent, a.faradsPercent) }),
  }),
  define({
    name: 'time-constant',
    title: 'Time constant',
    summary: 'R times C, and the share reached after a time.',
    inputs: [
      { name: 'ohms', unit: 'ohm', description: 'resistance' },
      { name: 'farads', unit: 'F', description: 'capacitance' },
    ],
    outputs: [
      { name: 'seconds', unit: 's', description: 'time constant' },
      { name: 'fiveSeconds', unit: 's', description: 'five of them: 99.3 % there' },
    ],
    source: 'tau = R C (textbook)',
    example: { ohms: '1M', farads: '.01u' },
    run: (a) => ({
      seconds: timeConstant(a.ohms, a.farads),
      fiveSeconds: 5 * timeConstant(a.ohms, a.farads),
    }),
  }),
  define({
    name: 'decibels',
    title: 'Decibels of two voltages',
    summary: 'Voltage ratio in decibels at equal impedances.',
    inputs: [
      { name: 'inputVolts', unit: 'V', description: 'input', min: 1e-9 },
      { name: 'outputVolts', unit: 'V', description: 'output', min: 1e-9 },
    ],
    outputs: [{ name: 'decibels', unit: 'dB', description: 'gain' }],
    source: '20 log10 (textbook)',
    example: { inputVolts: '10m', outputVolts: 1 },
    run: (a) => ({ decibels: decibels(a.inputVolts, a.outputVolts) }),
  }),
];
