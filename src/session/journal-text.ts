// The text of a session file: lines out and lines in, chained by short check sums. No disk.
import { createHash } from 'node:crypto';
import { SessionError } from './error.ts';
import { CURRENT_FORMAT, type Format, type Json, migratedEvent, migratedHeader } from './migrate.ts';
import type { RecordedEvent } from './types.ts';
import { FORMAT, type SessionHeader, validateHeader, validateRecorded } from './validate.ts';

/** Limits on a session file: far above any real bench, low enough that a wrong file cannot hurt. */
export const LIMITS = { bytes: 32 * 1024 * 1024, lines: 200_000, lineBytes: 64 * 1024 } as const;

const SUM = /,"sum":"([0-9a-f]{16})"\}$/;

/** Check sum of a line, chained with the line before: a line changed, lost or moved in the middle is seen. */
export function sumOf(previous: string, content: string): string {
  return createHash('sha256').update(previous).update('\n').update(content).digest('hex').slice(0, 16);
}

/** Line 1, without its newline. */
export function headerLine(header: SessionHeader): string {
  return JSON.stringify(header);
}

/** One event as a line (without newline) and its sum, which the next line is chained to. */
export function eventLine(
  event: RecordedEvent,
  previous: string,
): { readonly line: string; readonly sum: string } {
  const { seq, at, ...rest } = event;
  const content = JSON.stringify({ seq, at, ...rest });
  const sum = sumOf(previous, content);
  return { line: `${content.slice(0, -1)},"sum":"${sum}"}`, sum };
}

/** What a session file holds. Bytes after `goodBytes` are a torn tail, to be cut off before the next line is written. */
export interface JournalText {
  /** As the present format has it, also where the file is older. */
  readonly header: SessionHeader;
  /** Format version that the file is written in. */
  readonly version: number;
  readonly events: readonly RecordedEvent[];
  readonly goodBytes: number;
  /** Length of the file when it was read. */
  readonly bytes: number;
  /** False if the last good line lost its newline. */
  readonly endsInNewline: boolean;
  readonly lastSum: string;
  readonly notices: readonly string[];
  readonly damage: SessionError | undefined;
}

/**
 * Reads a whole session file. A bad last line is a torn write: dropped with a notice. A bad line before that is damage:
 * reported with its number, and the entries before it are given. Lines of an older format are brought to the present one on
 * the way. Throws SessionError if not even line 1 is usable.
 */
export function readJournalText(bytes: Buffer, path: string, format: Format = CURRENT_FORMAT): JournalText {
  if (bytes.length > LIMITS.bytes) {
    throw new SessionError(
      'damaged',
      path,
      `Cannot read ${path}: larger than ${LIMITS.bytes / 1024 / 1024} MiB, so not a session.`,
    );
  }
  const lines = splitLines(bytes);
  const [first] = lines;
  const { header, version } = readHeader(
    first === undefined ? undefined : decode(bytes, first),
    path,
    format,
  );
  const events: RecordedEvent[] = [];
  let previous = sumOf('', first === undefined ? '' : (decode(bytes, first) ?? ''));
  let good = first;
  for (const [index, line] of lines.entries()) {
    if (index === 0) continue;
    const read = readEvent(decode(bytes, line), previous, events.length + 1, (data) =>
      migratedEvent(format, version, data),
    );
    if ('problem' in read) {
      // A line that is all there and yet does not fit was written whole and changed later: no torn write does that.
      const changed = read.whole && line.newline;
      const last = !changed && (index === lines.length - 1 || onlyFiller(bytes, line.start));
      return {
        header,
        version,
        events,
        ...standing(good, previous),
        bytes: bytes.length,
        notices: last
          ? [`The last entry (line ${index + 1}) was cut short and is dropped; everything before it is kept.`]
          : [],
        damage: last ? undefined : damageAt(path, index + 1, read.problem, events.length),
      };
    }
    events.push(read.event);
    previous = read.sum;
    good = line;
  }
  return {
    header,
    version,
    events,
    ...standing(good, previous),
    bytes: bytes.length,
    notices: [],
    damage: undefined,
  };
}

interface Span {
  readonly start: number;
  readonly end: number;
  readonly newline: boolean;
}

function standing(good: Span | undefined, lastSum: string) {
  return {
    goodBytes: good === undefined ? 0 : good.end + (good.newline ? 1 : 0),
    endsInNewline: good?.newline ?? false,
    lastSum,
  };
}

