// The parts list of a set: nominal values from the designer's figures by Ohm's law, named as the trade names them.
import type { Component } from './component.ts';
import type { Design } from './design.ts';
import { PLAN, resistorsFor } from './plan.ts';

const film = (farads: number, ...ids: string[]): Component[] =>
  ids.map((id) => ({ kind: 'film', id, farads }));
const tubes = (...ids: string[]): Component[] => ids.map((id) => ({ kind: 'tube', id }));
const contacts = (...ids: string[]): Component[] => ids.map((id) => ({ kind: 'contact', id }));
const controls = (...ids: string[]): Component[] => ids.map((id) => ({ kind: 'control', id }));
const plain = (value: number, ...ids: string[]): Component[] =>
  ids.map((id) => ({ kind: 'plain', id, value }));
const winding = (id: string, ohms: number): Component => ({ kind: 'winding', id, ohms });
const electrolytic = (id: string, farads: number, volts: number): Component => ({
  kind: 'electrolytic',
  id,
  farads,
  volts,
});

/** Every component of a set of this design. */
export function partsList(d: Design): readonly Component[] {
  return [
    ...Object.entries(resistorsFor(d)).map(
      ([id, ohms]): Component => ({ kind: 'resistor', id, ohms, tolerance: id in PLAN.power ? 0.03 : 0.05 }),
    ),
    ...supply(d),
    ...deflection(d),
    ...signal(),
  ];
}

function supply(d: Design): Component[] {
  const doubler = d.topology === 'doubler-half-wave';
  const stack = d.topology === 'doubler-full-wave';
  const main = doubler
    ? [
        electrolytic('b-plus.doubler-series-capacitor', d.reservoirFarads, d.lineVolts * 1.4),
        electrolytic('b-plus.doubler-output-capacitor', d.reservoirFarads, d.bPlus),
      ]
    : stack
      ? [
          electrolytic('b-plus.doubler-upper-capacitor', d.reservoirFarads, d.bPlus / 2),
          electrolytic('b-plus.doubler-lower-capacitor', d.reservoirFarads, d.bPlus / 2),
        ]
      : [electrolytic('b-plus.reservoir', d.reservoirFarads, d.bPlus)];
  return [
    ...main,
    electrolytic('b-plus.filter-capacitor', d.filterFarads, d.bPlus),
    electrolytic('b-plus.low-line-capacitor', 40e-6, d.bLow),
    winding('b-plus.filter-choke', d.chokeOhms),
    // Of a transformer that lights heaters only, the primary is wound for a third of the power.
    winding('b-plus.transformer-primary', d.transformer === 'heaters' ? 9 : d.lineVolts > 180 ? 12 : 3),
    winding('b-plus.transformer-secondary', 1.5),
    winding('b-plus.transformer-hv-winding', 90),
    ...tubes('b-plus.rectifier-tube'),
    // Each rectifier: 1 = works, 0 = open; drop of a stack beside a good one; `short` = ohms across it.
    ...plain(1, 'b-plus.rectifier-a', 'b-plus.rectifier-b', 'b-plus.transformer-hv-winding.half'),
    ...plain(1, 'b-plus.rectifier-a.aged', 'b-plus.rectifier-b.aged'),
    ...plain(1e9, 'b-plus.rectifier-a.short', 'b-plus.rectifier-b.short', 'b-plus.line-bypass.leak'),
    // Watts that shorted turns of the power transformer burn without load; ohms from its windings to the core.
    ...plain(0, 'b-plus.transformer-turns'),
    ...plain(1e12, 'b-plus.transformer-insulation'),
    ...contacts('heaters.ground', 'wiring.ground-joint', 'wiring.board-supply'),
    ...contacts(
      'line-input.line-cord',
      'line-input.interlock',
      'line-input.switch',
      'line-input.fuse',
      'line-input.line-choke',
      'b-plus.horizontal-fuse',
    ),
    ...plain(1, 'heaters.string', 'heaters.deflection-group', 'heaters.winding', 'heaters.string-type'),
    // Shares of the volts that a short, shorted turns, or a bad joint on the way take from the heaters.
    ...plain(0, 'heaters.string-short', 'heaters.winding-loss', 'heaters.wiring'),
    ...controls(),
  ];
}

