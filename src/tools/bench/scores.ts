// Sums of many walks: isolation, minutes, calibration, and which faults and checks the misses have in common.
import type { WalkScore } from './diagnosis.ts';
import type { RepairScore } from './repairs.ts';

export interface Summary {
  readonly walks: number;
  readonly first: number;
  readonly firstThree: number;
  /** Share of true parts that are in the first n + 2. */
  readonly within: number;
  /** The same, or named at the end as a likely cause of a sign that nothing found accounts for. */
  readonly told: number;
  /** Share of sets with all true parts in the first n + 2. */
  readonly allWithin: number;
  readonly meanMinutes: number;
  readonly medianMinutes: number;
  readonly readings: number;
  /** True parts that the others hide; and the share of the rest that is in the first n + 2. */
  readonly masked: number;
  readonly shownWithin: number;
  /** Walks that went on after their stop rule; of these the share that got all true parts into the first n + 2 for good ... */
  readonly stopFree: number;
  readonly isolated: number;
  /** ... and the median minutes to there; `undefined` = more than half never got there. */
  readonly isolatedAfter: number | undefined;
}

export function summarise(scores: readonly WalkScore[]): Summary {
  const n = scores.length;
  const share = (count: number, of: number): number => (of > 0 ? count / of : 0);
  const ranks = scores.flatMap((s) =>
    s.ranks.map((rank, i) => ({
      rank,
      room: s.ranks.length + 2,
      masked: s.masked[i] ?? false,
      told: s.told[i] ?? false,
    })),
  );
  const shown = ranks.filter((r) => !r.masked);
  const inside = (r: number, room: number): boolean => r > 0 && r <= room;
  const free = scores.filter((s) => s.stopFree);
  const times = free.map((s) => s.isolatedAfter ?? Number.POSITIVE_INFINITY);
  const median = quantile(times, 0.5);
  return {
    walks: n,
    first: share(ranks.filter((r) => r.rank === 1).length, ranks.length),
    firstThree: share(ranks.filter((r) => inside(r.rank, 3)).length, ranks.length),
    within: share(ranks.filter((r) => inside(r.rank, r.room)).length, ranks.length),
    told: share(ranks.filter((r) => inside(r.rank, r.room) || r.told).length, ranks.length),
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
    masked: ranks.length - shown.length,
    shownWithin: share(shown.filter((r) => inside(r.rank, r.room)).length, shown.length),
    stopFree: free.length,
    isolated: share(times.filter(Number.isFinite).length, free.length),
    isolatedAfter: free.length > 0 && Number.isFinite(median) ? median : undefined,
  };
}

/** Minutes after which it is counted who has isolated the truth by then. */
export const BY_MINUTES = [60, 120, 240] as const;

/** Walks of the same sets in one order, past their stop rule: how soon the truth is in front for good. */
export interface Comparison {
  readonly walks: number;
  readonly isolated: number;
  /** Share isolated by each of `BY_MINUTES`. */
  readonly by: readonly number[];
  /** Minutes to isolation, a walk that never got there counted as `longest`. */
  readonly median: number;
  readonly mean: number;
  /** Mean minutes to where the stop rule ended the walk. */
  readonly stopped: number;
}

export function compare(scores: readonly WalkScore[], longest: number): Comparison {
  const free = scores.filter((s) => s.stopFree);
  const times = free.map((s) => Math.min(longest, s.isolatedAfter ?? longest));
  const share = (count: number): number => (free.length > 0 ? count / free.length : 0);
  return {
    walks: free.length,
    isolated: share(free.filter((s) => s.isolatedAfter !== undefined).length),
    by: BY_MINUTES.map((m) =>
      share(free.filter((s) => (s.isolatedAfter ?? Number.POSITIVE_INFINITY) <= m).length),
    ),
    median: quantile(times, 0.5),
    mean: share(times.reduce((a, b) => a + b, 0)),
    stopped: share(free.reduce((sum, s) => sum + s.minutes, 0)),
  };
}

export interface RepairSummary {
  readonly sets: number;
  /** Share of true parts that were swapped, of those of them that trouble anybody, and of sets with all of them swapped. */
  readonly repaired: number;
  readonly noticed: number;
  readonly all: number;
  /** Good parts swapped, a set. */
  readonly wrong: number;
  readonly meanMinutes: number;
}

export function summariseRepairs(scores: readonly RepairScore[]): RepairSummary {
  const n = Math.max(1, scores.length);
  const total = (of: (s: RepairScore) => number): number => scores.reduce((sum, s) => sum + of(s), 0);
  return {
    sets: scores.length,
    repaired:
      total((s) => s.repaired) /
      Math.max(
        1,
        total((s) => s.faults),
      ),
    noticed:
      total((s) => s.repaired) /
      Math.max(
        1,
        total((s) => s.faults - s.quiet),
      ),
    all: scores.filter((s) => s.repaired === s.faults).length / n,
    wrong: total((s) => s.wrong) / n,
    meanMinutes: total((s) => s.minutes) / n,
  };
}

/** Whether a place among the suspects is beyond the first n + 2; 0 = no suspect. */
export const isOut = (rank: number, faults: number): boolean => rank === 0 || rank > faults + 2;

/** A walk that left a true part out of the first n + 2. */
export const isMiss = (ranks: readonly number[]): boolean => ranks.some((r) => isOut(r, ranks.length));

export interface MissCount {
  readonly id: string;
  readonly misses: number;
  /** Of a fault: sets that had it. Of a check: log-odds that it took from the truth, summed. */
  readonly of: number;
}

/** Misses by true fault, and by check that spoke against the truth; most first. */
export function analyseMisses(scores: readonly WalkScore[]): {
  readonly faults: readonly MissCount[];
  readonly checks: readonly MissCount[];
} {
  const faults = new Map<string, MissCount>();
  const checks = new Map<string, MissCount>();
  const count = (into: Map<string, MissCount>, id: string, misses: number, of: number): void => {
    const known = into.get(id) ?? { id, misses: 0, of: 0 };
    into.set(id, { id, misses: known.misses + misses, of: known.of + of });
  };
  for (const score of scores) {
    // Faults of one set are in different parts, in the order of the places.
    score.set.faults.forEach((fault, i) => {
      count(faults, fault, isOut(score.ranks[i] ?? 0, score.ranks.length) ? 1 : 0, 1);
    });
    for (const { check, weight } of score.against) count(checks, check, 1, weight);
  }
  const missed = [...faults.values()].filter((f) => f.misses > 0);
  return {
    faults: missed.sort((a, b) => b.misses - a.misses || a.of - b.of),
    checks: [...checks.values()].sort((a, b) => a.of - b.of),
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
