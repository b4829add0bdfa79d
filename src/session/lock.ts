// One writer at a time: a small file beside the session names the process that has it open.
import * as fs from 'node:fs';
import { hostname } from 'node:os';
import { z } from 'zod';
import { hasCode, SessionError, sessionError } from './error.ts';
import { cleanText } from './validate.ts';

/** A held lock; `release` gives it back and is harmless when it is gone. */
export interface Lock {
  readonly path: string;
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

const DAY_MS = 24 * 3600 * 1000;
/** An unreadable lock younger than this may be one that is being written. */
const SETTLE_MS = 5000;
const MAX_TRIES = 5;

/** Start of a process in clock ticks since boot, where the system tells (Linux); else ''. */
function ticksOf(pid: number): string {
  try {
    const stat = fs.readFileSync(`/proc/${pid}/stat`, 'utf8');
    return stat.slice(stat.lastIndexOf(')') + 2).split(' ')[19] ?? '';
  } catch {
    return '';
  }
}

function alive(holder: Holder): boolean {
  try {
    process.kill(holder.pid, 0);
  } catch (error) {
    if (hasCode(error, 'ESRCH')) return false;
  }
  const ticks = ticksOf(holder.pid);
  return holder.ticks === '' || ticks === '' || ticks === holder.ticks;
}

/**
 * Takes the lock of a session file. A lock of a process that is gone from this host is taken over silently; one from another
 * host, or of a living process, throws SessionError `locked`, which says who holds it and, when it is older than a day, what to do.
 */
export function takeLock(sessionPath: string, now: Date = new Date()): Lock {
  const path = `${sessionPath}.lock`;
  const token = `${process.pid}-${now.getTime()}-${Math.random().toString(36).slice(2)}`;
  const mine: Holder = {
    pid: process.pid,
    host: hostname(),
    started: now.toISOString(),
    ticks: ticksOf(process.pid),
    token,
  };
  for (let attempt = 0; attempt < MAX_TRIES; attempt++) {
    if (create(path, mine)) return { path, release: () => release(path, token) };
    const found = readHolder(path);
    if (found === 'gone') continue;
    if (found === 'unreadable' ? isOld(path, SETTLE_MS, now) : found.host === mine.host && !alive(found)) {
      setAside(path, token, found);
      continue;
    }
    throw lockedBy(path, sessionPath, found, now);
  }
  throw new SessionError(
    'locked',
    sessionPath,
    `${sessionPath} is being opened by another program. Try again.`,
  );
}

function create(path: string, holder: Holder): boolean {
  const temporary = `${path}-${holder.token}`;
  try {
    fs.writeFileSync(temporary, JSON.stringify(holder), { flag: 'wx', mode: 0o600 });
    try {
      fs.linkSync(temporary, path);
    } catch (error) {
      if (hasCode(error, 'EEXIST')) return false;
      // No hard links on this disk: create it in place, exclusively all the same.
      fs.writeFileSync(path, JSON.stringify(holder), { flag: 'wx', mode: 0o600 });
    }
    return true;
  } catch (error) {
    if (hasCode(error, 'EEXIST')) return false;
    throw sessionError(error, path, 'lock');
  } finally {
    fs.rmSync(temporary, { force: true });
  }
}

function readHolder(path: string): Holder | 'gone' | 'unreadable' {
  try {
    const parsed = holderSchema.safeParse(JSON.parse(fs.readFileSync(path, 'utf8').slice(0, 2000)));
    return parsed.success ? parsed.data : 'unreadable';
  } catch (error) {
    return hasCode(error, 'ENOENT') ? 'gone' : 'unreadable';
  }
}

function isOld(path: string, ms: number, now: Date): boolean {
  try {
    return Math.abs(now.getTime() - fs.statSync(path).mtimeMs) > ms;
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

function lockedBy(path: string, sessionPath: string, holder: Holder | 'unreadable', now: Date): SessionError {
  if (holder === 'unreadable') {
    return new SessionError(
      'locked',
      sessionPath,
      `${sessionPath} is being opened by another program (${path}). Try again.`,
    );
  }
  const who = `process ${holder.pid} on ${cleanText(holder.host)} since ${cleanText(holder.started)}`;
  const age = now.getTime() - Date.parse(holder.started);
  const advice =
    holder.host !== hostname() && age > DAY_MS
      ? `That is more than a day ago on another computer: if the program no longer runs there, delete ${path} and open it again.`
      : 'Close it there first, or open it here for reading only.';
  return new SessionError(
    'locked',
    sessionPath,
    `${sessionPath} is open in another First Raster (${who}). ${advice}`,
  );
}

function release(path: string, token: string): void {
  const holder = readHolder(path);
  if (typeof holder === 'object' && holder.token === token) fs.rmSync(path, { force: true });
}
