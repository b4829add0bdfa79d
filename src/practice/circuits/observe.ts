// From node values to what the owner sees and hears: light, width, height, shape, lock, focus, sound, hum. Relative to a healthy set unless named.
import { valueIn } from './component.ts';
import { healthyLoss } from './deflection.ts';
import { PLAN, stageVolts } from './plan.ts';
import type { Solved } from './solve.ts';

export interface Observed {
  /** Screen light with brightness up, where the owner leaves it, and down; 1 = a good full raster. */
  readonly lightBright: number;
  readonly lightUsual: number;
  readonly lightDark: number;
  /** Beam at those settings, A. */
  readonly beamBright: number;
  readonly beamUsual: number;
  readonly beamDark: number;
  /** Anode volts without beam, at usual and at full brightness. */
  readonly anodeDark: number;
  readonly anodeUsual: number;
  readonly anodeBright: number;
  readonly width: number;
  readonly height: number;
  /** 1 = even top to bottom. */
  readonly verticalLinearity: number;
  readonly horizontalLinearity: number;
  readonly keystone: 'none' | 'sides' | 'top-bottom';
  readonly neckShadow: boolean;
  readonly focus: number;
  /** Errors of the free-running rates before the hold control is turned; hold reaches 0.2 (field) and 0.05 (line). */
  readonly fieldError: number;
  readonly lineError: number;
  readonly locksVertical: boolean;
  readonly locksHorizontal: boolean;
  readonly pieCrust: boolean;
  readonly retraceLines: boolean;
  /** Picture contrast, 1 = full; snow 0..1; sharpness 1. */
  readonly picture: number;
  readonly snow: number;
  readonly negative: boolean;
  readonly sound: number;
  readonly soundDistortion: number;
  /** Hum in sound or picture, 1 = plainly there. */
  readonly hum: number;
  /** Plate of the output tube shows colour. */
  readonly redPlate: boolean;
  readonly screenGlow: boolean;
  /** Output tube's mean cathode current, and its grid volts, A and V. */
  readonly cathodeAmps: number;
  readonly inputWatts: number;
}

/** Focus volts beside what they should be: the chain's ohms too high, or its bypass drawing them down. */
export function focusShare(v: (name: string) => number): number {
  const network = v('gun-voltages.focus-network');
  const leak = v('gun-voltages.focus-bypass.leak');
  return Math.min(1, v('gun-voltages.focus-network.mark') / network) * (leak / (leak + network / 2));
}

/** Beam that makes a good raster at 14.5 kV, A. */
const GOOD_BEAM = 130e-6;
/** Beam of a comfortable picture, A. */
export const USUAL_BEAM = 80e-6;
const EYES = 0.03;

