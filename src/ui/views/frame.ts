// The frame round every sheet: one head line (set, supply state, line, saved), the body, one line for messages, the keys.
import type { App } from '../app/app.ts';
import { clockWords, countdowns, nextRow } from '../app/timers.ts';
import { type Command, footerOf } from '../keys.ts';
import type { LineEdit } from '../line-edit.ts';
import {
  BLANK,
  clean,
  cut,
  ends,
  fitLine,
  type Line,
  lineWidth,
  pad,
  plain,
  type Span,
  span,
  tall,
  widthOf,
  wrap,
} from '../text.ts';
import { SUPPLY } from '../theme.ts';

/** Lines that the frame takes from the body. */
export const FRAME_LINES = 4;

/** The head line of a session: what is on the bench, and in which state. Never left out. */
export function headLine(app: App, width: number): Line {
  const { live } = app.state;
  if (!live)
    return ends(
      [span('First Raster', 'title')],
      [span('valve and tube television diagnosis', 'quiet')],
      width,
    );
  const { session, view } = live;
  const supply = SUPPLY[view.safety.supply];
  const set = view.state.set?.name || session.name;
  const unsaved = session.pending.length;
  const saved: Span = live.practice
    ? span('not kept', 'quiet')
    : session.readOnly
      ? span('READ ONLY', 'bad')
      : unsaved > 0
        ? span(`${unsaved} NOT SAVED`, 'danger')
        : span(`saved ${view.state.lastSeq}`, 'quiet');
  const right: Line = [
    span(` ${supply.symbol} ${supply.word} `, supply.tone),
    span(view.state.lineVolts > 0 ? `  ${view.state.lineVolts} V line  ` : '  ', 'quiet'),
    saved,
  ];
  const badge: Line = live.practice ? [span(' PRACTICE ', 'accent', { inverse: true }), span(' ')] : [];
  const room = Math.max(8, width - lineWidth(right) - lineWidth(badge) - 1);
  return ends([...badge, span(cut(set, room), 'title')], right, width);
}

/** The line under the head: a banner across the whole width while the set is live; else what runs down, links fitted, when the proof lapses. */
export function statusLine(app: App, width: number): Line {
  const { live } = app.state;
  if (!live) return plain('─'.repeat(width), 'quiet');
  const { safety } = live.view;
  const now = app.now().getTime();
  const running = countdowns(live, now).map((c) => `${c.title} ${clockWords(c.seconds)}`);
  const links = safety.links.length > 0 ? [`still fitted: ${safety.links.join(', ')}`] : [];
  if (safety.supply === 'isolated-limited' || safety.supply === 'isolated-full') {
    const { tone } = SUPPLY[safety.supply];
    const next = safety.supply === 'isolated-limited' ? nextRow(live) : undefined;
    const ladder = next
      ? [`next ${Math.round(next.lineVolts)} V, at most ${next.currentCeilingAmps.toFixed(2)} A: ^Y`]
      : [];
    const short = ladder.length + running.length > 0;
    const advice = short ? 'LIVE: hands out.' : 'LIVE: one hand, hands out before typing. Anything wrong: ^X';
    const text = [advice, ...running, ...ladder, ...links].join('   ');
    return plain(pad(` ${clean(text)}`, width), tone);
  }
  const minutes = safety.expiresAt ? Math.ceil((Date.parse(safety.expiresAt) - now) / 60_000) : 0;
  const lapse = safety.supply === 'discharged' && minutes > 0 ? [`proof lapses in ${minutes} min`] : [];
  const text = cut(clean([...running, ...links, ...lapse].join('   ')), width - 8);
  if (text === '') return plain('─'.repeat(width), 'quiet');
  return [
    span('─'.repeat(Math.max(0, width - widthOf(text) - 5)), 'quiet'),
    span(` ${text} `, running.length > 0 || links.length > 0 ? 'watch' : 'quiet'),
    span('───', 'quiet'),
  ];
}

