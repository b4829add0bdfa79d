// What would be believed if a sign that nothing accounts for were surely real.
import { posteriorOf } from './infer.ts';
import type { Network } from './network.ts';
import { type Sign, upstream } from './planner-signs.ts';
import { beliefOver } from './planner-tells.ts';
import type { Belief } from './types.ts';

/** A sign that is plain counts as at least this likely real, whatever is believed. */
const SURE = 0.5;
/** A signal this likely wrong is as good as known to be. */
const TRACED = 0.9;
/** A what-if pass stops where nothing changes by more than this. */
const STILL = 2e-4;

/** What would be believed of one variable that feeds a sign if the sign were surely real. */
export interface IfReal {
  /** Over the states of the variable. */
  readonly values: Float64Array;
  /**
   * Share of its chance to be wrong that has to do with the sign, 0 to 1: what is left of it without the sign is another matter, and a
   * reading of that tells nothing of where the sign comes from.
   */
  readonly share: number;
}

/** Variables that feed a sign and that it bears on -> what would be believed of them. */
export type Supposed = ReadonlyMap<string, IfReal>;

/** Chance that there is something behind a sign, 0 to 1. */
export function chanceReal(belief: Belief, { foremost, sure }: Sign): number {
  return Math.max(chanceWrong(belief, foremost), sure ? SURE : 0);
}

function chanceWrong(belief: Belief, signals: readonly string[]): number {
  return Math.max(0, ...signals.map((id) => 1 - (belief.signals.get(id)?.normal ?? 1)));
}

/**
 * Share of a sign that is left to be accounted for beside the other signs, 0 to 1: what is wrong upstream of all of it shows in it too. Without
 * light there is no picture, and nobody looks for what else keeps it away.
 */
export function leftBeside(network: Network, belief: Belief, sign: Sign, signs: readonly Sign[]): number {
  return signs.reduce((left, other) => {
    const behind = sign.foremost.every((id) =>
      other.foremost.some((place) => place !== id && upstream(network, id).has(place)),
    );
    return behind ? left * (1 - chanceWrong(belief, other.foremost)) : left;
  }, 1);
}

/**
 * Where the causes of these signals being wrong are to be looked for: at the signals farthest upstream that are as good as known to be wrong,
 * at themselves where none is. What lies between is answered already.
 */
export function tracedBack(network: Network, belief: Belief, signals: readonly string[]): readonly string[] {
  const known = (id: string): boolean => chanceWrong(belief, [id]) >= TRACED;
  const found = signals.flatMap((id) => {
    const behind = [...upstream(network, id)].filter((other) => other !== id && known(other));
    const first = behind.filter(
      (other) => !behind.some((next) => next !== other && upstream(network, other).has(next)),
    );
    return first.length > 0 ? first : [id];
  });
  return [...new Set(found)].sort();
}

const realBefore = new WeakMap<Belief, Map<string, Supposed>>();

/** What would be believed of all that feeds these signals if one of them were surely wrong, each as likely as it is now. */
export function ifReal(network: Network, belief: Belief, signals: readonly string[]): Supposed {
  const kept = realBefore.get(belief) ?? new Map<string, Supposed>();
  realBefore.set(belief, kept);
  const key = signals.join(' ');
  const known = kept.get(key);
  if (known) return known;
  const wrong = signals.flatMap((id) => {
    const node = network.signals.get(id);
    return node ? [{ id, chance: 1 - (belief.signals.get(id)?.normal ?? 1) }] : [];
  });
  const total = wrong.reduce((sum, { chance }) => sum + chance, 0);
  const worlds =
    total > 0
      ? wrong.map(({ id, chance }) => ({ share: chance / total, ...apart(network, belief, id, chance) }))
      : [];
  const found = new Map<string, IfReal>();
  for (const variable of new Set(worlds.flatMap(({ real }) => [...real.keys()]))) {
    const now = beliefOver(network, belief, variable)?.values;
    if (!now) continue;
    // Where another of the signals is the cause, what that does not move stays as it is.
    const mix = (of: 'real' | 'normal'): Float64Array =>
      Float64Array.from(now, (value, n) =>
        worlds.reduce((sum, w) => sum + w.share * (w[of].get(variable)?.[n] ?? value), 0),
      );
    const values = mix('real');
    const bad = 1 - (values[0] ?? 1);
    const without = 1 - (mix('normal')[0] ?? 1);
    found.set(variable, { values, share: bad > 0 ? Math.max(0, bad - without) / bad : 0 });
  }
  kept.set(key, found);
  return found;
}

/** What would be believed of variables if a signal were wrong, and if it were right; what that does not move is left out. */
interface Apart {
  readonly real: ReadonlyMap<string, Float64Array>;
  readonly normal: ReadonlyMap<string, Float64Array>;
}

/** All that feeds a signal, itself included: the signals, and the parts that upset any of them. */
function feeding(
  network: Network,
  signal: string,
): { readonly signals: readonly string[]; readonly parts: readonly string[] } {
  const where = upstream(network, signal);
  const parts = [...network.parts.values()].filter((part) => part.signals.some((upset) => where.has(upset)));
  return { signals: [...where], parts: parts.map(({ id }) => id) };
}

const apartBefore = new WeakMap<Belief, Map<string, Apart>>();

/** The same for one signal and all that feeds it, worked out once a belief: signs share signals. */
function apart(network: Network, belief: Belief, signal: string, chance: number): Apart {
  const kept = apartBefore.get(belief) ?? new Map<string, Apart>();
  apartBefore.set(belief, kept);
  const found = kept.get(signal) ?? workedApart(network, belief, signal, chance);
  kept.set(signal, found);
  return found;
}

function workedApart(network: Network, belief: Belief, signal: string, chance: number): Apart {
  const posterior = posteriorOf(network, belief);
  // Supposing the likelier of the two would leave the other to a subtraction of nearly equal numbers.
  const wrongIsRarer = chance <= 0.5;
  const levels = network.signals.get(signal)?.levels ?? [];
  const weights = Float64Array.from(levels, (_, level) => ((level === 0) === wrongIsRarer ? 0 : 1));
  const { signals, parts } = feeding(network, signal);
  const toward = [
    ...signals.map((id) => posterior.variable('signal', id)),
    ...parts.map((id) => posterior.variable('part', id)),
  ].filter((at) => at !== undefined);
  posterior.suppose({ kind: 'signal', id: signal, weights }, { still: STILL, toward });
  const rarer = wrongIsRarer ? chance : 1 - chance;
  const supposed = new Map<string, Float64Array>();
  const rest = new Map<string, Float64Array>();
  const add = (kind: 'signal' | 'part', id: string): void => {
    if (!posterior.moved(kind, id)) return;
    const [then, now] =
      kind === 'signal'
        ? [posterior.signal(id, true), posterior.signal(id)]
        : [posterior.part(id, true), posterior.part(id)];
    supposed.set(`${kind}:${id}`, then);
    rest.set(
      `${kind}:${id}`,
      now.map((value, n) => Math.max(0, (value - rarer * (then[n] ?? 0)) / (1 - rarer))),
    );
  };
  for (const id of signals) add('signal', id);
  for (const id of parts) add('part', id);
  return wrongIsRarer ? { real: supposed, normal: rest } : { real: rest, normal: supposed };
}
