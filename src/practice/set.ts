// A simulated set with hidden faults: drawn from a seed, solved as circuits, and asked what a technician would read.

import { type Condition, drawValues, NoSuchComponent, type Values } from './circuits/component.ts';
import { type Design, designOf } from './circuits/design.ts';
import { faultsFor, type SimulatedFault } from './circuits/fault-list.ts';
import { type Observed, observe } from './circuits/observe.ts';
import { partsList } from './circuits/parts-list.ts';
import { type Configuration, type Solved, solveSet } from './circuits/solve.ts';
import type { Chance } from './random.ts';
import { chanceOf, seedFor } from './random.ts';
import { benchOf } from './readings/context.ts';
import { ANSWERS } from './readings/index.ts';
import { SWAPS } from './readings/tables.ts';
import { complaintsOf } from './symptoms.ts';

export type Level = 'healthy' | 'single' | 'double' | 'dormant';

export interface DrawOptions {
  readonly seed: number;
  readonly family: string;
  readonly level: Level;
  /** Condition before the faults; `dormant` level implies the dormant one. */
  readonly condition?: Condition;
  /** How often each fault is drawn, relative; one a fault if left out. Ids that are missing count 0. */
  readonly weights?: ReadonlyMap<string, number>;
  /** This fault and no other. */
  readonly fault?: string;
}

export interface SimulatedSet {
  readonly seed: number;
  readonly family: string;
  readonly level: Level;
  readonly condition: Condition;
  /** What is wrong: `section.part/fault`. */
  readonly faults: readonly string[];
  /** Complaint ids of the owner; empty when nothing shows. */
  readonly complaint: readonly string[];
  /** What a look at set and label tells: facts by name. */
  readonly facts: Readonly<Record<string, string>>;
  readonly lineVolts: number;
  readonly standard: '525' | '625';
  /**
   * What a technician would type at a check; `undefined` = this set or simulation cannot say.
   * `state` holds the present configuration of the bench, for checks that do not name one.
   */
  answer(
    check: { readonly id: string; readonly config: Readonly<Record<string, string>> },
    state?: Readonly<Record<string, string>>,
  ): string | undefined;
  /** What the set does with everything connected and a signal applied. */
  readonly seen: Observed;
}

/** Most faults that are drawn again because nothing shows. */
const TRIES = 25;

/** Draws and solves a set: about 0.2 s a try. Throws for a family without circuits or an unknown `fault`. */
export async function drawSet(options: DrawOptions): Promise<SimulatedSet> {
  const chance = chanceOf(seedFor(options.seed, options.family));
  const condition = options.condition ?? (options.level === 'dormant' ? 'dormant' : 'recapped');
  const stacked = chance.happens(0.5);
  const design = designOf(options.family, stacked);
  const directCoupled = chance.happens(0.5);
  const line = design.lineVolts * (1 + chance.normal(0.004));
  const base = drawValues(partsList(design), options.seed, condition);
  const healthy = await states(design, base, line, directCoupled);
  const pool = faultsFor(design).filter((f) => possible(f, directCoupled));
  const count =
    options.level === 'healthy'
      ? 0
      : options.level === 'single'
        ? 1
        : options.level === 'double'
          ? 2
          : 3 + Math.floor(chance.between(0, 3));
  for (let attempt = 0; ; attempt += 1) {
    const faults = options.fault
      ? [named(pool, options.fault)]
      : drawFaults(pool, count, chance, options.weights);
    const severity = chanceOf(seedFor(options.seed, `severity ${attempt}`));
    const values: Record<string, number> = { ...base };
    for (const fault of faults) Object.assign(values, fault.change(values, severity, design));
    const solved = faults.length === 0 ? healthy : await states(design, values, line, directCoupled);
    const seen = observe(solved.enabled, healthy.enabled);
    const complaint = complaintsOf(solved.enabled, seen);
    // A fault that nobody sees or hears brings no set to the bench.
    if (faults.length > 0 && complaint.length === 0 && attempt < TRIES && !options.fault) continue;
    const swaps = await swapsOf(design, values, base, line, directCoupled, healthy.enabled, complaint);
    return simulated({
      options,
      condition,
      design,
      values,
      solved,
      healthy,
      seen,
      complaint,
      faults,
      line,
      directCoupled,
      swaps,
    });
  }
}

interface States {
  readonly enabled: Solved;
  readonly quiet: Solved;
  readonly disabled: Solved;
}

async function states(
  design: Design,
  values: Values,
  lineVolts: number,
  directCoupled: boolean,
): Promise<States> {
  const solve = (configuration: Configuration): Promise<Solved> =>
    solveSet(design, values, configuration, { lineVolts, directCoupled });
  return {
    enabled: await solve({ horizontal: 'enabled', signal: 'applied' }),
    quiet: await solve({ horizontal: 'enabled', signal: 'none' }),
    disabled: await solve({ horizontal: 'disabled', signal: 'none' }),
  };
}

/** A fault of a circuit that this set does not have cannot be in it. */
function possible(fault: SimulatedFault, directCoupled: boolean): boolean {
  if (fault.id.startsWith('picture-tube.ion-trap')) return false;
  return !(directCoupled && fault.id.startsWith('gun-voltages.video-coupling'));
}

