// The benchmark itself: reads the options, runs what was asked for, prints tables beside the goals or one JSON object.
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { CIRCUIT_FAMILIES, type SimulatedSet } from '../../practice/index.ts';
import { loadRules } from '../../rulebook/index.ts';
import { createEngine } from '../../walk/engine.ts';
import {
  calibrate,
  drawSets,
  isMiss,
  type Planner,
  summarise,
  type WalkScore,
  walkSet,
  weightsFrom,
} from './diagnosis.ts';
import { calibrationTable, diagnosisTable, missLine, timingTable } from './tables.ts';
import { timings } from './timing.ts';

const USAGE = `npm run bench -- [options]
  --sets N       single-fault sets a family (100); half as many double, a quarter dormant
  --family F     one family only: ${CIRCUIT_FAMILIES.join(', ')}
  --only PART    diagnosis or timing
  --level L      only single, double or dormant sets
  --seed N       first seed (1)
  --uniform      every simulated fault equally often, instead of by its prior
  --planner P    only one: planner, all (every answer at once), fixed, random (the last two walk a quarter of the sets)
  --json         one JSON object
`;
const PLANNERS: readonly Planner[] = ['planner', 'all', 'fixed', 'random'];
const FIRST_SEED = { single: 0, double: 100_000, dormant: 200_000 } as const;

/** Runs the benchmark. `root` is the project, `folder` an empty folder that is removed afterwards. */
export async function main(args: string[], at: { root: string; folder: string }): Promise<void> {
  const { values } = parseArgs({
    args,
    options: {
      sets: { type: 'string', default: '100' },
      family: { type: 'string' },
      only: { type: 'string' },
      level: { type: 'string' },
      seed: { type: 'string', default: '1' },
      uniform: { type: 'boolean', default: false },
      planner: { type: 'string' },
      json: { type: 'boolean', default: false },
      help: { type: 'boolean', default: false },
    },
  });
  if (values.help) {
    process.stdout.write(USAGE);
    return;
  }
  const count = Number(values.sets);
  const seed = Number(values.seed);
  if (!Number.isInteger(count) || count < 1 || !Number.isInteger(seed))
    throw new Error('--sets and --seed take whole numbers');
  const { book } = loadRules(join(at.root, 'rules'));
  if (!book) throw new Error('the rule pack has errors: see `first-raster rules --check rules`');
  const engine = createEngine(book);
  const print = (text: string): void => {
    if (!values.json) process.stdout.write(`${text}\n`);
  };
  const result: Record<string, unknown> = {
    rules: book.hash.slice(0, 12),
    seeds: { from: seed, sets: count },
  };
  if (values.only !== 'diagnosis') {
    const rows = await timings(book, engine, at.folder);
    result.timing = rows;
    print(timingTable(rows));
  }
  if (values.only !== 'timing') {
    const families = values.family ? [values.family] : CIRCUIT_FAMILIES;
    const all: WalkScore[] = [];
    const walked = (planner: Planner, set: SimulatedSet): WalkScore => {
      const score = walkSet(engine, set, planner);
      if (planner === (values.planner ?? 'planner') && isMiss(score.ranks)) print(missLine(score));
      return score;
    };
    result.diagnosis = {};
    for (const family of families) {
      const scores: WalkScore[] = [];
      const weights = { recapped: weightsFrom(book, 'recapped'), none: weightsFrom(book, 'none') };
      for (const [level, share] of [
        ['single', 1],
        ['double', 0.5],
        ['dormant', 0.25],
      ] as const) {
        if (values.level && values.level !== level) continue;
        const number = Math.max(1, Math.round(count * share));
        const first = seed + FIRST_SEED[level];
        const sets = await drawSets(
          family,
          level,
          number,
          first,
          values.uniform ? {} : { weights: level === 'dormant' ? weights.none : weights.recapped },
        );
        const planners = values.planner
          ? PLANNERS.filter((p) => p === values.planner)
          : level === 'dormant'
            ? PLANNERS.slice(0, 2)
            : PLANNERS;
        for (const planner of planners)
          for (const set of sets.slice(
            0,
            planner === 'planner' || planner === 'all' ? undefined : Math.ceil(number / 4),
          ))
            scores.push(walked(planner, set));
        process.stderr.write(`${family} ${level}: seeds ${first} to ${first + number - 1}\n`);
      }
      (result.diagnosis as Record<string, unknown>)[family] = summaries(scores);
      print(diagnosisTable(family, scores));
      all.push(...scores);
    }
    const own = all.filter((s) => s.planner === (values.planner ?? 'planner'));
    result.calibration = calibrate(own.filter((s) => s.set.level !== 'dormant'));
    print(calibrationTable(calibrate(own.filter((s) => s.set.level === 'single'))));
    result.misses = own
      .filter((s) => isMiss(s.ranks))
      .map((s) => ({
        seed: s.set.seed,
        family: s.set.family,
        faults: s.set.faults,
        ranks: s.ranks,
        leader: s.leader,
        minutes: s.minutes,
        reason: s.reason,
        end: s.end,
        against: s.against,
      }));
  }
  if (values.json) process.stdout.write(`${JSON.stringify(result)}\n`);
}

function summaries(scores: readonly WalkScore[]): Record<string, unknown> {
  const groups = new Map<string, WalkScore[]>();
  for (const s of scores) {
    const key = `${s.set.level} ${s.planner}`;
    groups.set(key, [...(groups.get(key) ?? []), s]);
  }
  return Object.fromEntries([...groups].map(([key, list]) => [key, summarise(list)]));
}
