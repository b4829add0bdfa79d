// Diagnosis on simulated sets: isolation, minutes and calibration of the walk, beside the fixed order of the tree and a random order.
import type { DrawOptions, Level, SimulatedSet } from '../../practice/index.ts';
import { drawSet, partOf, setFactsOf } from '../../practice/index.ts';
import { chanceOf, seedFor } from '../../practice/random.ts';
import { factsOf, holds } from '../../rulebook/facts.ts';
import type { Rulebook } from '../../rulebook/types.ts';
import type { Engine } from '../../walk/engine.ts';
import { type Answerer, evaluateAll, evaluateWalk, type WalkResult } from '../../walk/evaluate.ts';
import type { WalkView } from '../../walk/types.ts';

/** `all` = every answer at once, gates and order aside: what the rules could find at best. */
export type Planner = 'planner' | 'fixed' | 'random' | 'all';

export interface WalkScore {
  readonly set: SimulatedSet;
  readonly planner: Planner;
  readonly minutes: number;
  readonly readings: number;
  /** Place of each true part among the suspects, from 1; 0 = no suspect. */
  readonly ranks: readonly number[];
  /** Minutes from which all true parts are in the first n + 2 and stay; undefined = never. */
  readonly isolatedAfter: number | undefined;
  /** Of every ranked part: stated probability, and whether it was bad. */
  readonly stated: readonly { readonly p: number; readonly bad: boolean }[];
  readonly leader: string;
  readonly leaderProbability: number;
  /** P(part bad) at the end of each true part. */
  readonly probabilities: readonly number[];
  readonly end: string;
  /** Kind of end by the stop rule: isolated, nothing-found, exhausted, core-failed; `none` for a walk that was cut off. */
  readonly reason: string;
  /** Readings that spoke against a true part that is not in front, worst first, with the log-odds that they took. */
  readonly against: readonly { readonly check: string; readonly answer: string; readonly weight: number }[];
  readonly unanswered: readonly string[];
  readonly refused: WalkResult['refused'];
}

/** A part test under this probability is left out of the fixed order. */
const FIXED_SKIP = 0.03;
/** A walk ends here at the latest. */
const MOST_MINUTES = 600;

/** How often each fault comes to the bench, by the priors of the rule pack for the set's condition: only which sets are drawn. */
export function weightsFrom(book: Rulebook, condition: 'recapped' | 'none'): ReadonlyMap<string, number> {
  return new Map(
    book.parts.flatMap((part) =>
      part.faults.map((fault) => [`${part.id}/${fault.id}`, fault.prior[condition]] as const),
    ),
  );
}

/** Draws the sets of one level; seeds run on from `first`. */
export async function drawSets(
  family: string,
  level: Level,
  count: number,
  first: number,
  options: Pick<DrawOptions, 'weights'>,
): Promise<SimulatedSet[]> {
  const sets: SimulatedSet[] = [];
  for (let n = 0; n < count; n += 1) sets.push(await drawSet({ seed: first + n, family, level, ...options }));
  return sets;
}

/** Walks one set with one planner. */
export function walkSet(engine: Engine, set: SimulatedSet, planner: Planner): WalkScore {
  const truth = new Set(set.faults.map(partOf));
  if (planner === 'all') return scoreOf(engine, set, planner, everything(engine, set), undefined);
  const answer: Answerer = (check, view) => set.answer(check, view.state.config);
  let isolatedAfter: number | undefined;
  const result = evaluateWalk(
    engine,
    { set: setFactsOf(set), instruments: engine.book.instruments.map((i) => i.id) },
    answer,
    {
      mostMinutes: MOST_MINUTES,
      ...(planner === 'planner' ? {} : { choose: chooserOf(engine, set, planner) }),
      onReading: (view, minutes) => {
        const inside = [...truth].every((part) => {
          const rank = rankOf(view, part);
          return rank > 0 && rank <= truth.size + 2;
        });
        if (!inside) isolatedAfter = undefined;
        else isolatedAfter ??= minutes;
      },
    },
  );
  return scoreOf(engine, set, planner, result, isolatedAfter);
}

function everything(engine: Engine, set: SimulatedSet): WalkResult {
  const facts = setFactsOf(set);
  const known = factsOf(engine.book, facts);
  const answers = new Map(
    engine.book.checks
      .filter((check) => holds(check.when, known))
      .flatMap((check) => {
        const text = set.answer(check, { horizontal: 'enabled', signal: 'applied' });
        return text === undefined
          ? []
          : [[check.id, [{ text, instrument: '', lineVolts: undefined, note: '' }]] as const];
      }),
  );
  const instruments = engine.book.instruments.map((i) => i.id);
  return evaluateAll(
    engine,
    { name: facts.name, set: facts, instruments, gates: 'assumed', answers, truth: set.faults },
    { explained: false },
  );
}

function scoreOf(
  engine: Engine,
  set: SimulatedSet,
  planner: Planner,
  result: WalkResult,
  isolatedAfter: number | undefined,
): WalkScore {
  const truth = new Set(set.faults.map(partOf));
  const { view } = result;
  const named = view.suspects.filter((s) => s.part !== 'unmodelled');
  const ranks = [...truth].map((part) => rankOf(view, part));
  return {
    set,
    planner,
    minutes: result.minutes,
    readings: result.asked.length,
    ranks,
    isolatedAfter,
    stated: named.map((s) => ({ p: s.partProbability, bad: truth.has(s.part) })),
    leader: named[0]?.id ?? 'none',
    leaderProbability: named[0]?.partProbability ?? 0,
    probabilities: [...truth].map((part) => 1 - (view.belief?.parts.get(part)?.ok ?? 1)),
    end: result.end,
    reason: planner === 'all' ? 'all' : (view.plan.stop?.reason ?? 'none'),
    against: isMiss(ranks) ? against(engine, set, result) : [],
    unanswered: result.unanswered,
    refused: result.refused,
  };
}

