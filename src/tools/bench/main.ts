// The benchmark itself: reads the options, runs what was asked for, prints tables beside the goals or one JSON object.
import { availableParallelism } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { CIRCUIT_FAMILIES } from '../../practice/index.ts';
import { loadRules } from '../../rulebook/index.ts';
import { createEngine } from '../../walk/engine.ts';
import type { Planner, WalkScore } from './diagnosis.ts';
import { runTasks, serve, type Task } from './pool.ts';
import { machineLine, measuredTable, publishedRows, startRows, withstoodRows } from './program.ts';
import type { RepairScore } from './repairs.ts';
import { analyseMisses, calibrate, isMiss, summarise, summariseRepairs } from './scores.ts';
import {
  analysisTable,
  calibrationTable,
  comparisonTable,
  diagnosisTable,
  missLine,
  timingTable,
} from './tables.ts';
import { timings } from './timing.ts';

const USAGE = `npm run bench -- [options]
  --sets N       single-fault sets a family (100); half as many double and mixed, a quarter dormant
  --family F     one family only: ${CIRCUIT_FAMILIES.join(', ')}
  --only PART    diagnosis, timing, or program (start beside a bare program, published repairs, kills and random keys)
  --level L      only single, double, dormant or mixed sets; mixed = every fault by its own prior: none, one or several
  --seed N       first seed (1)
  --uniform      every simulated fault equally often, instead of by its prior (not on mixed sets)
  --planner P    only these, with commas: planner, all (every answer at once), batch, fixed, random (without it these three walk a quarter of
                 the sets); several are compared past their stop rule
  --repairs      several faults only: every set is repaired as its walk says and gone on with, and walked in no other way
  --workers N    threads (2, or the cores there are)
  --json         one JSON object

Every fourth set is also walked batch by batch, in the order of the tree and in a random one; all go on there after their stop rule:
compare minutes to isolation on these. Double and dormant sets are walked again with repairs (a quarter of them).
`;
const PLANNERS: readonly Planner[] = ['planner', 'all', 'batch', 'fixed', 'random'];
const FIRST_SEED = { single: 0, double: 100_000, dormant: 200_000, mixed: 300_000 } as const;

const PARTS = ['diagnosis', 'timing', 'program'] as const;
const LEVELS = ['single', 'double', 'dormant', 'mixed'] as const;
/** Sets of a level for each single-fault set. */
const SHARE = { single: 1, double: 0.5, dormant: 0.25, mixed: 0.5 } as const;
/** Levels whose stated chances are held against what was in the sets; only on mixed ones are the faults as many as the rules expect. */
const JUDGED = ['single', 'mixed'] as const;
/** Levels where every order is tried. */
const ORDERED: readonly Task['level'][] = ['single', 'double'];
/** Levels that are repaired and gone on with. */
const REPAIRED: readonly Task['level'][] = ['double', 'dormant'];
/** One set in so many is walked in every order, past its stop, and with repairs. */
const EVERY = 4;

/** Refuses a word that is none of `known`. */
function oneOf(option: string, value: string | undefined, known: readonly string[]): void {
  if (value !== undefined && !known.includes(value))
    throw new Error(`${option} ${value}: it takes one of ${known.join(', ')}`);
}

