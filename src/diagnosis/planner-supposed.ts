// What would be believed if a sign that nothing accounts for were surely real.
import { posteriorOf } from './infer.ts';
import type { Network } from './network.ts';
import { type OpenPlace, upstream } from './planner-signs.ts';
import { beliefOver } from './planner-tells.ts';
import type { Belief } from './types.ts';

/** A sign that is plain counts as at least this likely real, whatever is believed. */
const SURE = 0.5;
/** A what-if pass stops where nothing changes by more than this. */
const STILL = 1e-4;

/** Variables that feed a sign -> what would be believed of them, over their own states; undefined where the supposition moves nothing. */
export type Supposed = ReadonlyMap<string, Float64Array | undefined>;

/** Chance that there is something behind a sign, 0 to 1. */
export function chanceReal(belief: Belief, { foremost, sure }: OpenPlace): number {
  const wrong = Math.max(0, ...foremost.map((id) => 1 - (belief.signals.get(id)?.normal ?? 1)));
  return Math.max(wrong, sure ? SURE : 0);
}

const realBefore = new WeakMap<Belief, Map<string, Supposed>>();

/** What would be believed of all that feeds these signals if one of them were surely wrong, each as likely as it is now. */
export function ifReal(network: Network, belief: Belief, signals: readonly string[]): Supposed {
  const kept = realBefore.get(belief) ?? new Map<string, Supposed>();
  realBefore.set(belief, kept);
  const key = signals.join(' ');
  const known = kept.get(key);
  if (known) return known;
  const posterior = posteriorOf(network, belief);
  const wrong = signals.flatMap((id) => {
    const node = network.signals.get(id);
    return node ? [{ node, chance: 1 - (belief.signals.get(id)?.normal ?? 1) }] : [];
  });
  const total = wrong.reduce((sum, { chance }) => sum + chance, 0);
  const mixed = new Map<string, Float64Array | undefined>();
  for (const { node, chance } of total > 0 ? wrong : []) {
    const share = chance / total;
    const weights = Float64Array.from(node.levels, (_, level) => (level === 0 ? 0 : 1));
    posterior.suppose({ kind: 'signal', id: node.id, weights }, { still: STILL });
    const where = upstream(network, [node.id]);
    const add = (variable: string, values: Float64Array | undefined): void => {
      const sum = mixed.get(variable) ?? (values && new Float64Array(values.length));
      values?.forEach((value, n) => {
        if (sum) sum[n] = (sum[n] as number) + share * value;
      });
      mixed.set(variable, sum);
    };
    for (const id of where)
      add(`signal:${id}`, posterior.moved('signal', id) ? posterior.signal(id, true) : undefined);
    for (const { id, signals: upset } of network.parts.values())
      if (upset.some((signal) => where.has(signal)))
        add(`part:${id}`, posterior.moved('part', id) ? posterior.part(id, true) : undefined);
  }
  // Where another of the signals is the cause, what that does not move stays as it is.
  for (const [variable, sum] of mixed) {
    const missing = sum ? 1 - sum.reduce((a, b) => a + b, 0) : 0;
    const now = missing > 1e-9 ? beliefOver(network, belief, variable)?.values : undefined;
    if (now)
      sum?.forEach((value, n) => {
        sum[n] = value + missing * (now[n] ?? 0);
      });
  }
  kept.set(key, mixed);
  return mixed;
}
