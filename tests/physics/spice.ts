// Runs netlists through ngspice (WebAssembly build) so that the bench arithmetic is checked by a program that is not ours.
import { Simulation } from 'eecircuit-engine';

const simulation = new Simulation();
let started: Promise<void> | undefined;

/** All vectors of one analysis by name (`v(1)`, `i(v1)`, `time`), real analyses only. */
export async function runSpice(netlist: string): Promise<ReadonlyMap<string, readonly number[]>> {
  started ??= simulation.start();
  await started;
  simulation.setNetList(netlist);
  const result = await simulation.runSim();
  if (result.dataType !== 'real') throw new Error('a real analysis was expected');
  return new Map(result.data.map((vector) => [vector.name, vector.values]));
}

/** Node volts of a DC operating point. */
export async function operatingPoint(lines: readonly string[]): Promise<(node: string | number) => number> {
  const vectors = await runSpice(['dc', ...lines, '.op', '.end', ''].join('\n'));
  return (node) => {
    const value = vectors.get(`v(${node})`)?.[0];
    if (value === undefined) throw new Error(`no node ${node}`);
    return value;
  };
}

export interface Statistics {
  readonly mean: number;
  readonly rms: number;
  /** rms without the mean. */
  readonly ripple: number;
}

/** Time-weighted statistics of a vector between two times (trapezoidal, uneven steps). */
export function statistics(
  time: readonly number[],
  values: readonly number[],
  from: number,
  to: number,
): Statistics {
  let span = 0;
  let sum = 0;
  let squares = 0;
  for (let i = 1; i < time.length; i++) {
    const a = time[i - 1] ?? 0;
    const b = time[i] ?? 0;
    if (a < from || b > to) continue;
    const dt = b - a;
    const x = values[i - 1] ?? 0;
    const y = values[i] ?? 0;
    span += dt;
    sum += (dt * (x + y)) / 2;
    squares += (dt * (x * x + x * y + y * y)) / 3;
  }
  const mean = sum / span;
  return {
    mean,
    rms: Math.sqrt(squares / span),
    ripple: Math.sqrt(Math.max(0, squares / span - mean * mean)),
  };
}

/** Keeps the worst deviation of a series of comparisons, for the report at the end of a test. */
export class Worst {
  readonly what: string;
  cases = 0;
  percent = 0;
  where = 'none';

  constructor(what: string) {
    this.what = what;
  }

  /** Relative deviation in percent of `ours` from `theirs`; differences under `floor` count as none. */
  note(where: string, ours: number, theirs: number, floor = 0): number {
    this.cases++;
    const difference = Math.abs(ours - theirs);
    const percent = difference <= floor ? 0 : (100 * difference) / Math.abs(theirs);
    if (percent > this.percent) {
      this.percent = percent;
      this.where = `${where}: ${ours.toPrecision(5)} against ${theirs.toPrecision(5)}`;
    }
    return percent;
  }

  report(): void {
    console.log(`${this.what}: ${this.cases} cases, worst ${this.percent.toFixed(2)} % (${this.where})`);
  }
}
