// The circuit simulator, loaded when the first simulated set is solved and never before: start-up must not pay for it.

/** Vectors of one analysis by name (`v(bp)`, `i(vs)`, `time`). */
export type Vectors = ReadonlyMap<string, readonly number[]>;

interface Simulator {
  setNetList(text: string): void;
  runSim(): Promise<{
    readonly dataType: string;
    readonly data: readonly { readonly name: string; readonly values: unknown }[];
  }>;
}

/** The simulator frees nothing between runs: a fresh one takes over before its memory is full. */
const RUNS_EACH = 400;

let loading: Promise<Simulator> | undefined;
let runs = 0;
/** One analysis at a time: the simulator keeps one netlist. */
let queue: Promise<unknown> = Promise.resolve();

async function load(): Promise<Simulator> {
  const { Simulation } = await import('eecircuit-engine');
  const simulation = new Simulation();
  await simulation.start();
  return simulation;
}

/** Runs one netlist (first line is its title). Throws when the simulator finds no solution. */
export function runNetlist(lines: readonly string[]): Promise<Vectors> {
  const run = async (): Promise<Vectors> => {
    if (runs >= RUNS_EACH) {
      loading = undefined;
      runs = 0;
    }
    runs += 1;
    loading ??= load();
    const simulator = await loading;
    simulator.setNetList(lines.join('\n'));
    const result = await quietly(() => simulator.runSim());
    if (result.dataType !== 'real') throw new Error('the simulator gave no real-valued analysis');
    return new Map(result.data.map((v) => [v.name, v.values as number[]]));
  };
  const mine = queue.then(run, run);
  queue = mine.catch(() => undefined);
  return mine;
}

/** The simulator tells the console how it converges; a full-screen program must not have that on its screen. */
async function quietly<T>(run: () => Promise<T>): Promise<T> {
  const loud = console.error;
  console.error = (...words: unknown[]) => {
    if (typeof words[0] !== 'string' || !/^(Note|Warning|Doing|Using|\s*$)/.test(words[0])) loud(...words);
  };
  try {
    return await run();
  } finally {
    console.error = loud;
  }
}
