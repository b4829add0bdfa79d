// The bring-up as a table: one row a step, with its ceiling and what to watch; the row that the line stands at is marked.
import type { BringUpRow } from '../../walk/types.ts';
import { cut, type Line, pad, plain, span } from '../text.ts';

function held(seconds: number): string {
  return seconds >= 60 ? `${Math.round(seconds / 60)} min` : `${seconds} s`;
}

/** The table for this set; empty if there are no rows. */
export function bringUpTable(rows: readonly BringUpRow[], lineVolts: number, width: number): Line[] {
  if (rows.length === 0) return [];
  const reached = rows.findLastIndex((r) => r.lineVolts <= lineVolts);
  const watchWidth = Math.max(10, width - 44);
  return [
    plain(`   ${pad('LINE', 7)}${pad('HOLD', 8)}${pad('AT MOST', 9)}${pad('B+', 16)}WATCH`, 'accent'),
    ...rows.map(
      (r, n): Line => [
        span(n === reached ? ' ▸ ' : '   ', 'accent'),
        span(`${pad(`${Math.round(r.lineVolts)} V`, 7)}${pad(held(r.holdSeconds), 8)}`),
        span(pad(`${r.currentCeilingAmps.toFixed(2)} A`, 9), 'watch'),
        span(pad(r.expectedBPlus, 16)),
        span(cut(r.watch, watchWidth), 'quiet'),
      ],
    ),
  ];
}
