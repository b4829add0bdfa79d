// What B+ should read on this set at this line: the solved supply with its usual values filled in, and its doubt.
import { ArgumentError, positive } from './numbers.ts';
import { isTube, type Rectifier, type RectifierLaw } from './rectifier.ts';
import {
  type SupplyInput,
  type SupplyLoad,
  type SupplyResult,
  solveSupply,
  type Topology,
} from './supply.ts';
import { type Estimate, estimate } from './uncertainty.ts';

export interface BPlusInput {
  readonly topology: Topology;
  readonly rectifier: Rectifier | RectifierLaw;
  /** Line at the set's plug now, V rms. */
  readonly lineVolts: number;
  /** Line at which `loadAmps` and `secondaryVolts` hold; `lineVolts` when left out. */
  readonly ratedLineVolts?: number;
  readonly frequencyHz?: number;
  /** Full-wave: volts rms of each half of the secondary at the rated line. Line-connected sets: leave out. */
  readonly secondaryVolts?: number;
  readonly sourceOhms?: number;
  /** Reservoir (doublers: output or upper capacitor), F. */
  readonly capacitanceFarads: number;
  readonly secondCapacitanceFarads?: number;
  /** Current of the whole set from B+ at the rated line, A. */
  readonly loadAmps: number;
  /** Share of that load that is switched on: 1 all, about 0.55 with the horizontal output stage off, 0 tubes cold. */
  readonly loadShare?: number;
}

export interface BPlus extends Omit<SupplyResult, 'volts'> {
  readonly volts: number;
  /** Range that a healthy set may show, V: line, load and source resistance taken into account. */
  readonly lowVolts: number;
  readonly highVolts: number;
  /** What the capacitors see when nothing draws current, V. */
  readonly noLoadVolts: number;
  readonly estimate: Estimate;
  /** Why it is this value, in words. */
  readonly reason: string;
  /** Values that were not given and were assumed, in words. */
  readonly assumed: readonly string[];
}

/** Step-up of the power transformer when the secondary is not known: 2 x 304 V at 117 V (common practice, no source). */
const ASSUMED_STEP_UP = 2.6;

/** Usual source resistance of one rectifier, ohm (common practice, no source). */
function usualSourceOhms(topology: Topology, ratedLineVolts: number): number {
  if (topology === 'full-wave') return 60;
  return ratedLineVolts > 160 ? 40 : topology === 'half-wave' ? 8 : 7;
}

/**
 * Expected B+ at the reservoir, with ripple and a range.
 *
 * The load is taken as `loadAmps` at the rated line and carried to today's line as a resistance, so that a lowered
 * line lowers the current as well. Doubts: line 1.5 %, load 20 %, source resistance 30 %, capacitance 20 %.
 * Example: half-wave, silicon, 117 V, 8 ohm, 150 uF, 0.28 A -> about 141 V and 7.8 V rms of ripple.
 */
export function expectedBPlus(input: BPlusInput): BPlus {
  const lineVolts = positive('lineVolts', input.lineVolts);
  const ratedLineVolts = positive('ratedLineVolts', input.ratedLineVolts ?? lineVolts);
  const share = input.loadShare ?? 1;
  if (!(share >= 0 && share <= 1)) throw new ArgumentError('loadShare', 'from 0 to 1', share);
  const assumed: string[] = [];
  if (input.sourceOhms === undefined) {
    assumed.push(`source resistance ${usualSourceOhms(input.topology, ratedLineVolts)} ohm`);
  }
  let ratedSource = ratedLineVolts;
  if (input.topology === 'full-wave') {
    ratedSource = positive('secondaryVolts', input.secondaryVolts ?? ASSUMED_STEP_UP * ratedLineVolts);
    if (input.secondaryVolts === undefined) assumed.push(`secondary 2 x ${ratedSource.toFixed(0)} V`);
  }
  const at = (
    sourceVolts: number,
    load: SupplyLoad,
    change: { ohms?: number; farads?: number } = {},
  ): SupplyInput => ({
    topology: input.topology,
    rectifier: input.rectifier,
    frequencyHz: input.frequencyHz ?? 60,
    sourceVolts,
    sourceOhms: (input.sourceOhms ?? usualSourceOhms(input.topology, ratedLineVolts)) * (change.ohms ?? 1),
    capacitanceFarads: input.capacitanceFarads * (change.farads ?? 1),
    secondCapacitanceFarads:
      (input.secondCapacitanceFarads ?? input.capacitanceFarads) * (change.farads ?? 1),
    load,
  });

  const sourceVolts = (ratedSource * lineVolts) / ratedLineVolts;
  const rated = solveSupply(at(ratedSource, { amps: input.loadAmps }));
  const loadFor = (factor: number): SupplyLoad => {
    if (lineVolts === ratedLineVolts) return { amps: input.loadAmps * share * factor };
    const amps = input.loadAmps * share * factor;
    return amps > 1e-6 ? { ohms: Math.max(rated.volts, 1) / amps } : { amps: 0 };
  };
  const solved = solveSupply(at(sourceVolts, loadFor(1)));
  const off = (changed: SupplyInput) => Math.abs(solveSupply(changed).volts - solved.volts);
  const value = estimate(solved.volts, [
    { from: 'line', plusMinus: 0.015 * solved.volts },
    { from: 'load', plusMinus: off(at(sourceVolts, loadFor(1.2))) },
    { from: 'source resistance', plusMinus: off(at(sourceVolts, loadFor(1), { ohms: 1.3 })) },
    { from: 'capacitance', plusMinus: off(at(sourceVolts, loadFor(1), { farads: 0.8 })) },
  ]);
  return {
    ...solved,
    lowVolts: value.low,
    highVolts: value.high,
    noLoadVolts: solveSupply(at(sourceVolts, { amps: 0 })).volts,
    estimate: value,
    reason: reasonFor(input, lineVolts, ratedLineVolts, share, solved),
    assumed,
  };
}

