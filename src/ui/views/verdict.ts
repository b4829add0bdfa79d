// The verdict sheet: the word on the set, grades with their evidence, next steps with caution and cost, what was not proven.
import { spanWords } from '../../diagnosis/plain-words.ts';
import type { GradeEntry, NextStep, OpenSign, Overall, Verdict } from '../../diagnosis/types.ts';
import type { App } from '../app/app.ts';
import { judged } from '../app/kept.ts';
import type { Behind, Evidence, VerdictScreen } from '../app/model.ts';
import { verdictRows } from '../app/verdict.ts';
import { BLANK, cut, type Line, pad, plain, span, type Tone, windowStart, wrap } from '../text.ts';
import { GRADE_MARK, STANDING_MARK } from '../theme.ts';
import { bodyHeight, framed } from './frame.ts';
import { causeLine, percent } from './suspects.ts';

const OVERALL: Readonly<Record<Overall, { readonly word: string; readonly tone: Tone }>> = {
  'worth-overhauling': { word: 'Worth overhauling', tone: 'good' },
  'worth-with-reservations': { word: 'Worth overhauling, with reservations', tone: 'watch' },
  'not-worth': { word: 'Not worth overhauling', tone: 'bad' },
  'not-yet-known': { word: 'Not yet known', tone: 'watch' },
};

const MOST_WEIGHTS = 5;
const MOST_READINGS = 6;

/** `0.5 to 2 h`, rounded as the recommendation rounds it. */
const bracket = (span: readonly [number, number], unit: string): string =>
  `${spanWords(span)} ${unit}`.trim();

function gradeLines(
  app: App,
  entry: GradeEntry,
  behind: Behind | undefined,
  marked: boolean,
  open: boolean,
  width: number,
): Line[] {
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
    ...evidenceLines(app, behind?.suspects ?? [], width),
    ...readingLines(app, behind?.readings ?? [], width),
  ];
}

/** The suspects behind a grade with the readings that moved each, strongest first. */
function evidenceLines(app: App, evidence: readonly Evidence[], width: number): Line[] {
  const titles = new Map(app.book.checks.map((c) => [c.id, c.title]));
  return evidence.flatMap((e): Line[] => [
    plain(cut(`      ${e.title}: ${percent(e.probability)} %`, width)),
    ...[...e.weights]
      .sort((a, b) => Math.abs(b.weight) - Math.abs(a.weight))
      .slice(0, MOST_WEIGHTS)
      .map(({ check, weight }) => {
        const size = Math.abs(weight);
        const much = size >= 2 ? 'strongly' : size >= 0.7 ? 'clearly' : 'a little';
        const word = weight > 0 ? `points at it ${much}` : `speaks for it ${much}`;
        return plain(
          cut(`        ${titles.get(check) ?? check}: ${word}`, width),
          weight > 0 ? 'watch' : 'good',
        );
      }),
  ]);
}

/** The readings that speak about the parts of a grade, latest first. */
function readingLines(app: App, seqs: readonly number[], width: number): Line[] {
  const more = seqs.length - MOST_READINGS;
  const lines = seqs.slice(0, MOST_READINGS).flatMap((seq): Line[] => {
    const found = judged(app, seq);
    if (!found) return [];
    const look = STANDING_MARK[found.standing];
    return [
      [
        span(`        ${look.mark} `, look.tone),
        span(cut(`${found.check.title}: ${found.text}`, width - 10), look.tone),
      ],
    ];
  });
  return more > 0 ? [...lines, plain(`          and ${more} more: ^R`, 'quiet')] : lines;
}

/** A sign with its likeliest cause; open, with all that were worked out and their chance if the sign is real. */
function signLines(sign: OpenSign, marked: boolean, open: boolean, width: number): Line[] {
  const [first] = sign.causes;
  const head: Line = [
    span(marked ? '▸ ' : '  ', 'accent'),
    span('? ', 'watch'),
    span(pad(sign.title, 30), 'plain', { inverse: marked }),
    span(first ? ` perhaps ${causeLine(first, width - 44)}` : ' no cause stands out', 'quiet'),
  ];
  if (!open) return [head];
  return [
    head,
    ...wrap(
      `${sign.title}: chance that there is something behind it ${percent(sign.chance)} %. ${first ? 'If there is:' : 'If there is, no one part stands out.'}`,
      width - 8,
    ).map((t) => plain(`      ${t}`, 'quiet')),
    ...sign.causes.map((c) => plain(`        ${causeLine(c, width - 8)}`)),
  ];
}

