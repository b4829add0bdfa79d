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
 * A stack of five or six plates: some 5 V at 60 mA and 10 V at the peaks of a doubler (published drop of about 1 V a plate at rated
 * current; new stacks 4 to 7 V).
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
  const at = windowOf(vectors, 2 / d.hertz);
  const out = at('v(out)');
  const bp = at('v(bp)');
  const lineAmps = at('i(vs)').rms;
  if (lineAmps > FUSE_AMPS) return { ...DEAD, blown: true };
  const stack = d.topology === 'doubler-full-wave';
  const mid = stack ? at('v(mid)').mean : out.mean / 2;
  const a = at('v(out)', 1 / d.hertz / 2);
  return {
    raw: out.mean,
    main: bp.mean,
    ripple: out.ac,
    mainRipple: bp.ac,
    lineRateShare: out.ac > 0 ? Math.min(1, Math.abs(a.mean - out.mean) / out.ac) : 0,
    upper: out.mean - mid,
    lower: mid,
    seriesAc: d.topology === 'doubler-half-wave' ? at('v(3)', undefined, 'v(2)').ac : 0,
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
    `vs 1 0 sin(0 ${d.topology === 'full-wave' ? centreTap : peak} ${d.hertz})`,
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
    if (which === 'a' && v('b-plus.rectifier-short') < 1e6)
      lines.push(`rx ${anode} ${cathode} ${v('b-plus.rectifier-short')}`);
  };
  const capacitor = (name: string, id: string, plus: string, minus: string, volts: number): void => {
    const leak = v(`${id}.leak`);
    lines.push(
      `c${name} ${plus} ${name}e ${v(id)} ic=${volts}`,
      `re${name} ${name}e ${minus} ${v(`${id}.esr`)}`,
      `rl${name} ${plus} ${minus} ${leak}`,
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
      // The source floats: one end on the capacitors' junction, the other between the rectifiers.
      lines[2] = `vs 1 mid sin(0 ${peak} ${d.hertz})`;
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
  readonly ac: number;
}

/** Time-weighted statistics over the last `span` seconds; `half` narrows it to the last part of a cycle. */
function windowOf(vectors: Vectors, span: number): (name: string, half?: number, minus?: string) => Window {
  const time = vectors.get('time') ?? [];
  const end = time[time.length - 1] ?? 0;
  return (name, half, minus) => {
    const a = vectors.get(name) ?? [];
    const b = minus ? (vectors.get(minus) ?? []) : undefined;
    const from = end - (half ?? span);
    let total = 0;
    let sum = 0;
    let squares = 0;
    for (let i = 1; i < time.length; i += 1) {
      const t0 = time[i - 1] ?? 0;
      if (t0 < from - 1e-9) continue;
      const dt = (time[i] ?? 0) - t0;
      const x = ((a[i - 1] ?? 0) + (a[i] ?? 0) - (b ? (b[i - 1] ?? 0) + (b[i] ?? 0) : 0)) / 2;
      total += dt;
      sum += x * dt;
      squares += x * x * dt;
    }
    const mean = total > 0 ? sum / total : 0;
    const square = total > 0 ? squares / total : 0;
    return { mean, rms: Math.sqrt(square), ac: Math.sqrt(Math.max(0, square - mean * mean)) };
  };
}
