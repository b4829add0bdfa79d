// B+ supply with capacitor input, solved step by step in time for the periodic steady state: full-wave, half-wave
// and both voltage doublers, with source resistance, rectifier law, capacitors and load.
import { ArgumentError, notNegative, positive } from './numbers.ts';
import { type Branch, branchLaw, lawOf, type Rectifier, type RectifierLaw } from './rectifier.ts';

/** Supply circuits found in monochrome sets. */
export const TOPOLOGIES = ['full-wave', 'half-wave', 'doubler-half-wave', 'doubler-full-wave'] as const;
export type Topology = (typeof TOPOLOGIES)[number];

/**
 * `amps`: constant-current load (falls off linearly under 20 V, as no tube draws its current from nothing).
 * `ohms`: resistive load. Tubes lie between the two.
 */
export type SupplyLoad = { readonly amps: number } | { readonly ohms: number };

export interface SupplyInput {
  readonly topology: Topology;
  /** AC volts rms into one rectifier: the line for line-connected sets, each half of the secondary for full-wave. */
  readonly sourceVolts: number;
  readonly frequencyHz?: number;
  /** Everything in series with one rectifier but the rectifier itself: winding, surge resistor, line; ohm. */
  readonly sourceOhms: number;
  readonly rectifier: Rectifier | RectifierLaw;
  /** Reservoir; in a doubler the output (half-wave) or upper (full-wave) capacitor; F. */
  readonly capacitanceFarads: number;
  /** Doublers: the series (half-wave) or lower (full-wave) capacitor; F; equal to the first when left out. */
  readonly secondCapacitanceFarads?: number;
  readonly load: SupplyLoad;
}

export interface SupplyResult {
  /** Mean output, V. */
  readonly volts: number;
  /** Ripple on the output, V rms (without the DC) and V peak to peak. */
  readonly rippleVoltsRms: number;
  readonly rippleVoltsPeakToPeak: number;
  readonly rippleHz: number;
  /** Mean volts across the first and second capacitor (second: 0 when there is none). */
  readonly firstCapacitorVolts: number;
  readonly secondCapacitorVolts: number;
  /** Mean load current, A. */
  readonly loadAmps: number;
  /** One rectifier: peak, rms, mean; A. */
  readonly rectifierPeakAmps: number;
  readonly rectifierRmsAmps: number;
  readonly rectifierMeanAmps: number;
  /** Current in the source resistance: true rms, mean (DC), and what an average-responding AC meter shows; A. */
  readonly inputRmsAmps: number;
  readonly inputDcAmps: number;
  readonly inputAverageRespondingAmps: number;
}

const STEPS = 600;
const COLLAPSE_VOLTS = 20;
/** Below this a load changes nothing that can be read; the capacitors sit at the peak. */
const NO_LOAD_AMPS = 1e-7;
const SINE = Float64Array.from({ length: STEPS + 1 }, (_, k) => Math.sin((2 * Math.PI * k) / STEPS));

interface CycleSums {
  sum: number;
  squares: number;
  low: number;
  high: number;
  first: number;
  second: number;
  peak: number;
  upperCharge: number;
  upperSquares: number;
  inputSquares: number;
  inputAbsolute: number;
  inputCharge: number;
  loadCharge: number;
}

/**
 * Charge through a branch in one step. The branch current relaxes toward drift/elastance at the rate
 * slope*elastance; taking that exponential exactly keeps the step stable for any resistance and capacitance.
 */
function chargeInStep(branch: Branch, drift: number, elastance: number, h: number): number {
  if (branch.slope === 0) return 0;
  const rate = branch.slope * elastance;
  const final = drift / elastance;
  const x = rate * h;
  const share = x < 1e-5 ? h * (1 - x / 2) : -Math.expm1(-x) / rate;
  const charge = final * h + (branch.amps - final) * share;
  return Math.max(charge, 0);
}

/** Charge that the load takes in one step from a capacitance at `volts`. */
function loadCharge(load: SupplyLoad, volts: number, farads: number, h: number): number {
  if (volts <= 0) return 0;
  if ('amps' in load && volts >= COLLAPSE_VOLTS) return load.amps * h;
  const ohms = 'ohms' in load ? load.ohms : COLLAPSE_VOLTS / load.amps;
  return volts * farads * -Math.expm1(-h / (ohms * farads));
}

/** One line cycle from given capacitor volts; returns the volts at its end and, when asked, its statistics. */
type Cycle = (first: number, second: number, record?: CycleSums) => readonly [number, number];

