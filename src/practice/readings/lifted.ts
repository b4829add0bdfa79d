// Answers of tests on lifted parts and windings, of parts tacked in beside a doubtful one, and of looks that most sets pass.
import { parallel } from '../circuits/component.ts';
import { dcVolts, insulation, noisy, ohms, ohmsPair, ohmText } from '../meter.ts';
import { type Answers, type Bench, lit, look, pictured } from './context.ts';

/** Next to nothing left of its capacitance: open, or a broken lead. */
const lost = (b: Bench, id: string): boolean => b.v(id) < 0.3 * b.v(`${id}.mark`);
/** A good part tacked across an open one brings back what it took away. */
const tackIn = (b: Bench, ...ids: readonly string[]): string =>
  ids.some((id) => lost(b, id)) ? look(b, 'better', ['same']) : look(b, 'same', ['better']);

/** Where the line is lost between plug and set: part -> what the technician finds there. */
const LINE_PATH = [
  ['line-cord', 'cord'],
  ['interlock', 'interlock'],
  ['fuse', 'fuse-switch'],
  ['switch', 'fuse-switch'],
  ['line-choke', 'choke'],
] as const;

/** Tubes with a getter that is looked at; a dead one has let air in once in three times (common practice, no source). */
const GETTERS = [
  ['horizontal-output.tube', 'horizontal-output'],
  ['damper-boost.tube', 'damper'],
  ['vertical-output.tube', 'vertical-output'],
  ['high-voltage.rectifier', 'hv-rectifier'],
] as const;
const AIR_IN_DEAD_TUBE = 0.33;

/** Rise of an unloaded and temperature of a working transformer's case, degrees C: within what class-A insulation allows. */
const CASE_RISE = [9, 20] as const;
const CASE_WORKING = [42, 66] as const;