/** Why a B+ is expected as it is: line against rated line, stages that are off, doubler or not. */
function reasonFor(
  input: BPlusInput,
  lineVolts: number,
  ratedLineVolts: number,
  share: number,
  solved: SupplyResult,
): string {
  const parts = [`${input.topology} supply at ${lineVolts.toFixed(0)} V line`];
  if (lineVolts !== ratedLineVolts) parts.push(`rated ${ratedLineVolts.toFixed(0)} V`);
  if (share === 0) parts.push('nothing draws current, so the capacitors sit at the peak');
  else {
    parts.push(`${(solved.loadAmps * 1000).toFixed(0)} mA drawn`);
    if (share < 1) parts.push(`only ${(share * 100).toFixed(0)} % of the load is on, so it reads high`);
  }
  return parts.join(', ');
}

/** Line share below which a tube rectifier gives nothing, and above which it is taken as hot (common practice, no source). */
export const RECTIFIER_COLD_BELOW = 0.65;
export const RECTIFIER_HOT_ABOVE = 0.8;

/** Whether B+ can be expected at this share of the rated line: solid rectifiers always, tubes only once their heater has enough. */
export function rectifierState(
  rectifier: Rectifier | RectifierLaw,
  lineShare: number,
): 'conducts' | 'may conduct' | 'cold' {
  if (!isTube(rectifier) || lineShare >= RECTIFIER_HOT_ABOVE) return 'conducts';
  return lineShare >= RECTIFIER_COLD_BELOW ? 'may conduct' : 'cold';
}

/**
 * Series resistor that restores the old B+ after a selenium (or tube) rectifier was replaced by silicon: solved so that
 * the silicon supply gives `wantedVolts` at the same load. Watts are those of the rms current, as the pulses heat more
 * than the mean. Measure the excess with the set warm, fit the resistor, then check heaters, boost and high voltage again.
 * Example: half-wave 117 V, 8 ohm, 150 uF, 0.28 A: from 140.5 V back to 134 V -> about 5 ohm, 2.5 W (use 10 W).
 */
export function siliconSeriesResistor(input: {
  readonly topology: Topology;
  readonly sourceVolts: number;
  readonly sourceOhms: number;
  readonly capacitanceFarads: number;
  readonly secondCapacitanceFarads?: number;
  readonly loadAmps: number;
  readonly wantedVolts: number;
  readonly frequencyHz?: number;
}): {
  readonly ohms: number;
  readonly watts: number;
  readonly ratingWatts: number;
  readonly withoutVolts: number;
} {
  const solve = (extraOhms: number) =>
    solveSupply({
      topology: input.topology,
      sourceVolts: input.sourceVolts,
      frequencyHz: input.frequencyHz ?? 60,
      sourceOhms: positive('sourceOhms', input.sourceOhms) + extraOhms,
      rectifier: 'silicon',
      capacitanceFarads: input.capacitanceFarads,
      secondCapacitanceFarads: input.secondCapacitanceFarads ?? input.capacitanceFarads,
      load: { amps: positive('loadAmps', input.loadAmps) },
    });
  const withoutVolts = solve(0).volts;
  positive('wantedVolts', input.wantedVolts);
  if (input.wantedVolts > withoutVolts) {
    throw new ArgumentError(
      'wantedVolts',
      `at most the ${withoutVolts.toFixed(1)} V that silicon gives without a resistor`,
      input.wantedVolts,
    );
  }
  let low = 0;
  let high = 10;
  while (solve(high).volts > input.wantedVolts && high < 1e5) high *= 2;
  for (let i = 0; i < 40; i++) {
    const middle = (low + high) / 2;
    if (solve(middle).volts > input.wantedVolts) low = middle;
    else high = middle;
  }
  const ohms = (low + high) / 2;
  const watts = solve(ohms).inputRmsAmps ** 2 * ohms;
  return { ohms, watts, ratingWatts: 3 * watts, withoutVolts };
}
