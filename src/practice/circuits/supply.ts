// Rectifiers, filters and their load as a netlist; volts, ripple and line current from the last cycles of a transient.
import { parallel, type Values, valueIn } from './component.ts';
import type { Design } from './design.ts';
import { runNetlist, type Vectors } from './spice.ts';

export interface SupplyState {
  /** Across the reservoir, and behind the filter, V DC. */
  readonly raw: number;
  readonly main: number;
  /** Ripple at both places, V rms. */
  readonly ripple: number;
  readonly mainRipple: number;
  /** Share of the ripple that is at line frequency where it should be at twice that. */
  readonly lineRateShare: number;
  /** Halves of a full-wave doubler, V; equal parts elsewhere. */
  readonly upper: number;
  readonly lower: number;
  /** Across the series capacitor of a half-wave doubler, V rms without DC. */
  readonly seriesAc: number;
  /** Current drawn from the line or winding, A rms. */
  readonly lineAmps: number;
  /** The fuse or the fusible resistor has gone. */
  readonly blown: boolean;
}

const DEAD: SupplyState = {
  raw: 0,
  main: 0,
  ripple: 0,
  mainRipple: 0,
  lineRateShare: 0,
  upper: 0,
  lower: 0,
  seriesAc: 0,
  lineAmps: 0,
  blown: false,
};
/** A time-lag fuse or fusible resistor of these sets goes well below this, A rms. */
const FUSE_AMPS = 4.5;
const CYCLES = 14;
const STEPS = 50;
/** 5U4-class rectifier: plate current 1.2e-3 V^1.5 a plate, from its published 225 mA at 44 V drop. */
const RECTIFIER_PERVEANCE = 225e-3 / 44 ** 1.5;

/**
 * A stack of five or six plates: some 5 V at 60 mA and 10 V at the peaks of a doubler (about 1 V a plate at rated current, from
 * memory).
 */
export const SELENIUM = { is: 1e-4, n: 27, ohms: 3 } as const;

/** A winding of its own, or a section of the one winding, feeds the rectifiers of a set without a centre tap. */
export const hasSecondary = (d: Design): boolean =>
  (d.transformer === 'power' || d.transformer === 'auto') && d.topology !== 'full-wave';

export interface SupplyLoad {
  /** Line at the set, V rms. */
  readonly lineVolts: number;
  /** What the stages draw at the main line, as ohms. */
  readonly ohms: number;
  /** Rectifier's own heater, relative. */
  readonly heat: number;
  /** Where to start, V. */
  readonly expected: number;
}

/** Solves the supply for one load: some 30 ms. */
export async function solveSupply(d: Design, values: Values, load: SupplyLoad): Promise<SupplyState> {
  if (load.lineVolts < 1) return DEAD;
  const vectors = await runNetlist(netlist(d, values, load));
  const at = windowOf(vectors, d.hertz);
  const out = at('v(out)');
  const bp = at('v(bp)');
  const lineAmps = at('i(vs)').rms;
  if (lineAmps > FUSE_AMPS) return { ...DEAD, blown: true };
  const stack = d.topology === 'doubler-full-wave';
  const mid = stack ? at('v(mid)').mean : out.mean / 2;
  return {
    raw: out.mean,
    main: bp.mean,
    ripple: out.ac,
    mainRipple: bp.ac,
    lineRateShare: out.ac > 0 ? Math.min(1, out.tone / out.ac) : 0,
    upper: out.mean - mid,
    lower: mid,
    seriesAc: d.topology === 'doubler-half-wave' ? at('v(3)', 'v(2)').ac : 0,
    lineAmps,
    blown: false,
  };
}

