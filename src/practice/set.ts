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

/** How many faults: none, one, two, three to five; `mixed` = each by its own chance, so none, one or several. */
export type Level = 'healthy' | 'single' | 'double' | 'dormant' | 'mixed';

export interface DrawOptions {
  readonly seed: number;
  readonly family: string;
  readonly level: Level;
  /** Condition before the faults; `dormant` level implies the dormant one. */
  readonly condition?: Condition;
  /** How often each fault is drawn, relative; one a fault if left out. Ids that are missing count 0. On `mixed`, the chance of each, and needed. */
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
  /** What an owner would complain of now, after repairs too. */
  readonly troubles: readonly string[];
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
  /** The same set with good parts in these places (`section.part`); a place that was good stays as it was. Some 0.2 s. */
  repaired(parts: readonly string[]): Promise<SimulatedSet>;
  /** What the set does with everything connected and a signal applied. */
  readonly seen: Observed;
}

/** Sets with metal rectifiers that still have their stacks, with printed boards, with a picture tube of the early fifties (common practice, no source). */
const SELENIUM_SHARE = 0.25;
const PRINTED_SHARE = 0.3;
const OLDER_TUBE_SHARE = 0.3;
/** Most faults that are drawn again because nothing shows. */
const TRIES = 25;

/** Draws and solves a set: about 0.2 s a try. Throws for a family without circuits or an unknown `fault`. */
export async function drawSet(options: DrawOptions): Promise<SimulatedSet> {
  const { set, finish } = await beginSet(options);
  await finish();
  return set;
}

/**
 * Draws a set as far as a first look needs it. Until `finish` has been awaited, answers to readings with the stage disabled
 * or without a signal come from the running set: good enough for looks and cold checks, which come first at any bench.
 */
export async function beginSet(
  options: DrawOptions,
): Promise<{ readonly set: SimulatedSet; readonly finish: () => Promise<void> }> {
  const chance = chanceOf(seedFor(options.seed, options.family));
  const condition = options.condition ?? (options.level === 'dormant' ? 'dormant' : 'recapped');
  const stacked = chance.happens(0.5);
  // Streams of their own: which rectifiers and boards a set has changes nothing else about it.
  const built = (what: string, share: number): boolean =>
    chanceOf(seedFor(options.seed, `${options.family} ${what}`)).happens(share);
  const selenium = built('selenium', SELENIUM_SHARE);
  const design = designOf(options.family, {
    stacked,
    selenium,
    printed: built('printed', PRINTED_SHARE),
    olderTube: built('older tube', OLDER_TUBE_SHARE),
  });
  const directCoupled = chance.happens(0.5);
  const lineVolts = design.lineVolts * (1 + chance.normal(0.004));
  const base = drawValues(partsList(design), options.seed, condition);
  const solve: Solve = (values, configuration) =>
    solveSet(design, values, configuration, { lineVolts, directCoupled });
  const healthy = await solve(base, RUNNING);
  const pool = faultsFor(design).filter((f) => possible(f, directCoupled));
  const draw = (): readonly SimulatedFault[] => {
    if (options.fault) return [named(pool, options.fault)];
    if (options.level === 'mixed') return drawByChance(pool, chance, options.weights);
    return drawFaults(pool, count, chance, options.weights);
  };
  const count = options.level === 'mixed' ? 0 : faultCount(options.level, chance);
  for (let attempt = 0; ; attempt += 1) {
    const faults = draw();
    const severity = chanceOf(seedFor(options.seed, `severity ${attempt}`));
    const values: Record<string, number> = { ...base };
    const changes = faults.map((fault) => {
      const change = fault.change(values, severity, design);
      Object.assign(values, change);
      return { id: fault.id, change };
    });
    const running = faults.length === 0 ? healthy : await solve(values, RUNNING);
    const seen = observe(running, healthy);
    const complaint = complaintsOf(running, seen);
    // A fault that nobody sees or hears brings no set to the bench; where chances are to be kept as they are, such sets stay.
    const chosen = options.fault !== undefined || options.level === 'mixed';
    if (faults.length > 0 && complaint.length === 0 && attempt < TRIES && !chosen) continue;
    const drawn: Drawn = {
      options,
      condition,
      design,
      base,
      values,
      healthy,
      running: { solved: running, seen },
      complaint,
      changes,
      lineVolts,
      directCoupled,
      solve,
      quiet: undefined,
      disabled: undefined,
      listening: undefined,
      swaps: new Map(),
    };
    return { set: simulated(drawn), finish: () => finished(drawn) };
  }
}

const RUNNING: Configuration = { horizontal: 'enabled', signal: 'applied' };
const QUIET: Configuration = { horizontal: 'enabled', signal: 'none' };
const DISABLED: Configuration = { horizontal: 'disabled', signal: 'none' };
/** Without a picture there is still sound to listen to. */
const LISTENING: Configuration = { horizontal: 'disabled', signal: 'applied' };

type Solve = (values: Values, configuration: Configuration) => Promise<Solved>;

interface Seen {
  readonly solved: Solved;
  readonly seen: Observed;
}

/** Everything known of a drawn set; the configurations that wait for `finished` are filled in by it. */
interface Drawn {
  readonly options: DrawOptions;
  readonly condition: Condition;
  readonly design: Design;
  readonly base: Values;
  readonly values: Values;
  readonly healthy: Solved;
  readonly running: Seen;
  readonly complaint: readonly string[];
  /** Faults that are still in it, with the components that each changed. */
  readonly changes: readonly { readonly id: string; readonly change: Values }[];
  readonly lineVolts: number;
  readonly directCoupled: boolean;
  readonly solve: Solve;
  quiet: Seen | undefined;
  disabled: Seen | undefined;
  listening: Seen | undefined;
  swaps: ReadonlyMap<string, 'cured' | 'better'>;
}

