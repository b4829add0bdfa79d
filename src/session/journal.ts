// One session file being written: every event is on disk (written and flushed) before `append` returns.
import * as fs from 'node:fs';
import { dirname, join } from 'node:path';
import { SessionError, sessionError } from './error.ts';
import {
  eventLine,
  headerLine,
  type JournalText,
  LIMITS,
  readJournalText,
  readsBack,
  sumOf,
} from './journal-text.ts';
import { CURRENT_FORMAT, type Format } from './migrate.ts';
import type { RecordedEvent, SessionEvent } from './types.ts';
import { type SessionHeader, validateEvent } from './validate.ts';

/** The file calls that a journal makes; tests put failing ones in their place. */
export type JournalIo = Pick<
  typeof fs,
  'openSync' | 'closeSync' | 'writeSync' | 'fsyncSync' | 'ftruncateSync' | 'fstatSync' | 'lstatSync'
>;

const FILE_MODE = 0o600;
const NO_FOLLOW = fs.constants.O_NOFOLLOW ?? 0;

/** Reads a session file without following a link and without trusting its size. Throws SessionError. */
export function readJournalFile(path: string, format: Format = CURRENT_FORMAT): JournalText {
  let fd: number | undefined;
  try {
    fd = fs.openSync(path, fs.constants.O_RDONLY | NO_FOLLOW | (fs.constants.O_NONBLOCK ?? 0));
    const stat = fs.fstatSync(fd);
    if (!stat.isFile()) throw new SessionError('missing', path, `${path} is not a file.`);
    if (stat.size > LIMITS.bytes) return readJournalText(Buffer.alloc(LIMITS.bytes + 1), path, format);
    return readJournalText(fs.readFileSync(fd), path, format);
  } catch (error) {
    throw sessionError(error, path, 'read');
  } finally {
    if (fd !== undefined) fs.closeSync(fd);
  }
}

/** Flushes a folder, so that a new name in it survives a power cut. Not every system can; then nothing is lost but that. */
export function flushFolder(folder: string): void {
  try {
    const fd = fs.openSync(folder, fs.constants.O_RDONLY);
    try {
      fs.fsyncSync(fd);
    } finally {
      fs.closeSync(fd);
    }
  } catch {
    // Network shares and some systems refuse to flush a folder.
  }
}

/** Writes a whole new session file at once: it is there completely or not at all. Throws SessionError, also if the name is taken. */
export function writeNewFile(path: string, header: SessionHeader, events: readonly RecordedEvent[]): void {
  writeWhole(path, header, events, placeNew);
}

/**
 * Writes a session anew in the present format over a file of an older one, which is first kept as `keep`. At every moment the old
 * or the new file stands under the name. Throws SessionError; then the file is as it was.
 */
export function rewriteFile(
  path: string,
  keep: string,
  header: SessionHeader,
  events: readonly RecordedEvent[],
): void {
  writeWhole(path, header, events, (temporary) => {
    placeNew(path, keep);
    flushFolder(dirname(keep));
    fs.renameSync(temporary, path);
  });
}

function writeWhole(
  path: string,
  header: SessionHeader,
  events: readonly RecordedEvent[],
  place: (temporary: string, path: string) => void,
): void {
  const first = headerLine(header);
  let sum = sumOf('', first);
  const lines = [first];
  for (const event of events) {
    const next = eventLine(event, sum);
    lines.push(next.line);
    sum = next.sum;
  }
  const temporary = join(
    dirname(path),
    `.new-${process.pid}-${Date.now()}-${Math.random().toString(36).slice(2)}`,
  );
  try {
    const fd = fs.openSync(temporary, 'wx', FILE_MODE);
    try {
      writeAll(fs, fd, Buffer.from(`${lines.join('\n')}\n`), 0);
      fs.fsyncSync(fd);
    } finally {
      fs.closeSync(fd);
    }
    place(temporary, path);
  } catch (error) {
    throw sessionError(error, path, 'write');
  } finally {
    fs.rmSync(temporary, { force: true });
  }
  flushFolder(dirname(path));
}