/** A true part that is not among the first n + 2 suspects. */
export const isMiss = (ranks: readonly number[]): boolean =>
  ranks.some((rank) => rank === 0 || rank > ranks.length + 2);

/** Log-odds that a reading must take from the truth to be listed. */
const SPOKE_AGAINST = 0.2;

/** The readings that took most from the true faults. */
function against(engine: Engine, set: SimulatedSet, { view, asked }: WalkResult): WalkScore['against'] {
  const answers = new Map(asked.map((a) => [a.check, a.answer]));
  return set.faults
    .flatMap((fault) => engine.explain(view, fault))
    .filter(({ weight }) => weight < -SPOKE_AGAINST)
    .sort((a, b) => a.weight - b.weight)
    .slice(0, 4)
    .map(({ check, weight }) => ({ check, weight, answer: answers.get(check) ?? '' }));
}

/** Place of a part among the named suspects. */
function rankOf(view: WalkView, part: string): number {
  return view.suspects.filter((s) => s.part !== 'unmodelled').findIndex((s) => s.part === part) + 1;
}

/** Next check in the order of the tree, or any that may come now. Both end where the planner's own stop rule ends. */
function chooserOf(
  engine: Engine,
  set: SimulatedSet,
  planner: 'fixed' | 'random',
): (view: WalkView) => string | undefined {
  const chance = chanceOf(seedFor(set.seed, `order ${planner}`));
  const worth = (view: WalkView, reads: readonly { readonly part?: string | undefined }[]): boolean =>
    reads.some((r) => {
      if (!r.part) return true;
      const states = view.belief?.parts.get(r.part);
      return states !== undefined && 1 - (states.ok ?? 1) >= FIXED_SKIP;
    });
  return (view) => {
    if (view.step.kind !== 'check') return undefined;
    const open = view.standings.filter((s) => s.status === 'allowed' && worth(view, s.check.reads));
    if (open.length === 0) return undefined;
    if (planner === 'random') return chance.pick(open).check.id;
    return open.find((s) => !('missing' in engine.stepFor(view, s.check.id)))?.check.id;
  };
}

export interface Summary {
  readonly walks: number;
  readonly first: number;
  readonly firstThree: number;
  /** Share of true parts that are in the first n + 2. */
  readonly within: number;
  /** Share of sets with all true parts in the first n + 2. */
  readonly allWithin: number;
  readonly meanMinutes: number;
  readonly medianMinutes: number;
  readonly readings: number;
  /** Median minutes until all true parts are in the first n + 2 for good, over walks that got there. */
  readonly isolatedAfter: number | undefined;
}

export function summarise(scores: readonly WalkScore[]): Summary {
  const n = scores.length;
  const share = (count: number, of: number): number => (of > 0 ? count / of : 0);
  const ranks = scores.flatMap((s) => s.ranks.map((rank) => ({ rank, room: s.ranks.length + 2 })));
  const inside = (r: number, room: number): boolean => r > 0 && r <= room;
  const reached = scores.flatMap((s) => (s.isolatedAfter === undefined ? [] : [s.isolatedAfter]));
  return {
    walks: n,
    first: share(ranks.filter((r) => r.rank === 1).length, ranks.length),
    firstThree: share(ranks.filter((r) => inside(r.rank, 3)).length, ranks.length),
    within: share(ranks.filter((r) => inside(r.rank, r.room)).length, ranks.length),
    allWithin: share(scores.filter((s) => s.ranks.every((r) => inside(r, s.ranks.length + 2))).length, n),
    meanMinutes: share(
      scores.reduce((sum, s) => sum + s.minutes, 0),
      n,
    ),
    medianMinutes: quantile(
      scores.map((s) => s.minutes),
      0.5,
    ),
    readings: share(
      scores.reduce((sum, s) => sum + s.readings, 0),
      n,
    ),
    isolatedAfter: reached.length > 0 ? quantile(reached, 0.5) : undefined,
  };
}

/** Empirical quantile, nearest rank; 0 for an empty list. */
export function quantile(values: readonly number[], q: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.max(0, Math.ceil(q * sorted.length) - 1))] ?? 0;
}

export interface Calibration {
  readonly brier: number;
  readonly bins: readonly {
    readonly from: number;
    readonly to: number;
    readonly count: number;
    readonly stated: number;
    readonly true: number;
    /** Half width of the 95 % interval of `true`. */
    readonly within: number;
  }[];
}

const EDGES = [0, 0.1, 0.3, 0.5, 0.7, 0.9, 1.0001];

/** Stated probability of every ranked part against what was in the set. */
export function calibrate(scores: readonly WalkScore[]): Calibration {
  const all = scores.flatMap((s) => s.stated);
  const brier =
    all.length > 0 ? all.reduce((sum, x) => sum + (x.p - (x.bad ? 1 : 0)) ** 2, 0) / all.length : 0;
  return {
    brier,
    bins: EDGES.slice(0, -1).map((from, i) => {
      const to = EDGES[i + 1] ?? 1;
      const inside = all.filter((x) => x.p >= from && x.p < to);
      const count = inside.length;
      const bad = count > 0 ? inside.filter((x) => x.bad).length / count : 0;
      return {
        from,
        to: Math.min(1, to),
        count,
        stated: count > 0 ? inside.reduce((sum, x) => sum + x.p, 0) / count : 0,
        true: bad,
        within: count > 0 ? 1.96 * Math.sqrt(Math.max(bad * (1 - bad), 0.25 / (count + 4)) / count) : 0,
      };
    }),
  };
}
