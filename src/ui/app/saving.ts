// When the disk refuses: entries wait in memory, are tried again, or the whole session goes on in another folder.
import { homedir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { SessionError } from '../../session/error.ts';
import { fold } from '../../session/fold.ts';
import type { Session, SessionEvent, SessionState } from '../../session/index.ts';
import type { Key } from '../key-stream.ts';
import type { Command } from '../keys.ts';
import { EMPTY_LINE, editLine, lineOf } from '../line-edit.ts';
import type { App } from './app.ts';
import type { Acts, ElsewhereScreen } from './model.ts';

/**
 * Adds events to a session. What the disk refuses waits in `pending`; the answer says why, '' if everything is on disk.
 * Throws nothing that the technician could mend.
 */
export function appendAll(session: Session, events: readonly SessionEvent[], now: () => Date): string {
  let trouble = '';
  for (const event of events) {
    try {
      session.append(event, now());
    } catch (error) {
      if (!(error instanceof SessionError)) throw error;
      trouble = error.message;
    }
  }
  return trouble;
}

/** What the bench goes by: of a file that can only be looked at, as if it were taken up now, or a month-old proof would stand. */
export function benchState(session: Session, now: Date): SessionState {
  if (session.readOnly === undefined) return session.state;
  const { lastSeq } = session.state;
  return fold(session.state, { type: 'resumed', seq: lastSeq + 1, at: now.toISOString() });
}

/** What is said of entries that wait, with the two ways on. */
export function notSaved(trouble: string): string {
  return `NOT SAVED YET: ${trouble} Enter tries again, ^A saves elsewhere.`;
}

/** Asks for a folder to go on in. */
export function openElsewhere(app: App): Acts {
  const { live } = app.state;
  if (!live || live.practice) return app.say('Nothing here is kept, so there is nothing to save.', 'quiet');
  // A damaged or locked file leaves its folder as good as any; a disk that refuses does not.
  const usable = live.session.readOnly && ['damaged', 'locked'].includes(live.session.readOnly.kind);
  app.push({ kind: 'elsewhere', edit: lineOf(usable ? dirname(live.session.path) : '') });
}

export function keyElsewhere(
  app: App,
  screen: ElsewhereScreen,
  key: Key,
  command: Command | undefined,
): Acts {
  if (command === 'back') return app.pop();
  if (command === 'take') return saveIn(app, screen.edit.text.trim());
  const edit = command === 'clear' ? EMPTY_LINE : editLine(screen.edit, key);
  return edit && app.show({ ...screen, edit });
}

function saveIn(app: App, text: string): Acts {
  const { live } = app.state;
  if (!live || text === '') return app.say('Type a folder, for example that of a memory stick.', 'watch');
  const folder = /^~(\/|$)/.test(text) ? join(homedir(), text.slice(1)) : resolve(text);
  // A file that could only be looked at is taken up on the bench here: nothing that it proved is a proof today.
  const takenUp = live.session.readOnly !== undefined;
  try {
    const path = live.session.saveElsewhere(folder);
    app.pop();
    if (takenUp) app.commit([{ type: 'resumed' }], '');
    app.say(`Saved as ${path}. Entries go there from now on.`, 'good');
  } catch (error) {
    if (!(error instanceof SessionError)) throw error;
    app.say(error.message, 'bad');
  }
}