/** Gives a finished file its name without ever replacing another; copies where the disk knows no hard links. */
function placeNew(temporary: string, path: string): void {
  try {
    fs.linkSync(temporary, path);
  } catch (error) {
    const code = error instanceof Error && 'code' in error ? error.code : '';
    if (code === 'EEXIST') throw error;
    fs.copyFileSync(temporary, path, fs.constants.COPYFILE_EXCL);
    fs.chmodSync(path, FILE_MODE);
    flushFile(path);
  }
}

function flushFile(path: string): void {
  const fd = fs.openSync(path, 'r+');
  try {
    fs.fsyncSync(fd);
  } finally {
    fs.closeSync(fd);
  }
}

function writeAll(io: Pick<JournalIo, 'writeSync'>, fd: number, bytes: Buffer, position: number): void {
  let done = 0;
  while (done < bytes.length) {
    const written = io.writeSync(fd, bytes, done, bytes.length - done, position + done);
    if (written <= 0) throw new Error('nothing was written');
    done += written;
  }
}

export interface JournalOptions {
  readonly readOnly?: SessionError;
  readonly io?: JournalIo;
  readonly format?: Format;
  /** Called before every write; throws SessionError if the right to write is lost. */
  readonly guard?: () => void;
}

/** A session file open for reading and, unless `readOnly`, for adding lines. */
export class Journal {
  readonly header: SessionHeader;
  /** Format version of the file when it was opened. */
  readonly version: number;
  /** Entries found when it was opened. */
  readonly events: readonly RecordedEvent[];
  readonly notices: readonly string[];

  #path: string;
  #readOnly: SessionError | undefined;
  readonly #io: JournalIo;
  #guard: () => void;
  #fd: number | undefined;
  #identity: { readonly dev: number; readonly ino: number } | undefined;
  #goodBytes: number;
  /** Length that the file must have; undefined after a failed write that could not be cut back. */
  #length: number | undefined;
  #endsInNewline: boolean;
  #sum: string;
  readonly #written: RecordedEvent[];
  #pending: RecordedEvent[] = [];

  constructor(path: string, options: JournalOptions = {}) {
    const text = readJournalFile(path, options.format);
    this.#path = path;
    this.#io = options.io ?? fs;
    this.#guard = options.guard ?? (() => undefined);
    this.header = text.header;
    this.version = text.version;
    this.events = text.events;
    this.notices = text.notices;
    this.#readOnly = text.damage ?? options.readOnly;
    this.#goodBytes = text.goodBytes;
    this.#length = text.bytes;
    this.#endsInNewline = text.endsInNewline;
    this.#sum = text.lastSum;
    this.#written = [...text.events];
  }

  /** Why nothing can be added, or undefined if it can. */
  get readOnly(): SessionError | undefined {
    return this.#readOnly;
  }

  get path(): string {
    return this.#path;
  }

  /** Entries accepted but not on disk, oldest first. */
  get pending(): readonly RecordedEvent[] {
    return this.#pending;
  }

