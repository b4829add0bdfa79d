// One writer at a time: a small file beside the session names the process that has it open.
import * as fs from 'node:fs';
import { hostname } from 'node:os';
import { z } from 'zod';
import { cleanText } from '../rulebook/plain-text.ts';
import { hasCode, SessionError, sessionError } from './error.ts';

/** A held lock. */
export interface Lock {
  readonly path: string;
  /** What must be said of how it was got; '' if nothing. */
  readonly notice: string;
  /** Throws SessionError if another program has it by now; else says on the disk, once a minute at most, that it is in use. */
  hold(): void;
  /** Gives it back; harmless when it is gone. */
  release(): void;
}

const holderSchema = z.object({
  pid: z.number().int().positive(),
  host: z.string().max(255),
  started: z.string().max(40),
  /** When the process began, in the system's own clock ticks: tells a process from a later one with the same number. */
  ticks: z.string().max(24),
  token: z.string().max(64),
});
type Holder = z.infer<typeof holderSchema>;

/**
 * A lock from another computer that was not touched for this long is left over from a program that died there. Should that program
 * wake up all the same, it finds the lock taken and writes nothing more.
 */
const ABANDONED_MS = 24 * 3600 * 1000;
/** While entries are made, the lock is touched this often. */
const TOUCH_MS = 60_000;
/** A lock is a few words; more is not read. */
const MOST_BYTES = 2000;
/** An unreadable lock younger than this may be one that is being written. */
const SETTLE_MS = 5000;
const MAX_TRIES = 5;

/** State letter and start of a process in clock ticks since boot, where the system tells (Linux); else ''. */
function statOf(pid: number): { readonly state: string; readonly ticks: string } {
  try {
    const stat = fs.readFileSync(`/proc/${pid}/stat`, 'utf8');
    const fields = stat.slice(stat.lastIndexOf(')') + 2).split(' ');
    return { state: fields[0] ?? '', ticks: fields[19] ?? '' };
  } catch {
    return { state: '', ticks: '' };
  }
}

/** A process that was killed and not yet waited for answers to signals, and writes nothing any more. */
const ENDED = ['Z', 'X'];

function alive(holder: Holder): boolean {
  try {
    process.kill(holder.pid, 0);
  } catch (error) {
    if (hasCode(error, 'ESRCH')) return false;
  }
  const { state, ticks } = statOf(holder.pid);
  if (ENDED.includes(state)) return false;
  return holder.ticks === '' || ticks === '' || ticks === holder.ticks;
}

/**
 * Takes the lock of a session file. A lock of a process that is gone from this host is taken over silently; one from another host
 * after a day without a sign of life, with a notice. A lock in use throws SessionError `locked`, which says who has it.
 */
export function takeLock(sessionPath: string, now: Date = new Date()): Lock {
  const path = `${sessionPath}.lock`;
  const token = `${process.pid}-${now.getTime()}-${Math.random().toString(36).slice(2)}`;
  const mine: Holder = {
    pid: process.pid,
    host: hostname(),
    started: now.toISOString(),
    ticks: statOf(process.pid).ticks,
    token,
  };
  let notice = '';
  for (let attempt = 0; attempt < MAX_TRIES; attempt++) {
    const made = create(path, mine);
    if (made.created) return held(path, sessionPath, mine, notice);
    const found = readHolder(path);
    if (found === 'gone') continue;
    if (isStale(found, mine, path, made.at)) {
      setAside(path, token, found);
      if (typeof found === 'object' && found.host !== mine.host)
        notice = `Taken over from ${whoHas(found)}, which gave no sign of life for more than a day.`;
      continue;
    }
    throw lockedBy(path, sessionPath, found);
  }
  throw new SessionError(
    'locked',
    sessionPath,
    `${sessionPath} is being opened by another program. Try again.`,
  );
}

function held(path: string, sessionPath: string, mine: Holder, notice: string): Lock {
  let touched = Date.now();
  return {
    path,
    notice,
    hold() {
      const holder = readHolder(path);
      if (typeof holder === 'object' && holder.token !== mine.token)
        throw new SessionError(
          'locked',
          sessionPath,
          `${sessionPath} was taken over meanwhile by ${whoHas(holder)}. Nothing is overwritten: save elsewhere.`,
        );
      if (holder === 'gone') create(path, mine);
      else if (Math.abs(Date.now() - touched) > TOUCH_MS) touch(path, mine);
      else return;
      touched = Date.now();
    },
    release: () => release(path, mine.token),
  };
}

