// Home: begin, resume, practise, set up the bench. Typing narrows the list of saved sessions.
import type { SessionSummary } from '../../session/index.ts';
import type { Key } from '../key-stream.ts';
import type { Command } from '../keys.ts';
import { EMPTY_LINE, editLine } from '../line-edit.ts';
import type { AskedPractice } from '../ports.ts';
import type { App } from './app.ts';
import { openBench } from './bench.ts';
import { openIntake } from './intake.ts';
import { listMove } from './list-move.ts';
import type { Acts, HomeScreen } from './model.ts';
import { practise, resume } from './opening.ts';
import { openSettings } from './settings.ts';

export type HomeRow =
  /** `name` is what was typed while searching, else empty. */
  | { readonly kind: 'new'; readonly name: string }
  | { readonly kind: 'session'; readonly session: SessionSummary }
  | { readonly kind: 'bench' }
  | { readonly kind: 'settings' }
  | { readonly kind: 'practice'; readonly level: AskedPractice['level'] };

export function freshHome(sessions: readonly SessionSummary[]): HomeScreen {
  return { kind: 'home', query: EMPTY_LINE, index: sessions.length > 0 ? 1 : 0, sessions, archived: false };
}

const LEVELS = ['single', 'double', 'dormant'] as const;

/** Rows in the order shown. While something is typed: sessions whose words all match, and a new set of that name. */
export function homeRows(screen: HomeScreen, practice: boolean): readonly HomeRow[] {
  const words = screen.query.text.toLowerCase().split(/\s+/).filter(Boolean);
  const sessions = screen.sessions
    .filter((s) =>
      words.every((w) => `${s.name} ${s.set} ${s.family} ${s.verdict}`.toLowerCase().includes(w)),
    )
    .map((session): HomeRow => ({ kind: 'session', session }));
  if (screen.archived) return sessions;
  if (words.length > 0) return [...sessions, { kind: 'new', name: screen.query.text.trim() }];
  return [
    { kind: 'new', name: '' },
    ...sessions,
    ...(practice ? LEVELS.map((level): HomeRow => ({ kind: 'practice', level })) : []),
    { kind: 'bench' },
    { kind: 'settings' },
  ];
}

const PAGE = 10;

export function keyHome(app: App, screen: HomeScreen, key: Key, command: Command | undefined): Acts {
  const rows = homeRows(screen, app.ports.practice !== undefined);
  const to = listMove(command, screen.index, rows.length, PAGE);
  if (to !== undefined) return app.show({ ...screen, index: to });
  switch (command) {
    case 'bench':
      return openBench(app, 'preferences');
    case 'archived':
      return showArchive(app, !screen.archived);
    case 'archive':
      return moveSession(app, screen, rows[screen.index]);
    case 'clear':
    case 'back':
      if (screen.archived && screen.query.text === '') return showArchive(app, false);
      return app.show({ ...screen, query: EMPTY_LINE, index: 0 });
    case 'take': {
      const row = rows[screen.index];
      if (row?.kind === 'new') openIntake(app, 'new', row.name);
      if (row?.kind === 'session' && screen.archived)
        return app.say('This set is in the archive: ^A brings it back to the bench.', 'watch');
      if (row?.kind === 'session') resume(app, row.session.name);
      if (row?.kind === 'bench') openBench(app, 'preferences');
      if (row?.kind === 'settings') openSettings(app);
      if (row?.kind === 'practice') rehearse(app, row.level);
      return;
    }
  }
  const query = editLine(screen.query, key);
  if (query) app.show({ ...screen, query, index: 0 });
}

/** The list of the archive, or of what is on the bench, read anew. */
function showArchive(app: App, archived: boolean): Acts {
  const { sessions } = app.ports;
  app.attempt(() => {
    const home = freshHome(archived ? sessions.listArchived() : sessions.list());
    app.show(archived ? { ...home, archived, index: 0 } : home);
    app.update({ notice: undefined });
  });
}

/** Puts the marked session away, or brings it back; the mark stays where it was, for the next one. */
function moveSession(app: App, screen: HomeScreen, row: HomeRow | undefined): Acts {
  if (row?.kind !== 'session') return app.say('Mark a saved set first.', 'watch');
  const { sessions } = app.ports;
  const { name, set } = row.session;
  app.attempt(() => {
    if (screen.archived) sessions.unarchive(name);
    else sessions.archive(name);
    const left = screen.archived ? sessions.listArchived() : sessions.list();
    const next = { ...screen, sessions: left };
    const last = homeRows(next, app.ports.practice !== undefined).length - 1;
    app.show({ ...next, index: Math.max(0, Math.min(screen.index, last)) });
    app.say(
      screen.archived
        ? `Back on the bench: ${set || name}.`
        : `Put away: ${set || name}. Tab shows the archive.`,
      'good',
    );
  });
}

function rehearse(app: App, level: AskedPractice['level']): Acts {
  practise(app, { level }).catch((error: unknown) => {
    app.update({ busy: undefined });
    app.say(error instanceof Error ? error.message : String(error), 'bad');
  });
}