/** What a set in this state does. `healthy` is the same set without its fault: alignment took up its tolerances. */
export function observe(s: Solved, healthy?: Solved): Observed {
  const v = (name: string): number => valueIn(s.values, name);
  const h = (name: string): number => valueIn((healthy ?? s).values, name);
  const d = s.design;
  const pulse = s.deflection;
  const trap = v('picture-tube.ion-trap');
  const beam = (node: string) => settle(Math.max(0, s.node(node)));
  const settle = (wanted: number): { beam: number; anode: number; light: number } => {
    // Beam and anode volts settle on the line of the anode supply.
    if (pulse.anode < 300) return { beam: 0, anode: Math.max(0, pulse.anode), light: 0 };
    let low = 0;
    let high = wanted;
    for (let n = 0; n < 40; n += 1) {
      const mid = (low + high) / 2;
      const anode = pulse.anode - mid * pulse.anodeOhms;
      if (wanted * Math.min(1, Math.max(0, anode / 5000)) > mid) low = mid;
      else high = mid;
    }
    const anode = pulse.anode - low * pulse.anodeOhms;
    return { beam: low, anode, light: trap * (low / GOOD_BEAM) * (Math.max(0, anode) / 14_500) ** 1.5 };
  };
  const bright = beam('mb');
  const dark = beam('md');
  // The owner turns the control to a comfortable picture, as far as it goes.
  const usual = settle(Math.min(s.node('mb'), Math.max(s.node('md'), USUAL_BEAM)));
  const stiff = Math.sqrt(Math.max(0.05, usual.anode / d.anodeVolts));
  const nominal = d.bPlus * (d.boostRatio - 1);
  const width =
    (pulse.uplift / nominal / stiff) *
    (1 - v('damper-boost.width-coil.loss')) *
    (v('yoke.horizontal-half-a') + v('yoke.horizontal-half-b') > 1e3 ? 0.02 : 1) *
    (v('flyback.tuning-capacitor') < 0.3 * v('flyback.tuning-capacitor.mark') ? 0.85 : 1);
  const vertical = verticalDeflection(s, stiff);
  const fieldError =
    0.8 * Math.log(v('vertical-oscillator.hold-resistor') / h('vertical-oscillator.hold-resistor')) -
    4e5 / v('vertical-oscillator.timing-capacitor.leak') +
    (v('vertical-oscillator.hold-control') > 0.5 ? 0 : 0.6) +
    0.3 * v('vertical-oscillator.hold-control.dirty') -
    5e4 * v('vertical-oscillator.tube.gas');
  const lineError =
    0.3 *
      Math.log(v('horizontal-oscillator.timing-resistors') / h('horizontal-oscillator.timing-resistors')) -
    4e4 / v('horizontal-oscillator.timing-capacitor.leak') +
    (v('horizontal-oscillator.hold-control') > 0.5 ? 0 : 0.3) +
    0.08 * v('horizontal-oscillator.hold-control.dirty') -
    4e3 * v('horizontal-oscillator.tube.gas') +
    s.signal.afcOffset;
  const fieldSync =
    s.signal.syncPp *
    (v('vertical-oscillator.integrator') > 1e6 ? 0 : 1) *
    Math.min(1, v('vertical-oscillator.integrator.cap.leak') / 3e4);
  const picture =
    Math.min(1.1, s.signal.tubePp / (0.16 * d.bPlus)) * (usual.light > EYES || bright.light > EYES ? 1 : 0);
  const noise = Math.max(0, Math.min(1, (0.32 - s.signal.antennaShare) / 0.3));
  const cathodeAmps = s.node('hk') / v('horizontal-output.cathode-link');
  const plateWatts = plateDissipation(s, cathodeAmps);
  const screenVolts = s.node('hs');
  const screenWatts =
    s.configuration.horizontal === 'enabled'
      ? screenVolts * Math.max(0, (s.node('bp') - screenVolts) / v('horizontal-output.screen-resistor'))
      : 0;
  const ripple = s.supply.mainRipple;
  const hum =
    Math.max(0, ripple / (0.011 * d.bPlus) - 0.6) * 0.5 +
    (v('sound.audio-tube.hk') < 1e6 ? 0.8 : 0) +
    (v('b-plus.low-line-capacitor') < 0.3 * v('b-plus.low-line-capacitor.mark') ? 0.6 : 0) +
    (d.heaters === 'parallel' && v('heaters.ground') > 1 ? 0.9 : 0) +
    (v('wiring.ground-joint') > 1 ? 0.8 : 0);
  return {
    lightBright: bright.light,
    lightUsual: usual.light,
    lightDark: dark.light,
    beamBright: bright.beam,
    beamUsual: usual.beam,
    beamDark: dark.beam,
    anodeDark: dark.anode,
    anodeUsual: usual.anode,
    anodeBright: bright.anode,
    width: pulse.uplift > 0 ? width : 0,
    height: vertical.height,
    verticalLinearity: vertical.linearity,
    horizontalLinearity:
      v('damper-boost.linearity') *
      (v('yoke.damping-network') < 1e-13 ? 0.5 : 1) *
      (v('damper-boost.tube.k') < 0.3 ? 0.6 : 1),
    keystone: v('yoke.tilt') > 0 ? 'top-bottom' : vertical.half ? 'sides' : 'none',
    neckShadow: v('yoke.neck-shadow') > 0.3,
    focus:
      (d.olderTube ? v('gun-voltages.focus-magnet') : focusShare(v) ** 0.5) *
      Math.min(1, (usual.anode / (0.72 * d.anodeVolts)) ** 2),
    fieldError,
    lineError,
    locksVertical: s.verticalRuns && Math.abs(fieldError) < 0.2 && fieldSync > 7,
    locksHorizontal: s.horizontalRuns && Math.abs(lineError) < 0.05 && s.signal.afcGain > 0.45,
    pieCrust: s.signal.hunting,
    retraceLines: v('gun-voltages.blanking') < 0.1 * v('gun-voltages.blanking.mark') || dark.light > 0.15,
    picture,
    snow: noise,
    negative: s.signal.overload,
    sound: s.signal.soundLevel * s.signal.audioGain,
    soundDistortion: s.signal.distortion,
    hum,
    redPlate: plateWatts > 24,
    screenGlow: screenWatts > 5.5,
    cathodeAmps,
    inputWatts:
      s.lineAtSet < 1
        ? 0
        : s.heaters.watts + s.supply.raw * s.bPlusAmps * 1.12 + 4 + v('b-plus.transformer-turns'),
  };
}