function named(pool: readonly SimulatedFault[], id: string): SimulatedFault {
  const found = pool.find((f) => f.id === id);
  if (!found) throw new Error(`no simulated fault "${id}" in this set`);
  return found;
}

function drawFaults(
  pool: readonly SimulatedFault[],
  count: number,
  chance: Chance,
  weights: ReadonlyMap<string, number> | undefined,
): readonly SimulatedFault[] {
  const chosen: SimulatedFault[] = [];
  while (chosen.length < count) {
    const open = pool.filter((f) => !chosen.some((c) => partOf(c.id) === partOf(f.id)));
    const weigh = (f: SimulatedFault): number => weights?.get(f.id) ?? (weights ? 0 : 1);
    let left = chance.next() * open.reduce((sum, f) => sum + weigh(f), 0);
    const found = open.find((f) => {
      left -= weigh(f);
      return left < 0;
    });
    if (!found) return chosen;
    chosen.push(found);
  }
  return chosen;
}

/** `section.part` of a fault id. */
export const partOf = (fault: string): string => fault.slice(0, fault.indexOf('/'));

/** What a known-good tube in each bad tube's place does; good tubes in place of good ones change nothing. */
async function swapsOf(
  design: Design,
  values: Values,
  base: Values,
  line: number,
  directCoupled: boolean,
  healthy: Solved,
  complaint: readonly string[],
): Promise<ReadonlyMap<string, 'cured' | 'better'>> {
  const result = new Map<string, 'cured' | 'better'>();
  for (const [tube] of Object.values(SWAPS)) {
    const names = Object.keys(values).filter(
      (n) => n.startsWith(`${tube}.`) || (tube === 'damper-boost.tube' && n === 'damper-boost.insulation'),
    );
    if (names.every((n) => values[n] === base[n])) continue;
    const repaired = { ...values };
    for (const n of names) repaired[n] = base[n] ?? repaired[n] ?? 0;
    const solved = await solveSet(
      design,
      repaired,
      { horizontal: 'enabled', signal: 'applied' },
      { lineVolts: line, directCoupled },
    );
    const left = complaintsOf(solved, observe(solved, healthy));
    if (left.length === 0) result.set(tube, 'cured');
    else if (left.length < complaint.length || left[0] !== complaint[0]) result.set(tube, 'better');
  }
  return result;
}

function simulated(x: {
  options: DrawOptions;
  condition: Condition;
  design: Design;
  values: Values;
  solved: States;
  healthy: States;
  seen: Observed;
  complaint: readonly string[];
  faults: readonly SimulatedFault[];
  line: number;
  directCoupled: boolean;
  swaps: ReadonlyMap<string, 'cured' | 'better'>;
}): SimulatedSet {
  const { options, design } = x;
  const views = {
    enabled: { solved: x.solved.enabled, seen: x.seen },
    quiet: { solved: x.solved.quiet, seen: observe(x.solved.quiet, x.healthy.quiet) },
    disabled: { solved: x.solved.disabled, seen: observe(x.solved.disabled, x.healthy.disabled) },
  };
  const facts = factsOf(design, x.directCoupled);
  return {
    seed: options.seed,
    family: options.family,
    level: options.level,
    condition: x.condition,
    faults: x.faults.map((f) => f.id),
    complaint: x.complaint,
    facts,
    lineVolts: design.lineVolts,
    standard: design.hertz === 50 ? '625' : '525',
    seen: x.seen,
    answer: (check, state = {}) => {
      const row = ANSWERS[check.id];
      if (!row) return undefined;
      const horizontal = check.config.horizontal ?? state.horizontal ?? 'disabled';
      const signal = check.config.signal ?? state.signal ?? 'none';
      const view =
        horizontal === 'disabled' ? views.disabled : signal === 'applied' ? views.enabled : views.quiet;
      const bench = benchOf({
        design,
        values: x.values,
        ...view,
        chance: chanceOf(seedFor(options.seed, `${options.family} reading ${check.id}`)),
        swap: (tube) => x.swaps.get(tube) ?? 'no-change',
        facts,
        lineVolts: x.line,
      });
      try {
        return row(bench);
      } catch (error) {
        // A part that this family does not have cannot be measured.
        if (error instanceof NoSuchComponent) return undefined;
        throw error;
      }
    },
  };
}

function factsOf(d: Design, directCoupled: boolean): Readonly<Record<string, string>> {
  return {
    rectifier: d.rectifier,
    'chassis-board': 'hand-wired',
    'crt-construction': 'glass-coated',
    'ion-trap': 'none',
    hv: 'flyback',
    focus: 'low-v',
    'video-drive': 'cathode',
    'video-coupling': directCoupled ? 'dc' : 'ac',
    sound: 'intercarrier-detector',
    agc: 'gated',
    'line-stage': 'driven',
    'horizontal-sync': 'afc-diodes',
    'vertical-feed': 'boost',
    stacked: d.stacked ? 'yes' : 'no',
    'instant-on': 'no',
    'spot-killer': 'no',
    deflection: '90',
    'set-kind': 'ordinary',
    ...(d.heaters === 'series' ? { 'heater-thermistor': 'fitted', 'heater-diode': 'none' } : {}),
  };
}
