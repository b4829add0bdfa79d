// A whole walk on a simulated set in which one number is typed wrong, and what becomes of it.
import { partOf, type SimulatedSet, setFactsOf } from '../../src/practice/index.ts';
import type { Check } from '../../src/rulebook/types.ts';
import { fromBase } from '../../src/session/index.ts';
import { judgeReading } from '../../src/walk/judge.ts';
import type { WalkView } from '../../src/walk/types.ts';
import { judgedAs } from './sampled-set.ts';
import {
  bearingOn,
  book,
  endedByItself,
  engine,
  heldTrue,
  type WatchedWalk,
  watchedWalk,
} from './simulated-walk.ts';

/** Kinds of slips: a decimal point, a minus sign, a meter left on AC. */
export const KINDS = ['x10', '/10', 'sign', 'AC for DC'] as const;
export type Kind = (typeof KINDS)[number];

export interface SlippedWalk {
  readonly set: SimulatedSet;
  readonly walk: WatchedWalk;
  readonly slip?: {
    readonly kind: Kind;
    readonly check: string;
    readonly typed: number;
    readonly shown: number;
    /** Among the conflicts of some view after it was typed. */
    readonly noticed: boolean;
    /** The program asked whether it was meant, and was told so. */
    readonly asked: boolean;
  };
  readonly ended: boolean;
  /** P(the part that is bad in truth is bad) at the end. */
  readonly held: number;
  /** All of it in one line. */
  readonly said: string;
}

/** On AC a meter shows nothing behind its capacitor, or 2.22 times the steady volts (common practice, no source). */
const AC_FOR_DC = [0.001, 2.22] as const;
/** The wrong reading is the first to the sixth of those that it can be. */
const AMONG_FIRST = 6;

/** What is typed by mistake, or `undefined` where this slip cannot be made or leaves the reading where it was. */
function mistyped(
  set: SimulatedSet,
  kind: Kind,
  check: Check,
  shown: string,
  random: number,
): number | undefined {
  const parsed = engine.parse(check, shown);
  if (!parsed.ok || parsed.value.kind !== 'number') return undefined;
  const { value } = parsed.value;
  const ratio = check.reads.some((r) => r.scale === 'ratio');
  if (kind === 'sign' && !(ratio && check.quantity === 'dc-volts')) return undefined;
  if (kind === 'AC for DC' && !(ratio && check.quantity === 'dc-volts')) return undefined;
  const factor = {
    x10: 10,
    '/10': 0.1,
    sign: -1,
    'AC for DC': AC_FOR_DC[random < 0.5 ? 0 : 1],
  }[kind];
  const state = (v: number): string =>
    judgeReading(
      book,
      judgedAs(book, setFactsOf(set), 1, check, { kind: 'number', value: v, unit: '', unstable: false }),
    ).state;
  return state(value) === state(factor * value) ? undefined : factor * value;
}

/** A value in base units as it is typed at a check. */
function inUnit(value: number, { unit }: Check): string {
  return fromBase(Number(value.toPrecision(4)), unit)
    .toFixed(12)
    .replace(/\.?0+$/, '');
}

/**
 * Walks the set with one number typed wrong: one of the first that bear on the true fault, or, where none of those can be mistyped this
 * way, any other on the way. Where the walk ends before it comes to the one that was drawn, it is walked again.
 */
export function slippedWalk(set: SimulatedSet, kind: Kind, random: () => number): SlippedWalk {
  const bearing = bearingOn(partOf(set.faults[0] ?? ''));
  const [which, how] = [random(), random()];
  const first = walkOnce(set, { kind, how, bearing, which: Math.floor(AMONG_FIRST * which) });
  if (first.slip) return first;
  if (first.possible > 0)
    return walkOnce(set, { kind, how, bearing, which: Math.floor(first.possible * which) });
  return walkOnce(set, { kind, how, bearing: undefined, which: Math.floor(first.others * which) });
}

interface Aim {
  readonly kind: Kind;
  /** 0 to 1: which of the ways to make it. */
  readonly how: number;
  /** Only readings of these; any if left out. */
  readonly bearing: ReadonlySet<string> | undefined;
  /** The first, second ... of them. */
  readonly which: number;
}

function walkOnce(
  set: SimulatedSet,
  { kind, how, bearing, which }: Aim,
): SlippedWalk & { readonly possible: number; readonly others: number } {
  let possible = 0;
  let others = 0;
  let made: { check: string; typed: number; shown: number } | undefined;
  let noticed = false;
  let asked = false;
  const look = (view: WalkView): void => {
    if (!made || noticed) return;
    const seqs = view.judged.filter((r) => r.check.id === made?.check).map((r) => r.seq);
    noticed = view.conflicts.some(
      (c) => c.check === made?.check || seqs.some((seq) => c.readings?.includes(seq)),
    );
  };
  const walk = watchedWalk(set, {
    seen: look,
    doubtedAtEntry: (check) => {
      if (check.id === made?.check) asked = true;
    },
    answer: (check, shown) => {
      if (made || shown === undefined) return shown;
      const typed = mistyped(set, kind, check, shown, how);
      if (typed === undefined) return shown;
      others += 1;
      if (bearing && !check.reads.some((r) => bearing.has(r.part ?? r.signal ?? ''))) return shown;
      possible += 1;
      if (possible <= which) return shown;
      const parsed = engine.parse(check, shown);
      made = {
        check: check.id,
        typed,
        shown: parsed.ok && parsed.value.kind === 'number' ? parsed.value.value : Number.NaN,
      };
      return inUnit(typed, check);
    },
  });
  look(walk.view);
  const held = heldTrue(set, walk);
  const said = made
    ? `${set.family} ${set.faults.join()}: ${kind} at ${made.check}, ${made.shown} typed as ${made.typed}; ${noticed ? 'noticed' : 'missed'}${asked ? ', asked about when typed' : ''}; true fault ${held.toFixed(3)}; ${walk.end}`
    : `${set.family} ${set.faults.join()}: no number to mistype`;
  return {
    set,
    walk,
    possible,
    others,
    held,
    ended: endedByItself(walk),
    said,
    ...(made ? { slip: { ...made, kind, noticed, asked } } : {}),
  };
}