function makeCycle(input: SupplyInput, second: number, frequencyHz: number): Cycle {
  const peak = Math.SQRT2 * input.sourceVolts;
  const h = 1 / (frequencyHz * STEPS);
  const law = branchLaw(lawOf(input.rectifier), input.sourceOhms);
  const branch: Branch = { amps: 0, slope: 0 };
  const c1 = input.capacitanceFarads;
  const { load, topology } = input;
  const fullDoubler = topology === 'doubler-full-wave';
  const halfDoubler = topology === 'doubler-half-wave';
  const loadFarads = fullDoubler ? (c1 * second) / (c1 + second) : c1;
  return (v1Start, v2Start, record) => {
    let v1 = v1Start;
    let v2 = v2Start;
    for (let k = 0; k < STEPS; k++) {
      const e = peak * (SINE[k] ?? 0);
      const slew = (peak * (SINE[k + 1] ?? 0) - e) / h;
      const output = fullDoubler ? v1 + v2 : v1;
      const ql = loadCharge(load, output, loadFarads, h);
      let up = 0; // charge through the rectifier that feeds the output or upper capacitor
      let down = 0; // charge through the other rectifier
      if (topology === 'half-wave') {
        law(e - v1, branch);
        up = chargeInStep(branch, slew + ql / h / c1, 1 / c1, h);
      } else if (topology === 'full-wave') {
        const positiveHalf = e >= 0;
        law(Math.abs(e) - v1, branch);
        const q = chargeInStep(branch, (positiveHalf ? slew : -slew) + ql / h / c1, 1 / c1, h);
        if (positiveHalf) up = q;
        else down = q;
      } else if (fullDoubler) {
        law(e - v1, branch);
        up = chargeInStep(branch, slew + ql / h / c1, 1 / c1, h);
        law(-e - v2, branch);
        down = chargeInStep(branch, -slew + ql / h / second, 1 / second, h);
      } else {
        law(e + v2 - v1, branch);
        up = chargeInStep(branch, slew + ql / h / c1, 1 / c1 + 1 / second, h);
        law(-e - v2, branch);
        down = chargeInStep(branch, -slew, 1 / second, h);
      }
      if (record) note(record, output, v1, v2, up, down, ql, h);
      if (fullDoubler) {
        v1 += (up - ql) / c1;
        v2 += (down - ql) / second;
      } else if (halfDoubler) {
        v1 += (up - ql) / c1;
        v2 += (down - up) / second;
      } else {
        v1 += (up + down - ql) / c1;
      }
    }
    return [v1, v2];
  };
}

function note(
  r: CycleSums,
  output: number,
  v1: number,
  v2: number,
  up: number,
  down: number,
  ql: number,
  h: number,
) {
  r.sum += output;
  r.squares += output * output;
  if (output < r.low) r.low = output;
  if (output > r.high) r.high = output;
  r.first += v1;
  r.second += v2;
  const amps = up / h;
  if (amps > r.peak) r.peak = amps;
  r.upperCharge += up;
  r.upperSquares += amps * amps;
  const inputAmps = (up - down) / h;
  r.inputSquares += inputAmps * inputAmps;
  r.inputAbsolute += Math.abs(inputAmps);
  r.inputCharge += up - down;
  r.loadCharge += ql;
}

/** Largest change of the two capacitor volts over one cycle. */
function change(
  cycle: Cycle,
  v1: number,
  v2: number,
): { readonly end: readonly [number, number]; readonly size: number } {
  const end = cycle(v1, v2);
  return { end, size: Math.max(Math.abs(end[0] - v1), Math.abs(end[1] - v2)) };
}

/**
 * Newton on the map "volts at the start of a cycle -> volts at its end", until start and end agree to `tolerance`. A step
 * that brings them no nearer is shortened; when that does not help either (overloaded supplies have kinks), plain cycles
 * take its place, which converge quickly just there.
 */
function steadyState(
  cycle: Cycle,
  guess1: number,
  guess2: number,
  tolerance: number,
): readonly [number, number] {
  let v1 = guess1;
  let v2 = guess2;
  for (let i = 0; i < 3; i++) [v1, v2] = cycle(v1, v2);
  const delta = Math.max(1e-4, guess1 * 1e-5);
  let here = change(cycle, v1, v2);
  for (let i = 0; i < 200 && here.size >= tolerance; i++) {
    const [a, b] = here.end;
    const [a1, b1] = cycle(v1 + delta, v2);
    const [a2, b2] = cycle(v1, v2 + delta);
    const j11 = (a1 - a) / delta - 1;
    const j21 = (b1 - b) / delta;
    const j12 = (a2 - a) / delta;
    const j22 = (b2 - b) / delta - 1;
    const determinant = j11 * j22 - j12 * j21;
    const d1 = (-(a - v1) * j22 + (b - v2) * j12) / determinant;
    const d2 = (-(b - v2) * j11 + (a - v1) * j21) / determinant;
    let better = false;
    if (Number.isFinite(d1) && Number.isFinite(d2)) {
      for (let share = 1; share > 0.1 && !better; share /= 2) {
        const there = change(cycle, v1 + share * d1, v2 + share * d2);
        if (there.size < (1 - share / 4) * here.size) {
          v1 += share * d1;
          v2 += share * d2;
          here = there;
          better = true;
        }
      }
    }
    if (!better) {
      [v1, v2] = cycle(a, b);
      here = change(cycle, v1, v2);
    }
  }
  return here.end;
}

