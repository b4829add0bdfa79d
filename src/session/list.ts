// The list of saved sessions: one short summary a file, kept in an index so that a thousand of them show at once.
import * as fs from 'node:fs';
import { dirname, join, sep } from 'node:path';
import writeFileAtomic from 'write-file-atomic';
import { z } from 'zod';
import { cleanText } from '../rulebook/plain-text.ts';
import { hasCode, SessionError, sessionError } from './error.ts';
import { readJournalFile } from './journal.ts';
import { isPlainName, SUFFIX } from './names.ts';
import type { RecordedEvent } from './types.ts';

/** What the home screen shows of one session without opening it. */
export interface SessionSummary {
  readonly name: string;
  readonly set: string;
  readonly family: string;
  readonly created: string;
  /** Time of the last entry. */
  readonly lastAt: string;
  readonly readings: number;
  /** Check of the last reading that was not taken back; '' if none. */
  readonly last: string;
  /** The last power entry; `unknown` when the session was resumed since, or never powered. */
  readonly power: 'unknown' | 'off' | 'isolated-limited' | 'isolated-full';
  readonly finished: boolean;
  /** One line on the state of the verdict as last remembered with `rememberVerdict`; '' if never. */
  readonly verdict: string;
  /** Set if the file cannot be used fully: what is wrong, in one line. */
  readonly trouble: string;
}

const INDEX = '.index.json';
const text = z.string().max(500).transform(cleanText);
const entrySchema = z.object({
  size: z.number(),
  changed: z.number(),
  summary: z.object({
    name: text,
    set: text,
    family: text,
    created: text,
    lastAt: text,
    readings: z.number().int().nonnegative(),
    last: text,
    power: z.enum(['unknown', 'off', 'isolated-limited', 'isolated-full']),
    finished: z.boolean(),
    verdict: text,
    trouble: text,
  }),
});
type Entry = z.infer<typeof entrySchema>;

/**
 * All sessions of a folder, latest entry first; an absent folder is an empty list. Damaged files are listed with their trouble.
 * The index is only a shortcut: an entry counts while size and time of the file are the same, and a bad index is rebuilt.
 */
export function listSessions(folder: string): readonly SessionSummary[] {
  const index = readIndex(folder);
  let changed = false;
  const summaries: SessionSummary[] = [];
  const next = new Map<string, Entry>();
  for (const name of namesIn(folder)) {
    const path = join(folder, name + SUFFIX);
    const stat = fs.lstatSync(path, { throwIfNoEntry: false });
    if (stat === undefined || !stat.isFile()) continue;
    const known = index.get(name);
    const fresh = known !== undefined && known.size === stat.size && known.changed === stat.mtimeMs;
    const verdict = known?.summary.verdict ?? '';
    const summary = fresh ? known.summary : summarise(path, name, verdict);
    changed ||= !fresh;
    next.set(name, { size: stat.size, changed: stat.mtimeMs, summary });
    summaries.push(summary);
  }
  if (changed || next.size !== index.size) writeIndex(folder, next);
  return summaries.sort((a, b) =>
    a.lastAt < b.lastAt ? 1 : a.lastAt > b.lastAt ? -1 : a.name < b.name ? -1 : 1,
  );
}

/** Notes one line of verdict for the list ("flyback sound, picture tube not proven"); lost without harm if the index is. */
export function rememberVerdict(folder: string, name: string, verdict: string): void {
  listSessions(folder);
  const index = readIndex(folder);
  const entry = index.get(name);
  if (entry === undefined) return;
  index.set(name, { ...entry, summary: { ...entry.summary, verdict: cleanText(verdict).slice(0, 200) } });
  writeIndex(folder, index);
}

function namesIn(folder: string): readonly string[] {
  try {
    return fs
      .readdirSync(folder)
      .filter((file) => file.endsWith(SUFFIX))
      .map((file) => file.slice(0, -SUFFIX.length))
      .filter(isPlainName);
  } catch (error) {
    if (hasCode(error, 'ENOENT')) return [];
    throw sessionError(error, folder, 'list');
  }
}

function readIndex(folder: string): Map<string, Entry> {
  const index = new Map<string, Entry>();
  try {
    const data: unknown = JSON.parse(fs.readFileSync(join(folder, INDEX), 'utf8'));
    if (typeof data !== 'object' || data === null) return index;
    for (const [name, value] of Object.entries(data)) {
      const entry = entrySchema.safeParse(value);
      if (entry.success && entry.data.summary.name === name) index.set(name, entry.data);
    }
  } catch {
    // No index, or one that makes no sense: every file is read again.
  }
  return index;
}

function writeIndex(folder: string, index: ReadonlyMap<string, Entry>): void {
  try {
    writeFileAtomic.sync(join(folder, INDEX), JSON.stringify(Object.fromEntries(index)), {
      mode: 0o600,
      fsync: false,
    });
  } catch {
    // A folder that cannot be written to is listed the slow way.
  }
}

function summarise(path: string, name: string, verdict: string): SessionSummary {
  const empty = {
    name,
    set: '',
    family: '',
    created: '',
    lastAt: '',
    readings: 0,
    last: '',
    power: 'unknown',
    finished: false,
    verdict,
  } as const;
  try {
    const journal = readJournalFile(path);
    const { header } = journal;
    return {
      ...empty,
      ...summaryOf(journal.events),
      set:
        journal.events.findLast((event) => event.type === 'set-described')?.set.name ??
        header.set?.name ??
        '',
      family:
        journal.events.findLast((event) => event.type === 'set-described')?.set.family ??
        header.set?.family ??
        '',
      created: header.created,
      lastAt: journal.events.at(-1)?.at ?? header.created,
      trouble: inFolder(path, journal.damage?.message ?? ''),
    };
  } catch (error) {
    return {
      ...empty,
      trouble: error instanceof SessionError ? inFolder(path, error.message) : 'cannot be read',
    };
  }
}

/** The same message with the file named as it is called in its folder: a row of a list has little room. */
function inFolder(path: string, message: string): string {
  return message.replaceAll(dirname(path) + sep, '');
}

function summaryOf(
  events: readonly RecordedEvent[],
): Pick<SessionSummary, 'readings' | 'last' | 'power' | 'finished'> {
  let power: SessionSummary['power'] = 'unknown';
  let finished = false;
  const readings = new Map<number, string>();
  for (const event of events) {
    if (event.type === 'powered-up') power = event.to;
    else if (event.type === 'powered-off') power = 'off';
    else if (event.type === 'resumed') power = 'unknown';
    else if (event.type === 'reading') readings.set(event.seq, event.check);
    else if (event.type === 'undone') readings.delete(event.target);
    if (event.type === 'finished') finished = true;
    else if (event.type === 'reading' || event.type === 'powered-up' || event.type === 'repaired')
      finished = false;
  }
  return { readings: readings.size, last: [...readings.values()].at(-1) ?? '', power, finished };
}
