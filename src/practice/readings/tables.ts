// Answers that follow one pattern: resistors against their marking, leaks, lifted ends, tubes on the tester and in the set, windings, controls.
import { faradsPair, insulation, liftedEnd, ohms, ohmsPair } from '../meter.ts';
import { type Answers, look, tester } from './context.ts';

/** check -> resistor, measured against its mark. */
const RESISTORS: Readonly<Record<string, string>> = {
  'tuner-feed-resistor': 'tuner.b-plus-feed',
  'if-resistors': 'picture-if.dropping-resistor',
  'if-cathode-resistors': 'picture-if.cathode-resistor',
  'agc-resistors': 'agc.line-resistor',
  'agc-feed-resistor': 'agc.video-feed',
  'video-plate-load-ohms': 'video-output.plate-load',
  'video-screen-resistor': 'video-output.screen-resistor',
  'video-cathode-resistor': 'video-output.cathode-resistor',
  'video-grid-resistor': 'video-output.grid-resistor',
  'audio-plate-load': 'sound.audio-plate-resistor',
  'audio-grid-resistor': 'sound.output-grid-resistor',
  'audio-cathode-resistor': 'sound.output-cathode-resistor',
  'sync-plate-resistor': 'sync.plate-resistor',
  'sync-grid-leak': 'sync.grid-leak',
  'sync-video-feed': 'sync.video-feed',
  'sync-noise-resistors': 'sync.noise-gate',
  'horizontal-output-screen-ohms': 'horizontal-output.screen-resistor',
  'horizontal-output-grid-leak-ohms': 'horizontal-output.grid-leak-resistor',
  'height-feed-ohms': 'vertical-oscillator.feed-resistor',
  'integrator-ohms': 'vertical-oscillator.integrator',
  'vertical-hold-resistors': 'vertical-oscillator.hold-resistor',
  'vertical-cathode-resistor': 'vertical-output.cathode-resistor',
  'vertical-grid-resistor': 'vertical-output.grid-resistor',
  'vertical-supply-resistor': 'vertical-output.plate-supply',
  'gun-g2-ohms': 'gun-voltages.g2-feed',
  'gun-focus-ohms': 'gun-voltages.focus-network',
};

/** check -> film capacitor on the leakage tester. */
const LEAKS: Readonly<Record<string, string>> = {
  'video-coupling-leakage': 'video-output.grid-coupling',
  'audio-coupling-leakage': 'sound.coupling-capacitor',
  'sync-capacitor-leakage': 'sync.grid-capacitor',
  'horizontal-output-coupling-leak': 'horizontal-output.grid-coupling-capacitor',
  'boost-capacitor-leak': 'damper-boost.boost-capacitor',
  'vertical-charging-leakage': 'vertical-oscillator.charging-capacitor',
  'vertical-timing-leakage': 'vertical-oscillator.timing-capacitor',
  'vertical-feedback-leakage': 'vertical-oscillator.feedback-network',
  'vertical-coupling-leakage': 'vertical-output.coupling-capacitor',
  'vertical-linearity-capacitor-leakage': 'vertical-output.linearity-capacitor',
  'vertical-damping-ohms': 'vertical-output.damping-capacitor',
  'gun-g2-bypass-leak': 'gun-voltages.g2-bypass',
};

/** check -> capacitor with one end lifted, and the node that still drives it. */
const LIFTED: Readonly<Record<string, readonly [string, string]>> = {
  'horizontal-output-coupling-lifted': ['horizontal-output.grid-coupling-capacitor', 'hp'],
  'vertical-charging-lifted': ['vertical-oscillator.charging-capacitor', 'vf'],
  'vertical-timing-lifted': ['vertical-oscillator.timing-capacitor', 'vf'],
  'vertical-feedback-lifted': ['vertical-oscillator.feedback-network', 'vp'],
  'vertical-coupling-lifted': ['vertical-output.coupling-capacitor', 'vf'],
  'vertical-linearity-capacitor-lifted': ['vertical-output.linearity-capacitor', 'vp'],
  'video-coupling-lifted': ['video-output.grid-coupling', 'wc'],
  'gun-video-coupling-lifted': ['gun-voltages.video-coupling', 'wp'],
  'sync-capacitor-lifted': ['sync.grid-capacitor', 'wp'],
  'audio-coupling-lifted': ['sound.coupling-capacitor', 'ad'],
};

/** check on the tester -> tube. */
const TESTED: Readonly<Record<string, string>> = {
  'tubes-rf-amplifier': 'tuner.rf-tube',
  'tubes-mixer-oscillator': 'tuner.mixer-tube',
  'tubes-if-1': 'picture-if.tube-1',
  'tubes-if-2': 'picture-if.tube-2',
  'tubes-if-3': 'picture-if.tube-3',
  'tubes-agc-keyer': 'agc.keyer-tube',
  'tubes-video-output': 'video-output.tube',
  'tubes-sound-if': 'sound.if-tube',
  'tubes-sound-detector': 'sound.detector-tube',
  'tubes-audio-amplifier': 'sound.audio-tube',
  'tubes-audio-output': 'sound.output-tube',
  'tubes-sync-separator': 'sync.separator-tube',
  'tubes-vertical-oscillator': 'vertical-oscillator.tube',
  'tubes-vertical-output': 'vertical-output.tube',
  'horizontal-oscillator-tube-test': 'horizontal-oscillator.tube',
};