/**
 * Solves a capacitor-input supply for its periodic steady state.
 *
 * Ranges: volts, ohms and farads above zero, load zero or more amps. Errors: ArgumentError naming the argument.
 * Source: circuit equations stepped in time; quantities as in the classic capacitor-input charts.
 * Example: half-wave, 117 V 60 Hz, 8 ohm, silicon, 150 uF, 0.28 A -> about 141 V, 8 V rms of ripple.
 */
export function solveSupply(input: SupplyInput): SupplyResult {
  const frequencyHz = positive('frequencyHz', input.frequencyHz ?? 60);
  positive('sourceVolts', input.sourceVolts);
  positive('sourceOhms', input.sourceOhms);
  positive('capacitanceFarads', input.capacitanceFarads);
  const second = positive(
    'secondCapacitanceFarads',
    input.secondCapacitanceFarads ?? input.capacitanceFarads,
  );
  if ('ohms' in input.load) positive('loadOhms', input.load.ohms);
  else notNegative('loadAmps', input.load.amps);
  if (!TOPOLOGIES.includes(input.topology)) {
    throw new ArgumentError('topology', `one of ${TOPOLOGIES.join(', ')}`, input.topology);
  }
  const doubler = input.topology.startsWith('doubler');
  const rippleHz =
    input.topology === 'full-wave' || input.topology === 'doubler-full-wave' ? 2 * frequencyHz : frequencyHz;
  const law = lawOf(input.rectifier);
  const top = Math.SQRT2 * input.sourceVolts - (law.kind === 'solid' ? law.kneeVolts : 0);
  if (top <= 0 || ('amps' in input.load && input.load.amps < NO_LOAD_AMPS)) {
    return idle(Math.max(top, 0), input.topology, rippleHz);
  }

  const cycle = makeCycle(input, second, frequencyHz);
  const firstGuess = input.topology === 'doubler-half-wave' ? 1.6 * top : 0.85 * top;
  const [v1, v2] = steadyState(cycle, firstGuess, 0.85 * top, 1e-6 * top);
  const r: CycleSums = {
    sum: 0,
    squares: 0,
    low: Number.POSITIVE_INFINITY,
    high: Number.NEGATIVE_INFINITY,
    first: 0,
    second: 0,
    peak: 0,
    upperCharge: 0,
    upperSquares: 0,
    inputSquares: 0,
    inputAbsolute: 0,
    inputCharge: 0,
    loadCharge: 0,
  };
  cycle(v1, v2, r);
  const volts = r.sum / STEPS;
  const oneSource = input.topology !== 'full-wave';
  return {
    volts,
    rippleVoltsRms: Math.sqrt(Math.max(0, r.squares / STEPS - volts * volts)),
    rippleVoltsPeakToPeak: r.high - r.low,
    rippleHz,
    firstCapacitorVolts: r.first / STEPS,
    secondCapacitorVolts: doubler ? r.second / STEPS : 0,
    loadAmps: r.loadCharge * frequencyHz,
    rectifierPeakAmps: r.peak,
    rectifierRmsAmps: Math.sqrt(r.upperSquares / STEPS),
    rectifierMeanAmps: r.upperCharge * frequencyHz,
    inputRmsAmps: Math.sqrt(r.inputSquares / STEPS),
    inputDcAmps: oneSource ? r.inputCharge * frequencyHz : 0,
    inputAverageRespondingAmps: (1.1107 * r.inputAbsolute) / STEPS,
  };
}

/** Without load the capacitors sit at the peak and nothing flows. */
function idle(top: number, topology: Topology, rippleHz: number): SupplyResult {
  const doubler = topology.startsWith('doubler');
  return {
    volts: doubler ? 2 * top : top,
    rippleVoltsRms: 0,
    rippleVoltsPeakToPeak: 0,
    rippleHz,
    firstCapacitorVolts: topology === 'doubler-half-wave' ? 2 * top : top,
    secondCapacitorVolts: doubler ? top : 0,
    loadAmps: 0,
    rectifierPeakAmps: 0,
    rectifierRmsAmps: 0,
    rectifierMeanAmps: 0,
    inputRmsAmps: 0,
    inputDcAmps: 0,
    inputAverageRespondingAmps: 0,
  };
}
