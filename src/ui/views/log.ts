// The log: readings with what was thought of them, repairs with before and after, notes; the marked one in whole sentences below.

import type { LoggedReading, Repair } from '../../session/index.ts';
import { OWNER_SAID } from '../../session/owner-said.ts';
import { formatValue } from '../../session/units.ts';
import type { App } from '../app/app.ts';
import { judged } from '../app/kept.ts';
import { aroundRepair, type LogRow, logRows } from '../app/log.ts';
import type { LogScreen } from '../app/model.ts';
import { BLANK, clean, cut, type Line, pad, plain, span, wrapTo } from '../text.ts';
import { STANDING_MARK } from '../theme.ts';
import { inputLine } from './frame.ts';
import { listed, pointer } from './listed.ts';

/** Lines that before and after of a repair may take. */
const MOST_PAIRS = 6;
/** Columns of a value. */
const VALUE = 20;
/** Below this width a line has no room for what was thought of the reading: it stands below, for the marked one. */
const NARROW = 100;

const shown = (app: App, reading: LoggedReading): string =>
  formatValue(reading.value, app.book.checks.find((c) => c.id === reading.check)?.options);

function readingLine(app: App, reading: LoggedReading, marked: boolean): Line {
  const { live, columns } = app.state;
  const check = app.book.checks.find((c) => c.id === reading.check);
  const thought = judged(app, reading.seq);
  const look = STANDING_MARK[thought?.standing ?? 'noted'];
  const conflict = live?.view.conflicts.find(
    (c) => c.seq === reading.seq || c.readings?.includes(reading.seq),
  );
  const was = reading.corrections.length > 0 ? `was ${reading.corrections.map(clean).join(', ')}; ` : '';
  const note = reading.note ? `  "${clean(reading.note)}"` : '';
  const narrow = columns < NARROW;
  const title = pad(check?.title ?? reading.check, narrow ? columns - VALUE - 13 : Math.floor(columns * 0.4));
  const rest = conflict ? `${was}does not fit: ${conflict.say}` : `${was}${thought?.say ?? ''}${note}`;
  return [
    pointer(marked),
    span(pad(String(reading.seq), 5), 'quiet'),
    span(title, 'plain', { inverse: marked }),
    span(`  ${look.mark} `, look.tone),
    span(pad(shown(app, reading), VALUE)),
    ...(narrow
      ? [span(conflict ? '!' : '', 'watch')]
      : [span(`  ${cut(rest, columns - title.length - VALUE - 15)}`, conflict ? 'watch' : 'quiet')]),
  ];
}

const partTitle = (app: App, repair: Repair): string =>
  app.book.parts.find((p) => p.id === repair.part)?.title ?? repair.part;

function rowLine(app: App, row: LogRow, marked: boolean): Line {
  const { columns } = app.state;
  if (row.kind === 'reading') return readingLine(app, row.reading, marked);
  const text =
    row.kind === 'note'
      ? `${row.note.check === OWNER_SAID ? 'the owner said' : 'note'}: ${row.note.text}`
      : `${row.repair.action}: ${partTitle(app, row.repair)}${row.repair.found ? `; found ${row.repair.found}` : ''}`;
  return [
    pointer(marked),
    span(pad(String(row.seq), 5), 'quiet'),
    span(cut(clean(text), columns - 8), row.kind === 'repair' ? 'accent' : 'quiet', { inverse: marked }),
  ];
}

/** Before and after a repair, a line a check that was read on both sides. */
function aroundLines(app: App, repair: Repair, width: number): Line[] {
  const { live } = app.state;
  const pairs = live ? aroundRepair(live.view.state, repair) : [];
  if (pairs.length === 0) return [plain('Nothing was read both before and after this yet.', 'quiet')];
  const head = plain(
    `Before and after${pairs.length > MOST_PAIRS ? `, ${MOST_PAIRS} of ${pairs.length}` : ''}`,
    'accent',
  );
  return [
    head,
    ...pairs.slice(0, MOST_PAIRS).map(({ before, after }): Line => {
      const title = app.book.checks.find((c) => c.id === after.check)?.title ?? after.check;
      const look = STANDING_MARK[judged(app, after.seq)?.standing ?? 'noted'];
      return [
        span(pad(title, Math.floor(width * 0.45))),
        span(`  ${pad(shown(app, before), 16)}`, 'quiet'),
        span(`→ ${look.mark} `, look.tone),
        span(cut(shown(app, after), 18), look.tone),
      ];
    }),
  ];
}

/** The marked entry in whole sentences. */
function detail(app: App, row: LogRow | undefined, width: number): Line[] {
  const { live } = app.state;
  if (!row || !live) return [];
  if (row.kind === 'repair') return aroundLines(app, row.repair, width);
  if (row.kind === 'note') return wrapTo(clean(row.note.text), width, 3).map((t) => plain(t));
  const { reading } = row;
  const repair = live.view.state.repairs.findLast((r) => r.seq < reading.seq);
  const before =
    repair && live.view.state.readings.findLast((r) => r.seq < repair.seq && r.check === reading.check);
  const said = judged(app, reading.seq)?.say;
  const conflict = live.view.conflicts.find((c) => c.seq === reading.seq);
  return [
    ...(reading.corrections.length > 0
      ? [plain(cut(`Corrected: was ${reading.corrections.map(clean).join(', ')}`, width), 'quiet')]
      : []),
    ...(conflict ? wrapTo(`Does not fit: ${conflict.say}`, width, 2).map((t) => plain(t, 'watch')) : []),
    ...(reading.note ? [plain(cut(`Note: ${clean(reading.note)}`, width), 'quiet')] : []),
    ...(said === undefined ? [] : wrapTo(said, width, 3).map((t) => plain(t))),
    ...(before && repair
      ? [
          plain(
            cut(`Before "${partTitle(app, repair)}" was ${repair.action}: ${shown(app, before)}`, width),
            'quiet',
          ),
        ]
      : []),
  ];
}

/** The answers of a choice with their numbers, where one is corrected. */
function answersOf(app: App, row: LogRow | undefined, width: number): Line[] {
  if (row?.kind !== 'reading') return [];
  const options = app.book.checks.find((c) => c.id === row.reading.check)?.options ?? [];
  return options.map((o, n): Line => [span(`${n + 1}  `, 'accent'), span(cut(o.title, width - 4))]);
}

export function logView(app: App, screen: LogScreen): Line[] {
  const { columns } = app.state;
  const rows = logRows(app, screen);
  const top: Line[] = [
    plain('Readings', 'title'),
    screen.query.text === ''
      ? plain('Enter corrects the marked one; the old value is kept. Words narrow the list.', 'quiet')
      : inputLine('Find:', screen.query, columns),
    BLANK,
  ];
  const lines = rows.map((r, n) => rowLine(app, r, n === screen.index));
  if (lines.length === 0)
    lines.push(plain(screen.query.text === '' ? '  no readings yet' : '  no entry has these words', 'quiet'));
  const { editing } = screen;
  const rule = plain('─'.repeat(columns), 'quiet');
  const whole = detail(app, rows[screen.index], columns);
  const below: Line[] = editing
    ? [
        rule,
        ...answersOf(app, rows[screen.index], columns),
        inputLine(editing.what === 'correct' ? 'Corrected reading:' : 'Note:', editing.edit, columns),
      ]
    : whole.length > 0
      ? [rule, ...whole]
      : [];
  return listed(app, top, lines, screen.index, below);
}
