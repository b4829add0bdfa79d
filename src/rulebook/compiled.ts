// The rule pack as one JSON file, made at build time from a pack that passed every check: read in milliseconds at start.
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import type { Rulebook } from './types.ts';

const FORMAT = 'first-raster-rules';
const VERSION = 1;

const sumOf = (body: string): string => createHash('sha256').update(body).digest('hex');

/** The text of a compiled pack: a header line, then the rulebook; the header carries the checksum of what follows. */
export function compileRules(book: Rulebook): string {
  const body = JSON.stringify(book);
  return `${JSON.stringify({ format: FORMAT, version: VERSION, rules: book.hash, sum: sumOf(body) })}\n${body}\n`;
}

/** Reads a compiled pack; `undefined` if it is missing, of another version, or does not match its checksum: then the source pack is to be read. */
export function loadCompiledRules(path: string): Rulebook | undefined {
  try {
    const [head = '', body = ''] = readFileSync(path, 'utf8').split('\n');
    const header: unknown = JSON.parse(head);
    if (typeof header !== 'object' || header === null) return undefined;
    const { format, version, sum } = header as Readonly<Record<string, unknown>>;
    if (format !== FORMAT || version !== VERSION || sum !== sumOf(body)) return undefined;
    return JSON.parse(body) as Rulebook;
  } catch {
    return undefined;
  }
}
