// Calculations on meters: loading, ranges, probes, waveforms.
import { define } from '../calculation.ts';
import { acMeterReading, WAVEFORMS } from '../meter-ac.ts';
import {
  dividerReading,
  hvProbe,
  loadingWords,
  meterOhms,
  meterReading,
  multiplierOhms,
  ohmsPerVolt,
  sourceFromTwoReadings,
  trueVolts,
} from '../meter-loading.ts';
import { ArgumentError } from '../numbers.ts';
import { estimate, judge, METER_KINDS, meterAccuracy, meterDoubt } from '../uncertainty.ts';

const DIVIDER = 'voltage divider of source and meter resistance (textbook)';

export const meterCalculations = [
  define({
    name: 'judge-reading',
    title: 'Reading against limits',
    summary: 'Whether a reading is inside its limits once the accuracy of the meter is counted.',
    inputs: [
      { name: 'reading', unit: 'V', description: 'reading', min: -100000 },
      { name: 'meter', unit: '', description: 'kind of meter', choices: METER_KINDS },
      { name: 'fullScale', unit: 'V', description: 'range' },
      { name: 'low', unit: 'V', description: 'low limit', min: -100000 },
      { name: 'high', unit: 'V', description: 'high limit', min: -100000 },
    ],
    outputs: [
      { name: 'plusMinus', unit: 'V', description: 'doubt of the reading' },
      { name: 'verdict', unit: '', description: 'inside, outside, cannot tell' },
    ],
    source: 'meter classes common practice, no source; combination as in ISO/IEC Guide 98-3',
    example: { reading: 142, meter: 'vacuum-tube', fullScale: 150, low: 135, high: 160 },
    run: (a) => {
      if (a.low > a.high) throw new ArgumentError('low', 'at most high', a.low);
      const read = estimate(a.reading, [meterDoubt(a.reading, meterAccuracy(a.meter, a.fullScale))]);
      return { plusMinus: read.plusMinus, verdict: judge(read, a.low, a.high) };
    },
  }),
  define({
    name: 'meter-reading',
    title: 'What a meter will show',
    summary: 'Reading of a meter on a point with source resistance.',
    inputs: [
      { name: 'trueVolts', unit: 'V', description: 'volts without the meter', min: -100000 },
      { name: 'sourceOhms', unit: 'ohm', description: 'source resistance of the point', min: 0 },
      { name: 'meterOhms', unit: 'ohm', description: 'meter resistance', default: '10M' },
    ],
    outputs: [
      { name: 'readingVolts', unit: 'V', description: 'reading' },
      { name: 'loadingPercent', unit: '%', description: 'share lost' },
      { name: 'words', unit: '', description: 'in words' },
    ],
    source: DIVIDER,
    example: { trueVolts: 50, sourceOhms: '5k', meterOhms: '50k' },
    run: (a) => ({
      readingVolts: meterReading(a.trueVolts, a.sourceOhms, a.meterOhms),
      loadingPercent: 100 * (1 - meterReading(1, a.sourceOhms, a.meterOhms)),
      words: loadingWords(a.sourceOhms, a.meterOhms),
    }),
  }),
  define({
    name: 'true-volts',
    title: 'True voltage from a reading',
    summary: 'Takes the loading of the meter out again, with its doubt.',
    inputs: [
      { name: 'readingVolts', unit: 'V', description: 'reading', min: -100000 },
      { name: 'sourceOhms', unit: 'ohm', description: 'source resistance of the point', min: 0 },
      { name: 'meterOhms', unit: 'ohm', description: 'meter resistance', default: '10M' },
      { name: 'meterPercent', unit: '%', description: 'meter accuracy', max: 20, default: 1 },
      {
        name: 'sourcePercent',
        unit: '%',
        description: 'doubt of the source resistance',
        max: 100,
        default: 20,
      },
    ],
    outputs: [
      { name: 'volts', unit: 'V', description: 'volts without the meter' },
      { name: 'plusMinusVolts', unit: 'V', description: 'doubt' },
      { name: 'lowVolts', unit: 'V', description: 'low end' },
      { name: 'highVolts', unit: 'V', description: 'high end' },
    ],
    source: DIVIDER,
    example: { readingVolts: '45.45', sourceOhms: '5k', meterOhms: '50k' },
    run: (a) => {
      const v = trueVolts(a.readingVolts, a.sourceOhms, a.meterOhms, {
        accuracy: { ofReading: a.meterPercent / 100, fixed: 0 },
        sourceTolerance: a.sourcePercent / 100,
      });
      return { volts: v.value, plusMinusVolts: v.plusMinus, lowVolts: v.low, highVolts: v.high };
    },
  }),
  define({
    name: 'divider-reading',
    title: 'Divider read by a meter',
    summary: 'Volts of a two-resistor divider with and without the meter.',
    inputs: [
      { name: 'supplyVolts', unit: 'V', description: 'supply', min: -100000 },
      { name: 'upperOhms', unit: 'ohm', description: 'upper resistor' },
      { name: 'lowerOhms', unit: 'ohm', description: 'lower resistor' },
      { name: 'meterOhms', unit: 'ohm', description: 'meter resistance', default: '10M' },
    ],
    outputs: [
      { name: 'unloadedVolts', unit: 'V', description: 'without the meter' },
      { name: 'shownVolts', unit: 'V', description: 'what it shows' },
      { name: 'errorPercent', unit: '%', description: 'error' },
    ],
    source: DIVIDER,
    example: { supplyVolts: 24, upperOhms: '250M', lowerOhms: '250M', meterOhms: '10M' },
    run: (a) => ({ ...dividerReading(a) }),
  }),
  define({
    name: 'source-resistance',
    title: 'Source resistance from two readings',
    summary: 'The same point read with two meters or ranges gives its source resistance and true volts.',
    inputs: [
      { name: 'readingA', unit: 'V', description: 'reading with the lower meter resistance' },
      { name: 'meterOhmsA', unit: 'ohm', description: 'that meter resistance' },
      { name: 'readingB', unit: 'V', description: 'reading with the higher meter resistance' },
      { name: 'meterOhmsB', unit: 'ohm', description: 'that meter resistance' },
    ],
    outputs: [
      { name: 'sourceOhms', unit: 'ohm', description: 'source resistance' },
      { name: 'volts', unit: 'V', description: 'volts without a meter' },
    ],
    source: DIVIDER,
    example: { readingA: '45.45', meterOhmsA: '50k', readingB: '49.75', meterOhmsB: '1M' },
    run: (a) => ({ ...sourceFromTwoReadings(a.readingA, a.meterOhmsA, a.readingB, a.meterOhmsB) }),
  }),
  define({
    name: 'meter-resistance',
    title: 'Resistance of a moving-coil meter',
    summary: 'Resistance on a range, sensitivity and multiplier of a moving-coil meter.',
    inputs: [
      { name: 'fullScaleAmps', unit: 'A', description: 'full-scale current of the movement', max: 1 },
      { name: 'coilOhms', unit: 'ohm', description: 'resistance of the movement', max: 1e5 },
      { name: 'rangeVolts', unit: 'V', description: 'range' },
    ],
    outputs: [
      { name: 'ohmsPerVolt', unit: 'ohm', description: 'sensitivity per volt' },
      { name: 'meterOhms', unit: 'ohm', description: 'resistance on that range' },
      { name: 'multiplierOhms', unit: 'ohm', description: 'series multiplier' },
    ],
    source: 'textbook; e.g. Kalsi, Electronic Instrumentation, ex. 4.1 and 4.2',
    example: { fullScaleAmps: '50u', coilOhms: 500, rangeVolts: 10 },
    run: (a) => ({
      ohmsPerVolt: ohmsPerVolt(a.fullScaleAmps),
      meterOhms: meterOhms(ohmsPerVolt(a.fullScaleAmps), a.rangeVolts),
      multiplierOhms: multiplierOhms(a.fullScaleAmps, a.coilOhms, a.rangeVolts),
    }),
  }),
  define({
    name: 'hv-probe',
    title: 'High-voltage probe',
    summary: 'Error of a probe on a meter it was not made for, and how much it pulls the source down.',
    inputs: [
      { name: 'trueVolts', unit: 'V', description: 'anode volts without the probe', min: 100, max: 50000 },
      {
        name: 'sourceOhms',
        unit: 'ohm',
        description: 'source resistance of the high voltage',
        min: 0,
        max: 1e9,
      },
      { name: 'ratio', unit: '', description: 'division, e.g. 1000', min: 2, max: 100000, default: 1000 },
      { name: 'madeForMeterOhms', unit: 'ohm', description: 'meter it was made for', default: '10M' },
      { name: 'meterOhms', unit: 'ohm', description: 'meter it is used on', default: '10M' },
      {
        name: 'shuntOhms',
        unit: 'ohm',
        description: 'resistor inside the foot of the probe',
        optional: true,
      },
    ],
    outputs: [
      { name: 'shownVolts', unit: 'V', description: 'meter reading times the ratio' },
      { name: 'mismatchPercent', unit: '%', description: 'error from the wrong meter' },
      { name: 'loadingPercent', unit: '%', description: 'fall of the source' },
      { name: 'probeAmps', unit: 'A', description: 'current in the probe' },
    ],
    source: DIVIDER,
    example: { trueVolts: '16k', sourceOhms: '5M', meterOhms: '11M' },
    run: (a) => ({ ...hvProbe(a) }),
  }),
  define({
    name: 'ac-meter',
    title: 'AC meters on ripple and pulses',
    summary: 'True rms of a waveform and what average- and peak-responding meters make of it.',
    inputs: [
      { name: 'waveform', unit: '', description: 'shape, without its DC', choices: WAVEFORMS },
      { name: 'peakToPeakVolts', unit: 'V', description: 'peak to peak' },
      { name: 'dutyPercent', unit: '%', description: 'for pulse: on time', min: 0.1, max: 99.9, default: 10 },
    ],
    outputs: [
      { name: 'trueRmsVolts', unit: 'V', description: 'true rms' },
      { name: 'averageRespondingVolts', unit: 'V', description: 'average-responding meter' },
      { name: 'averageErrorPercent', unit: '%', description: 'its error' },
      { name: 'peakRespondingVolts', unit: 'V', description: 'peak-responding meter' },
      { name: 'peakErrorPercent', unit: '%', description: 'its error' },
    ],
    source: 'mean, rms and peak of the waveforms by calculus',
    example: { waveform: 'sawtooth', peakToPeakVolts: 27 },
    run: (a) => ({ ...acMeterReading(a.waveform, a.peakToPeakVolts, a.dutyPercent / 100) }),
  }),
];