/** Keys of the screen, as many as there is room for, help always; `hidden` are those that would do nothing now. */
export function footLine(app: App, width: number, hidden: readonly Command[] = []): Line {
  const offered = footerOf(app.screen.kind).filter((f) => !hidden.includes(f.command));
  const help = offered.find((f) => f.command === 'help');
  const helpWidth = help ? help.key.length + help.word.length + 1 : 0;
  const isLive = app.state.live?.view.safety.supply.startsWith('isolated') ?? false;
  const spans: Span[] = [];
  let used = helpWidth + 1;
  for (const { key, word, command } of offered) {
    const size = key.length + word.length + 3;
    if (command === 'help' || used + size > width) continue;
    used += size;
    const urgent = command === 'power-off' && isLive;
    spans.push(span(key, urgent ? 'danger' : 'accent'), span(` ${word}  `, urgent ? 'bad' : 'quiet'));
  }
  if (!help) return fitLine(spans, width);
  return ends(spans, [span(help.key, 'accent'), span(` ${help.word}`, 'quiet')], width);
}

/** Puts a body into the frame: exactly as many lines as the terminal has. */
export function framed(app: App, body: readonly Line[], hidden: readonly Command[] = []): Line[] {
  const { columns, rows, notice } = app.state;
  const messages = notice ? wrap(notice.text, columns - 1).slice(0, 3) : [''];
  const height = rows - FRAME_LINES - (messages.length - 1);
  return [
    headLine(app, columns),
    statusLine(app, columns),
    ...tall(body, height).map((line) => (lineWidth(line) > columns ? fitLine(line, columns) : line)),
    ...messages.map((m) =>
      plain(notice?.tone === 'danger' ? pad(` ${m}`, columns) : m, notice?.tone ?? 'quiet'),
    ),
    footLine(app, columns, hidden),
  ];
}

/** Height of the body under the present message. */
export function bodyHeight(app: App): number {
  const { columns, rows, notice } = app.state;
  const extra = notice ? Math.min(3, wrap(notice.text, columns - 1).length) - 1 : 0;
  return rows - FRAME_LINES - extra;
}

/** A message across the whole width that cannot be missed. */
export function banner(
  title: string,
  lines: readonly string[],
  width: number,
  tone: 'danger' | 'live',
): Line[] {
  const text = lines.flatMap((l) => wrap(l, width - 4));
  return [
    plain(pad('', width), tone),
    plain(pad(`  ${title}`, width), tone),
    ...text.map((t) => plain(pad(`  ${t}`, width), tone)),
    plain(pad('', width), tone),
    BLANK,
  ];
}

/** The input line, with the cursor shown as an inverted cell; text that the next character replaces is subdued. */
export function inputLine(prompt: string, edit: LineEdit, width: number, after: Line = []): Line {
  const room = Math.max(10, width - prompt.length - 2 - lineWidth(after));
  const start = edit.cursor > room - 2 ? edit.cursor - room + 2 : 0;
  const head = edit.text.slice(start, edit.cursor);
  const at = edit.text.slice(edit.cursor, edit.cursor + 1) || ' ';
  const tail = edit.text.slice(edit.cursor + 1, start + room - 1);
  return [
    span(`${prompt} `, 'accent', { bold: true }),
    span(head, edit.anew ? 'quiet' : 'plain', { bold: !edit.anew }),
    span(at, 'plain', { inverse: true }),
    span(tail, 'plain', { bold: true }),
    ...after,
  ];
}

/** A page of text in `room` lines from its line `scroll` on, with a word where more follows. */
export function scrolled(lines: readonly Line[], scroll: number, room: number): Line[] {
  const most = Math.max(0, lines.length - room);
  const from = Math.min(scroll, most);
  const shown = lines.slice(from, from + room);
  return from < most ? [...shown.slice(0, -1), plain('PgDn: more', 'watch')] : shown;
}