/** Writes the same words over themselves, so that the disk's own clock (on a share, the server's) stamps the lock. */
function touch(path: string, holder: Holder): void {
  try {
    fs.writeFileSync(path, JSON.stringify(holder), { flag: 'r+' });
  } catch {
    // A disk that cannot be written to shows itself at the entry.
  }
}

/** `at` is the time of the disk's own clock, ms since 1970: clocks of two computers may differ. */
function isStale(found: Holder | 'unreadable', mine: Holder, path: string, at: number): boolean {
  if (found === 'unreadable') return isOlder(path, SETTLE_MS, at);
  return found.host === mine.host ? !alive(found) : isOlder(path, ABANDONED_MS, at);
}

/** Puts the lock there if there is none. `at`: what the disk's clock says, ms since 1970. */
function create(path: string, holder: Holder): { readonly created: boolean; readonly at: number } {
  const temporary = `${path}-${holder.token}`;
  let at = Date.now();
  try {
    fs.writeFileSync(temporary, JSON.stringify(holder), { flag: 'wx', mode: 0o600 });
    at = fs.statSync(temporary).mtimeMs;
    try {
      fs.linkSync(temporary, path);
    } catch (error) {
      if (hasCode(error, 'EEXIST')) return { created: false, at };
      // No hard links on this disk: create it in place, exclusively all the same.
      fs.writeFileSync(path, JSON.stringify(holder), { flag: 'wx', mode: 0o600 });
    }
    return { created: true, at };
  } catch (error) {
    if (hasCode(error, 'EEXIST')) return { created: false, at };
    throw sessionError(error, path, 'lock');
  } finally {
    fs.rmSync(temporary, { force: true });
  }
}

function readHolder(path: string): Holder | 'gone' | 'unreadable' {
  try {
    const stat = fs.statSync(path);
    if (!stat.isFile() || stat.size > MOST_BYTES) return 'unreadable';
    const parsed = holderSchema.safeParse(JSON.parse(fs.readFileSync(path, 'utf8')));
    return parsed.success ? parsed.data : 'unreadable';
  } catch (error) {
    return hasCode(error, 'ENOENT') ? 'gone' : 'unreadable';
  }
}

function isOlder(path: string, ms: number, at: number): boolean {
  try {
    return Math.abs(at - fs.statSync(path).mtimeMs) > ms;
  } catch {
    return false;
  }
}

/**
 * Renames before removing, so that of two programs that find the same stale lock only one removes it; if what was renamed
 * turns out to be a fresh lock of somebody quicker, it is put back.
 */
function setAside(path: string, token: string, stale: Holder | 'unreadable'): void {
  const aside = `${path}-stale-${token}`;
  try {
    fs.renameSync(path, aside);
    const moved = readHolder(aside);
    const wanted = typeof stale === 'object' ? stale.token : undefined;
    if (typeof moved === 'object' && moved.token !== wanted) fs.linkSync(aside, path);
    fs.rmSync(aside, { force: true });
  } catch (error) {
    if (!hasCode(error, 'ENOENT')) throw sessionError(error, path, 'remove the stale lock');
  }
}

function whoHas(holder: Holder): string {
  return `process ${holder.pid} on ${cleanText(holder.host)} since ${cleanText(holder.started)}`;
}

function lockedBy(path: string, sessionPath: string, holder: Holder | 'unreadable'): SessionError {
  if (holder === 'unreadable') {
    return new SessionError(
      'locked',
      sessionPath,
      `${sessionPath} is being opened by another program (${path}). Try again.`,
    );
  }
  const advice =
    holder.host === hostname()
      ? 'Close it there first.'
      : `Close it there first; if it no longer runs there, delete ${path}.`;
  return new SessionError(
    'locked',
    sessionPath,
    `${sessionPath} is open in another First Raster (${whoHas(holder)}). ${advice}`,
  );
}

function release(path: string, token: string): void {
  const holder = readHolder(path);
  if (typeof holder === 'object' && holder.token === token) fs.rmSync(path, { force: true });
}
