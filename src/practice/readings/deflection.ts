// Answers of the horizontal stages, flyback, yoke and anode supply.
import { parallel } from '../circuits/component.ts';
import { healthyLoss } from '../circuits/deflection.ts';
import { dcVolts, insulation, kilovolts, milliamps, noisy, ohms, ppVolts } from '../meter.ts';
import { type Answers, type Bench, lit, look, tester } from './context.ts';

/** The capacitors that are tested together before the stage may run, and the answer that names each. */
const FLYBACK_KILLERS = [
  ['horizontal-output.grid-coupling-capacitor', 'coupling-bad'],
  ['damper-boost.boost-capacitor', 'boost-bad'],
  ['horizontal-output.screen-bypass', 'bypass-bad'],
  ['horizontal-afc.reference-capacitor', 'afc-bad'],
  ['horizontal-oscillator.coupling-capacitor', 'afc-bad'],
] as const;

/** Grid swing as the scope shows it: the diode clips the top of what the oscillator offers. */
const gridPp = (b: Bench): number => b.solved.drivePp * (b.design.drivePp > 0 ? 0.92 : 1);

/**
 * What leaks through the coupling capacitor to the output grid with the oscillator stopped: tube out, its plate stands at B+;
 * in a series string it is stopped at its grid and stays hot, so its plate stands lower.
 */
const leakedGrid = (b: Bench): number => {
  const source = b.design.heaters === 'series' ? b.node('hp') : b.solved.supply.main;
  const rg = b.v('horizontal-output.grid-leak-resistor');
  return (source * rg) / (rg + b.v('horizontal-output.grid-coupling-capacitor.leak'));
};

/** Cycles of a ring to a quarter, from the losses of the winding (18 cycles in a sound one). */
const ring = (b: Bench, loss: number): string => {
  const share = loss > 1e9 ? 1 : loss / (loss + 0.9 * healthyLoss(b.design));
  return String(Math.max(0, Math.round(18 * share * Math.exp(b.chance.normal(0.12)))));
};

/** What lifting one load does to the boost: from the losses that go with it. */
const shed = (b: Bench, lifted: number): string => {
  const d = b.solved.deflection;
  const healthy = b.design.bPlus * (b.design.boostRatio - 1);
  if (d.uplift > 0.85 * healthy) return look(b, 'no-change', ['partly']);
  const all = parallel(
    healthyLoss(b.design),
    b.v('flyback.loss'),
    b.v('yoke.loss'),
    b.v('yoke.insulation'),
    b.v('damper-boost.insulation'),
    b.v('picture-tube.anode-insulation'),
    b.v('damper-boost.boost-capacitor.leak'),
    b.v('flyback.tuning-capacitor.leak'),
  );
  const without = 1 / Math.max(1e-9, 1 / all - 1 / lifted);
  const gain = without / all;
  return gain > 1.7
    ? look(b, 'recovers', ['partly'])
    : gain > 1.25
      ? look(b, 'partly', ['no-change'], 'hard')
      : look(b, 'no-change', ['partly']);
};

const leakyList = (b: Bench, parts: readonly (readonly [string, string])[], limit: number): string => {
  const bad = parts.filter(([id]) => b.v(`${id}.leak`) < limit || b.v(id) < 0.2 * b.v(`${id}.mark`));
  if (bad.length === 0) return look(b, 'all-good', []);
  return bad.length > 1 ? 'several' : look(b, bad[0]?.[1] ?? 'several', ['all-good']);
};