/** Solves the other configurations and the tube swaps; keys are taken between two solutions. */
async function finished(x: Drawn): Promise<void> {
  const { solve } = x;
  const seenIn = async (configuration: Configuration): Promise<Seen> => {
    const sound = await solve(x.base, configuration);
    await pause();
    const solved = x.values === x.base ? sound : await solve(x.values, configuration);
    await pause();
    return { solved, seen: observe(solved, sound) };
  };
  x.disabled = await seenIn(DISABLED);
  x.quiet = await seenIn(QUIET);
  x.listening = await seenIn(LISTENING);
  x.swaps = await swapsOf(x);
}

/** The set after good parts went in; its owner's complaint stays what it was. */
async function withGoodParts(x: Drawn, parts: readonly string[]): Promise<SimulatedSet> {
  const changes = x.changes.filter((c) => !parts.includes(partOf(c.id)));
  const values = changes.length === 0 ? x.base : Object.assign({}, x.base, ...changes.map((c) => c.change));
  const solved = await x.solve(values, RUNNING);
  const running = { solved, seen: observe(solved, x.healthy) };
  const drawn: Drawn = { ...x, changes, values, running, swaps: new Map() };
  await finished(drawn);
  return simulated(drawn);
}

const pause = (): Promise<void> => new Promise((resolve) => setImmediate(resolve));

function faultCount(level: Exclude<Level, 'mixed'>, chance: Chance): number {
  const fixed = { healthy: 0, single: 1, double: 2 } as const;
  return level === 'dormant' ? 3 + Math.floor(chance.between(0, 3)) : fixed[level];
}

/** A fault of a circuit that this set does not have cannot be in it. */
function possible(fault: SimulatedFault, directCoupled: boolean): boolean {
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

/** Each part bad or not by itself, in one way at most. */
function drawByChance(
  pool: readonly SimulatedFault[],
  chance: Chance,
  chances: ReadonlyMap<string, number> | undefined,
): readonly SimulatedFault[] {
  if (!chances) throw new Error('a mixed set needs the chance of each fault');
  return [...new Set(pool.map((f) => partOf(f.id)))].flatMap((part) => {
    let left = chance.next();
    const found = pool.find((f) => {
      if (partOf(f.id) !== part) return false;
      left -= chances.get(f.id) ?? 0;
      return left < 0;
    });
    return found ? [found] : [];
  });
}

/** `section.part` of a fault id. */
export const partOf = (fault: string): string => fault.slice(0, fault.indexOf('/'));

/** What a known-good tube in each bad tube's place does; good tubes in place of good ones change nothing. */
async function swapsOf(x: Drawn): Promise<ReadonlyMap<string, 'cured' | 'better'>> {
  const { base, values, solve } = x;
  const now = complaintsOf(x.running.solved, x.running.seen);
  const result = new Map<string, 'cured' | 'better'>();
  for (const [tube] of Object.values(SWAPS)) {
    const names = Object.keys(values).filter(
      (n) => n.startsWith(`${tube}.`) || (tube === 'damper-boost.tube' && n === 'damper-boost.insulation'),
    );
    if (names.every((n) => values[n] === base[n])) continue;
    const repaired: Record<string, number> = { ...values };
    for (const n of names) repaired[n] = base[n] ?? repaired[n] ?? 0;
    const solved = await solve(repaired, RUNNING);
    await pause();
    const left = complaintsOf(solved, observe(solved, x.healthy));
    if (left.length === 0) result.set(tube, 'cured');
    else if (left.length < now.length || left[0] !== now[0]) result.set(tube, 'better');
  }
  return result;
}

function simulated(x: Drawn): SimulatedSet {
  const { options, design } = x;
  const facts = factsOf(design, x.directCoupled);
  return {
    seed: options.seed,
    family: options.family,
    level: options.level,
    condition: x.condition,
    faults: x.changes.map((f) => f.id),
    complaint: x.complaint,
    troubles: complaintsOf(x.running.solved, x.running.seen),
    facts,
    lineVolts: design.lineVolts,
    standard: design.hertz === 50 ? '625' : '525',
    seen: x.running.seen,
    repaired: (parts) => withGoodParts(x, parts),
    answer: (check, state = {}) => {
      const row = ANSWERS[check.id];
      if (!row) return undefined;
      const horizontal = check.config.horizontal ?? state.horizontal ?? 'disabled';
      const signal = check.config.signal ?? state.signal ?? 'none';
      const applied = signal === 'applied';
      const view =
        (horizontal === 'disabled' ? (applied ? x.listening : x.disabled) : applied ? x.running : x.quiet) ??
        x.running;
      const bench = benchOf({
        design,
        values: x.values,
        ...view,
        chance: chanceOf(seedFor(options.seed, `${options.family} reading ${check.id}`)),
        swap: (tube) => x.swaps.get(tube) ?? 'no-change',
        facts,
        lineVolts: x.lineVolts,
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
    'chassis-board': d.chassisBoard,
    'crt-construction': 'glass-coated',
    'ion-trap': d.olderTube ? 'fitted' : 'none',
    hv: 'flyback',
    focus: d.olderTube ? 'magnetic-pm' : 'low-v',
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
    deflection: d.olderTube ? '50-70' : '90',
    'set-kind': 'ordinary',
    ...(d.heaters === 'series' ? { 'heater-thermistor': 'fitted', 'heater-diode': 'none' } : {}),
  };
}