function netlist(d: Design, values: Values, load: SupplyLoad): string[] {
  const v = (name: string): number => valueIn(values, name);
  const peak = Math.SQRT2 * d.sourceVolts * (load.lineVolts / d.lineVolts);
  const dropper = d.dropper ? v('b-plus.dropper-ht-section') : 0;
  const secondary = hasSecondary(d) ? v('b-plus.transformer-secondary') : 0;
  const centreTap = v('b-plus.transformer-hv-winding') < 1e4 ? peak : 0;
  const series = d.sourceOhms + v('b-plus.surge-resistor') + dropper + secondary;
  const start = load.expected;
  const lines = [
    'supply',
    '.model si d(is=2e-9 n=1.7 rs=0.3)',
    '.model back d(is=1e-9 n=2 rs=1)',
    // The source of a full-wave doubler floats: one end on the capacitors' junction, the other between the rectifiers.
    `vs 1 ${d.topology === 'doubler-full-wave' ? 'mid' : '0'} sin(0 ${d.topology === 'full-wave' ? centreTap : peak} ${d.hertz})`,
    `rs 1 2 ${series}`,
  ];
  const rectifier = (which: 'a' | 'b', anode: string, cathode: string): void => {
    if (v(`b-plus.rectifier-${which}`) < 0.5) return;
    const aged = v(`b-plus.rectifier-${which}.aged`);
    if (d.rectifier === 'tube-direct') {
      const k = RECTIFIER_PERVEANCE * v('b-plus.rectifier-tube.k') * load.heat;
      lines.push(
        `b${which} ${anode} ${which}k i=${k}*pwr(uramp(v(${anode},${which}k)),1.5)`,
        `rk${which} ${which}k ${cathode} 1`,
        `rb${which} ${anode} ${which}k 1e8`,
      );
    } else if (d.rectifier === 'selenium') {
      // Each stack has a curve of its own: the junctions of age take more volts at every current.
      lines.push(
        `.model se${which} d(is=${SELENIUM.is} n=${SELENIUM.n * aged} rs=${SELENIUM.ohms * aged})`,
        `d${which} ${anode} ${which}k se${which}`,
        `rk${which} ${which}k ${cathode} 0.5`,
      );
    } else {
      lines.push(`d${which} ${anode} ${which}k si`, `rk${which} ${which}k ${cathode} 0.5`);
    }
    const short = v(`b-plus.rectifier-${which}.short`);
    if (short < 1e6) lines.push(`rx${which} ${anode} ${cathode} ${short}`);
  };
  const capacitor = (name: string, id: string, plus: string, minus: string, volts: number): void => {
    const leak = v(`${id}.leak`);
    lines.push(
      `c${name} ${plus} ${name}e ${v(id)} ic=${volts}`,
      `re${name} ${name}e ${minus} ${v(`${id}.esr`)}`,
      `rl${name} ${plus} ${minus} ${leak}`,
      // An electrolytic that is driven backwards conducts.
      `dr${name} ${minus} ${plus} back`,
    );
  };
  switch (d.topology) {
    case 'half-wave':
      rectifier('a', '2', 'out');
      capacitor('r', 'b-plus.reservoir', 'out', '0', start);
      break;
    case 'full-wave':
      lines.push(
        `vt 0 5 sin(0 ${v('b-plus.transformer-hv-winding.half') > 0.5 ? centreTap : 0} ${d.hertz})`,
        `rt 5 6 ${series}`,
      );
      rectifier('a', '2', 'out');
      rectifier('b', '6', 'out');
      capacitor('r', 'b-plus.reservoir', 'out', '0', start);
      break;
    case 'doubler-half-wave':
      capacitor('s', 'b-plus.doubler-series-capacitor', '3', '2', start / 2);
      rectifier('a', '3', 'out');
      rectifier('b', '0', '3');
      lines.push('r3 3 0 1e8');
      capacitor('o', 'b-plus.doubler-output-capacitor', 'out', '0', start);
      break;
    case 'doubler-full-wave':
      capacitor('u', 'b-plus.doubler-upper-capacitor', 'out', 'mid', start / 2);
      capacitor('l', 'b-plus.doubler-lower-capacitor', 'mid', '0', start / 2);
      rectifier('a', '2', 'out');
      rectifier('b', '0', '2');
      lines.push('rm mid 0 1e8', 'r2 2 0 1e8');
      break;
  }
  const amps = start / load.ohms;
  lines.push(
    `rch out ch ${v('b-plus.filter-choke') + v('wiring.board-supply')}`,
    `lch ch bp ${d.chokeHenries} ic=${v('b-plus.filter-choke') > 1e4 ? 0 : amps}`,
  );
  capacitor('f', 'b-plus.filter-capacitor', 'bp', '0', Math.max(0, start - amps * v('b-plus.filter-choke')));
  lines.push(
    `rload bp 0 ${parallel(load.ohms, v('b-plus.line-bypass.leak'))}`,
    'rout out 0 1e6',
    `.tran ${1 / d.hertz / STEPS} ${CYCLES / d.hertz} ${(CYCLES - 2) / d.hertz} ${1 / d.hertz / STEPS} uic`,
    '.end',
    '',
  );
  return lines;
}

interface Window {
  readonly mean: number;
  readonly rms: number;
  /** Without its mean, V rms; and what of it is at the line's own frequency. */
  readonly ac: number;
  readonly tone: number;
}

/**
 * Time-weighted statistics over the last two cycles of `hertz`; `minus` is taken from the vector first. What still drifts there as the
 * supply settles is no ripple: a straight line is taken out.
 */
function windowOf(vectors: Vectors, hertz: number): (name: string, minus?: string) => Window {
  const time = vectors.get('time') ?? [];
  const middle = (time[time.length - 1] ?? 0) - 1 / hertz;
  const from = middle - 1 / hertz;
  return (name, minus) => {
    const a = vectors.get(name) ?? [];
    const b = minus ? (vectors.get(minus) ?? []) : undefined;
    const pieces: { readonly x: number; readonly t: number; readonly dt: number }[] = [];
    for (let i = 1; i < time.length; i += 1) {
      const [t0, t1] = [time[i - 1] ?? 0, time[i] ?? 0];
      if (t0 < from - 1e-9) continue;
      const x = ((a[i - 1] ?? 0) + (a[i] ?? 0) - (b ? (b[i - 1] ?? 0) + (b[i] ?? 0) : 0)) / 2;
      pieces.push({ x, t: (t0 + t1) / 2, dt: t1 - t0 });
    }
    const meanOf = (own: typeof pieces, value: (p: (typeof pieces)[number]) => number): number => {
      const total = own.reduce((sum, p) => sum + p.dt, 0);
      return total > 0 ? own.reduce((sum, p) => sum + value(p) * p.dt, 0) / total : 0;
    };
    const half = (late: boolean): number =>
      meanOf(
        pieces.filter((p) => p.t > middle === late),
        (p) => p.x,
      );
    const mean = meanOf(pieces, (p) => p.x);
    const slope = (half(true) - half(false)) * hertz;
    const swing = (p: (typeof pieces)[number]): number => p.x - mean - slope * (p.t - middle);
    const angle = (t: number): number => 2 * Math.PI * hertz * t;
    return {
      mean,
      rms: Math.sqrt(meanOf(pieces, (p) => p.x * p.x)),
      ac: Math.sqrt(meanOf(pieces, (p) => swing(p) ** 2)),
      tone:
        Math.SQRT2 *
        Math.hypot(
          meanOf(pieces, (p) => swing(p) * Math.sin(angle(p.t))),
          meanOf(pieces, (p) => swing(p) * Math.cos(angle(p.t))),
        ),
    };
  };
}
