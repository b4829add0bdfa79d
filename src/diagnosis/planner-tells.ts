// What one read of a check can tell: the variable it bears on, what is believed of that, and how far its method has spoken already.
import type { Check, Read } from '../rulebook/types.ts';
import type { OutcomeTable } from './information.ts';
import type { Network } from './network.ts';
import type { Belief, Evidence } from './types.ts';

/** Variable name of a read. */
export function variableOf(read: Read): string {
  return read.part ? `part:${read.part}` : `signal:${read.signal ?? ''}`;
}

const variablesBefore = new WeakMap<Check, readonly string[]>();

/** Variable names of all reads of a check, in their order. */
export function variablesOf(check: Check): readonly string[] {
  const known = variablesBefore.get(check);
  if (known) return known;
  const made = check.reads.map(variableOf);
  variablesBefore.set(check, made);
  return made;
}

/** Variable and method -> checks that have spoken on it. */
export type MethodsDone = ReadonlyMap<string, ReadonlySet<string>>;

/** By which methods the variables have been read. */
export function methodsDone(evidence: readonly Evidence[]): MethodsDone {
  const done = new Map<string, Set<string>>();
  for (const e of evidence) {
    const key = `${e.variable} ${e.method}`;
    done.set(key, (done.get(key) ?? new Set()).add(e.check));
  }
  return done;
}

/** A method counts once per variable: the n-th check by it has 1/n of the say, so about 1/n^2 of the information. */
export function sayOf(check: Check, variable: string, done: MethodsDone): number {
  const others = done.get(`${variable} ${check.method}`);
  return 1 / ((others ? others.size - (others.has(check.id) ? 1 : 0) : 0) + 1) ** 2;
}

/** A distribution over the named states of a variable. */
export interface OverStates {
  readonly names: readonly string[];
  readonly values: ArrayLike<number>;
}

/** What is believed of a variable; undefined if this set does not have it. */
export function beliefOver(network: Network, belief: Belief, variable: string): OverStates | undefined {
  if (variable.startsWith('signal:')) {
    const id = variable.slice(7);
    const node = network.signals.get(id);
    const now = belief.signals.get(id);
    if (!node || !now) return undefined;
    return { names: node.levels, values: node.levels.map((l) => now[l]) };
  }
  const node = network.parts.get(variable.slice(5));
  const now = belief.parts.get(variable.slice(5));
  if (!node || !now) return undefined;
  return { names: node.states, values: node.states.map((s) => now[s] ?? 0) };
}

/** A distribution over a variable's states in the order of an outcome table; faults it does not name count as `ok`. */
export function arranged(
  table: OutcomeTable,
  { names }: OverStates,
  values: ArrayLike<number>,
): Float64Array {
  const out = new Float64Array(table.states.length);
  const whole = table.states.indexOf('ok');
  names.forEach((name, i) => {
    const at = table.states.indexOf(name);
    const to = at >= 0 ? at : whole;
    if (to >= 0) out[to] = (out[to] as number) + (values[i] ?? 0);
  });
  return out;
}
