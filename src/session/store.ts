// The sessions folder: create, open (one writer), archive, export, import. Nothing leaves the folder, nothing is overwritten.
import * as fs from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import { cleanText } from '../rulebook/plain-text.ts';
import { hasCode, SessionError, sessionError } from './error.ts';
import { fold, foldAll } from './fold.ts';
import {
  flushFolder,
  Journal,
  type JournalIo,
  type JournalOptions,
  readJournalFile,
  rewriteFile,
  writeNewFile,
} from './journal.ts';
import { listSessions } from './list.ts';
import { type Lock, takeLock } from './lock.ts';
import { CURRENT_FORMAT, type Format } from './migrate.ts';
import { pathOf, SUFFIX, safeName } from './names.ts';
import type { RecordedEvent, SessionEvent, SessionState } from './types.ts';
import { FORMAT, type SessionHeader, VERSION } from './validate.ts';

const ARCHIVE = 'archive';
/** Files as they were before they were brought to a newer format. */
const OLDER = 'older-formats';
/** A clock this much behind the last entry is said. */
const CLOCK_SLACK_MS = 60_000;
const MOST_SAME_NAMES = 1000;

/** An open session: its state so far and the only way to add to it. */
export class Session {
  readonly notices: readonly string[];
  readonly #journal: Journal;
  #lock: Lock | undefined;
  #state: SessionState;

  constructor(journal: Journal, lock: Lock | undefined, notices: readonly string[]) {
    this.#journal = journal;
    this.#lock = lock;
    this.#state = foldAll(journal.events);
    this.notices = [...notices, ...journal.notices];
  }

