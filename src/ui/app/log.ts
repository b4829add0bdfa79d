// The readings: every one with what was thought of it; correct one (the old value is kept), add a note, narrow by words.
import type { LoggedReading } from '../../session/index.ts';
import type { Key } from '../key-stream.ts';
import type { Command } from '../keys.ts';
import { EMPTY_LINE, editLine, lineOf } from '../line-edit.ts';
import type { App } from './app.ts';
import { listMove } from './list-move.ts';
import type { Acts, LogScreen } from './model.ts';
import { openSheet } from './walk.ts';

const PAGE = 10;

/** Opens at the latest reading. */
export function openLog(app: App): Acts {
  const count = app.state.live?.view.state.readings.length ?? 0;
  app.push({ kind: 'log', index: Math.max(0, count - 1), query: EMPTY_LINE, editing: undefined });
}

/** Readings that have all typed words in title, value or note; oldest first. */
export function logRows(app: App, screen: LogScreen): readonly LoggedReading[] {
  const words = screen.query.text.toLowerCase().split(/\s+/).filter(Boolean);
  const titles = new Map(app.book.checks.map((c) => [c.id, c.title]));
  return (app.state.live?.view.state.readings ?? []).filter((r) => {
    const text = `${r.check} ${titles.get(r.check) ?? ''} ${r.raw} ${r.note}`.toLowerCase();
    return words.every((w) => text.includes(w));
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
      if (row) app.show({ ...screen, editing: { what: 'correct', seq: row.seq, edit: lineOf(row.raw) } });
      return;
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
  const taken =
    editing.what === 'correct'
      ? app.take(app.engine.correct(live.view, editing.seq, text))
      : app.commit([{ type: 'note', text, ...(reading ? { check: reading.check } : {}) }], 'Note kept.');
  if (taken) app.show({ ...screen, editing: undefined });
}