function stepLines(step: NextStep, number: number, marked: boolean, open: boolean, width: number): Line[] {
  const named = step.kind === 'repair' && step.part ? `${step.part}: ${step.action}` : step.action;
  const tone = step.kind === 'safety' ? 'watch' : 'plain';
  const [first = '', ...rest] = wrap(named, width - 22);
  const head: Line[] = [
    [
      span(marked ? '▸ ' : '  ', 'accent'),
      span(pad(`${number}.`, 4), 'accent'),
      span(pad(first, width - 22), tone, { inverse: marked }),
      span(`  ${bracket(step.hours, 'h')}`, 'quiet'),
    ],
    ...rest.map((t): Line => [span(`      ${t}`, tone)]),
  ];
  if (!open) return head;
  const more = [
    step.why,
    step.part ? `Part: ${step.part}` : '',
    step.caution ? `Caution: ${step.caution}` : '',
  ].filter(Boolean);
  return [...head, ...more.flatMap((t) => wrap(t, width - 8)).map((t) => plain(`      ${t}`, 'quiet'))];
}

/** The word on the set with its figures, the recommendation in full, what was done and what would change it most. */
function sheetTop(verdict: Verdict, minutes: number, columns: number): Line[] {
  const overall = OVERALL[verdict.overall];
  const figures = `watchable with parts that can be had: ${percent(verdict.watchable)} %   ${bracket(verdict.hours, 'h')}   parts ${bracket(verdict.cost, '')}`;
  const word = span(overall.word, overall.tone, { bold: true });
  const most = verdict.wouldChangeMost ? ` Would change most: ${verdict.wouldChangeMost}` : '';
  return [
    ...(overall.word.length + 3 + figures.length <= columns
      ? [[word, span(`   ${figures}`, 'quiet')]]
      : [[word], plain(figures, 'quiet')]),
    ...wrap(verdict.recommendation, columns).map((t) => plain(t)),
    ...(verdict.coldOnly
      ? [plain('Cold only: nothing was powered, so nothing live is proven.', 'watch')]
      : []),
    ...wrap(
      `${Math.round(verdict.coverage * 100)} % of the checks that this bench can do were done, ${Math.round(minutes)} min.${most}`,
      columns,
    ).map((t) => plain(t, 'quiet')),
    BLANK,
  ];
}

/** One sheet: it scrolls as a whole, so that nothing on it has to be cut. */
export function verdictView(app: App, screen: VerdictScreen): Line[] {
  const { columns, live } = app.state;
  const verdict = live?.view.verdict;
  if (!live || !verdict) return framed(app, []);
  const lines = sheetTop(verdict, live.view.minutes, columns);
  const entries = verdictRows(app);
  let markedAt = 0;
  for (const [n, row] of entries.entries()) {
    const marked = n === screen.index;
    if (marked) markedAt = lines.length;
    const open = screen.open.includes(row.id);
    if (row.kind === 'head') lines.push([span(marked ? '▸ ' : '  ', 'accent'), span(row.text, 'title')]);
    else if (row.kind === 'grade')
      lines.push(...gradeLines(app, row.entry, screen.evidence[row.id], marked, open, columns));
    else if (row.kind === 'sign') lines.push(...signLines(row.sign, marked, open, columns));
    else if (row.kind === 'step') lines.push(...stepLines(row.step, row.number, marked, open, columns));
    else lines.push([span(marked ? '▸ ' : '  ', 'accent'), span(cut(row.text, columns - 4), 'quiet')]);
  }
  const room = bodyHeight(app);
  const from = screen.index === 0 ? 0 : windowStart(markedAt, lines.length, room);
  return framed(app, lines.slice(from, from + room));
}