export const LIFTED_ANSWERS: Answers = {
  // Line and supply
  'line-path-ohms': (b) => {
    // Some ohms at a dirty contact are seen as well as a break.
    const lostAt = LINE_PATH.find(([id]) => b.v(`line-input.${id}`) > 1);
    return lostAt ? look(b, lostAt[1], ['whole']) : look(b, 'whole', ['interlock', 'fuse-switch']);
  },
  'antenna-terminal-ohms': (b) => look(b, 'bleeder', ['open']),
  'blade-chassis-ohms': (b) => look(b, 'open', ['kick']),
  'heater-ground-ohms': (b) => {
    const ground = b.v('heaters.ground');
    if (ground > 1e4) return look(b, 'floating', ['rough']);
    return ground > 1 ? look(b, 'rough', ['floating']) : look(b, 'grounded', ['rough']);
  },
  'b-plus-bypass-leak': (b) => insulation(b.chance, b.v('b-plus.line-bypass.leak')),
  'coil-in-b-plus-look': (b) => look(b, 'none', []),
  'dropper-ohms': (b) => ohmsPair(b.chance, b.v('heaters.ballast'), b.v('heaters.ballast.mark')),
  'dropper-spring-look': (b) =>
    b.v('b-plus.dropper-ht-section') > 1e4 ? look(b, b.chance.pick(['sprung', 'dot']), ['whole']) : 'whole',
  'chain-sum': (b) => {
    const drawn = b.design.lineVolts * (0.11 + 0.89 * b.v('heaters.string-type'));
    return `${(drawn * (1 + b.chance.normal(0.015))).toFixed(0)}/${b.design.lineVolts}`;
  },
  'rectifier-look': (b) => {
    if (b.v('b-plus.rectifier-tube.k') < 0.01 || b.solved.lineAtSet < 1) return 'dark';
    if (b.v('b-plus.rectifier-a.short') < 1e6) return look(b, 'sparks', ['steady'], 'hard');
    return b.solved.supply.blown ? look(b, 'red-plates', ['steady'], 'hard') : look(b, 'steady', ['dark']);
  },
  'power-transformer-case': (b) => warmed(b, CASE_RISE, 2.6),
  'power-transformer-soak': (b) => warmed(b, CASE_WORKING, 1.8),
  'power-tube-getters': (b) => {
    const air = GETTERS.find(([id]) => b.v(`${id}.k`) < 0.01 && b.chance.happens(AIR_IN_DEAD_TUBE));
    return air ? look(b, air[1], ['none-white']) : 'none-white';
  },

  // Picture tube and what guards it
  'picture-tube-safety-panel': (b) => look(b, 'loose-glass', ['bonded-clear', 'rim-band']),
  'picture-tube-heater-colour': (b) => {
    const heater = b.v('picture-tube.heater');
    if (heater < 0.3 || b.v('picture-tube.base-pins') > 100) return 'dark';
    if (b.v('picture-tube.vacuum') < 0.1) return look(b, 'dull', ['dark']);
    return heater < 0.8 ? look(b, 'too-bright', ['orange'], 'hard') : look(b, 'orange', ['hidden']);
  },
  // A tube that is worn takes it well or badly about as often (common practice, no source).
  'picture-tube-restore': (b) => {
    if (b.v('picture-tube.gun') > 0.3) return look(b, 'same', ['better'], 'hard');
    const chance = b.chance.next();
    return chance < 0.35 ? 'better' : chance < 0.6 ? 'worse' : 'same';
  },
  'picture-tube-socket-insulation': (b) =>
    insulation(
      b.chance,
      parallel(b.v('wiring.picture-tube-socket-leak'), b.chance.spread(SOCKET[0], SOCKET[1])),
    ),
  'gun-resistors-ohms': (b) =>
    ohmsPair(b.chance, b.v('gun-voltages.cathode-network'), b.v('gun-voltages.cathode-network.mark')),
  'gun-video-coupling-parallel': (b) => (lit(b) ? tackIn(b, 'gun-voltages.video-coupling') : undefined),

  // Tuner, IF, AGC, detector
  'tuner-agc-ohms': (b) => ohms(b.chance, b.chance.spread(1e6, 3e7)),
  'fine-tuning-look': (b) => {
    if (!pictured(b) && b.v('tuner.oscillator-slug') > 0.5) return 'none';
    return b.v('tuner.oscillator-slug') < 0.5 ? look(b, 'at-end', ['inside']) : look(b, 'inside', ['at-end']);
  },
  'if-cores-look': (b) => look(b, 'sealed', ['touched'], 'hard'),
  'if-grid-volts': (b) => {
    const gas = Math.max(...[1, 2, 3].map((n) => b.v(`picture-if.tube-${n}.gas`)));
    return dcVolts(b.chance, Math.max(b.node('ig3'), Math.min(2, gas * IF_GRID_OHMS)), 1e5);
  },
  'if-bypass-parallel': (b) => tackIn(b, 'picture-if.bypass'),
  'agc-keying-feed-test': (b) =>
    lost(b, 'agc.keying-feed')
      ? look(b, 'open', ['good'])
      : b.v('agc.keying-feed.leak') < 2e7
        ? look(b, 'leaky', ['good'])
        : look(b, 'good', ['leaky']),
  'agc-delay-diode-ohms': (b) =>
    [b.chance.spread(2e5, 2e6), 900]
      .map((r) => ohmText(noisy(b.chance, 'ohms', r)).replace(' ', ''))
      .join('/'),
  'detector-bypass-parallel': (b) => (lit(b) ? look(b, 'same', ['better']) : undefined),

  // Video and sound
  'video-screen-bypass-leak': (b) => insulation(b.chance, b.v('video-output.screen-bypass.leak')),
  'ratio-capacitor-leak': (b) => insulation(b.chance, b.v('sound.ratio-capacitor.leak')),
  'sound-take-off-test': (b) => look(b, 'whole', ['open']),
  'quadrature-coil-ohms': (b) => ohms(b.chance, 6),
  'tone-capacitor-leakage': (b) => insulation(b.chance, b.v('sound.tone-capacitor.leak')),
  'audio-coupling-value': (b) =>
    lost(b, 'sound.coupling-capacitor') ? look(b, 'open', ['right']) : look(b, 'right', ['open']),
  'audio-transformer-ratio': (b) =>
    b.v('sound.output-transformer') > 1e5 || b.v('sound.output-transformer.loss') > 0.3
      ? look(b, 'collapses', ['holds'], 'hard')
      : look(b, 'holds', ['collapses'], 'hard'),
  'swap-audio-amplifier': (b) => {
    const change = b.swap('sound.audio-tube');
    if (b.v('sound.audio-tube.hk') < 1e6) return change === 'no-change' ? 'same' : 'hum-gone';
    return change === 'no-change' ? 'same' : 'cured';
  },

  // Horizontal
  'linearity-coil-core': (b) =>
    b.v('damper-boost.linearity') < 0.8
      ? look(b, b.chance.pick(['at-stop', 'broken']), ['in-range'], 'hard')
      : look(b, 'in-range', ['at-stop']),
  'linearity-capacitor-test': (b) => look(b, 'good', ['leaky']),
  'afc-capacitors-parallel': (b) => {
    if (!pictured(b)) return 'no-picture';
    return lost(b, 'horizontal-afc.sync-capacitor')
      ? look(b, 'sync', ['same'])
      : lost(b, 'horizontal-afc.reference-capacitor')
        ? look(b, 'reference', ['same'])
        : lost(b, 'horizontal-afc.anti-hunt')
          ? look(b, 'anti-hunt', ['same'])
          : look(b, 'same', ['anti-hunt']);
  },

  // Vertical
  'vertical-capacitor-values': (b) =>
    lost(b, 'vertical-oscillator.charging-capacitor')
      ? look(b, 'charging', ['right'])
      : lost(b, 'vertical-oscillator.timing-capacitor')
        ? look(b, 'timing', ['right'])
        : lost(b, 'vertical-output.linearity-capacitor')
          ? look(b, 'linearity', ['right'])
          : look(b, 'right', ['linearity']),
  'blocking-transformer-ring': (b) =>
    b.v('vertical-oscillator.blocking-transformer') > 1e4 ||
    b.v('vertical-oscillator.blocking-transformer.loss') > 0.3
      ? look(b, 'dead', ['rings'], 'hard')
      : look(b, 'rings', ['dead'], 'hard'),
  'vertical-feed-bypass-ohms': (b) => ohms(b.chance, b.v('vertical-oscillator.feed-bypass.leak')),
  'vertical-feed-bypass-parallel': (b) => (lit(b) ? tackIn(b, 'vertical-oscillator.feed-bypass') : undefined),
  'vertical-decoupling-leak': (b) => insulation(b.chance, b.v('vertical-output.decoupling-capacitor.leak')),
};

/** Contact to contact of a clean picture-tube socket, ohm. */
const SOCKET = [3e8, 5e9] as const;
/** What gas current of an IF tube flows through at its grid with the AGC line behind it, ohm. */
const IF_GRID_OHMS = 2e5;

/** A case with shorted turns inside gets hotter by this factor. */
function warmed(b: Bench, usual: readonly [number, number], hotter: number): string {
  const shorted = b.v('heaters.winding-loss') > 0 || b.v('b-plus.transformer-turns') > 0;
  return (b.chance.between(usual[0], usual[1]) * (shorted ? hotter : 1)).toFixed(0);
}

/** Checks of parts that no simulated set has, with the reason; the walk skips them on such a set. */
export const NOT_SIMULATED: Readonly<Record<string, string>> = {
  'negative-rail-volts': 'B- is the chassis: no bias resistor in the return',
  'vertical-output-screen': 'the vertical output tube is a triode',
  'vertical-screen-resistor': 'the vertical output tube is a triode',
  'vertical-yoke-coupling-test': 'the yoke hangs on a transformer secondary without a coupling capacitor',
  'vertical-vdr-heat': 'no voltage-dependent resistor in the vertical feedback',
  'uhf-feed-ohms': 'VHF only: no UHF unit',
};
