// What AC meters make of waveforms that are not sines: ripple, rectifier pulses, diode-fed heaters.
import { ArgumentError, positive, within } from './numbers.ts';

export const WAVEFORMS = ['sine', 'sawtooth', 'triangle', 'square', 'half-sine', 'pulse'] as const;
export type Waveform = (typeof WAVEFORMS)[number];

export interface AcReading {
  /** True rms of the AC part, V. */
  readonly trueRmsVolts: number;
  /** Average-responding meter that is scaled for a sine, DC blocked, V; and its error in percent. */
  readonly averageRespondingVolts: number;
  readonly averageErrorPercent: number;
  /** Peak-responding meter that is scaled for a sine (vacuum-tube voltmeter on AC), V; its error in percent. */
  readonly peakRespondingVolts: number;
  readonly peakErrorPercent: number;
}

/**
 * Meter errors on a waveform of `peakToPeakVolts` without its DC. `duty` (0..1) is the share of the period for `pulse`.
 * Source: mean, rms and peak of the waveforms by calculus; sine scaling pi/(2 sqrt 2) and 1/sqrt 2.
 * Example: sawtooth ripple of 27 V p-p -> 7.79 V rms; an average-responding meter shows 7.50 V (-3.8 %).
 */
export function acMeterReading(waveform: Waveform, peakToPeakVolts: number, duty = 0.1): AcReading {
  const pp = positive('peakToPeakVolts', peakToPeakVolts);
  const shape = shapeOf(waveform, duty);
  const trueRmsVolts = pp * shape.rms;
  const averageRespondingVolts = ((pp * Math.PI) / (2 * Math.SQRT2)) * shape.meanAbsolute;
  // A peak-to-peak detector scaled in rms of a sine.
  const peakRespondingVolts = pp / (2 * Math.SQRT2);
  return {
    trueRmsVolts,
    averageRespondingVolts,
    averageErrorPercent: 100 * (averageRespondingVolts / trueRmsVolts - 1),
    peakRespondingVolts,
    peakErrorPercent: 100 * (peakRespondingVolts / trueRmsVolts - 1),
  };
}

/** rms and mean absolute value of the AC part, for 1 V peak to peak. */
function shapeOf(waveform: Waveform, duty: number): { readonly rms: number; readonly meanAbsolute: number } {
  switch (waveform) {
    case 'sine':
      return { rms: 1 / (2 * Math.SQRT2), meanAbsolute: 1 / Math.PI };
    case 'sawtooth':
    case 'triangle':
      return { rms: 1 / (2 * Math.sqrt(3)), meanAbsolute: 0.25 };
    case 'square':
      return { rms: 0.5, meanAbsolute: 0.5 };
    case 'half-sine': {
      const mean = 1 / Math.PI;
      const edge = Math.asin(mean);
      return {
        rms: Math.sqrt(0.25 - mean * mean),
        meanAbsolute: mean * (2 * Math.cos(edge) - (Math.PI - 2 * edge) * mean),
      };
    }
    case 'pulse': {
      within('duty', duty, 0.001, 0.999);
      return { rms: Math.sqrt(duty * (1 - duty)), meanAbsolute: 2 * duty * (1 - duty) };
    }
    default:
      throw new ArgumentError('waveform', `one of ${WAVEFORMS.join(', ')}`, waveform);
  }
}
