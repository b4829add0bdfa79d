// Prints what the benchmark measured beside the goals.
import { MOST_MINUTES, type Planner, type WalkScore } from './diagnosis.ts';
import type { RepairScore } from './repairs.ts';
import {
  BY_MINUTES,
  type Calibration,
  type Comparison,
  compare,
  type MissCount,
  summarise,
  summariseRepairs,
} from './scores.ts';
import type { TimingRow } from './timing.ts';

const percent = (x: number): string => `${(100 * x).toFixed(0)} %`.padStart(6);
const minutes = (x: number | undefined): string => (x === undefined ? '-' : x.toFixed(0)).padStart(6);

/** Goals of isolation: by part, and with all readings taken. */
const GOALS: Readonly<Record<string, string>> = {
  single: 'goal: first >= 80 %, first three >= 90 to 95 %, minutes <= 0.5x to 0.6x fixed order',
  double: 'goal: both in the first four >= 85 % where neither hides the other',
  dormant: 'three to five faults at once',
  mixed: 'every fault by its own prior: none, one or several',
};

const LEVELS = ['single', 'double', 'dormant', 'mixed'] as const;
const ORDERS = ['planner', 'all', 'batch', 'fixed', 'random'] as const satisfies readonly Planner[];

/** One family: isolation and minutes by level and planner. */
export function diagnosisTable(
  family: string,
  scores: readonly WalkScore[],
  repairs: readonly { readonly level: string; readonly score: RepairScore }[],
): string {
  const lines = [
    '',
    family,
    'level    order    sets  first  in 3  in n+2  or told  shown n+2  masked  all n+2   mean median min  readings | stop-free: sets isolated median min',
  ];
  for (const level of LEVELS) {
    for (const planner of ORDERS) {
      const own = scores.filter((s) => s.set.level === level && s.planner === planner);
      if (own.length === 0) continue;
      const s = summarise(own);
      lines.push(
        [
          `${level.padEnd(8)} ${planner.padEnd(8)} ${String(s.walks).padStart(4)} ${percent(s.first)} ${percent(s.firstThree)} ${percent(s.within)}    ${percent(s.told)}`,
          `    ${percent(s.shownWithin)}  ${String(s.masked).padStart(6)}  ${percent(s.allWithin)} ${minutes(s.meanMinutes)} ${minutes(s.medianMinutes)}      ${s.readings.toFixed(0).padStart(6)}`,
          s.stopFree > 0
            ? ` | ${String(s.stopFree).padStart(15)}   ${percent(s.isolated)}     ${minutes(s.isolatedAfter)}`
            : '',
        ].join(''),
      );
      if (planner === 'planner') lines.push(`         ${GOALS[level] ?? ''}`);
    }
    const swaps = repairs.filter((r) => r.level === level).map((r) => r.score);
    if (swaps.length === 0) continue;
    const r = summariseRepairs(swaps);
    lines.push(
      `${level.padEnd(8)} repair and continue, ${r.sets} sets: ${percent(r.repaired).trim()} of the faults repaired (${percent(r.noticed).trim()} of those that the owner would notice), in ${percent(r.all).trim()} of the sets all; ${r.wrong.toFixed(2)} good parts swapped a set; ${r.meanMinutes.toFixed(0)} min`,
    );
  }
  return lines.join('\n');
}

/** The orders beside each other on the same sets, minutes to isolation beside those of the fixed order. */
export function comparisonTable(scores: readonly WalkScore[]): string {
  const lines: string[] = [];
  for (const level of LEVELS) {
    const of = (planner: Planner): Comparison =>
      compare(
        scores.filter((s) => s.set.level === level && s.planner === planner),
        MOST_MINUTES,
      );
    const fixed = of('fixed');
    if (fixed.walks === 0) continue;
    for (const planner of ORDERS) {
      const c = of(planner);
      if (c.walks === 0) continue;
      const beside = (own: number, its: number): string => `${(own / its).toFixed(2)}x`.padStart(6);
      lines.push(
        `${level.padEnd(8)} ${planner.padEnd(8)} ${String(c.walks).padStart(4)} ${percent(c.isolated)}  ${c.by.map(percent).join(' ')}  ${minutes(c.median)} ${minutes(c.mean)} ${beside(c.mean, fixed.mean)}   ${minutes(c.stopped)} ${beside(c.stopped, fixed.stopped)}`,
      );
    }
  }
  if (lines.length === 0) return '';
  return [
    '',
    `The same sets in every order, past the stop rule (goal: minutes to isolation <= 0.5x to 0.6x of the fixed order; never = ${MOST_MINUTES} min)`,
    `level    order    sets isolated by ${BY_MINUTES.join(' / ')} min   median   mean  beside fixed   stopped after, beside fixed`,
    ...lines,
  ].join('\n');
}

const MOST_ROWS = 15;

/** Misses by fault, and by the checks that spoke against the truth. */
export function analysisTable(of: {
  readonly faults: readonly MissCount[];
  readonly checks: readonly MissCount[];
}): string {
  if (of.faults.length === 0) return '\nNo misses.';
  return [
    '',
    'Misses by fault (missed of drawn):',
    ...of.faults.slice(0, MOST_ROWS).map((f) => `  ${`${f.misses}/${f.of}`.padStart(7)}  ${f.id}`),
    'Checks that spoke against a missed truth (times, log-odds in all):',
    ...of.checks
      .slice(0, MOST_ROWS)
      .map((c) => `  ${String(c.misses).padStart(4)} ${c.of.toFixed(1).padStart(7)}  ${c.id}`),
  ].join('\n');
}

export function calibrationTable(level: string, c: Calibration): string {
  return [
    '',
    `Calibration of ranked parts, ${level} sets (Brier ${c.brier.toFixed(3)}; goal: stated 0.8 means 0.75 to 0.85)`,
    'stated      count  mean stated  true  (95 %)',
    ...c.bins.map(
      (b) =>
        `${b.from.toFixed(1)} - ${b.to.toFixed(1)}  ${String(b.count).padStart(5)}  ${b.stated.toFixed(2).padStart(11)}  ${b.true.toFixed(2)}  +-${b.within.toFixed(2)}`,
    ),
  ].join('\n');
}

/** One walk that missed: what was wrong, where it ended and why, which readings spoke against the truth. */
export function missLine(s: WalkScore): string {
  const truth = s.set.faults.join(' + ');
  const places = s.ranks
    .map((rank, i) => `${rank || '-'} (${(s.probabilities[i] ?? 0).toFixed(2)})`)
    .join(', ');
  const spoke = s.against.map((a) => `${a.check} "${a.answer}" ${a.weight.toFixed(1)}`).join('; ');
  return [
    `  miss ${s.set.family} ${s.set.level} ${s.set.seed} [${s.planner}]: ${truth}; complaint ${s.set.complaint.join(', ') || 'none'}`,
    `    place ${places}; led ${s.leader} (${s.leaderProbability.toFixed(2)}); ${s.minutes.toFixed(0)} min, ${s.readings} readings; ${s.reason}: ${s.end}`,
    ...(spoke === '' ? [] : [`    against: ${spoke}`]),
  ].join('\n');
}

export function timingTable(rows: readonly TimingRow[]): string {
  return [
    'timing                                         p50      p95   goal',
    ...rows.map(
      (r) =>
        `${r.what.padEnd(42)} ${r.p50.toFixed(1).padStart(7)}  ${r.p95 === undefined ? '     -' : r.p95.toFixed(1).padStart(6)}   ${r.goal}`,
    ),
  ].join('\n');
}
