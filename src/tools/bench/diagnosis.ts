// Diagnosis on simulated sets: isolation, minutes and calibration of the walk, beside the fixed order of the tree and a random order.
import { type Level, partOf, type SimulatedSet, setFactsOf } from '../../practice/index.ts';
import { chanceOf, seedFor } from '../../practice/random.ts';
import { factsOf, holds } from '../../rulebook/facts.ts';
import type { Rulebook } from '../../rulebook/types.ts';
import type { Engine } from '../../walk/engine.ts';
import { type Answerer, evaluateAll, evaluateWalk, type WalkResult } from '../../walk/evaluate.ts';
import type { WalkView } from '../../walk/types.ts';
import { isOut } from './scores.ts';

/**
 * `all` = every answer at once, gates and order aside: what the rules could find at best; `batch` = the planner, looking at whole batches
 * of a supply state instead of one check.
 */
export type Planner = 'planner' | 'batch' | 'fixed' | 'random' | 'all';

/** What a score keeps of its set. */
export interface SetLabel {
  readonly seed: number;
  readonly family: string;
  readonly level: Level;
  readonly faults: readonly string[];
  readonly complaint: readonly string[];
}

export interface WalkScore {
  readonly set: SetLabel;
  readonly planner: Planner;
  readonly minutes: number;
  readonly readings: number;
  /** Place of each true part among the suspects, from 1; 0 = no suspect. */
  readonly ranks: readonly number[];
  /** Of each true part: named at the end as a likely cause of a sign that nothing found accounts for. */
  readonly told: readonly boolean[];
  /** Of each true part: hidden by the others, so that no reading of the set shows it. */
  readonly masked: readonly boolean[];
  readonly stopFree: boolean;
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
/** A walk ends here at the latest: so late that also the fixed order is hardly ever cut, whose minutes would be flattered by it. */
export const MOST_MINUTES = 1500;

/** How often each fault comes to the bench, by the priors of the rule pack for the set's condition: only which sets are drawn. */
export function weightsFrom(book: Rulebook, condition: 'recapped' | 'none'): ReadonlyMap<string, number> {
  return new Map(
    book.parts.flatMap((part) =>
      part.faults.map((fault) => [`${part.id}/${fault.id}`, fault.prior[condition]] as const),
    ),
  );
}

export interface WalkSetOptions {
  /** Goes on after the stop rule, to see when the truth would have come to the front. */
  readonly stopFree: boolean;
  /** True parts that no reading of the set can show while the others are bad. */
  readonly masked: readonly string[];
}

/** Walks one set with one planner; scored where the stop rule would have ended it. */
export function walkSet(
  engine: Engine,
  set: SimulatedSet,
  planner: Planner,
  options: WalkSetOptions = { stopFree: false, masked: [] },
): WalkScore {
  const truth = new Set(set.faults.map(partOf));
  const score = (result: WalkResult, isolatedAfter: number | undefined): WalkScore => ({
    ...scoreOf(engine, set, planner, result, isolatedAfter, options.masked),
    stopFree: options.stopFree,
  });
  if (planner === 'all') return score(everything(engine, set), undefined);
  const answer: Answerer = (check, view) => set.answer(check, view.state.config);
  // Where several faults are asked for, the owner wants the rest known although a core part is lost.
  const goOn = set.level !== 'single';
  const choose = chooserOf(engine, set, planner);
  let isolatedAfter: number | undefined;
  let at = 0;
  let readings = 0;
  let stopped: { view: WalkView; minutes: number; readings: number; end: string } | undefined;
  const result = evaluateWalk(
    engine,
    { set: setFactsOf(set), instruments: engine.book.instruments.map((i) => i.id) },
    answer,
    {
      mostMinutes: MOST_MINUTES,
      goOn,
      choose: (view) => {
        // Told to go on, the walk itself goes on from here.
        if (view.step.kind === 'stop' && goOn && view.step.lost) return undefined;
        if (view.step.kind === 'stop') {
          stopped ??= { view, minutes: at, readings, end: view.step.say };
          if (!options.stopFree) return undefined;
        }
        return choose(view);
      },
      onReading: (view, minutes) => {
        at = minutes;
        readings += 1;
        const inside = [...truth].every((part) => {
          const rank = rankOf(view, part);
          return rank > 0 && rank <= truth.size + 2;
        });
        if (!inside) isolatedAfter = undefined;
        else isolatedAfter ??= minutes;
      },
    },
  );
  if (!stopped) return score(result, isolatedAfter);
  const { view, minutes, end } = stopped;
  return score(
    { ...result, view, minutes, end, asked: result.asked.slice(0, stopped.readings) },
    isolatedAfter,
  );
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
  masked: readonly string[],
): Omit<WalkScore, 'stopFree'> {
  const truth = new Set(set.faults.map(partOf));
  const { view } = result;
  const named = view.suspects.filter((s) => s.part !== 'unmodelled');
  const ranks = [...truth].map((part) => rankOf(view, part));
  const { seed, family, level, faults, complaint } = set;
  return {
    set: { seed, family, level, faults, complaint },
    told: [...truth].map((part) =>
      (view.plan.stop?.openSigns ?? []).some((sign) => sign.causes.some((cause) => cause.part === part)),
    ),
    masked: [...truth].map((part) => masked.includes(part)),
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
    against: against(engine, set, result, ranks),
    unanswered: result.unanswered,
    refused: result.refused,
  };
}

/** Log-odds that a reading must take from the truth to be listed. */
const SPOKE_AGAINST = 0.2;

/** The readings that took most from the true faults that are not in front. */
function against(
  engine: Engine,
  set: SimulatedSet,
  { view, asked }: WalkResult,
  ranks: readonly number[],
): WalkScore['against'] {
  const answers = new Map(asked.map((a) => [a.check, a.answer]));
  return set.faults
    .filter((_, i) => isOut(ranks[i] ?? 0, ranks.length))
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

/**
 * Next check in the order of the tree, or any that may come now; after the stop rule would have ended the walk, also what
 * must be gone to. The planner chooses by itself until its stop, and follows the tree from there.
 */
function chooserOf(
  engine: Engine,
  set: SimulatedSet,
  planner: Exclude<Planner, 'all'>,
): (view: WalkView) => string | undefined {
  const chance = chanceOf(seedFor(set.seed, `order ${planner}`));
  const worth = (view: WalkView, reads: readonly { readonly part?: string | undefined }[]): boolean =>
    reads.some((r) => {
      if (!r.part) return true;
      const states = view.belief?.parts.get(r.part);
      return states !== undefined && 1 - (states.ok ?? 1) >= FIXED_SKIP;
    });
  const reachable = (view: WalkView, id: string): boolean => !('missing' in engine.stepFor(view, id));
  let target: string | undefined;
  const choice = (view: WalkView): string | undefined => {
    const past = view.step.kind === 'stop';
    const own = planner === 'planner' || planner === 'batch';
    if (!past && (own || view.step.kind !== 'check')) return undefined;
    const open = view.standings.filter(
      (s) => (s.status === 'allowed' || (past && s.status === 'locked')) && worth(view, s.check.reads),
    );
    if (planner === 'random' && !past) return open.length > 0 ? chance.pick(open).check.id : undefined;
    const order = planner === 'random' ? chance.shuffle(open) : open;
    return order.find(({ check }) => reachable(view, check.id))?.check.id;
  };
  // What was chosen is gone to, over power-off and power-up, where the walk itself would go elsewhere.
  return (view) => {
    const there = view.standings.find((s) => s.check.id === target);
    const held = there?.status === 'allowed' || there?.status === 'locked';
    if (!(held && target && reachable(view, target))) target = choice(view);
    return target;
  };
}
