// Under the card: the last entry with what it moved, what it does not fit, and on a tall screen the readings before it.
import { formatValue } from '../../session/units.ts';
import type { WalkView } from '../../walk/types.ts';
import type { App } from '../app/app.ts';
import { judged } from '../app/kept.ts';
import type { LastEntry } from '../app/model.ts';
import { cut, type Line, pad, plain, span, wrap, wrapTo } from '../text.ts';
import { STANDING_MARK } from '../theme.ts';
import { padTo } from './card.ts';
import { percent, titlesWith } from './suspects.ts';

/** Lines that advice on a reading may take beside its own one or two. */
const MOST_ADVICE = 2;
/** Lines of a misfit: enough for what is wrong and what to do about it. */
export const MOST_MISFIT = 3;

/** What the last reading does not fit, or an instrument that is doubted, in a few lines: called out at once, before it is built upon. */
export function misfit({ conflicts, state }: WalkView, width: number): Line[] {
  const last = state.readings.at(-1)?.seq ?? -1;
  const conflict =
    conflicts.find((c) => c.seq === last || c.readings?.includes(last)) ?? conflicts.find((c) => c.prove);
  if (!conflict) return [];
  return wrapTo(conflict.say, width, MOST_MISFIT).map((t) => plain(t, 'watch'));
}

/** The latest readings in `height` lines, newest at the bottom; blank where there is no room for a list. */
export function recentReadings(app: App, width: number, height: number): Line[] {
  const { live } = app.state;
  if (!live || height < 4) return padTo([], Math.max(0, height));
  const readings = live.view.state.readings.slice(-(height - 2));
  const lines = readings.map((reading): Line => {
    const check = app.book.checks.find((c) => c.id === reading.check);
    const look = STANDING_MARK[judged(app, reading.seq)?.standing ?? 'noted'];
    const title = check?.title ?? reading.check;
    return [
      span(`${look.mark} `, look.tone),
      span(pad(title, Math.max(10, width - 26)), 'quiet'),
      span(`  ${cut(formatValue(reading.value, check?.options), 22)}`, look.tone),
    ];
  });
  if (lines.length === 0) return padTo([], height);
  const list = [plain('Last readings', 'accent'), ...lines];
  return [...padTo([], height - list.length), ...list];
}

/** What is said of the last entry. */
const saidOf = (last: LastEntry): string =>
  last.title === ''
    ? last.say
    : `${last.title}${/[.!?]$/.test(last.title) ? '' : ':'} ${last.text}. ${last.say}`;
const ownLines = (last: LastEntry): number => (last.standing === 'good' ? 1 : 2);

/** Lines of it that the strip cuts off, 0 to 2: worth rows that stand free. */
export function adviceLeft(last: LastEntry | undefined, width: number): number {
  return last ? Math.min(MOST_ADVICE, Math.max(0, wrap(saidOf(last), width - 2).length - ownLines(last))) : 0;
}

/** The last entry and what it moved; under it what the caller adds. `free` rows of the screen may go to what there is to say of it. */
export function lastStrip(
  last: LastEntry | undefined,
  width: number,
  more: readonly Line[],
  free = 0,
): Line[] {
  const rule = plain('─'.repeat(width), 'quiet');
  if (!last) return more.length > 0 ? [rule, ...more] : [];
  const look = STANDING_MARK[last.standing];
  const moved = titlesWith(
    last.moved.map((m) => ({ title: m.title, tail: ` ${percent(m.before)} → ${percent(m.after)} %` })),
    width - 9,
  );
  return [
    rule,
    ...wrapTo(saidOf(last), width - 2, ownLines(last) + Math.min(MOST_ADVICE, free)).map(
      (t, n): Line => [span(n === 0 ? `${look.mark} ` : '  ', look.tone), span(t, look.tone)],
    ),
    ...(moved === '' ? [] : [plain(`  moved: ${moved}`, 'quiet')]),
    ...more,
  ];
}
