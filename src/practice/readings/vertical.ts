// Answers of vertical oscillator and output, and of sync and horizontal AFC.
import { dcVolts, noisy, ohms, ppVolts } from '../meter.ts';
import { type Answers, type Bench, lit, look, pictured } from './context.ts';

/** An adjustment for height reaches from three quarters to six fifths of what comes out. */
const tall = (b: Bench): number => b.seen.height * 1.2;

export const VERTICAL_ANSWERS: Answers = {
  'vertical-oscillator-grid': (b) =>
    dcVolts(
      b.chance,
      b.solved.verticalRuns ? -0.22 * b.node('vf') : b.v('vertical-oscillator.tube.gas') * 5e5,
      1e6,
    ),
  'vertical-oscillator-plate': (b) => dcVolts(b.chance, b.node('vf'), 6e5),
  'vertical-drive-pp': (b) => ppVolts(b.chance, b.solved.verticalPp),
  'vertical-rate': (b) =>
    b.solved.verticalRuns
      ? `${(60 * Math.exp(-b.seen.fieldError + b.chance.normal(0.02))).toFixed(1)} Hz`
      : undefined,
  'vertical-rate-50': (b) =>
    b.solved.verticalRuns
      ? `${(50 * Math.exp(-b.seen.fieldError + b.chance.normal(0.02))).toFixed(1)} Hz`
      : undefined,
  'vertical-hum-listen': (b) => look(b, b.solved.verticalRuns ? 'follows' : 'steady', ['steady'], 'hard'),
  'raster-height': (b) => {
    if (!lit(b)) return 'no-raster';
    const h = b.seen.height;
    if (h < 0.06) return 'line';
    return h < 0.3
      ? look(b, 'very-short', ['short'])
      : tall(b) < 0.9
        ? look(b, 'short', ['full'])
        : h * 0.75 > 1.1
          ? 'over'
          : look(b, 'full', ['short']);
  },
  'height-range-look': (b) => {
    if (!lit(b)) return undefined;
    if (b.v('vertical-oscillator.height-control') < 0.1) return look(b, 'no-effect', []);
    if (b.v('vertical-oscillator.height-control.dirty') > 0.5) return look(b, 'jumpy', ['short']);
    return tall(b) < 0.95 ? look(b, 'short', ['covers']) : look(b, 'covers', ['short']);
  },
  'vertical-linearity-look': (b) => {
    if (!lit(b) || b.seen.height < 0.06) return 'cannot';
    const l = b.seen.verticalLinearity;
    if (b.v('vertical-output.linearity-control') < 0.7)
      return look(b, 'top-stretched', ['top-cramped'], 'hard');
    return l < 0.5
      ? look(b, 'bottom-fold', ['bottom-cramped'], 'hard')
      : l < 0.75
        ? look(b, 'bottom-cramped', ['bottom-fold'], 'hard')
        : look(b, 'even', ['bottom-cramped']);
  },
  'vertical-linearity-controls': (b) => {
    if (!lit(b) || b.seen.height <= 0.06) return undefined;
    if (b.v('vertical-output.linearity-control.dirty') > 0.5) return look(b, 'jumpy', ['works']);
    if (b.v('vertical-output.linearity-control') < 0.7) return look(b, 'cures', ['works']);
    return b.seen.verticalLinearity < 0.7 ? look(b, 'no-effect', ['works']) : look(b, 'works', []);
  },
  'vertical-inject': (b) => {
    if (!lit(b)) return undefined;
    const drive = Math.max(0.05, b.solved.verticalPp);
    const gain = b.solved.verticalRuns ? (b.seen.height * 50) / drive : stageGain(b);
    return gain > 0.5
      ? look(b, 'opens', ['little'])
      : gain > 0.1
        ? look(b, 'little', ['opens', 'nothing'])
        : 'nothing';
  },
  'vertical-sync-pp': (b) => {
    const through =
      b.v('vertical-oscillator.integrator') > 1e6
        ? 0
        : Math.min(1, b.v('vertical-oscillator.integrator.cap.leak') / 3e4);
    return ppVolts(b.chance, 0.45 * b.solved.signal.syncPp * through);
  },
  'integrator-tack-in': (b) => {
    const bad =
      b.v('vertical-oscillator.integrator') > 1e6 || b.v('vertical-oscillator.integrator.cap.leak') < 3e4;
    return bad && b.solved.signal.syncPp > 8 && Math.abs(b.seen.fieldError) < 0.2
      ? look(b, 'cured', ['same'])
      : 'same';
  },
  'integrator-capacitors': (b) => ohms(b.chance, b.v('vertical-oscillator.integrator.cap.leak')),
  'vertical-output-plate': (b) => dcVolts(b.chance, b.node('vp')),
  'vertical-output-cathode-volts': (b) => dcVolts(b.chance, b.node('vk')),
  'vertical-output-grid': (b) => dcVolts(b.chance, b.node('vg') - 0.02 * b.solved.verticalPp, 1.5e6),
  'vertical-grid-gas': (b) => {
    const own =
      b.v('vertical-output.tube.gas') *
      b.v('vertical-output.grid-resistor') *
      Math.min(1.4, b.node('vk') / Math.max(1, b.design.verticalCathodeVolts));
    return dcVolts(b.chance, Math.min(own, b.node('vk') + 2) - 0.05, 1e6);
  },
  'vertical-bypass-parallel': (b) =>
    look(
      b,
      b.v('vertical-output.cathode-bypass') < 0.4 * b.v('vertical-output.cathode-bypass.mark')
        ? 'better'
        : 'same',
      ['same'],
    ),
  'vertical-decoupling-parallel': (b) =>
    look(
      b,
      b.v('vertical-output.decoupling-capacitor') < 0.4 * b.v('vertical-output.decoupling-capacitor.mark')
        ? 'better'
        : 'same',
      [],
    ),
  'vertical-transformer-ring': (b) =>
    look(
      b,
      b.v('vertical-output.transformer.loss') > 0.3 || b.v('vertical-output.transformer') > 1e5
        ? 'dead'
        : 'rings',
      [],
    ),
  'vertical-shrink-look': (b) =>
    lit(b)
      ? look(
          b,
          b.v('vertical-output.tube.gas') > 3e-6 || b.v('vertical-output.coupling-capacitor.leak') < 2e7
            ? 'bottom'
            : 'steady',
          ['steady'],
        )
      : undefined,
  'vertical-hold-look': (b) => {
    if (!pictured(b)) return 'no-picture';
    if (b.seen.locksVertical)
      return Math.abs(b.seen.fieldError) > 0.12 ? look(b, 'at-end', ['locks']) : look(b, 'locks', ['at-end']);
    return Math.abs(b.seen.fieldError) >= 0.2
      ? look(b, 'one-way', ['floats'])
      : look(b, 'floats', ['one-way']);
  },
  'sync-look': (b) => {
    if (!pictured(b)) return 'no-picture';
    const { locksVertical: vertical, locksHorizontal: horizontal } = b.seen;
    return vertical && horizontal
      ? look(b, 'both', [])
      : vertical
        ? look(b, 'vertical-only', ['neither'])
        : horizontal
          ? look(b, 'horizontal-only', ['neither'])
          : 'neither';
  },
  'blanking-bar-look': (b) => (!pictured(b) ? 'no-picture' : look(b, 'blacker', ['same'])),
  'sync-separator-grid': (b) => {
    const leak = b.v('sync.grid-capacitor.leak');
    const rg = b.v('sync.grid-leak');
    const video =
      Math.min(60, b.solved.signal.platePp) *
      (b.v('sync.grid-capacitor') < 1e-10 ? 0 : 1) *
      ((2 * 10e3) / (10e3 + b.v('sync.video-feed')));
    const positive = (b.node('wp') * rg) / (rg + leak);
    return dcVolts(b.chance, Math.min(1, -0.45 * video + positive), 1e6);
  },
  'sync-separator-plate': (b) => dcVolts(b.chance, b.node('yp'), 3e4),
  'sync-pulse-pp': (b) => ppVolts(b.chance, b.solved.signal.syncPp),
  'sync-screen-volts': (b) => dcVolts(b.chance, b.node('ys'), 4e4),
  'sync-bias-look': (b) => look(b, 'same', []),
  'horizontal-hold-look': (b) => {
    if (!pictured(b)) return 'no-picture';
    if (b.seen.locksHorizontal)
      return Math.abs(b.seen.lineError) > 0.03 ? look(b, 'at-end', ['locks']) : look(b, 'locks', ['bends']);
    return Math.abs(b.seen.lineError) >= 0.05 ? look(b, 'bars', ['floats']) : look(b, 'floats', ['bends']);
  },
  'afc-pull-in-look': (b) => {
    if (!pictured(b)) return 'no-picture';
    if (b.seen.pieCrust) return look(b, 'pie-crust', []);
    if (!b.seen.locksHorizontal) return look(b, 'never', ['one-side']);
    return Math.abs(b.solved.signal.afcOffset) > 0.015
      ? look(b, 'one-side', ['pulls-in'], 'hard')
      : look(b, 'pulls-in', []);
  },
  'afc-shorted-float': (b) => {
    if (!pictured(b)) return 'no-picture';
    const own = b.seen.lineError - b.solved.signal.afcOffset;
    return Math.abs(own) < 0.05
      ? look(b, 'floats', [])
      : own > 0
        ? look(b, 'too-slow', ['cannot-tell'], 'hard')
        : look(b, 'too-fast', ['cannot-tell'], 'hard');
  },
  'afc-diode-halves': (b) => {
    const text = (share: number): string =>
      share < 0.05 ? 'ol' : `${noisy(b.chance, 'ohms', 900 / share).toFixed(0)}ohm`;
    return `${text(b.v('horizontal-afc.diode-a'))}/${text(b.v('horizontal-afc.diode-b'))}`;
  },
  'afc-diode-back': (b) =>
    ohms(b.chance, b.v('horizontal-afc.diode-a') < 0.6 && b.v('horizontal-afc.diode-a') > 0.05 ? 4e4 : 2e6),
  'afc-loads': (b) => {
    const text = (r: number): string => `${(noisy(b.chance, 'ohms', r) / 1000).toFixed(1)}k`;
    return `${text(b.v('horizontal-afc.load-resistors'))}/${text(1e5)}`;
  },
  'afc-halves-live': (b) => {
    const [a, other] = b.solved.signal.afcHalves;
    return `${dcVolts(b.chance, a)}/${dcVolts(b.chance, other)}`;
  },
  'afc-load-volts': (b) => dcVolts(b.chance, Math.min(...b.solved.signal.afcHalves)),
  'afc-reference-pp': (b) => ppVolts(b.chance, b.solved.signal.afcReferencePp),
  'afc-capacitors-leak': (b) => {
    const bad = (['reference-capacitor', 'sync-capacitor', 'anti-hunt'] as const).filter(
      (id) => b.v(`horizontal-afc.${id}.leak`) < 2e7,
    );
    const names = {
      'reference-capacitor': 'reference',
      'sync-capacitor': 'sync',
      'anti-hunt': 'anti-hunt',
    } as const;
    return bad.length === 0 ? 'all-good' : bad.length > 1 ? 'several' : names[bad[0] ?? 'anti-hunt'];
  },
};

/** Gain of the output stage with a test signal on its grid, relative. */
function stageGain(b: Bench): number {
  const open =
    b.v('wiring.yoke-plug') > 200 ||
    b.v('vertical-output.secondary') > 1e3 ||
    b.v('yoke.vertical-half-a') > 1e3 ||
    b.v('yoke.vertical-half-b') > 1e3;
  if (open) return 0;
  const current = b.node('vk') / b.v('vertical-output.cathode-resistor') / 0.017;
  return (
    Math.cbrt(Math.max(0, current)) *
    (1 - b.v('vertical-output.transformer.loss')) *
    (b.node('vp') > 30 ? 1 : 0)
  );
}