/** What is left in the output tube's plate: its share of the input less what the scan circuit takes. */
function plateDissipation(s: Solved, cathodeAmps: number): number {
  if (s.configuration.horizontal === 'disabled' || s.deflection.plateFeed <= 0) return 0;
  const useful = s.deflection.uplift ** 2 / healthyLoss(s.design);
  return Math.max(0, cathodeAmps * 0.87 * s.node('bp') - 0.9 * useful);
}

function verticalDeflection(s: Solved, stiff: number): { height: number; linearity: number; half: boolean } {
  const v = (name: string): number => valueIn(s.values, name);
  const d = s.design;
  const yokeA = v('yoke.vertical-half-a') / v('yoke.vertical-half-a.mark');
  const yokeB = v('yoke.vertical-half-b') / v('yoke.vertical-half-b.mark');
  const open =
    yokeA > 50 ||
    yokeB > 50 ||
    v('wiring.yoke-plug') > 200 ||
    v('vertical-output.secondary') > 1e3 ||
    v('yoke.thermistor') < 0.5;
  if (!s.verticalRuns || open) return { height: 0, linearity: 0.2, half: false };
  const amps = s.node('vk') / v('vertical-output.cathode-resistor');
  const standing = amps / PLAN.verticalAmps;
  const bypass = v('vertical-output.cathode-bypass') / v('vertical-output.cathode-bypass.mark');
  const nominalPp = 0.45 * stageVolts(d).verticalOscillator;
  const conductance = Math.cbrt(Math.max(0, standing)) * v('vertical-output.tube.k') ** 0.6;
  const drive = s.verticalPp / nominalPp;
  const supply = Math.max(0, s.node('vp') / stageVolts(d).verticalPlate);
  const half = yokeA < 0.7 || yokeB < 0.7;
  const winding =
    (1 - v('vertical-output.transformer.loss')) *
    (v('vertical-output.damping-capacitor.leak') < 1e5 ? 0.5 : 1);
  const wanted = drive * conductance * (bypass < 0.4 ? 0.7 : 1) * winding * (half ? 0.65 : 1);
  const most = 1.35 * Math.min(standing, 1.6) * Math.min(1, supply * 1.1);
  const height = Math.min(wanted, most) / stiff;
  const clipped = wanted > most ? most / wanted : 1;
  const bias = standing > 1.7 ? 1.7 / standing : 1;
  return {
    height,
    linearity:
      clipped *
      // Emission runs out at the end of the scan, where most current is asked.
      Math.min(1, v('vertical-output.tube.k') + 0.35) *
      bias *
      (bypass < 0.4 ? 0.65 : 1) *
      v('vertical-output.linearity-control') *
      Math.min(1, v('vertical-output.grid-resistor.mark') / v('vertical-output.grid-resistor') + 0.35),
    half,
  };
}
