// The bring-up as a table: one row a step, with its ceiling and what to watch; the row that the line stands at is marked.
import type { BringUpRow } from '../../walk/types.ts';
import { currentsOf, holdOf, trendOf } from '../app/bring-up.ts';
import type { Live } from '../app/model.ts';
import { clockWords } from '../app/timers.ts';
import { cut, type Line, pad, plain, span, wrap } from '../text.ts';
import { bar } from './suspects.ts';

/** Narrower than this, what to watch stands under the table, for the next row only. */
const WITH_WATCH = 90;
/** Columns of the bar that shows how far the line is up. */
const BAR = 20;

function held(seconds: number): string {
  return seconds >= 60 ? `${Math.round(seconds / 60)} min` : `${seconds} s`;
}

/** The table for this set; empty if there are no rows. `lineVolts` is where the line stands now. */
export function bringUpTable(rows: readonly BringUpRow[], lineVolts: number, width: number): Line[] {
  const last = rows.at(-1);
  if (!last) return [];
  const reached = rows.findLastIndex((r) => r.lineVolts <= lineVolts);
  const next = rows[reached + 1] ?? last;
  const beside = width >= WITH_WATCH;
  const volts = Math.max(18, ...rows.map((r) => r.expectedBPlus.length + 1));
  const used = 36 + volts;
  const progress = width - used >= BAR ? bar(lineVolts / last.lineVolts, BAR) : '';
  return [
    plain(
      `   ${pad('DIAL', 8)}${pad('AT SET', 8)}${pad('HOLD', 8)}${pad('AT MOST', 9)}${pad('B+', volts)}${beside ? 'WATCH' : progress}`,
      'accent',
    ),
    ...rows.map(
      (r, n): Line => [
        span(n === reached ? ' ▸ ' : '   ', 'accent'),
        span(
          `${pad(`${Math.round(r.dialVolts)} V`, 8)}${pad(`${Math.round(r.lineVolts)} V`, 8)}${pad(held(r.holdSeconds), 8)}`,
        ),
        span(pad(`${r.currentCeilingAmps.toFixed(2)} A`, 9), 'watch'),
        span(pad(r.expectedBPlus, volts)),
        span(beside ? cut(r.watch, width - used) : '', 'quiet'),
      ],
    ),
    ...wrap(next.watch === '' ? '' : `At ${Math.round(next.lineVolts)} V watch: ${next.watch}`, width)
      .slice(0, 3)
      .map((t) => plain(t, 'watch')),
  ];
}

const LEVELS = '▁▂▃▄▅▆▇█';
/** Currents shown; older ones matter little. */
const MOST_READS = 12;

/** Values as bars of eighths, the largest full. */
export function sparkline(values: readonly number[]): string {
  const most = Math.max(...values);
  const level = (v: number): string => LEVELS[Math.max(0, Math.ceil((v / most) * LEVELS.length) - 1)] ?? '';
  return most > 0 ? values.map(level).join('') : '';
}

/** While the set is on the lamp: the hold as a bar, and the line currents read so far; empty where there is neither. */
export function bringUpLines(live: Live, now: number, width: number): Line[] {
  if (live.view.safety.supply !== 'isolated-limited') return [];
  const hold = holdOf(live, now);
  const reads = currentsOf(live).slice(-MOST_READS);
  const trend = trendOf(reads);
  const left =
    hold && (hold.secondsLeft > 0 ? `${clockWords(hold.secondsLeft)} to go` : 'done: ^Y next step');
  const values = reads
    .slice(-4)
    .map((r) => `${r.amps}`)
    .join(', ');
  const lines: Line[] = [];
  if (hold && left)
    lines.push([
      span(`${hold.title}  `, 'accent'),
      span(bar(hold.done, 16), hold.secondsLeft > 0 ? 'watch' : 'good'),
      span(`  ${left}`),
    ]);
  if (reads.length > 0)
    lines.push([
      span('Line current  ', 'accent'),
      span(sparkline(reads.map((r) => r.amps)), trend === 'rising' ? 'bad' : 'plain'),
      span(
        cut(`  ${values} A${trend ? `, ${trend}` : ''}`, width - 14 - reads.length),
        trend === 'rising' ? 'bad' : 'plain',
      ),
    ]);
  return lines;
}
