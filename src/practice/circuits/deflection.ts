// Horizontal deflection by energy balance: what the output tube puts in each line against losses, beam and boost loads; then anode volts and width.
import { parallel, type Values, valueIn } from './component.ts';
import type { Design } from './design.ts';
import { HEALTHY_PLATE_SHARE, sweepShares } from './stages.ts';

export interface Deflection {
  /** Boost over B+, V. */
  readonly uplift: number;
  /** Volts of the boost line. */
  readonly boost: number;
  /** Share of the tube's current that its plate voltage lets through. */
  readonly plateShare: number;
  /** Anode without beam, and source resistance behind it. */
  readonly anode: number;
  readonly anodeOhms: number;
  /** Flyback pulse relative to that of a healthy set. */
  readonly pulse: number;
  /** The plate circuit has no DC: fuse, damper, primary or linearity coil open. */
  readonly plateFeed: number;
}

export interface DeflectionInputs {
  readonly bPlus: number;
  /** Current that the output tube would pass well above its knee, A. */
  readonly fullPlateAmps: number;
  /** Current in retrace, A: it meets the pulse. */
  readonly retraceAmps: number;
  readonly emission: number;
  readonly beamAmps: number;
  /** DC drawn from the boost line, A. */
  readonly boostLoadAmps: number;
  readonly enabled: boolean;
}

/** Plate volts while the tube conducts in a healthy stage, and the knee that leaves 0.72 of the current there. */
const CONDUCTING_VOLTS = 68;
const KNEE_VOLTS = CONDUCTING_VOLTS / -Math.log(1 - HEALTHY_PLATE_SHARE);
const DAMPER_DROP = 9;
/** Plate current at the end of the trace over its mean of the line. */
const PEAK_OVER_MEAN = 2.5;
/** Mean of the pulse over retrace, in uplifts: some 85 % of the line in 15 % of it. */
const RETRACE_PULSE = 6;
const HEALTHY_BEAM = 80e-6;

/** Losses of a healthy scan circuit as ohms across its uplift, from the designer's operating point. */
export function healthyLoss(d: Design): number {
  const uplift = d.bPlus * (d.boostRatio - 1);
  const shares = sweepShares(HEALTHY_PLATE_SHARE);
  const amps = (d.cathodeAmps * shares.plate) / (shares.plate + shares.screen);
  const input = amps * (d.bPlus - CONDUCTING_VOLTS) * (1 - DAMPER_DROP / d.bPlus);
  return uplift ** 2 / (input - HEALTHY_BEAM * d.anodeVolts - 0.0015 * uplift);
}