  get name(): string {
    return basename(this.#journal.path, SUFFIX);
  }

  get path(): string {
    return this.#journal.path;
  }

  get header(): SessionHeader {
    return this.#journal.header;
  }

  /** Fold of everything accepted, on disk or pending. */
  get state(): SessionState {
    return this.#state;
  }

  /** Entries accepted but not yet on disk. */
  get pending(): readonly RecordedEvent[] {
    return this.#journal.pending;
  }

  /** Why nothing can be added, or undefined. */
  get readOnly(): SessionError | undefined {
    return this.#journal.readOnly;
  }

  /**
   * Adds an event: on disk when this returns. A SessionError means that it is not: if it then is in `pending`, it is part of
   * `state` and waits for `retry` or `saveElsewhere`; else it was not taken at all.
   */
  append(event: SessionEvent, now: Date = new Date()): RecordedEvent {
    const before = this.#journal.pending.length;
    try {
      const recorded = this.#journal.append(event, now);
      this.#state = fold(this.#state, recorded);
      return recorded;
    } catch (error) {
      const kept = this.#journal.pending[before];
      if (kept !== undefined) this.#state = fold(this.#state, kept);
      throw error;
    }
  }

  /** Tries again to write what is pending. Throws SessionError if it still fails. */
  retry(): void {
    this.#journal.retry();
  }

  /**
   * Writes the whole session, pending entries included, into another folder (or this one, under a free name) and goes on there; of
   * a damaged session, the good part. Returns the new path. Throws SessionError; then everything is as it was.
   */
  saveElsewhere(folder: string): string {
    makeFolder(folder);
    const path = freePath(folder, this.name);
    const lock = takeLock(path);
    try {
      this.#journal.moveTo(path, lock.hold);
    } catch (error) {
      lock.release();
      throw error;
    }
    this.#lock?.release();
    this.#lock = lock;
    return path;
  }

  /** Lets go of the file; entries that the disk refused are tried once more. */
  close(): void {
    try {
      if (this.#lock !== undefined) this.#journal.retry();
    } catch {
      // It still refuses: whoever closes with entries pending was told.
    }
    this.#journal.close();
    this.#lock?.release();
    this.#lock = undefined;
  }
}

/** What a new session starts from. `name` may be any text; `rules` is the pack in use. */
export interface NewSession {
  readonly name: string;
  readonly rules: SessionHeader['rules'];
  readonly set?: { readonly name: string; readonly family: string };
  readonly now?: Date;
  readonly io?: JournalIo;
}

/** Begins a session under a free name near the one asked for. Throws SessionError if the folder cannot be written. */
export function createSession(folder: string, options: NewSession): Session {
  makeFolder(folder);
  const header: SessionHeader = {
    format: FORMAT,
    version: VERSION,
    created: (options.now ?? new Date()).toISOString(),
    name: options.name.slice(0, 200),
    rules: options.rules,
    set: options.set ?? null,
  };
  const path = writeFree(folder, options.name, header, []);
  const lock = takeLock(path, options.now);
  const io = options.io === undefined ? {} : { io: options.io };
  return new Session(new Journal(path, { ...io, guard: lock.hold }), lock, []);
}

export interface OpenOptions {
  /** Do not lock, do not write; if a reason is given, that is what an entry is refused with. */
  readonly readOnly?: boolean | SessionError;
  readonly now?: Date;
  readonly io?: JournalIo;
  /** The format that is written, and the steps to it; tests put others in its place. */
  readonly format?: Format;
}

/** Kinds of trouble that keep a session from being written, not from being read. */
const STILL_READABLE: readonly SessionError['kind'][] = ['read-only', 'permission', 'full'];

/**
 * Opens a saved session. Throws SessionError `locked` if another program has it, `newer` or `damaged` if its first line is of no use.
 * A damaged middle, or a folder that cannot be written, opens read-only with a notice. A file of an older format is brought to the
 * present one; as it was, it is kept in the folder `older-formats`.
 */
export function openSession(folder: string, name: string, options: OpenOptions = {}): Session {
  const path = pathOf(folder, name);
  const stat = fs.lstatSync(path, { throwIfNoEntry: false });
  if (stat === undefined)
    throw new SessionError('missing', path, `There is no session "${cleanText(name)}" in ${folder}.`);
  const { io, format = CURRENT_FORMAT, readOnly = false, now = new Date() } = options;
  const given: JournalOptions = { format, ...(io === undefined ? {} : { io }) };
  if (readOnly !== false) {
    const plain = new SessionError('read-only', path, `${path} is open for reading only.`);
    const why = readOnly === true ? plain : readOnly;
    const journal = new Journal(path, { ...given, readOnly: why });
    // Of a damaged file only the good part is shown: whoever reads it has to be told.
    const damaged = journal.readOnly === why ? [] : [journal.readOnly?.message ?? ''];
    const said = readOnly === true ? damaged : [`Open for reading only. ${why.message}`, ...damaged];
    return new Session(journal, undefined, said);
  }
  let lock: Lock | undefined;
  try {
    lock = takeLock(path, now);
    // Asked by opening it: on a share, or for a user with borrowed rights, the plain question is answered wrongly.
    fs.closeSync(fs.openSync(path, fs.constants.O_RDWR | (fs.constants.O_NOFOLLOW ?? 0)));
    const opening = { ...given, guard: lock.hold };
    const found = new Journal(path, opening);
    const upgraded = upgrade(folder, found, format);
    const journal = upgraded === '' ? found : new Journal(path, opening);
    if (journal.readOnly === undefined) {
      const said = [lock.notice, upgraded].filter((each) => each !== '');
      return new Session(journal, lock, [...said, ...clockNotice(journal, now)]);
    }
    lock.release();
    return new Session(journal, undefined, [journal.readOnly.message]);
  } catch (error) {
    lock?.release();
    const why = sessionError(error, path, 'write');
    if (!STILL_READABLE.includes(why.kind)) throw why;
    return new Session(new Journal(path, { ...given, readOnly: why }), undefined, [
      `Read-only: ${why.message}`,
    ]);
  }
}

/** Brings a file of an older format to the present one, keeping it as it was; says so, or '' if there was nothing to do. */
function upgrade(
  folder: string,
  { path, version, header, events, readOnly }: Journal,
  format: Format,
): string {
  if (version === format.version || readOnly !== undefined) return '';
  const older = join(folder, OLDER);
  makeFolder(older);
  const keep = freePath(older, `${basename(path, SUFFIX)}-format-${version}`);
  rewriteFile(path, keep, header, events);
  return `The file was in format ${version} and is now in format ${format.version}; as it was, it is kept as ${keep}.`;
}

function clockNotice(journal: Journal, now: Date): readonly string[] {
  const last = journal.events.at(-1)?.at;
  if (last === undefined || now.getTime() > Date.parse(last) - CLOCK_SLACK_MS) return [];
  return [
    `The clock of this computer (${now.toISOString()}) stands before the last entry (${last}): set it right, or the order of the times in the report will mislead. Nothing proven before counts.`,
  ];
}

/** Name of the session with the latest entry, or undefined. Files in trouble are passed over. */
export function latestSession(folder: string): string | undefined {
  return listSessions(folder).find((summary) => summary.trouble === '')?.name;
}

/** Moves a session into the folder `archive`; returns its new path. Throws SessionError `locked` if it is open. */
export function archiveSession(folder: string, name: string): string {
  const path = pathOf(folder, name);
  if (!fs.existsSync(path))
    throw new SessionError('missing', path, `There is no session "${name}" in ${folder}.`);
  const lock = takeLock(path);
  try {
    const archive = join(folder, ARCHIVE);
    makeFolder(archive);
    const target = freePath(archive, name);
    fs.renameSync(path, target);
    flushFolder(archive);
    return target;
  } catch (error) {
    throw sessionError(error, path, 'archive');
  } finally {
    lock.release();
  }
}

/** Brings a session back from the archive under a free name; returns that name. */
export function unarchiveSession(folder: string, name: string): string {
  const path = pathOf(join(folder, ARCHIVE), name);
  if (!fs.existsSync(path))
    throw new SessionError('missing', path, `There is no session "${cleanText(name)}" in the archive.`);
  const lock = takeLock(path);
  try {
    const target = freePath(folder, basename(path, SUFFIX));
    fs.renameSync(path, target);
    flushFolder(folder);
    return basename(target, SUFFIX);
  } catch (error) {
    throw sessionError(error, path, 'bring back');
  } finally {
    lock.release();
  }
}

/** Sessions that were archived, latest first. */
export function listArchived(folder: string): ReturnType<typeof listSessions> {
  return listSessions(join(folder, ARCHIVE));
}

/**
 * Writes one session as a single file, in the present format; an existing file is not replaced. A damaged session is refused, unless
 * its good part is asked for.
 */
export function exportSession(
  folder: string,
  name: string,
  file: string,
  options: { readonly goodPart?: boolean } = {},
): void {
  const path = pathOf(folder, name);
  if (!fs.existsSync(path))
    throw new SessionError('missing', path, `There is no session "${cleanText(name)}" in ${folder}.`);
  const text = readJournalFile(path);
  if (text.damage !== undefined && options.goodPart !== true) throw text.damage;
  writeNewFile(resolve(file), text.header, text.events);
}

/** Takes in a session file from anywhere under a free name; returns the name. Damaged or foreign files are refused. */
export function importSession(folder: string, file: string): string {
  const text = readJournalFile(resolve(file));
  if (text.damage !== undefined) throw text.damage;
  makeFolder(folder);
  const path = writeFree(folder, text.header.name || basename(file, SUFFIX), text.header, text.events);
  return basename(path, SUFFIX);
}

function makeFolder(folder: string): void {
  try {
    fs.mkdirSync(folder, { recursive: true, mode: 0o700 });
  } catch (error) {
    if (hasCode(error, 'EEXIST'))
      throw new SessionError('missing', folder, `${folder} is a file, not a folder for sessions.`);
    throw sessionError(error, folder, 'create the folder');
  }
}

function writeFree(
  folder: string,
  name: string,
  header: SessionHeader,
  events: readonly RecordedEvent[],
): string {
  for (let attempt = 0; ; attempt++) {
    const path = freePath(folder, name);
    try {
      writeNewFile(path, header, events);
      return path;
    } catch (error) {
      if (attempt > 10 || !fs.existsSync(path)) throw error;
    }
  }
}

function freePath(folder: string, name: string): string {
  const base = safeName(name);
  for (let count = 1; count < MOST_SAME_NAMES; count++) {
    const path = join(folder, `${count === 1 ? base : `${base}-${count}`}${SUFFIX}`);
    if (fs.lstatSync(path, { throwIfNoEntry: false }) === undefined) return path;
  }
  throw new SessionError(
    'io',
    dirname(join(folder, base)),
    `There are ${MOST_SAME_NAMES} sessions named ${base} in ${folder}. Choose another name.`,
  );
}
