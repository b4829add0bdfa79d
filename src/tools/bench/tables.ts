// Prints what the benchmark measured beside the goals.
import { type Calibration, type Planner, summarise, type WalkScore } from './diagnosis.ts';
import type { TimingRow } from './timing.ts';

const percent = (x: number): string => `${(100 * x).toFixed(0)} %`.padStart(6);
const minutes = (x: number | undefined): string => (x === undefined ? '-' : x.toFixed(0)).padStart(6);

/** Goals of isolation: by part, and with all readings taken. */
const GOALS: Readonly<Record<string, string>> = {
  single: 'goal: first >= 80 %, first three >= 90 to 95 %, minutes <= 0.5x to 0.6x fixed order',
  double: 'goal: both in the first four >= 85 % where neither hides the other',
  dormant: 'three to five faults at once',
};

/** One family: isolation and minutes by level and planner. */
export function diagnosisTable(family: string, scores: readonly WalkScore[]): string {
  const lines = [
    '',
    family,
    'level    order    sets  first  in 3  in n+2  all n+2   mean median  until isolated  readings',
  ];
  for (const level of ['single', 'double', 'dormant'] as const)
    for (const planner of ['planner', 'all', 'fixed', 'random'] as const satisfies readonly Planner[]) {
      const own = scores.filter((s) => s.set.level === level && s.planner === planner);
      if (own.length === 0) continue;
      const s = summarise(own);
      lines.push(
        `${level.padEnd(8)} ${planner.padEnd(8)} ${String(s.walks).padStart(4)} ${percent(s.first)} ${percent(s.firstThree)} ${percent(s.within)}  ${percent(s.allWithin)}  ${minutes(s.meanMinutes)} ${minutes(s.medianMinutes)}          ${minutes(s.isolatedAfter)}  ${s.readings.toFixed(0).padStart(8)}`,
      );
      if (planner === 'planner') lines.push(`         ${GOALS[level] ?? ''}`);
    }
  return lines.join('\n');
}

export function calibrationTable(c: Calibration): string {
  return [
    '',
    `Calibration of ranked parts, single-fault sets (Brier ${c.brier.toFixed(3)}; goal: stated 0.8 means 0.75 to 0.85)`,
    'stated      count  mean stated  true  (95 %)',
    ...c.bins.map(
      (b) =>
        `${b.from.toFixed(1)} - ${b.to.toFixed(1)}  ${String(b.count).padStart(5)}  ${b.stated.toFixed(2).padStart(11)}  ${b.true.toFixed(2)}  +-${b.within.toFixed(2)}`,
    ),
  ].join('\n');
}

/** Single-fault sets whose part is not in the first three, by fault. */
export function missesTable(scores: readonly WalkScore[]): string {
  const misses = scores.filter((s) => s.ranks.some((r) => r === 0 || r > 3));
  if (misses.length === 0) return '\nNo misses.';
  return [
    '',
    'Not in the first three (seed, family, fault, place, what led, end):',
    ...misses.map(
      (s) =>
        `  ${s.set.seed} ${s.set.family} ${s.set.faults.join(' + ')} ${s.ranks.join(',')} ${s.leader}; complaint ${s.set.complaint.join(', ')}; ${s.end.slice(0, 60)}`,
    ),
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
