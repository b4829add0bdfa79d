// Faults of video, sync, AFC, tuner, IF, AGC, detector and sound.
import { add, contact, dried, leaky, lostOpen, OPEN, resistors, shorted, tubes } from './fault-kinds.ts';

/** Puts them on the list. */
export function addSignalFaults(): void {
  // Video, sync, AFC
  tubes(['video-output.tube'], [5e-6, 4e-5]);
  resistors(['video-output.plate-load'], 1.7, 4);
  resistors(['video-output.screen-resistor'], 2, 5);
  resistors(['video-output.cathode-resistor'], 3, 8);
  add('video-output.plate-peaking-coil/open', () => ({ 'video-output.plate-peaking-coil': OPEN }));
  dried('video-output.screen-bypass');
  add('video-output.screen-bypass/leaky', (_v, c) => ({
    'video-output.screen-bypass.leak': c.spread(3e3, 2e4),
  }));
  add('video-output.screen-bypass/short', (_v, c) => ({
    'video-output.screen-bypass.leak': c.spread(2, 60),
  }));
  dried('video-output.cathode-bypass');
  leaky('video-output.grid-coupling', 1e6, 2e7);
  add('video-output.contrast-control/open', () => ({ 'video-output.contrast-control': 0.01 }));
  add('video-output.output-lead/broken', () => ({ 'video-output.output-lead': OPEN }));
  contact('wiring.socket-video-output', 'dirty');
  tubes(['sync.separator-tube'], [1e-6, 1e-5]);
  leaky('sync.grid-capacitor', 4e5, 3e6);
  lostOpen('sync.grid-capacitor');
  resistors(['sync.grid-leak'], 3, 8);
  resistors(['sync.plate-resistor'], 3, 8);
  add('sync.screen-network/open', () => ({ 'sync.screen-network': OPEN }));
  resistors(['sync.video-feed'], 4, 15);
  contact('wiring.socket-sync', 'dirty');
  add('horizontal-afc.dual-diode/unbalanced', (_v, c) => ({
    'horizontal-afc.diode-a': c.between(0.25, 0.5),
  }));
  add('horizontal-afc.dual-diode/open-half', () => ({ 'horizontal-afc.diode-a': 0.01 }));
  add('horizontal-afc.load-resistors/high', (v, c) => ({
    'horizontal-afc.load-resistors': (v['horizontal-afc.load-resistors'] ?? 0) * c.spread(1.8, 5),
  }));
  leaky('horizontal-afc.reference-capacitor', 3e5, 2e6);
  lostOpen('horizontal-afc.reference-capacitor');
  leaky('horizontal-afc.sync-capacitor', 3e5, 2e6);
  lostOpen('horizontal-afc.sync-capacitor');
  lostOpen('horizontal-afc.anti-hunt');
  leaky('horizontal-afc.anti-hunt', 3e5, 2e6);

  // Tuner, IF, AGC, detector
  tubes(
    ['tuner.rf-tube', 'tuner.mixer-tube', 'picture-if.tube-1', 'picture-if.tube-2', 'picture-if.tube-3'],
    [1.2e-6, 8e-6],
  );
  contact('tuner.contacts', 'dirty');
  add('tuner.contacts/broken', () => ({ 'tuner.contacts': OPEN }));
  resistors(['tuner.b-plus-feed'], 3, 12);
  add('tuner.feed-bypass/short', (_v, c) => ({ 'tuner.feed-bypass.leak': c.spread(2, 60) }));
  add('tuner.antenna-input/open', () => ({ 'tuner.antenna-input': OPEN }));
  add('tuner.oscillator-slug/misset', () => ({ 'tuner.oscillator-slug': 0 }));
  resistors(['picture-if.dropping-resistor'], 4, 15);
  add('picture-if.bypass/leaky', (_v, c) => ({ 'picture-if.bypass.leak': c.spread(300, 3e3) }));
  add('picture-if.bypass/short', (_v, c) => ({ 'picture-if.bypass.leak': c.spread(2, 40) }));
  resistors(['picture-if.cathode-resistor'], 3, 10);
  add('picture-if.interstage-coil/open', () => ({ 'picture-if.interstage-coil': OPEN }));
  contact('wiring.socket-if', 'dirty');
  contact('wiring.socket-tuner', 'dirty');
  add('agc.keyer-tube/weak', (_v, c) => ({ 'agc.keyer-tube.k': c.between(0.02, 0.08) }));
  add('agc.keyer-tube/dead', () => ({ 'agc.keyer-tube.k': 0.0005 }));
  lostOpen('agc.keying-feed');
  leaky('agc.filter-capacitor', 3e4, 4e5);
  shorted('agc.filter-capacitor');
  add('agc.control/open', () => ({ 'agc.control': 0 }));
  add('agc.control/misset', (_v, c) => ({ 'agc.control': c.between(3, 6) }));
  resistors(['agc.line-resistor'], 3, 10);
  add('video-detector.diode/open', () => ({ 'video-detector.diode': 0.001 }));
  add('video-detector.diode/leaky', (_v, c) => ({ 'video-detector.diode': c.between(0.1, 0.3) }));
  add('video-detector.peaking-coil/open', () => ({ 'video-detector.peaking-coil': OPEN }));
  add('video-detector.ripple-capacitor/short', () => ({ 'video-detector.ripple': 0.0005 }));
  add('video-detector.load-resistor/open', () => ({ 'video-detector.load-resistor': OPEN }));

  // Sound
  tubes(['sound.if-tube', 'sound.detector-tube', 'sound.audio-tube'], [1e-6, 1e-5]);
  tubes(['sound.output-tube'], [8e-6, 5e-5]);
  resistors(['sound.audio-plate-resistor'], 2.5, 8);
  resistors(['sound.output-grid-resistor'], 2.5, 8);
  resistors(['sound.output-cathode-resistor'], 1.7, 4);
  resistors(['sound.output-screen-feed'], 5, 20);
  resistors(['sound.plate-feed'], 4, 15);
  leaky('sound.coupling-capacitor', 1e6, 1.5e7, (d) => !d.stacked);
  lostOpen('sound.coupling-capacitor');
  dried('sound.output-cathode-bypass');
  add(
    'sound.output-cathode-bypass/short',
    (_v, c) => ({ 'sound.output-cathode-bypass.leak': c.spread(2, 40) }),
    (d) => !d.stacked,
  );
  add('sound.output-transformer/open', () => ({ 'sound.output-transformer': 6e7 }));
  add('sound.output-transformer/shorted-turns', (_v, c) => ({
    'sound.output-transformer.loss': c.between(0.4, 0.8),
  }));
  add('sound.loudspeaker/open', () => ({ 'sound.loudspeaker': OPEN }));
  add('sound.loudspeaker/rubbing', (_v, c) => ({ 'sound.speaker-cone': c.between(0.4, 0.7) }));
  add('sound.volume-control/open', () => ({ 'sound.volume-control': 0 }));
  add('sound.volume-control/dirty', () => ({ 'sound.volume-control.dirty': 1 }));
  add('sound.detector-diodes/unbalanced', (_v, c) => ({ 'sound.diode-a': c.between(0.2, 0.5) }));
  add('sound.detector-diodes/open', () => ({ 'sound.diode-a': 0.01 }));
  add('sound.quadrature/misset', (_v, c) => ({ 'sound.quadrature': c.between(0.2, 0.6) }));
  add('sound.heater-cathode/leaking', (_v, c) => ({ 'sound.audio-tube.hk': c.spread(2e4, 3e5) }));
}
