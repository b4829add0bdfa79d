// Answers of picture tube, gun voltages and what is seen on the screen.
import { focusShare } from '../circuits/observe.ts';
import { dcVolts, insulation, milliamps, noisy, ohms } from '../meter.ts';
import { type Answers, type Bench, lit, look } from './context.ts';

const gun = (b: Bench): number => b.v('picture-tube.gun') * b.v('picture-tube.vacuum');
const heaterOpen = (b: Bench): boolean =>
  b.v('picture-tube.heater') < 0.3 || b.v('picture-tube.base-pins') > 100;
/** Light with the beam let through fully: what zero bias shows. */
const full = (b: Bench): number =>
  b.seen.anodeDark > 3000 ? gun(b) * b.solved.emission.pictureTube * b.v('picture-tube.ion-trap') : 0;

export const PICTURE_ANSWERS: Answers = {
  'picture-tube-getter': (b) =>
    b.v('picture-tube.vacuum') < 0.1
      ? look(b, 'white', [])
      : look(b, 'silver', ['brown', 'not-seen'], 'hard'),
  'picture-tube-neck': (b) => look(b, 'whole', []),
  'picture-tube-screen': (b) => look(b, 'clean', ['ion-burn']),
  'picture-tube-brightener': () => 'none',
  'picture-tube-ion-trap': (b) =>
    b.v('picture-tube.ion-trap') < 0.5 ? look(b, 'slid', ['in-place'], 'hard') : look(b, 'in-place', []),
  'picture-tube-base-pins': (b) =>
    b.v('picture-tube.base-pins') > 100
      ? look(b, 'loose', ['dull'])
      : // A heater that reads open has its pins re-soldered before it is given up.
        b.v('picture-tube.heater') < 0.3
        ? 'resoldered'
        : look(b, 'clean', ['dull'], 'hard'),
  'picture-tube-heater-ohms': (b) =>
    ohms(
      b.chance,
      heaterOpen(b)
        ? 1e9
        : (6.3 / (b.design.heaters === 'series' ? b.design.heaterAmps : 0.6) / 6) *
            b.v('picture-tube.heater'),
    ),
  'picture-tube-heater-current': (b) =>
    heaterOpen(b)
      ? '0'
      : `${noisy(b.chance, 'ac', (b.design.heaters === 'series' ? b.design.heaterAmps : 0.6) / Math.max(0.4, b.v('picture-tube.heater'))).toFixed(3)} A`,
  'picture-tube-shorts': (b) => {
    if (b.v('picture-tube.heater-cathode') < 1e6) return look(b, 'heater-cathode', ['none']);
    if (b.v('picture-tube.grid-cathode') < 1e6) return look(b, 'grid-cathode', ['none']);
    return b.v('picture-tube.g2-grid') < 5e6 ? look(b, 'g2-grid', ['none']) : 'none';
  },
  'picture-tube-heater-cathode': (b) =>
    insulation(b.chance, Math.min(b.v('picture-tube.heater-cathode'), b.chance.spread(1e8, 2e9))),
  'picture-tube-emission': (b) => {
    if (heaterOpen(b)) return 'none';
    const reading = gun(b) * Math.exp(b.chance.normal(0.35));
    return reading < 0.01 ? 'none' : reading < 0.22 ? 'weak' : reading < 0.5 ? 'fair' : 'good';
  },
  'picture-tube-bench-emission': (b) =>
    milliamps(b.chance, heaterOpen(b) ? 0 : 0.003 * gun(b) * Math.exp(b.chance.normal(0.25))),
  'picture-tube-cutoff': (b) =>
    b.v('picture-tube.grid-cathode') < 1e6
      ? look(b, 'never', [])
      : look(b, heaterOpen(b) || gun(b) < 0.12 ? 'early' : 'normal', ['normal']),
  'picture-tube-life': (b) => {
    if (heaterOpen(b)) return undefined;
    const g = gun(b) * Math.exp(b.chance.normal(0.25));
    return g < 0.15 ? 'into-bad' : g < 0.35 ? 'to-bottom' : g < 0.7 ? 'small-fall' : 'no-fall';
  },
  'picture-tube-gas': (b) =>
    heaterOpen(b)
      ? 'no-test'
      : b.v('picture-tube.gas') > 1e-8
        ? look(b, 'gas', ['none'], 'hard')
        : look(b, 'none', ['no-test'], 'hard'),
  'picture-tube-neck-glow': (b) => {
    if (b.solved.heaters.pictureTube < 0.3 || heaterOpen(b)) return 'no-glow';
    return b.v('picture-tube.gas') > 1e-8
      ? look(b, 'blue', ['orange'], 'hard')
      : look(b, 'orange', ['no-glow']);
  },
  'raster-brightness': (b) => {
    if (!lit(b)) return 'none';
    if (b.seen.height < 0.06) return 'line';
    if (b.seen.lightDark > 0.3) return look(b, 'too-bright', ['full']);
    return b.seen.lightBright < 0.7 ? look(b, 'dim', ['full']) : look(b, 'full', ['dim']);
  },
  'dot-at-switch-off': (b) =>
    b.seen.anodeDark > 6000 && gun(b) > 0.05 && !heaterOpen(b)
      ? look(b, 'dot', ['brief', 'none'], 'hard')
      : look(b, 'none', ['brief']),
  'picture-tube-warm-up': (b) =>
    lit(b)
      ? `${Math.round((22 / Math.max(0.12, gun(b)) ** 0.7) * Math.exp(b.chance.normal(0.12)))} s`
      : undefined,
  'picture-tube-heater-plus': (b) =>
    lit(b) ? (gun(b) < 0.25 ? look(b, 'much', ['some']) : look(b, 'little', ['some'])) : undefined,
  'picture-tube-tap': (b) => {
    if (b.v('picture-tube.grid-cathode') < 1e6) return look(b, 'flashes', ['no-change'], 'hard');
    return b.v('picture-tube.base-pins') > 100
      ? look(b, 'goes-out', ['no-change'], 'hard')
      : look(b, 'no-change', []);
  },
  'picture-tube-iso-heater': (b) =>
    b.v('picture-tube.heater-cathode') < 1e6 ? look(b, 'cured', ['better']) : 'no-change',
  'picture-tube-zero-bias': (b) => {
    const light = full(b);
    return light > 0.45
      ? look(b, 'bright', ['dim'])
      : light > 0.02
        ? look(b, 'dim', ['bright', 'dark'])
        : 'dark';
  },
  'picture-tube-ion-trap-set': (b) => {
    const trap = b.v('picture-tube.ion-trap');
    if (trap > 0.6) return lit(b) ? look(b, 'no-change', ['brighter']) : 'dark';
    return b.seen.anodeDark < 5000 ? 'dark' : trap < 0.06 ? 'came-up' : 'brighter';
  },
  'gun-g2-volts': (b) => dcVolts(b.chance, b.node('g2'), Math.min(2e6, b.v('gun-voltages.g2-feed'))),
  'gun-g2-feed-warm': (b) =>
    b.node('g2') < 0.4 * b.solved.deflection.boost
      ? b.v('gun-voltages.g2-feed') > 1.5 * b.v('gun-voltages.g2-feed.mark')
        ? 'cold-high'
        : 'warm'
      : 'cold-right',
  'gun-g2-leak': (b) => ohms(b.chance, b.v('gun-voltages.g2-bypass.leak')),
  'gun-bias-bright': (b) => `${dcVolts(b.chance, b.node('gb'), 1e5)}/${dcVolts(b.chance, b.node('kb'), 5e4)}`,
  'gun-bias-dark': (b) => `${dcVolts(b.chance, b.node('gd'), 1e5)}/${dcVolts(b.chance, b.node('kd'), 5e4)}`,
  'gun-grid-swing': (b) => dcVolts(b.chance, Math.abs(b.node('gb') - b.node('gd'))),
  'gun-cathode-follows': (b) => {
    const grid = Math.abs(b.node('gb') - b.node('gd'));
    const cathode = Math.abs(b.node('kb') - b.node('kd'));
    return grid < 6
      ? 'neither'
      : cathode > 0.6 * grid && b.v('picture-tube.grid-cathode') < 1e6
        ? look(b, 'together', [])
        : look(b, 'independent', []);
  },
  'gun-brightness-ohms': (b) => {
    if (b.v('gun-voltages.brightness-control') < 0.5) return look(b, 'control-open', []);
    const off = ['brightness-network', 'cathode-network'].some(
      (id) => b.v(`gun-voltages.${id}`) > 1.6 * b.v(`gun-voltages.${id}.mark`),
    );
    return off ? look(b, 'resistor-off', ['good']) : look(b, 'good', ['jumpy']);
  },
  'gun-small-capacitors': (b) => {
    const bad = (id: string): boolean =>
      b.v(`gun-voltages.${id}.leak`) < 2e7 ||
      b.v(`gun-voltages.${id}`) < 0.2 * b.v(`gun-voltages.${id}.mark`);
    return bad('blanking')
      ? look(b, 'blanking', ['all-good'])
      : bad('grid-bypass')
        ? look(b, 'bypass', ['all-good'])
        : bad('focus-bypass')
          ? look(b, 'focus', ['all-good'])
          : 'all-good';
  },
  'brightness-range': (b) => {
    if (!lit(b)) return 'no-light';
    if (Math.abs(b.node('gb') - b.node('gd')) < 6) return look(b, 'no-effect', []);
    if (b.seen.lightDark > 0.15) return look(b, 'never-out', []);
    return b.seen.lightBright < 0.7 ? look(b, 'never-bright', ['out-and-back']) : look(b, 'out-and-back', []);
  },
  'blanking-look': (b) =>
    !lit(b) ? 'no-light' : b.seen.retraceLines ? look(b, 'lines', ['none']) : look(b, 'none', ['lines']),
  'raster-focus': (b) => {
    if (!lit(b)) return 'no-raster';
    return b.seen.focus < 0.6
      ? look(b, 'soft', ['end-of-range'])
      : b.seen.anodeBright < 0.82 * b.seen.anodeDark
        ? look(b, 'soft-bright', ['sharp'])
        : look(b, 'sharp', ['end-of-range']);
  },
  'focus-magnet-set': (b) => {
    if (!lit(b)) return 'no-raster';
    const magnet = b.v('gun-voltages.focus-magnet');
    return magnet > 0.8
      ? look(b, 'was-right', ['sharper'])
      : look(b, magnet > 0.35 ? 'sharper' : 'at-stop', ['sharper', 'at-stop']);
  },
  'gun-focus-volts': (b) => dcVolts(b.chance, b.solved.deflection.boost * 0.55 * focusShare(b.v), 5e5),
  'warm-up-look': (b) => {
    if (!lit(b)) return 'none';
    return gun(b) < 0.15 ? look(b, 'late', ['normal'], 'hard') : look(b, 'normal', ['late']);
  },
};
