// The readings with the repairs and notes between them: correct a reading (the old value is kept), add a note, see before and after a repair, narrow by words.
import type { LoggedReading, Repair, SessionState } from '../../session/index.ts';
import type { Key } from '../key-stream.ts';
import type { Command } from '../keys.ts';
import { EMPTY_LINE, editLine, lineOf, toReplace } from '../line-edit.ts';
import type { App } from './app.ts';
import { listMove } from './list-move.ts';
import type { Acts, LogScreen } from './model.ts';
import { openSheet } from './walk.ts';

const PAGE = 10;

export type LogRow =
  | { readonly kind: 'reading'; readonly seq: number; readonly reading: LoggedReading }
  | { readonly kind: 'repair'; readonly seq: number; readonly repair: Repair }
  | { readonly kind: 'note'; readonly seq: number; readonly note: SessionState['notes'][number] };

/** Opens at the latest entry. */
export function openLog(app: App): Acts {
  const screen: LogScreen = { kind: 'log', index: 0, query: EMPTY_LINE, editing: undefined };
  app.push({ ...screen, index: Math.max(0, logRows(app, screen).length - 1) });
}

/** Entries that have all typed words in title, value or note; oldest first. */
export function logRows(app: App, screen: LogScreen): readonly LogRow[] {
  const state = app.state.live?.view.state;
  if (!state) return [];
  const words = screen.query.text.toLowerCase().split(/\s+/).filter(Boolean);
  const checks = new Map(app.book.checks.map((c) => [c.id, c.title]));
  const parts = new Map(app.book.parts.map((p) => [p.id, p.title]));
  const all: readonly { readonly row: LogRow; readonly text: string }[] = [
    ...state.readings.map((reading) => ({
      row: { kind: 'reading', seq: reading.seq, reading } as const,
      text: `${reading.check} ${checks.get(reading.check) ?? ''} ${reading.raw} ${reading.note}`,
    })),
    ...state.repairs.map((repair) => ({
      row: { kind: 'repair', seq: repair.seq, repair } as const,
      text: `repair ${repair.action} ${parts.get(repair.part) ?? repair.part} ${repair.found} ${repair.note}`,
    })),
    // What the owner said and took back is an empty note.
    ...state.notes
      .filter((note) => note.text !== '')
      .map((note) => ({
        row: { kind: 'note', seq: note.seq, note } as const,
        text: `note ${checks.get(note.check) ?? ''} ${note.text}`,
      })),
  ];
  return all
    .filter(({ text }) => words.every((w) => text.toLowerCase().includes(w)))
    .map(({ row }) => row)
    .sort((a, b) => a.seq - b.seq);
}

export interface BeforeAfter {
  readonly before: LoggedReading;
  readonly after: LoggedReading;
}

/** Checks read on both sides of a repair: the last reading before it and the first one after it. */
export function aroundRepair(state: SessionState, repair: Repair): readonly BeforeAfter[] {
  const later = state.readings.filter((r) => r.seq > repair.seq);
  const firsts = later.filter((r, n) => later.findIndex((other) => other.check === r.check) === n);
  return firsts.flatMap((after) => {
    const before = state.readings.findLast((r) => r.seq < repair.seq && r.check === after.check);
    return before ? [{ before, after }] : [];
  });
}

export function keyLog(app: App, screen: LogScreen, key: Key, command: Command | undefined): Acts {
  if (screen.editing) return keyEditing(app, screen, screen.editing, key, command);
  if (openSheet(app, command)) return;
  const rows = logRows(app, screen);
  const row = rows[screen.index];
  const to = listMove(command, screen.index, rows.length, PAGE);
  if (to !== undefined) return app.show({ ...screen, index: to });
  switch (command) {
    case 'clear':
      return app.show({ ...screen, query: EMPTY_LINE, index: 0 });
    case 'back':
      return screen.query.text === '' ? app.pop() : app.show({ ...screen, query: EMPTY_LINE, index: 0 });
    case 'take':
      if (row?.kind !== 'reading')
        return app.say('Only a reading can be corrected; ^Z takes back what was last entered.', 'quiet');
      return app.show({
        ...screen,
        editing: { what: 'correct', seq: row.seq, edit: toReplace(lineOf(row.reading.raw)) },
      });
    case 'note':
      if (row) app.show({ ...screen, editing: { what: 'note', seq: row.seq, edit: EMPTY_LINE } });
      return;
  }
  const query = editLine(screen.query, key);
  if (query) app.show({ ...screen, query, index: 0 });
}

function keyEditing(
  app: App,
  screen: LogScreen,
  editing: NonNullable<LogScreen['editing']>,
  key: Key,
  command: Command | undefined,
): Acts {
  const { live } = app.state;
  if (command === 'back') return app.show({ ...screen, editing: undefined });
  if (command !== 'take') {
    const edit = command === 'clear' ? EMPTY_LINE : editLine(editing.edit, key);
    if (edit) app.show({ ...screen, editing: { ...editing, edit } });
    return;
  }
  const text = editing.edit.text.trim();
  if (!live || text === '') return app.show({ ...screen, editing: undefined });
  const reading = live.view.state.readings.find((r) => r.seq === editing.seq);
  const { step } = live.view;
  const taken =
    editing.what === 'correct'
      ? app.take(app.engine.correct(live.view, editing.seq, text))
      : app.commit([{ type: 'note', text, ...(reading ? { check: reading.check } : {}) }], 'Note kept.');
  app.show({ ...screen, editing: taken ? undefined : { ...editing, edit: toReplace(editing.edit) } });
  if (taken && step.kind === 'check') keepCard(app, step.check.id);
}

/** The card that was being read stays the one under the sheet, though a corrected reading would have led elsewhere. */
function keepCard(app: App, check: string): Acts {
  const [card, ...sheets] = app.state.stack;
  if (card?.kind === 'walk' && card.pinned === '')
    app.update({ stack: [{ ...card, pinned: check }, ...sheets] });
}