/** check -> tube that is swapped, and its word for "no change". */
export const SWAPS: Readonly<Record<string, readonly [string, 'same' | 'no-change']>> = {
  'swap-horizontal-oscillator': ['horizontal-oscillator.tube', 'no-change'],
  'swap-horizontal-output': ['horizontal-output.tube', 'no-change'],
  'swap-damper': ['damper-boost.tube', 'no-change'],
  'swap-hv-rectifier': ['high-voltage.rectifier', 'no-change'],
  'swap-vertical-oscillator': ['vertical-oscillator.tube', 'same'],
  'swap-vertical-output': ['vertical-output.tube', 'same'],
  'swap-rf-amplifier': ['tuner.rf-tube', 'same'],
  'swap-mixer-oscillator': ['tuner.mixer-tube', 'same'],
  'swap-if-1': ['picture-if.tube-1', 'same'],
  'swap-if-2': ['picture-if.tube-2', 'same'],
  'swap-if-3': ['picture-if.tube-3', 'same'],
  'swap-agc-keyer': ['agc.keyer-tube', 'same'],
  'swap-video-output': ['video-output.tube', 'same'],
  'swap-sync-separator': ['sync.separator-tube', 'same'],
  'swap-audio-output': ['sound.output-tube', 'same'],
  'swap-sound-detector': ['sound.detector-tube', 'same'],
  'swap-sound-if': ['sound.if-tube', 'same'],
  'swap-audio-amplifier': ['sound.audio-tube', 'same'],
};

/** check -> winding or low resistance on the ohmmeter. */
const WINDINGS: Readonly<Record<string, string>> = {
  'flyback-primary-ohms': 'flyback.primary',
  'flyback-hv-winding-ohms': 'flyback.hv-winding',
  'flyback-aux-ohms': 'flyback.aux-winding',
  'linearity-coil-ohms': 'damper-boost.linearity-coil',
  'horizontal-oscillator-coil-ohms': 'horizontal-oscillator.coil',
  'blocking-transformer-ohms': 'vertical-oscillator.blocking-transformer',
  'vertical-transformer-ohms': 'vertical-output.transformer',
  'vertical-secondary-ohms': 'vertical-output.secondary',
  'hv-rectifier-loop': 'high-voltage.filament-loop',
  'hv-series-resistor-ohms': 'high-voltage.series-resistor',
  'horizontal-output-grid-stopper-ohms': 'horizontal-output.grid-stopper',
  'horizontal-output-cathode-ohms': 'horizontal-output.cathode-link',
  'if-coil-ohms': 'picture-if.interstage-coil',
  'detector-peaking-coils': 'video-detector.peaking-coil',
  'video-peaking-coils': 'video-output.plate-peaking-coil',
  'audio-transformer-ohms': 'sound.output-transformer',
  'loudspeaker-ohms': 'sound.loudspeaker',
};

/** check -> control turned end to end: [value that is 0 when open, dirt]. */
const SWEEPS: Readonly<Record<string, string>> = {
  'contrast-control-sweep': 'video-output.contrast-control',
  'volume-control-sweep': 'sound.volume-control',
  'horizontal-hold-sweep': 'horizontal-oscillator.hold-control',
  'vertical-hold-sweep': 'vertical-oscillator.hold-control',
  'height-control-sweep': 'vertical-oscillator.height-control',
  'vertical-linearity-sweep': 'vertical-output.linearity-control',
  'agc-control-sweep': 'agc.control',
};

function rows(): Answers {
  const all: Record<string, Answers[string]> = {};
  for (const [check, id] of Object.entries(RESISTORS))
    all[check] = (b) => (id in b.values ? ohmsPair(b.chance, b.v(id), b.v(`${id}.mark`)) : undefined);
  for (const [check, id] of Object.entries(LEAKS))
    all[check] = (b) => insulation(b.chance, b.v(`${id}.leak`));
  for (const [check, [id, node]] of Object.entries(LIFTED))
    all[check] = (b) => liftedEnd(b.chance, b.node(node), b.v(`${id}.leak`));
  for (const [check, id] of Object.entries(TESTED)) all[check] = (b) => tester(b, id);
  for (const [check, [id, none]] of Object.entries(SWAPS))
    all[check] = (b) => {
      const change = b.swap(id);
      return change === 'no-change' ? none : change;
    };
  for (const [check, id] of Object.entries(WINDINGS)) all[check] = (b) => ohms(b.chance, b.v(id));
  for (const [check, id] of Object.entries(SWEEPS))
    all[check] = (b) =>
      b.v(id) < 0.1
        ? look(b, 'open', ['jumpy'])
        : b.v(`${id}.dirty`) > 0.5
          ? look(b, 'jumpy', ['smooth'])
          : look(b, 'smooth', ['jumpy']);
  return all;
}

export const TABLE_ANSWERS: Answers = {
  ...rows(),
  'flyback-tuning-capacitor': (b) =>
    faradsPair(b.chance, b.v('flyback.tuning-capacitor'), b.v('flyback.tuning-capacitor.mark')),
  'boost-capacitor-capacitance': (b) =>
    faradsPair(b.chance, b.v('damper-boost.boost-capacitor'), b.v('damper-boost.boost-capacitor.mark')),
};
