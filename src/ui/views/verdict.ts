// The verdict sheet: the word on the set, grades with their evidence, next steps with caution and cost, what was not proven.
import type { GradeEntry, NextStep, Overall, Weight } from '../../diagnosis/types.ts';
import type { App } from '../app/app.ts';
import type { VerdictScreen } from '../app/model.ts';
import { verdictRows } from '../app/verdict.ts';
import { BLANK, cut, type Line, pad, plain, span, type Tone, windowStart, wrap } from '../text.ts';
import { GRADE_MARK } from '../theme.ts';
import { bodyHeight, framed } from './frame.ts';
import { percent } from './suspects.ts';

const OVERALL: Readonly<Record<Overall, { readonly word: string; readonly tone: Tone }>> = {
  'worth-overhauling': { word: 'Worth overhauling', tone: 'good' },
  'worth-with-reservations': { word: 'Worth overhauling, with reservations', tone: 'watch' },
  'not-worth': { word: 'Not worth overhauling', tone: 'bad' },
  'not-yet-known': { word: 'Not yet known', tone: 'watch' },
};

const span2 = ([least, most]: readonly [number, number], unit: string): string =>
  `${least === most ? least : `${least} to ${most}`} ${unit}`;

function gradeLines(app: App, entry: GradeEntry, marked: boolean, open: boolean, width: number): Line[] {
  const look = GRADE_MARK[entry.grade] ?? { mark: '?', tone: 'quiet' };
  const head: Line = [
    span(marked ? '▸ ' : '  ', 'accent'),
    span(`${look.mark} `, look.tone),
    span(pad(entry.title, 30), 'plain', { inverse: marked }),
    span(pad(entry.grade, 14), look.tone),
    span(cut(entry.say, width - 50), 'quiet'),
  ];
  if (!open) return [head];
  return [
    head,
    ...wrap(
      `${entry.say} Bad: ${percent(entry.probabilityBad)} %. Proven: ${percent(entry.proof)} %.`,
      width - 8,
    ).map((t) => plain(`      ${t}`, 'quiet')),
    ...evidence(app, entry.because, width),
  ];
}

/** Readings that moved a grade or a suspect, strongest first. */
function evidence(app: App, because: readonly Weight[], width: number): Line[] {
  const titles = new Map(app.book.checks.map((c) => [c.id, c.title]));
  return [...because]
    .sort((a, b) => Math.abs(b.weight) - Math.abs(a.weight))
    .slice(0, 6)
    .map((w) => {
      const strong =
        Math.abs(w.weight) >= 2 ? 'strongly' : Math.abs(w.weight) >= 0.7 ? 'clearly' : 'a little';
      const word = w.weight > 0 ? `speaks ${strong} against it` : `speaks ${strong} for it`;
      return plain(
        cut(`      ${titles.get(w.check) ?? w.check}: ${word}`, width),
        w.weight > 0 ? 'watch' : 'good',
      );
    });
}

function stepLines(step: NextStep, number: number, marked: boolean, open: boolean, width: number): Line[] {
  const head: Line = [
    span(marked ? '▸ ' : '  ', 'accent'),
    span(pad(`${number}.`, 4), 'accent'),
    span(cut(step.action, width - 22), step.kind === 'safety' ? 'watch' : 'plain', { inverse: marked }),
    span(`  ${span2(step.hours, 'h')}`, 'quiet'),
  ];
  if (!open) return [head];
  const more = [
    step.why,
    step.part ? `Part: ${step.part}` : '',
    step.caution ? `Caution: ${step.caution}` : '',
  ].filter(Boolean);
  return [head, ...more.flatMap((t) => wrap(t, width - 8)).map((t) => plain(`      ${t}`, 'quiet'))];
}

export function verdictView(app: App, screen: VerdictScreen): Line[] {
  const { columns, live } = app.state;
  const verdict = live?.view.verdict;
  if (!live || !verdict) return framed(app, []);
  const overall = OVERALL[verdict.overall];
  const top: Line[] = [
    [
      span(overall.word, overall.tone, { bold: true }),
      span(
        `   watchable picture: ${percent(verdict.watchable)} %   ${span2(verdict.hours, 'h')}   parts ${span2(verdict.cost, '')}`,
        'quiet',
      ),
    ],
    ...wrap(verdict.recommendation, columns)
      .slice(0, 3)
      .map((t) => plain(t)),
    ...(verdict.coldOnly
      ? [plain('Cold only: nothing was powered, so nothing live is proven.', 'watch')]
      : []),
    plain(
      cut(
        `${Math.round(verdict.coverage * 100)} % of the checks that this bench can do were done, ${Math.round(live.view.minutes)} min.${verdict.wouldChangeMost ? ` Would change most: ${verdict.wouldChangeMost}` : ''}`,
        columns,
      ),
      'quiet',
    ),
    BLANK,
  ];
  const rows = verdictRows(app);
  const lines: Line[] = [];
  let markedAt = 0;
  for (const [n, row] of rows.entries()) {
    const marked = n === screen.index;
    if (marked) markedAt = lines.length;
    const open = screen.open.includes(row.id);
    if (row.kind === 'head') lines.push([span(marked ? '▸ ' : '  ', 'accent'), span(row.text, 'title')]);
    else if (row.kind === 'grade') lines.push(...gradeLines(app, row.entry, marked, open, columns));
    else if (row.kind === 'step') lines.push(...stepLines(row.step, row.number, marked, open, columns));
    else lines.push([span(marked ? '▸ ' : '  ', 'accent'), span(cut(row.text, columns - 4), 'quiet')]);
  }
  const room = bodyHeight(app) - top.length;
  const from = windowStart(markedAt, lines.length, room);
  return framed(app, [...top, ...lines.slice(from, from + room)]);
}
