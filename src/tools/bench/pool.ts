// Simulated sets walked on all the cores that may be used: each worker draws a set, walks it with every planner asked for, and sends the scores.
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parentPort, Worker, workerData } from 'node:worker_threads';
import { drawSet, type Level } from '../../practice/index.ts';
import { loadRules } from '../../rulebook/index.ts';
import { createEngine, type Engine } from '../../walk/engine.ts';
import { batched } from './batch.ts';
import { type Planner, type WalkScore, walkSet, weightsFrom } from './diagnosis.ts';
import { maskedParts, type RepairScore, repairAndContinue } from './repairs.ts';

/** One set to draw, and how to walk it. */
export interface Task {
  readonly family: string;
  readonly level: Exclude<Level, 'healthy'>;
  readonly seed: number;
  /** Every simulated fault equally often, instead of by its prior. */
  readonly uniform: boolean;
  readonly planners: readonly Planner[];
  /** Walks go on after the stop rule. */
  readonly stopFree: boolean;
  /** Swap what is believed and go on. */
  readonly repairs: boolean;
}

export interface Done {
  readonly task: Task;
  readonly scores: readonly WalkScore[];
  readonly repair: RepairScore | undefined;
}

/** The engine as users have it, and one with the other planner that is compared with it. */
interface Engines {
  readonly engine: Engine;
  readonly batch: Engine;
}

async function run({ engine, batch }: Engines, task: Task): Promise<Done> {
  const { family, level, seed } = task;
  const weights = weightsFrom(engine.book, level === 'dormant' ? 'none' : 'recapped');
  const set = await drawSet({
    seed,
    family,
    level,
    ...(task.uniform && level !== 'mixed' ? {} : { weights }),
  });
  const masked = await maskedParts(engine, set);
  return {
    task,
    scores: task.planners.map((planner) =>
      walkSet(planner === 'batch' ? batch : engine, set, planner, {
        stopFree: task.stopFree && planner !== 'all',
        masked,
      }),
    ),
    repair: task.repairs ? await repairAndContinue(engine, set) : undefined,
  };
}

function enginesOf(root: string): Engines {
  const { book } = loadRules(join(root, 'rules'));
  if (!book) throw new Error('the rule pack has errors: see `first-raster rules --check rules`');
  return { engine: createEngine(book), batch: createEngine(book, { arrange: batched }) };
}

/** Runs all tasks on `workers` threads; `onDone` is called as they come in. Rejects with the first failure. */
export async function runTasks(
  root: string,
  tasks: readonly Task[],
  workers: number,
  onDone: (done: Done) => void,
): Promise<void> {
  const queue = [...tasks];
  const one = (): Promise<void> =>
    new Promise((resolve, reject) => {
      const worker = new Worker(fileURLToPath(import.meta.url), { workerData: { benchRoot: root } });
      const next = (): void => {
        const task = queue.shift();
        if (task) worker.postMessage(task);
        else worker.terminate().then(() => resolve(), reject);
      };
      worker.on('message', (done: Done) => {
        onDone(done);
        next();
      });
      worker.on('error', reject);
      next();
    });
  await Promise.all(Array.from({ length: Math.min(workers, tasks.length) }, one));
}

/** In a worker: answers tasks until the main thread ends it. */
export function serve(): boolean {
  const root = (workerData as { benchRoot?: string } | null)?.benchRoot;
  if (!parentPort || root === undefined) return false;
  const port = parentPort;
  const engines = enginesOf(root);
  port.on('message', (task: Task) => {
    run(engines, task).then(
      (done) => port.postMessage(done),
      (error: unknown) => {
        // Thrown outside the promise, so that the main thread hears of it.
        setImmediate(() => {
          throw error;
        });
      },
    );
  });
  return true;
}