/** Solves the balance for the uplift by bisection from above: input falls and losses rise as it grows. */
export function solveDeflection(d: Design, values: Values, x: DeflectionInputs): Deflection {
  const v = (name: string): number => valueIn(values, name);
  const nominal = d.bPlus * (d.boostRatio - 1);
  const turns = (d.bPlus - CONDUCTING_VOLTS) / nominal;
  const damper = v('damper-boost.tube.k') * x.emission;
  const series =
    v('damper-boost.linearity-coil') +
    v('flyback.primary') +
    v('b-plus.horizontal-fuse') +
    v('wiring.socket-damper') +
    (damper > 0.02 ? 60 / damper - 60 : 1e9);
  const plateFeed = series > 1e5 ? 0 : x.bPlus - 6 / Math.max(0.2, damper);
  const anodeOhms = sourceOhms(values);
  const ratio = (d.anodeVolts / nominal) * pulseFactor(values);
  const dead = {
    uplift: 0,
    boost: plateFeed,
    plateShare: plateFeed > 0 ? 1 : 0,
    anode: 0,
    anodeOhms,
    pulse: 0,
    plateFeed,
  };
  if (!x.enabled || plateFeed <= 0 || x.fullPlateAmps <= 0) return dead;
  if (v('damper-boost.boost-capacitor.leak') < 200) return dead;
  const loss = parallel(
    healthyLoss(d),
    v('flyback.loss'),
    v('yoke.loss'),
    v('yoke.insulation'),
    v('damper-boost.insulation'),
    v('picture-tube.anode-insulation'),
    v('damper-boost.boost-capacitor.leak'),
    v('flyback.tuning-capacitor.leak'),
  );
  // A boost capacitor that has lost its capacitance stores nothing between lines.
  const store = Math.min(1, v('damper-boost.boost-capacitor') / 0.02e-6) ** 0.5;
  const scan = v('yoke.horizontal-half-a') + v('yoke.horizontal-half-b') > 1e3 ? 0.8 : 1;
  const supply = x.bPlus - series * x.fullPlateAmps * HEALTHY_PLATE_SHARE + 40 * x.fullPlateAmps;
  const cap = 1 - Math.min(0.9, v('wiring.socket-damper') / 1e3);
  // A bad contact in the plate lead takes volts of its own: the plate bottoms early, and the screen gets what it cannot take.
  const knee = KNEE_VOLTS + v('horizontal-output.top-cap') * PEAK_OVER_MEAN * x.fullPlateAmps;
  const balance = (u: number): number => {
    const conducting = supply - turns * u;
    const share = conducting <= 0 ? 0 : 1 - Math.exp(-conducting / knee);
    const input =
      x.fullPlateAmps * cap * share * turns * u * (1 - DAMPER_DROP / Math.max(20, supply)) * store * scan;
    const extra = Math.max(0, x.boostLoadAmps) * u + x.beamAmps * ratio * u;
    const bleed = ((supply + u) * u) / v('damper-boost.boost-filter.leak');
    return input - u ** 2 / loss - extra - bleed - RETRACE_PULSE * u * x.retraceAmps;
  };
  const highest = supply / turns;
  let uplift = 0;
  for (let n = 40; n > 0; n -= 1) {
    if (balance((highest * n) / 40) <= 0) continue;
    let low = (highest * n) / 40;
    let high = (highest * (n + 1)) / 40;
    for (let i = 0; i < 30; i += 1) {
      const mid = (low + high) / 2;
      if (balance(mid) > 0) low = mid;
      else high = mid;
    }
    uplift = low;
    break;
  }
  if (uplift < 4) return { ...dead, plateShare: 1 };
  const conducting = supply - turns * uplift;
  return {
    uplift,
    boost: plateFeed + uplift,
    plateShare: Math.max(0.05, 1 - Math.exp(-Math.max(0, conducting) / knee)),
    anode: anodeThere(values) ? ratio * uplift : 0,
    anodeOhms,
    pulse: uplift / nominal,
    plateFeed,
  };
}

/** Retrace gets shorter and higher when the tuning capacitance is lost; a broken core or a break-down takes the pulse away. */
function pulseFactor(values: Values): number {
  const v = (name: string): number => valueIn(values, name);
  const tuning = v('flyback.tuning-capacitor') / v('flyback.tuning-capacitor.mark');
  const rectifier = v('high-voltage.rectifier.k');
  return (
    (1 + 0.35 * Math.max(0, 0.8 - tuning)) *
    v('flyback.core') *
    (1 - v('flyback.breakdown')) *
    (1 - 0.5 * (v('high-voltage.corona') + v('high-voltage.socket-track'))) *
    Math.min(1.03, 0.82 + 0.18 * Math.min(rectifier, 1.15))
  );
}

function anodeThere(values: Values): boolean {
  const v = (name: string): number => valueIn(values, name);
  return (
    v('high-voltage.rectifier.k') > 0.02 &&
    v('high-voltage.filament-loop') < 50 &&
    v('flyback.hv-winding') < 1e5 &&
    v('high-voltage.lead') < 1e8 &&
    v('high-voltage.series-resistor') < 5e8
  );
}

function sourceOhms(values: Values): number {
  const v = (name: string): number => valueIn(values, name);
  const cold = v('high-voltage.filament-loop') / v('high-voltage.filament-loop.mark');
  return (
    v('high-voltage.source') *
      (0.5 + 0.5 / Math.max(0.03, v('high-voltage.rectifier.k'))) *
      Math.max(1, cold) +
    v('high-voltage.series-resistor') +
    v('high-voltage.lead') +
    60e6 * (v('high-voltage.corona') + v('high-voltage.socket-track'))
  );
}