export const DEFLECTION_ANSWERS: Answers = {
  'horizontal-oscillator-running': (b) => look(b, b.solved.horizontalRuns ? 'marks' : 'nothing', ['weak']),
  'horizontal-whistle': (b) => {
    const p = b.solved.deflection.pulse;
    return p < 0.15 || b.chance.happens(0.45)
      ? 'not-heard'
      : p < 0.65
        ? look(b, 'weak-high', ['steady'], 'hard')
        : look(b, 'steady', ['weak-high']);
  },
  'horizontal-oscillator-grid': (b) =>
    dcVolts(b.chance, b.solved.horizontalRuns ? -0.085 * b.node('hf') : -0.3, 2.2e5),
  'horizontal-oscillator-plate': (b) => dcVolts(b.chance, b.node('hf'), 5e4),
  'horizontal-oscillator-output-pp': (b) =>
    ppVolts(
      b.chance,
      b.v('horizontal-output.grid-coupling-capacitor') < 1e-10 ? 1.1 * b.design.drivePp : b.solved.drivePp,
    ),
  'horizontal-oscillator-frequency': (b) => {
    if (!b.solved.horizontalRuns) return undefined;
    const rate = b.design.lineHertz * Math.exp(-b.seen.lineError + b.chance.normal(0.006));
    return `${(rate / 1000).toFixed(2)}k/${(b.design.lineHertz / 1000).toFixed(3)}k`;
  },
  'horizontal-oscillator-resistors': (b) => {
    const off = (id: string): boolean =>
      b.v(`horizontal-oscillator.${id}`) > 1.22 * b.v(`horizontal-oscillator.${id}.mark`);
    const bad = (
      [
        ['plate-resistor', 'plate-high'],
        ['timing-resistors', 'timing-high'],
        ['feed-resistor', 'feed-high'],
        ['cathode-resistor', 'cathode-off'],
      ] as const
    ).filter(([id]) => off(id));
    return bad.length === 0
      ? 'all-good'
      : bad.length > 1
        ? 'several'
        : look(b, bad[0]?.[1] ?? 'several', ['all-good']);
  },
  'horizontal-oscillator-capacitors': (b) =>
    leakyList(
      b,
      [
        ['horizontal-oscillator.timing-capacitor', 'timing'],
        ['horizontal-oscillator.coupling-capacitor', 'coupling'],
        ['horizontal-oscillator.discharge-capacitor', 'discharge'],
        ['horizontal-oscillator.feed-bypass', 'decoupling'],
      ],
      2e7,
    ),
  'horizontal-output-grid-drive': (b) => dcVolts(b.chance, b.node('hg'), 1.2e5),
  'horizontal-output-drive-pp': (b) => ppVolts(b.chance, gridPp(b)),
  // Screen open and cap off: no current, so no gas current either; the hot grid diode holds a leak near zero.
  'horizontal-output-stopped-grid': (b) => dcVolts(b.chance, Math.min(leakedGrid(b), 0.6) - 0.2, 3e5),
  'horizontal-output-stopped-tube-out': (b) => dcVolts(b.chance, leakedGrid(b), 3e5),
  'horizontal-output-bias-drift': (b) => {
    const grid = Math.min(-0.5, b.node('hg'));
    // With screen and plate open a gassy tube has little to ionise: most of its drift hides here.
    const drift = 1 - 0.05 * Math.min(1, b.v('horizontal-output.tube.gas') / 1e-4);
    return `${dcVolts(b.chance, grid * drift)}/${dcVolts(b.chance, grid)}`;
  },
  'horizontal-output-plate-look': (b) =>
    look(b, b.seen.screenGlow ? 'screen-glows' : b.seen.redPlate ? 'red' : 'dark', ['dark']),
  'horizontal-output-cathode-current': (b) => milliamps(b.chance, b.seen.cathodeAmps),
  'horizontal-output-cathode-volts': (b) => dcVolts(b.chance, b.node('hk')),
  'horizontal-output-screen': (b) => dcVolts(b.chance, b.node('hs'), 1e5),
  'horizontal-output-screen-supply': (b) =>
    `${dcVolts(b.chance, b.node('hs'))}/${dcVolts(b.chance, b.node('bp'))}`,
  'horizontal-drive-control-turn': (b) =>
    look(b, b.v('horizontal-output.drive-control') < 0.6 ? 'no-effect' : 'was-right', ['no-control']),
  'horizontal-output-linearity-dip': (b) =>
    look(b, b.solved.deflection.uplift < 0.6 * b.design.bPlus * (b.design.boostRatio - 1) ? 'flat' : 'dip', [
      'flat',
    ]),
  'horizontal-output-tube-test': (b) => {
    const found = tester(b, 'horizontal-output.tube');
    return found === 'gas' ? 'grid-emission' : found === 'short' ? 'leakage' : found;
  },
  'horizontal-output-bypass-test': (b) => {
    const id = 'horizontal-output.screen-bypass';
    return b.v(`${id}.leak`) < 1e7
      ? look(b, 'screen-leaky', ['good'])
      : b.v(id) < 0.3 * b.v(`${id}.mark`)
        ? look(b, 'screen-open', ['good'])
        : 'good';
  },
  'horizontal-output-screen-bypass-ohms': (b) => ohms(b.chance, b.v('horizontal-output.screen-bypass.leak')),
  'horizontal-output-cap-grip': (b) =>
    b.v('horizontal-output.top-cap') > 50 ? look(b, 'loose', ['tight']) : look(b, 'tight', ['loose']),
  'flyback-killers-renewed': (b) => {
    const bad = FLYBACK_KILLERS.filter(([id]) => b.v(`${id}.leak`) < 5e7).map(([, answer]) => answer);
    return bad[0] === undefined ? 'tested-good' : look(b, bad[1] ? 'tested-bad' : bad[0], ['tested-good']);
  },
  'horizontal-output-plate-feed': (b) => dcVolts(b.chance, Math.max(0, b.solved.deflection.plateFeed)),
  'boost-ratio': (b) =>
    `${dcVolts(b.chance, Math.max(0.5, b.solved.deflection.boost))}/${dcVolts(b.chance, Math.max(0.5, b.node('bp')))}`,
  'boost-volts-steady': (b) => {
    const volts = Math.max(1, b.solved.deflection.boost);
    const fall = b.v('damper-boost.boost-capacitor.leak') < 5e4 ? b.chance.between(0.82, 0.95) : 1;
    return `${dcVolts(b.chance, volts * fall)}/${dcVolts(b.chance, volts)}`;
  },
  'boost-capacitor-ohms': (b) =>
    ohms(
      b.chance,
      parallel(b.v('damper-boost.boost-capacitor.leak'), 3e6, b.v('damper-boost.boost-filter.leak')),
    ),
  'damper-heater-cathode': (b) =>
    insulation(
      b.chance,
      b.v('damper-boost.insulation') < 1e11
        ? 30 * b.v('damper-boost.insulation')
        : b.v('damper-boost.tube.hk'),
    ),
  'damper-tube-test': (b) => {
    if (b.v('damper-boost.insulation') < 1e11) return b.chance.happens(0.6) ? 'leakage' : 'good';
    const found = tester(b, 'damper-boost.tube');
    return found === 'gas' || found === 'short' ? 'good' : found;
  },
  'shed-load-hv': (b) => shed(b, parallel(b.v('picture-tube.anode-insulation'), 1e12)),
  'shed-load-anode': (b) => shed(b, b.v('picture-tube.anode-insulation')),
  'shed-load-yoke': (b) => shed(b, parallel(b.v('yoke.loss'), b.v('yoke.insulation'))),
  'shed-load-boost': (b) => shed(b, 2 * b.v('damper-boost.boost-filter.leak')),
  'width-coil-heat': (b) => look(b, b.v('damper-boost.width-coil.loss') > 0.2 ? 'hot' : 'cool', ['cool']),
  'width-control-turn': (b) => {
    if (!lit(b)) return undefined;
    const coil = b.v('damper-boost.width-coil.loss');
    if (coil > 0.05 && coil < 0.2) return look(b, 'was-off', ['not-enough']);
    return b.seen.width < 0.9 ? look(b, 'not-enough', ['no-effect']) : look(b, 'in-range', []);
  },
  'raster-width': (b) => {
    if (!lit(b)) return 'no-raster';
    const w = b.seen.width;
    return w < 0.1
      ? 'vertical-line'
      : w < 0.84
        ? look(b, 'narrow', ['slightly-narrow'], 'hard')
        : w < 0.93
          ? look(b, 'slightly-narrow', ['full'], 'hard')
          : w > 1.22
            ? 'too-wide'
            : look(b, 'full', ['slightly-narrow']);
  },
  'raster-geometry': (b) => {
    if (!lit(b) || b.seen.height < 0.06) return 'no-raster';
    if (b.seen.neckShadow) return look(b, 'neck-shadow', ['off-centre']);
    return b.seen.keystone === 'top-bottom'
      ? 'top-bottom-trapezoid'
      : b.seen.keystone === 'sides'
        ? 'side-trapezoid'
        : look(b, 'rectangle', ['off-centre']);
  },
  'raster-left-edge': (b) => {
    if (!lit(b)) return 'no-raster';
    if (b.v('yoke.damping-network') < 1e-13) return look(b, 'bars', ['even']);
    return look(b, b.seen.horizontalLinearity < 0.75 ? 'fold' : 'even', ['even', 'bars']);
  },
  'flyback-look': (b) =>
    look(b, b.v('flyback.breakdown') > 0.5 ? 'burnt' : 'clean', ['clean', 'wax-run'], 'hard'),
  'flyback-heat': (b) => look(b, b.v('flyback.loss') < 1e11 ? 'hot-spot' : 'cool', ['warm'], 'hard'),
  'flyback-ring-selfcheck': (b) =>
    // Nothing rings through an open winding.
    b.v('flyback.loss') < 1e11 || b.v('flyback.primary') > 1e4
      ? look(b, 'no-ring', ['no-effect'])
      : look(b, 'kills', []),
  'flyback-ring': (b) => (b.v('flyback.primary') > 1e4 ? '0' : ring(b, b.v('flyback.loss'))),
  'flyback-ring-scope': (b) => (b.v('flyback.primary') > 1e4 ? '0' : ring(b, b.v('flyback.loss'))),
  'flyback-ring-hv': (b) =>
    b.v('flyback.hv-winding') > 1e5 ? '0' : ring(b, b.v('flyback.core') < 0.99 ? b.v('flyback.loss') : 1e12),
  'flyback-insulation': (b) =>
    insulation(
      b.chance,
      b.v('flyback.breakdown') > 0.3 ? b.chance.spread(1e6, 2e8) : b.chance.spread(3e8, 5e9),
    ),
  'flyback-tuning-look': (b) => {
    // What it takes of the stage's power heats it.
    const heats = b.v('flyback.tuning-capacitor.leak') < 5 * healthyLoss(b.design);
    return look(
      b,
      heats ? 'hot' : b.v('flyback.tuning-capacitor') < 1e-12 ? 'cracked' : 'good',
      ['good'],
      'hard',
    );
  },
  'yoke-look': (b) => look(b, b.seen.neckShadow ? 'slid' : 'sound', ['sound']),
  'yoke-horizontal-ohms': (b) =>
    ohms(b.chance, b.v('yoke.horizontal-half-a') + b.v('yoke.horizontal-half-b')),
  'yoke-horizontal-halves': (b) => halves(b, 'horizontal'),
  'yoke-vertical-ohms': (b) =>
    ohms(
      b.chance,
      b.v('yoke.vertical-half-a') + b.v('yoke.vertical-half-b') + (b.v('yoke.thermistor') < 0.5 ? 1e9 : 6),
    ),
  'yoke-vertical-halves': (b) => halves(b, 'vertical'),
  'yoke-ring': (b) => {
    const good = Math.max(1, Math.round(14 * Math.exp(b.chance.normal(0.06))));
    return `${b.v('yoke.loss') < 1e11 ? Math.max(1, Math.round(14 * 0.25)) : Math.max(1, Math.round(14 * Math.exp(b.chance.normal(0.06))))}/${good}`;
  },
  'yoke-insulation': (b) =>
    insulation(
      b.chance,
      b.v('yoke.insulation') < 1e11 ? b.chance.spread(1e5, 2e7) : b.chance.spread(2e8, 5e9),
    ),
  'yoke-damping-look': (b) => look(b, b.v('yoke.damping-network') < 1e-13 ? 'drifted' : 'good', ['good']),
  'hv-lead-look': (b) => {
    if (b.v('high-voltage.socket-track') > 0.1) return look(b, 'tracked', ['dusty']);
    return look(b, b.v('high-voltage.corona') > 0.1 ? 'cracked' : 'supple', ['dusty'], 'hard');
  },
  'hv-rectifier-filament': (b) => (b.v('high-voltage.rectifier.k') < 0.02 ? 'open' : 'whole'),
  'hv-rectifier-test': (b) => {
    const found = tester(b, 'high-voltage.rectifier');
    return found === 'dead' || found === 'weak' ? found : 'good';
  },
  'hv-rectifier-glow': (b) => {
    const glows =
      b.v('high-voltage.rectifier.k') > 0.02 &&
      b.v('high-voltage.filament-loop') < 20 &&
      b.solved.deflection.pulse > 0.35;
    return glows ? look(b, 'orange', ['nothing'], 'hard') : 'nothing';
  },
  'hv-static': (b) =>
    b.seen.anodeDark > 6000
      ? look(b, 'present', ['weak'])
      : b.seen.anodeDark > 2000
        ? look(b, 'weak', ['present', 'nothing'], 'hard')
        : look(b, 'nothing', ['weak']),
  'anode-hv-dark': (b) => kilovolts(b.chance, b.seen.anodeDark),
  'anode-hv-bright': (b) => kilovolts(b.chance, b.seen.anodeBright),
  'anode-hv-fall': (b) =>
    b.seen.anodeDark < 500
      ? undefined
      : `${kilovolts(b.chance, b.seen.anodeBright)}/${kilovolts(b.chance, b.seen.anodeDark)}`,
  'hv-source-resistance': (b) => {
    const beam = b.seen.beamBright - b.seen.beamDark;
    if (beam < 40e-6 || b.seen.anodeDark < 2000) return undefined;
    return `${noisy(b.chance, 'hv', (b.seen.anodeDark - b.seen.anodeBright) / beam / 1e6).toFixed(2)}M`;
  },
  'raster-width-change': (b) => {
    if (!lit(b)) return 'no-raster';
    const fall = 1 - b.seen.anodeBright / Math.max(1, b.seen.anodeDark);
    return fall > 0.35
      ? 'goes-out'
      : fall > 0.2
        ? look(b, 'blooms', ['some'])
        : fall > 0.1
          ? look(b, 'some', ['steady'], 'hard')
          : look(b, 'steady', ['some']);
  },
  'hv-dark-room': (b) => {
    if (b.seen.anodeDark < 5000 && b.v('flyback.breakdown') < 0.3) return 'dark';
    if (b.v('high-voltage.corona') > 0.1) return look(b, 'lead', ['dark']);
    if (b.v('high-voltage.socket-track') > 0.1) return look(b, 'socket', ['dark']);
    return b.v('flyback.breakdown') > 0.25 ? look(b, 'flyback', ['dark']) : look(b, 'dark', ['lead']);
  },
  'soak-60': (b) => {
    if (!lit(b)) return undefined;
    if (b.v('flyback.loss') < 1e11) return look(b, 'smell', ['narrows']);
    // What arcs from the start does not stop within the hour.
    if (b.v('flyback.breakdown') > 0.25 || b.v('high-voltage.corona') > 0.1)
      return look(b, 'corona', ['narrows']);
    return b.v('horizontal-output.tube.gas') > 3e-5 ||
      b.v('horizontal-output.grid-coupling-capacitor.leak') < 5e6
      ? look(b, 'current-climbs', ['steady'])
      : look(b, 'steady', ['narrows']);
  },
};

function halves(b: Bench, which: 'horizontal' | 'vertical'): string {
  const one = b.v(`yoke.${which}-half-a`);
  const other = b.v(`yoke.${which}-half-b`);
  const text = (r: number): string =>
    r > 4e7 ? 'ol' : `${Math.max(0.05, noisy(b.chance, 'ohms', r, 0.03)).toFixed(2)}ohm`;
  return `${text(one)}/${text(other)}`;
}