function splitLines(bytes: Buffer): readonly Span[] {
  const spans: Span[] = [];
  let start = 0;
  while (start < bytes.length && spans.length <= LIMITS.lines) {
    const at = bytes.indexOf(0x0a, start);
    const end = at === -1 ? bytes.length : at;
    spans.push({ start, end, newline: at !== -1 });
    start = end + 1;
  }
  return spans;
}

const decoder = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true });

function decode(bytes: Buffer, line: Span): string | undefined {
  if (line.end - line.start > LIMITS.lineBytes) return undefined;
  try {
    return decoder.decode(bytes.subarray(line.start, line.end));
  } catch {
    return undefined;
  }
}

/** A crash can leave a tail of zero bytes, with newlines in it by chance. */
function onlyFiller(bytes: Buffer, start: number): boolean {
  for (let index = start; index < bytes.length; index++) {
    const byte = bytes[index];
    if (byte !== 0 && byte !== 0x0a && byte !== 0x0d) return false;
  }
  return true;
}

/** A key of this name could reach into the prototype of an object; as a value it is a word like any other. */
const POISONED_KEY = /"__proto__"\s*:/;

function parseJson(text: string | undefined): Json | undefined {
  if (text === undefined || POISONED_KEY.test(text)) return undefined;
  try {
    const data: unknown = JSON.parse(text);
    return typeof data === 'object' && data !== null && !Array.isArray(data) ? { ...data } : undefined;
  } catch {
    return undefined;
  }
}

/** True if an entry, once written, would be read back: nothing goes into a file that would make the rest of it unreadable. */
export function readsBack(event: RecordedEvent): boolean {
  const { line } = eventLine(event, '');
  return Buffer.byteLength(line) <= LIMITS.lineBytes && validateRecorded(parseJson(line)).ok;
}

function readHeader(
  text: string | undefined,
  path: string,
  format: Format,
): { readonly header: SessionHeader; readonly version: number } {
  const data = parseJson(text);
  if (data?.format !== FORMAT) {
    throw new SessionError(
      'damaged',
      path,
      `${path}:1: not a session file (line 1 is not its header). It is left as it is.`,
      1,
    );
  }
  const found = Number.isSafeInteger(data.version) ? Number(data.version) : undefined;
  if (found !== undefined && found > format.version) {
    throw new SessionError(
      'newer',
      path,
      `${path} was written by a newer First Raster (format ${found}, this one reads ${format.version}). Update the program; the file is left as it is.`,
      1,
    );
  }
  const migrated = found === undefined ? data : migratedHeader(format, found, data);
  if (migrated === undefined) {
    throw new SessionError(
      'damaged',
      path,
      `${path}:1: format ${found} is not one that this First Raster knows. The file is left as it is.`,
      1,
    );
  }
  const header = validateHeader(migrated);
  if (header.ok) return { header: header.value, version: found ?? format.version };
  throw new SessionError(
    'damaged',
    path,
    `${path}:1: damaged header: ${header.message}. The file is left as it is.`,
    1,
  );
}

function readEvent(
  text: string | undefined,
  previous: string,
  seq: number,
  migrate: (data: Json) => Json,
):
  | { readonly event: RecordedEvent; readonly sum: string }
  | { readonly problem: string; readonly whole: boolean } {
  if (text === undefined) return { problem: 'too long, or not UTF-8 text', whole: false };
  const match = SUM.exec(text);
  if (match === null) return { problem: 'not a complete entry', whole: false };
  const data = parseJson(text);
  const whole = data !== undefined;
  const sum = sumOf(previous, `${text.slice(0, match.index)}}`);
  if (sum !== match[1])
    return { problem: 'the check sum does not fit: changed, or a line before it is missing', whole };
  const event = validateRecorded(data && migrate(data));
  if (!event.ok) return { problem: event.message, whole };
  return event.value.seq === seq
    ? { event: event.value, sum }
    : { problem: `entry number ${seq} expected`, whole };
}

function damageAt(path: string, line: number, problem: string, kept: number): SessionError {
  return new SessionError(
    'damaged',
    path,
    `${path}:${line}: damaged: ${problem}. What is before it (entries: ${kept}) can be read; the file is left as it is. ` +
      'Its good part can be saved as a new session to go on.',
    line,
  );
}