function deflection(d: Design): Component[] {
  return [
    ...tubes(
      'horizontal-oscillator.tube',
      'horizontal-output.tube',
      'damper-boost.tube',
      'high-voltage.rectifier',
      'vertical-oscillator.tube',
      'vertical-output.tube',
    ),
    ...film(
      0.01e-6,
      'horizontal-output.grid-coupling-capacitor',
      'horizontal-oscillator.coupling-capacitor',
      'horizontal-oscillator.discharge-capacitor',
      'horizontal-oscillator.timing-capacitor',
      'vertical-oscillator.timing-capacitor',
      'vertical-oscillator.feedback-network',
      'vertical-oscillator.integrator.cap',
    ),
    ...film(
      0.1e-6,
      'horizontal-oscillator.feed-bypass',
      'horizontal-output.screen-bypass',
      'damper-boost.boost-capacitor',
      'damper-boost.boost-filter',
      'vertical-oscillator.charging-capacitor',
      'vertical-oscillator.feed-bypass',
      'vertical-output.coupling-capacitor',
      'vertical-output.linearity-capacitor',
      'vertical-output.damping-capacitor',
      'horizontal-afc.reference-capacitor',
      'horizontal-afc.sync-capacitor',
      'horizontal-afc.anti-hunt',
      'gun-voltages.g2-bypass',
      'gun-voltages.grid-bypass',
      'gun-voltages.blanking',
      'gun-voltages.video-coupling',
      'gun-voltages.focus-bypass',
    ),
    ...film(100e-12, 'flyback.tuning-capacitor', 'yoke.damping-network'),
    electrolytic('vertical-output.cathode-bypass', 80e-6, d.verticalCathodeVolts),
    electrolytic('vertical-output.decoupling-capacitor', 20e-6, d.bPlus),
    winding('horizontal-oscillator.coil', 60),
    winding('damper-boost.linearity-coil', 12),
    winding('damper-boost.width-coil', 6),
    winding('flyback.primary', 28),
    winding('flyback.hv-winding', 260),
    winding('flyback.aux-winding', 2),
    winding('yoke.horizontal-half-a', 7),
    winding('yoke.horizontal-half-b', 7),
    winding('yoke.vertical-half-a', 20),
    winding('yoke.vertical-half-b', 20),
    winding('vertical-oscillator.blocking-transformer', 300),
    winding('vertical-output.transformer', 420),
    winding('vertical-output.secondary', 4),
    ...contacts(
      'horizontal-output.top-cap',
      'high-voltage.lead',
      'picture-tube.base-pins',
      'wiring.socket-horizontal-oscillator',
      'wiring.board-horizontal',
      'wiring.board-vertical',
      'wiring.socket-damper',
      'wiring.socket-vertical-oscillator',
      'wiring.socket-vertical-output',
      'wiring.picture-tube-socket',
      'wiring.yoke-plug',
    ),
    ...controls(
      'horizontal-oscillator.hold-control',
      'vertical-oscillator.hold-control',
      'vertical-oscillator.height-control',
      'vertical-output.linearity-control',
      'horizontal-output.drive-control',
      'gun-voltages.brightness-control',
    ),
    // Losses as ohms across the scan circuit, leaks as ohms to B-; 1e12 = none.
    ...plain(
      1e12,
      'flyback.loss',
      'yoke.loss',
      'yoke.insulation',
      'damper-boost.insulation',
      'picture-tube.anode-insulation',
      'picture-tube.heater-cathode',
      'picture-tube.grid-cathode',
      'picture-tube.g2-grid',
      'vertical-oscillator.board-leak',
      'wiring.picture-tube-socket-leak',
    ),
    ...plain(
      0,
      'flyback.breakdown',
      'high-voltage.corona',
      'high-voltage.socket-track',
      'picture-tube.gas',
      'yoke.tilt',
      'yoke.neck-shadow',
    ),
    ...plain(
      1,
      'picture-tube.gun',
      'picture-tube.heater',
      'picture-tube.vacuum',
      'picture-tube.ion-trap',
      'gun-voltages.focus-magnet',
      'picture-tube.coating',
      'yoke.thermistor',
      'flyback.core',
      'damper-boost.linearity',
    ),
    { kind: 'resistor', id: 'picture-tube.cutoff-ratio', ohms: 0.15, tolerance: 0.09 },
    { kind: 'resistor', id: 'high-voltage.source', ohms: 3.4e6, tolerance: 0.12 },
  ];
}

function signal(): Component[] {
  return [
    ...tubes(
      'tuner.rf-tube',
      'tuner.mixer-tube',
      'picture-if.tube-1',
      'picture-if.tube-2',
      'picture-if.tube-3',
      'agc.keyer-tube',
      'video-output.tube',
      'sound.if-tube',
      'sound.detector-tube',
      'sound.audio-tube',
      'sound.output-tube',
      'sync.separator-tube',
    ),
    ...film(
      0.05e-6,
      'picture-if.bypass',
      'agc.filter-capacitor',
      'agc.keying-feed',
      'video-output.grid-coupling',
      'sound.coupling-capacitor',
      'sync.grid-capacitor',
      'tuner.feed-bypass',
      'sound.tone-capacitor',
    ),
    electrolytic('video-output.screen-bypass', 8e-6, 150),
    electrolytic('video-output.cathode-bypass', 50e-6, 5),
    electrolytic('sound.ratio-capacitor', 4e-6, 20),
    electrolytic('sound.output-cathode-bypass', 25e-6, 12),
    winding('picture-if.interstage-coil', 3),
    winding('video-detector.peaking-coil', 6),
    winding('video-output.plate-peaking-coil', 8),
    winding('sound.output-transformer', 260),
    winding('sound.loudspeaker', 3.2),
    ...contacts(
      'tuner.contacts',
      'tuner.antenna-input',
      'video-output.output-lead',
      'wiring.socket-if',
      'wiring.socket-agc',
      'wiring.socket-audio',
      'wiring.board-afc',
      'wiring.board-video',
      'wiring.board-if',
      'wiring.board-sync',
      'wiring.board-sound',
      'wiring.socket-tuner',
      'wiring.socket-sync',
      'wiring.socket-video-output',
    ),
    ...controls('agc.control', 'video-output.contrast-control', 'sound.volume-control'),
    ...plain(
      1,
      'video-detector.diode',
      'video-detector.ripple',
      'sound.diode-a',
      'sound.diode-b',
      'sound.quadrature',
      'tuner.oscillator-slug',
      'horizontal-afc.diode-a',
      'horizontal-afc.diode-b',
      'sound.speaker-cone',
    ),
  ];
}
