// Resistor values of a set by Ohm's law from the designer's voltages and currents.
import type { Design } from './design.ts';

/** Stage currents and voltages that all families share, A and V (typical of 1950-65 practice, from memory). */
export const PLAN = {
  /** Power resistors: wire-wound, closer than carbon. */
  power: {
    'b-plus.surge-resistor': true,
    'b-plus.low-line-dropper': true,
    'b-plus.dropper-ht-section': true,
    'horizontal-output.screen-resistor': true,
    'heaters.ballast': true,
  } as Readonly<Record<string, boolean>>,
  screenAmps: 0.0115,
  verticalAmps: 0.017,
  videoAmps: 0.014,
  videoScreenAmps: 0.0035,
  videoCathodeVolts: 2.5,
  audioAmps: 0.036,
  audioScreenAmps: 0.003,
  stackedAudioAmps: 0.05,
  ifAmps: 0.008,
  ifScreenAmps: 0.0025,
  tunerAmps: 0.016,
  soundAmps: 0.008,
  oscillatorAmps: 0.003,
  gridLeakOhms: 470e3,
} as const;

/** Share of the filtered supply that a lower-voltage rail must leave: low B+ can never exceed it. */
const under = (d: Design, volts: number): number => Math.min(volts, 0.9 * d.bPlus);

/** Working volts of stages that take what the family's B+ allows. */
export function stageVolts(d: Design) {
  return {
    oscillatorFeed: 0.8 * d.bPlus,
    oscillatorPlate: 0.5 * d.bPlus,
    verticalOscillator: 115,
    videoPlate: 0.55 * d.bPlus,
    videoScreen: under(d, 150),
    audioPlate: 0.95 * d.bPlus,
    audioScreen: 0.91 * d.bPlus,
    firstAudio: 0.36 * d.bPlus,
    ifPlate: 0.92 * d.bLow,
    tuner: 0.92 * d.bLow,
    soundIf: 0.86 * d.bLow,
    syncPlate: 50,
    syncScreen: Math.min(60, 0.5 * d.bPlus),
    verticalPlate: 0.94 * d.bPlus,
  };
}

/** Amperes of the low B+ line. */
export function lowLineAmps(): number {
  return 3 * (PLAN.ifAmps + PLAN.ifScreenAmps) + PLAN.tunerAmps + PLAN.soundAmps;
}

/** id -> nominal ohms. */
export function resistorsFor(d: Design): Readonly<Record<string, number>> {
  const at = stageVolts(d);
  const boost = d.bPlus * d.boostRatio;
  const ohms: Record<string, number> = {
    'b-plus.surge-resistor':
      d.topology === 'full-wave' ? 12 : d.lineVolts > 200 ? 20 : d.rectifier === 'selenium' ? 3.3 : 5,
    'horizontal-oscillator.feed-resistor': (d.bPlus - at.oscillatorFeed) / PLAN.oscillatorAmps,
    'horizontal-oscillator.plate-resistor': 68e3,
    'horizontal-oscillator.timing-resistors': 150e3,
    'horizontal-oscillator.cathode-resistor': 1200,
    'horizontal-output.grid-leak-resistor': PLAN.gridLeakOhms,
    'horizontal-output.grid-stopper': 100,
    'horizontal-output.cathode-link': 10,
    'horizontal-output.screen-resistor': Math.max(150, (d.bPlus - d.screenVolts) / PLAN.screenAmps),
    'horizontal-afc.load-resistors': 100e3,
    'gun-voltages.g2-feed': 1e6,
    'gun-voltages.g2-bleeder': 4.7e6,
    'gun-voltages.brightness-network': 100e3,
    'gun-voltages.cathode-network': 150e3,
    'gun-voltages.focus-network': 1e6,
    'high-voltage.series-resistor': 470e3,
    'high-voltage.filament-loop': 3.3,
    'vertical-oscillator.feed-resistor': (boost - at.verticalOscillator) / 0.00035,
    'vertical-oscillator.hold-resistor': 1e6,
    'vertical-oscillator.feedback-path': 220e3,
    'vertical-oscillator.integrator': 27e3,
    'vertical-output.grid-resistor': 2.2e6,
    'vertical-output.cathode-resistor': d.verticalCathodeVolts / PLAN.verticalAmps,
    'vertical-output.plate-supply': (0.03 * d.bPlus) / PLAN.verticalAmps,
    'video-output.plate-load': (d.bPlus - at.videoPlate) / PLAN.videoAmps,
    'video-output.screen-resistor': Math.max(470, (d.bPlus - at.videoScreen) / PLAN.videoScreenAmps),
    'video-output.cathode-resistor': PLAN.videoCathodeVolts / (PLAN.videoAmps + PLAN.videoScreenAmps),
    'video-output.grid-resistor': 470e3,
    'video-detector.load-resistor': 3900,
    'sound.audio-plate-resistor': 220e3,
    'sound.output-grid-resistor': 470e3,
    'sound.output-screen-feed': (0.06 * d.bPlus) / PLAN.audioScreenAmps,
    'sound.plate-feed': (d.bLow - at.soundIf) / PLAN.soundAmps,
    'tuner.b-plus-feed': (d.bLow - at.tuner) / PLAN.tunerAmps,
    'picture-if.dropping-resistor': (d.bLow - at.ifPlate) / (3 * PLAN.ifAmps),
    'picture-if.cathode-resistor': 1.6 / (PLAN.ifAmps + PLAN.ifScreenAmps),
    'agc.line-resistor': 1e6,
    'agc.video-feed': 100e3,
    'sync.grid-leak': 1.5e6,
    'sync.plate-resistor': 47e3,
    'sync.screen-network': 100e3,
    'sync.video-feed': 10e3,
    'sync.noise-gate': 470e3,
  };
  if (d.stacked) {
    ohms['sound.stack-upper'] = 470e3 * (d.bPlus / (d.bLow - d.audioCathodeVolts) - 1);
    ohms['sound.stack-lower'] = 470e3;
  } else {
    ohms['sound.output-cathode-resistor'] = d.audioCathodeVolts / (PLAN.audioAmps + PLAN.audioScreenAmps);
    // With AGC the controlled stages draw less than their rating.
    ohms['b-plus.low-line-dropper'] = (1.15 * (d.bPlus - d.bLow)) / lowLineAmps();
  }
  if (d.dropper) ohms['b-plus.dropper-ht-section'] = 60;
  if (d.heaters === 'series') {
    ohms['heaters.thermistor'] = 0.05 * (d.lineVolts / d.heaterAmps);
    ohms['heaters.ballast'] = 0.06 * (d.lineVolts / d.heaterAmps);
  }
  return ohms;
}