  /**
   * Stamps an event with its number and time, writes and flushes it. If the disk refuses, the event is kept in `pending`
   * and a SessionError says why; `retry` or `saveElsewhere` bring it to disk. An event of a wrong shape is thrown out.
   */
  append(event: SessionEvent, now: Date = new Date()): RecordedEvent {
    if (this.#readOnly !== undefined) throw this.#readOnly;
    const checked = validateEvent(event);
    if (!checked.ok)
      throw new SessionError('io', this.#path, `This entry cannot be saved: ${checked.message}.`);
    const seq = this.#written.length + this.#pending.length + 1;
    const recorded: RecordedEvent = { ...checked.value, seq, at: now.toISOString() };
    if (seq >= LIMITS.lines) {
      throw new SessionError(
        'full',
        this.#path,
        `${this.#path} has ${seq} entries, which is the limit. Start a new session.`,
      );
    }
    if (!readsBack(recorded)) {
      throw new SessionError(
        'io',
        this.#path,
        'This entry cannot be saved: it is too long, or a name in it is empty, or this clock is wrong.',
      );
    }
    this.#pending.push(recorded);
    this.retry();
    return recorded;
  }

  /** Writes what is pending. Throws SessionError and keeps it pending if that still fails. */
  retry(): void {
    if (this.#pending.length === 0) return;
    try {
      this.#write(this.#pending);
    } catch (error) {
      throw sessionError(error, this.#path, 'write');
    }
    this.#written.push(...this.#pending);
    this.#pending = [];
  }

  /**
   * Writes the whole session (of a damaged one, the good part), with what is pending, as a new file `path`, and goes on there,
   * asking `guard` before every write. Throws SessionError.
   */
  moveTo(path: string, guard: () => void): void {
    const all = [...this.#written, ...this.#pending];
    fs.mkdirSync(dirname(path), { recursive: true, mode: 0o700 });
    writeNewFile(path, this.header, all);
    this.close();
    const text = readJournalFile(path);
    this.#path = path;
    this.#guard = guard;
    this.#readOnly = undefined;
    this.#goodBytes = text.goodBytes;
    this.#length = text.bytes;
    this.#endsInNewline = text.endsInNewline;
    this.#sum = text.lastSum;
    this.#written.push(...this.#pending);
    this.#pending = [];
  }

  close(): void {
    if (this.#fd !== undefined) this.#io.closeSync(this.#fd);
    this.#fd = undefined;
    this.#identity = undefined;
  }

  #write(events: readonly RecordedEvent[]): void {
    this.#guard();
    const fd = this.#open();
    let sum = this.#sum;
    let text = this.#endsInNewline ? '' : '\n';
    for (const event of events) {
      const next = eventLine(event, sum);
      text += `${next.line}\n`;
      sum = next.sum;
    }
    const bytes = Buffer.from(text);
    if (this.#goodBytes + bytes.length > LIMITS.bytes) {
      throw new SessionError(
        'full',
        this.#path,
        `${this.#path} has reached its size limit. Start a new session.`,
      );
    }
    try {
      writeAll(this.#io, fd, bytes, this.#goodBytes);
      this.#io.fsyncSync(fd);
    } catch (error) {
      this.#cutBack(fd);
      throw error;
    }
    this.#goodBytes += bytes.length;
    this.#length = this.#goodBytes;
    this.#endsInNewline = true;
    this.#sum = sum;
  }

  /** Opens for writing and makes sure that the file is the one that was read, as long as it was, and without a torn tail. */
  #open(): number {
    const fd = this.#fd ?? this.#io.openSync(this.#path, fs.constants.O_RDWR | NO_FOLLOW);
    this.#fd = fd;
    const stat = this.#io.fstatSync(fd);
    this.#identity ??= { dev: stat.dev, ino: stat.ino };
    const named = this.#io.lstatSync(this.#path);
    if (named.dev !== this.#identity.dev || named.ino !== this.#identity.ino) {
      this.close();
      throw new SessionError(
        'missing',
        this.#path,
        `${this.#path} was removed or replaced meanwhile. Save elsewhere.`,
      );
    }
    if (stat.size < this.#goodBytes || (this.#length !== undefined && stat.size !== this.#length)) {
      const message = `${this.#path} was changed by another program meanwhile. Nothing is overwritten: save elsewhere.`;
      throw new SessionError('locked', this.#path, message);
    }
    if (stat.size > this.#goodBytes) this.#io.ftruncateSync(fd, this.#goodBytes);
    this.#length = this.#goodBytes;
    return fd;
  }

  /** After a failed write: no half line stays behind; if even that fails, the next try starts by cutting it off. */
  #cutBack(fd: number): void {
    try {
      this.#io.ftruncateSync(fd, this.#goodBytes);
      this.#length = this.#goodBytes;
    } catch {
      this.#length = undefined;
    }
  }
}
