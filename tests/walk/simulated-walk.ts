// Whole walks on simulated sets under odd circumstances, every step watched: what is asked, with what, in what supply state, after which gates.
import { resolve } from 'node:path';
import { partOf, type SimulatedSet, setFactsOf } from '../../src/practice/index.ts';
import { loadRules } from '../../src/rulebook/index.ts';
import { lackingOf } from '../../src/rulebook/instruments.ts';
import type { Check, Rulebook, SetFacts } from '../../src/rulebook/types.ts';
import type { SkipReason } from '../../src/session/index.ts';
import { createEngine, type Engine } from '../../src/walk/engine.ts';
import { type Answerer, evaluateWalk, type WalkResult } from '../../src/walk/evaluate.ts';
import type { WalkView } from '../../src/walk/types.ts';

export const book: Rulebook = loadRules(resolve(import.meta.dirname, '../../rules')).book ?? missing();
function missing(): never {
  throw new Error('the rule pack does not load');
}
export const engine = createEngine(book);

/** Everything that a technician can put on a bench. */
export const WELL_EQUIPPED: readonly string[] = book.instruments.map((i) => i.id);
/** A meter, and what it takes to power a set at all. */
export const BARE: readonly string[] = [
  'dmm',
  'hv-discharge-stick',
  'isolation-transformer',
  'variac',
  'lamp-limiter',
  'bench-fuse',
];

/** Proofs without which nothing comes on: dead and discharged twice, a real isolation transformer, the lamp, a fuse, nothing earthed. */
const BEFORE_POWER = [
  'plug-pulled',
  'anode-first',
  'electrolytics',
  'anode-second',
  'isolation-poles',
  'isolation-ohms',
  'lamp-choice',
  'bench-fuse',
  'all-plugged',
  'nothing-earthed',
  'links-removed',
];

export interface WatchedWalk extends WalkResult {
  /** Everything that should never have been asked or offered, in words. */
  readonly wrong: readonly string[];
  /** Kinds of all steps, in order. */
  readonly steps: readonly string[];
}

export interface WatchOptions {
  readonly instruments?: readonly string[];
  /** What is typed, where that is not what the set shows; `skip` leaves the check out. */
  readonly answer?: (check: Check, shown: string | undefined, view: WalkView) => string | undefined;
  readonly skip?: SkipReason;
  readonly complaint?: readonly string[];
  /** Told of every view on the way. */
  readonly seen?: (view: WalkView) => void;
  /** Told when the program asks whether a number was meant as typed, before it is taken as typed all the same. */
  readonly doubtedAtEntry?: (check: Check) => void;
}

export const live = (check: Check): boolean => check.state === 'S1' || check.state === 'S2';

/** Walks a simulated set until the walk ends by itself, and notes whatever it does wrong on the way. */
export function watchedWalk(set: SimulatedSet, options: WatchOptions = {}): WatchedWalk {
  const instruments = options.instruments ?? WELL_EQUIPPED;
  const facts: SetFacts = { ...setFactsOf(set), complaint: options.complaint ?? set.complaint };
  const wrong: string[] = [];
  const steps: string[] = [];
  const watch = (view: WalkView): undefined => {
    steps.push(view.step.kind);
    wrong.push(...amiss(view, instruments));
    options.seen?.(view);
  };
  const answer: Answerer = (check, view) => {
    const shown = set.answer(check, view.state.config);
    return options.answer ? options.answer(check, shown, view) : shown;
  };
  const { skip, doubtedAtEntry } = options;
  const enter: Engine['enter'] = (view, step, text, now, how) => {
    const entry = engine.enter(view, step, text, now, how);
    if (entry.kind !== 'ask' || step.kind !== 'check' || !doubtedAtEntry) return entry;
    doubtedAtEntry(step.check);
    const typed = engine.parse(step.check, text);
    return typed.ok ? engine.enter(view, step, text, now, { ...how, force: typed.value }) : entry;
  };
  const asked: Engine = {
    ...engine,
    enter,
    ...(skip ? { skip: (v: WalkView, c: Check) => engine.skip(v, c, skip) } : {}),
  };
  const result = evaluateWalk(asked, { set: facts, instruments }, answer, { choose: watch });
  return { ...result, wrong, steps };
}

/** What is wrong with offering this step here. */
function amiss({ step, safety, trouble, belief }: WalkView, instruments: readonly string[]): string[] {
  const found: string[] = [];
  if (!belief) found.push(`no belief: ${trouble ?? ''}`);
  if (step.kind === 'power-up') {
    if (!instruments.includes('isolation-transformer')) found.push('power without isolation');
    // A line that is raised while the set runs rests on the proofs of its start: the cold ones have lapsed with the first volt.
    const wanted = safety.supply.startsWith('isolated')
      ? []
      : BEFORE_POWER.filter((id) => id !== 'lamp-choice' || step.to === 'isolated-limited');
    for (const id of wanted)
      if (![...safety.proven].some((p) => p === id)) found.push(`${step.to} without ${id}`);
  }
  if (step.kind !== 'check') return found;
  const { check } = step;
  for (const need of lackingOf(check.needs, new Set(instruments))) found.push(`${check.id} needs ${need}`);
  if (live(check)) {
    if (!instruments.includes('isolation-transformer')) found.push(`${check.id} live without isolation`);
    if (!safety.supply.startsWith('isolated')) found.push(`${check.id} live while ${safety.supply}`);
    if (!safety.chassisProven) found.push(`${check.id} live, chassis not read`);
  } else if (safety.supply.startsWith('isolated')) found.push(`${check.id} cold while ${safety.supply}`);
  return found;
}

/** P(the part that is bad in truth is bad) at the end. */
export function heldTrue(set: SimulatedSet, { view }: Pick<WalkResult, 'view'>): number {
  return 1 - (view.belief?.parts.get(partOf(set.faults[0] ?? ''))?.ok ?? 1);
}

/** Parts and signals that a fault of this part is read at: itself, what its faults upset, and what that feeds next. */
export function bearingOn(part: string): ReadonlySet<string> {
  const upset = new Set(
    book.parts.find((p) => p.id === part)?.faults.flatMap((f) => Object.keys(f.effects)) ?? [],
  );
  const fed = book.signals.filter((s) => s.inputs.some((i) => upset.has(i.signal))).map((s) => s.id);
  return new Set([part, ...upset, ...fed]);
}

/** Whether the planner ended it: not stuck at a gate, not out of steps, not for want of a description. */
export function endedByItself({ view, end }: WalkResult): boolean {
  return view.step.kind === 'stop' && end === view.step.say;
}
