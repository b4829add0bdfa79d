// The pane beside the card: what is likely wrong, with a bar and the change since the last reading, and the core parts.
import type { OpenSign, SupposedCause } from '../../diagnosis/types.ts';
import type { Live } from '../app/model.ts';
import { BLANK, cut, type Line, pad, plain, span, type Tone, widthOf } from '../text.ts';
import { GRADE_MARK } from '../theme.ts';

const BAR = 12;
/** Signs that nothing accounts for which the pane has room for. */
const SIGNS = 2;
/** Changes below this many percent are not shown. */
const LEAST_CHANGE = 1;

export function percent(p: number): string {
  const n = p * 100;
  if (n > 0 && n < 1) return '<1';
  return n > 99 && n < 100 ? '>99' : String(Math.round(n));
}

/** A bar of `width` cells, filled in proportion. */
export function bar(p: number, width: number): string {
  const cells = Math.round(Math.max(0, Math.min(1, p)) * width);
  return '█'.repeat(cells) + '░'.repeat(width - cells);
}

function toneOf(p: number): Tone {
  return p >= 0.8 ? 'bad' : p >= 0.3 ? 'watch' : 'plain';
}

/** `Audio output tube: weak 15 %`: a cause of a sign that nothing found accounts for, with its chance if the sign is real. */
export function causeLine({ title, ifReal }: SupposedCause, width: number): string {
  return titlesWith([{ title, tail: ` ${percent(ifReal)} %` }], width);
}

/** Signs left unaccounted for when the asking has ended: there they stand beside the suspects, or instead of them. */
const signsLeft = ({ view }: Live): readonly OpenSign[] => view.plan.stop?.openSigns ?? [];

/** Suspects, as many as fit in `height` lines (two each), most likely first. */
export function suspectsPane(live: Live, width: number, height: number): Line[] {
  const { view, earlier } = live;
  const lines: Line[] = [plain('Suspects', 'title')];
  const core = view.verdict?.core ?? [];
  const signs = signsLeft(live).slice(0, SIGNS);
  const below = (core.length > 0 ? core.length + 2 : 0) + (signs.length > 0 ? 2 * signs.length + 2 : 0);
  const room = Math.max(2, height - 2 - below);
  if (view.suspects.length === 0)
    lines.push(plain(`${view.plan.stop ? 'nothing' : 'nothing yet'} that a reading points at`, 'quiet'));
  for (const s of view.suspects.slice(0, Math.floor(room / 2))) {
    const was = earlier.get(s.part);
    const change = was === undefined ? undefined : Math.round((s.partProbability - was) * 100);
    const mark =
      earlier.size > 0 && was === undefined
        ? 'new'
        : change !== undefined && Math.abs(change) >= LEAST_CHANGE
          ? `${change > 0 ? '↑' : '↓'}${Math.abs(change)}`
          : '';
    lines.push(plain(cut(s.title, width)));
    lines.push([
      span(`  ${bar(s.partProbability, BAR)} `, toneOf(s.partProbability)),
      span(pad(`${percent(s.partProbability)} %`, 6, 'right'), toneOf(s.partProbability)),
      span(`  ${mark}`, mark.startsWith('↓') ? 'good' : 'accent'),
    ]);
  }
  if (signs.length > 0) lines.push(BLANK, plain('Not accounted for', 'title'));
  for (const { title, causes } of signs) {
    lines.push([span('? ', 'watch'), span(cut(title, width - 2))]);
    for (const cause of causes.slice(0, 1))
      lines.push(plain(`  perhaps ${causeLine(cause, width - 10)}`, 'quiet'));
  }
  if (core.length > 0) {
    lines.push(BLANK, plain('Core parts', 'title'));
    for (const grade of core) {
      const look = GRADE_MARK[grade.grade] ?? { mark: '?', tone: 'quiet' };
      lines.push([
        span(`${look.mark} `, look.tone),
        span(pad(grade.title, Math.max(8, width - 16))),
        span(grade.grade, look.tone),
      ]);
    }
  }
  lines.push(...sectionMap(live, width, height - lines.length - 1));
  return lines.slice(0, height);
}

/** Every section with the mark of its grade, in the order of the signal, in two columns; nothing where there is no room. */
function sectionMap(live: Live, width: number, height: number): Line[] {
  const sections = live.view.verdict?.sections ?? [];
  const rows = Math.ceil(sections.length / 2);
  if (sections.length === 0 || rows + 2 > height) return [];
  const column = Math.floor(width / 2);
  const cell = (n: number): Line => {
    const section = sections[n];
    if (!section) return [];
    const look = GRADE_MARK[section.grade] ?? { mark: '?', tone: 'quiet' };
    return [span(`${look.mark} `, look.tone), span(pad(section.title, column - 3), look.tone)];
  };
  return [
    BLANK,
    plain('Sections', 'title'),
    ...Array.from({ length: rows }, (_, n): Line => [...cell(n), span(' '), ...cell(n + rows)]),
  ];
}

/** The leading suspects in one line, where there is no room for the pane. */
export function suspectsLine(live: Live, width: number): Line {
  const some = live.view.suspects.slice(0, 2);
  const [sign] = signsLeft(live);
  if (some.length === 0 && sign) {
    const [cause] = sign.causes;
    const room = width - widthOf(`Not accounted for: ${sign.title}; perhaps `);
    const perhaps = cause && room >= LEAST_TITLE ? `; perhaps ${causeLine(cause, room)}` : '';
    return [span('Not accounted for: ', 'watch'), span(cut(sign.title + perhaps, width - 19))];
  }
  if (some.length === 0) return plain('Suspects: nothing yet that a reading points at.', 'quiet');
  const text = titlesWith(
    some.map((s) => ({ title: s.title, tail: ` ${percent(s.partProbability)} %` })),
    width - 10,
  );
  return [span('Suspects: ', 'quiet'), span(text)];
}

/** Columns of a title below which it tells nothing. */
const LEAST_TITLE = 14;
const GAP = '   ';

/** Titles with what belongs to them in `width` columns: titles are cut, never the numbers behind them; the last goes if there is no room. */
export function titlesWith(
  items: readonly { readonly title: string; readonly tail: string }[],
  width: number,
): string {
  if (items.length === 0) return '';
  const tails = items.reduce((sum, { tail }) => sum + widthOf(tail), 0);
  const room = width - tails - GAP.length * (items.length - 1);
  if (items.length > 1 && room < LEAST_TITLE * items.length) return titlesWith(items.slice(0, -1), width);
  const widths = items.map(({ title }) => widthOf(title));
  // Short titles keep their length, the long ones share what is left.
  let share = room / items.length;
  for (const _ of items) {
    const short = widths.filter((w) => w <= share);
    const long = widths.length - short.length;
    if (long === 0) break;
    share = (room - short.reduce((sum, w) => sum + w, 0)) / long;
  }
  return items.map(({ title, tail }) => cut(title, Math.max(1, Math.floor(share))) + tail).join(GAP);
}