function tasksOf(
  family: string,
  level: Task['level'],
  count: number,
  seed: number,
  uniform: boolean,
  only: readonly Planner[] | undefined,
  repairsOnly: boolean,
): Task[] {
  return Array.from({ length: count }, (_, n) => {
    const thorough = n % EVERY === 0;
    const planners =
      only ?? PLANNERS.filter((p) => p === 'planner' || p === 'all' || (thorough && ORDERED.includes(level)));
    return {
      family,
      level,
      seed: seed + FIRST_SEED[level] + n,
      uniform,
      planners,
      stopFree: only ? only.length > 1 : thorough,
      repairs: REPAIRED.includes(level) && (repairsOnly || (thorough && !only)),
    };
  });
}

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
      repairs: { type: 'boolean', default: false },
      workers: { type: 'string', default: String(Math.min(2, availableParallelism())) },
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
  oneOf('--family', values.family, CIRCUIT_FAMILIES);
  oneOf('--level', values.level, LEVELS);
  const asked = values.planner?.split(',');
  for (const word of asked ?? []) oneOf('--planner', word, PLANNERS);
  if (asked && values.repairs) throw new Error('--repairs walks in no order of its own: leave out --planner');
  const only = values.repairs ? [] : asked && PLANNERS.filter((p) => asked.includes(p));
  oneOf('--only', values.only, PARTS);
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
  result.machine = machineLine();
  print(machineLine());
  if (values.only === undefined || values.only === 'program') {
    const rows = [
      ...(await startRows(at.root, at.folder)),
      ...publishedRows(engine, at.root),
      ...withstoodRows(at.root),
    ];
    result.program = rows;
    print(measuredTable(rows));
  }
  if (values.only === undefined || values.only === 'timing') {
    const rows = await timings(book, engine, at.folder);
    result.timing = rows;
    print(timingTable(rows));
  }
  if (values.only === undefined || values.only === 'diagnosis') {
    const families = values.family ? [values.family] : CIRCUIT_FAMILIES;
    const levels = LEVELS.filter(
      (l) => (!values.level || values.level === l) && !(values.repairs && !REPAIRED.includes(l)),
    );
    const all: WalkScore[] = [];
    const swaps: { level: Task['level']; score: RepairScore }[] = [];
    const byFamily: Record<string, unknown> = {};
    const own = only?.[0] ?? 'planner';
    for (const family of families) {
      const tasks = levels.flatMap((level) =>
        tasksOf(
          family,
          level,
          Math.max(1, Math.round(count * SHARE[level])),
          seed,
          values.uniform,
          only,
          values.repairs,
        ),
      );
      const scores: WalkScore[] = [];
      const repairs: { level: Task['level']; score: RepairScore }[] = [];
      await runTasks(at.root, tasks, Number(values.workers), (done) => {
        scores.push(...done.scores);
        if (done.repair) {
          repairs.push({ level: done.task.level, score: done.repair });
          if (done.repair.left.length > 0) print(leftLine(done.task, done.repair));
        }
        for (const score of done.scores)
          if (score.planner === own && isMiss(score.ranks)) print(missLine(score));
      });
      for (const level of levels) {
        const seeds = tasks.filter((t) => t.level === level).map((t) => t.seed);
        print(`${family} ${level}: seeds ${seeds[0]} to ${seeds[seeds.length - 1]}`);
      }
      byFamily[family] = {
        ...summaries(scores),
        repairs: repairSummaries(levels, repairs),
      };
      print(diagnosisTable(family, scores, repairs));
      all.push(...scores);
      swaps.push(...repairs);
    }
    if (families.length > 1) {
      result.together = { ...summaries(all), repairs: repairSummaries(levels, swaps) };
      print(diagnosisTable('all families', all, swaps));
    }
    print(comparisonTable(all));
    const judged = all.filter((s) => s.planner === own);
    const misses = analyseMisses(judged);
    result.diagnosis = byFamily;
    const calibrations = JUDGED.flatMap((level) => {
      const own = judged.filter((s) => s.set.level === level);
      return own.length > 0 ? [[level, calibrate(own)] as const] : [];
    });
    result.calibration = Object.fromEntries(calibrations);
    for (const [level, found] of calibrations) print(calibrationTable(level, found));
    if (judged.length > 0) print(analysisTable(misses));
    result.misses = { ...misses, walks: judged.filter((s) => isMiss(s.ranks)) };
  }
  if (values.json) process.stdout.write(`${JSON.stringify(result)}\n`);
}

/** What repairing as the walk says left in a set. */
function leftLine({ family, level, seed }: Task, { left, quiet, wrong, end }: RepairScore): string {
  const told = quiet > 0 ? ' (the owner notices nothing)' : '';
  return `  left ${family} ${level} ${seed}: ${left.join(', ')}${told}; good parts swapped: ${wrong}; ${end}`;
}

function repairSummaries(
  levels: readonly Task['level'][],
  repairs: readonly { level: Task['level']; score: RepairScore }[],
): Record<string, unknown> {
  return Object.fromEntries(
    levels.map((l) => [l, summariseRepairs(repairs.filter((r) => r.level === l).map((r) => r.score))]),
  );
}

function summaries(scores: readonly WalkScore[]): Record<string, unknown> {
  const groups = new Map<string, WalkScore[]>();
  for (const s of scores) {
    const key = `${s.set.level} ${s.planner}`;
    groups.set(key, [...(groups.get(key) ?? []), s]);
  }
  return Object.fromEntries([...groups].map(([key, list]) => [key, summarise(list)]));
}

// The same bundle is what each worker thread runs.
serve();
