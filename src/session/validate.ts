// The shape of a session file: header and events, checked before anything is believed. Sizes and texts have limits.
import { z } from 'zod';
import { cleanText } from '../rulebook/plain-text.ts';
import type { SetFacts } from '../rulebook/types.ts';
import {
  type ReadingValue,
  type RecordedEvent,
  type SessionEvent,
  SKIP_REASONS,
  SUPPLY_STATES,
} from './types.ts';

export const FORMAT = 'first-raster-session';
export const VERSION = 5;

/** Longest text of any one field, in characters. */
const LONGEST_TEXT = 4000;
/** Most entries of any one list or table. */
const MOST_ENTRIES = 500;

const text = z.string().max(LONGEST_TEXT).transform(cleanText);
const id = z.string().min(1).max(120).transform(cleanText);
const number = z.number();
/** Volts or watts of a label or a line; what is beyond is no set of this world, and no formula takes it. */
const sensible = number.refine(
  (n) => n === 0 || (n >= 0.001 && n <= 1e6),
  'neither 0 nor from 0.001 to 1000000',
);
const few = <T extends z.ZodType>(item: T) => z.array(item).max(MOST_ENTRIES);
const table = <T extends z.ZodType>(item: T) =>
  z.record(id, item).refine((value) => Object.keys(value).length <= MOST_ENTRIES, 'too many entries');

const readingValue: z.ZodType<ReadingValue> = z.discriminatedUnion('kind', [
  z.object({
    kind: z.literal('number'),
    value: number,
    unit: text,
    unstable: z.boolean(),
    mark: z.enum(['ac', 'dc', 'pp']).optional(),
  }),
  z.object({ kind: z.literal('bound'), side: z.enum(['above', 'below']), value: number, unit: text }),
  z.object({ kind: z.literal('range'), low: number, high: number, unit: text }),
  z.object({ kind: z.literal('over-range') }),
  z.object({ kind: z.literal('short') }),
  z.object({ kind: z.literal('pair'), values: z.tuple([number, number]), unit: text }),
  z.object({ kind: z.literal('choice'), option: id }),
]);

/** The description of a set as it comes from a file. */
export const setFacts: z.ZodType<SetFacts> = z.object({
  name: text,
  owner: text,
  question: text,
  family: text,
  standard: z.enum(['525', '405', '625', 'dual']),
  lineVolts: sensible,
  ratedVolts: sensible,
  ratedWatts: sensible,
  pictureTube: text,
  tubes: table(text),
  complaint: few(text),
  restored: z.enum(['none', 'recapped', 'unknown']),
  storage: z.enum(['dry', 'damp', 'unknown']),
  facts: table(text),
  serviceData: table(z.object({ value: number, unit: text, lineVolts: number, meterOhms: number })),
});

const context = z.object({
  lineVolts: sensible,
  instrument: text,
  supply: z.enum(SUPPLY_STATES),
  config: table(text),
});
const seqNumber = z.number().int().positive();
/** See `Door` in types.ts. */
const door = z.literal(1).optional();

const event: z.ZodType<SessionEvent> = z.discriminatedUnion('type', [
  z.object({ type: z.literal('set-described'), set: setFacts }),
  z.object({ type: z.literal('bench-described'), instruments: few(id) }),
  z.object({
    type: z.literal('reading'),
    check: id,
    raw: text,
    value: readingValue,
    context,
    note: text.optional(),
    door,
  }),
  z.object({ type: z.literal('skipped'), check: id, reason: z.enum(SKIP_REASONS), note: text.optional() }),
  z.object({ type: z.literal('corrected'), target: seqNumber, raw: text, value: readingValue }),
  z.object({ type: z.literal('undone'), target: seqNumber }),
  z.object({ type: z.literal('gate'), gate: id, raw: text, value: readingValue, door }),
  z.object({
    type: z.literal('powered-up'),
    to: z.enum(['isolated-limited', 'isolated-full']),
    lineVolts: sensible,
    door,
  }),
  z.object({ type: z.literal('powered-off'), why: text, outOfTurn: z.literal(true).optional() }),
  z.object({ type: z.literal('touched'), what: z.enum(['anode-lead', 'plug', 'left-bench', 'injected']) }),
  z.object({ type: z.literal('configured'), item: id, value: id }),
  z.object({ type: z.literal('link-fitted'), what: id }),
  z.object({ type: z.literal('link-removed'), what: id }),
  z.object({ type: z.literal('line-volts'), lineVolts: sensible }),
  z.object({
    type: z.literal('repaired'),
    part: id,
    action: z.enum(['replaced', 'adjusted', 'cleaned']),
    found: text,
    note: text.optional(),
  }),
  z.object({ type: z.literal('note'), text, check: text.optional() }),
  z.object({ type: z.literal('owner-wish'), wish: z.enum(['watch', 'display', 'sell', 'unknown']) }),
  z.object({ type: z.literal('went-on'), assembly: id }),
  z.object({ type: z.literal('timer-started'), timer: text, seconds: number.nonnegative() }),
  z.object({ type: z.literal('resumed') }),
  z.object({ type: z.literal('finished') }),
]);

const stamp = z.object({ seq: seqNumber, at: z.iso.datetime() });

/** First line of a session file. `set` is what was known of the set when the session was begun, if anything. */
export interface SessionHeader {
  readonly format: typeof FORMAT;
  readonly version: number;
  readonly created: string;
  readonly name: string;
  readonly rules: { readonly name: string; readonly version: string; readonly hash: string };
  readonly set: { readonly name: string; readonly family: string } | null;
}

const header: z.ZodType<SessionHeader> = z.object({
  format: z.literal(FORMAT),
  version: z.number().int().positive(),
  created: z.iso.datetime(),
  name: text,
  rules: z.object({ name: text, version: text, hash: text }),
  set: z.object({ name: text, family: text }).nullable(),
});

/** A value or what is wrong with it, in one line that names the field. */
export type Checked<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly message: string };

function checked<T>(schema: z.ZodType<T>, data: unknown): Checked<T> {
  const result = schema.safeParse(data);
  if (result.success) return { ok: true, value: result.data };
  const [issue] = result.error.issues;
  const where = issue === undefined || issue.path.length === 0 ? 'entry' : issue.path.map(String).join('.');
  return { ok: false, message: cleanText(`${where}: ${issue?.message ?? 'not understood'}`).slice(0, 200) };
}

/** Checks and cleans an event; unknown types, missing fields, over-long texts and numbers that are not finite are refused. */
export function validateEvent(data: unknown): Checked<SessionEvent> {
  return checked(event, data);
}

/** Checks and cleans an event with its sequence number and time. */
export function validateRecorded(data: unknown): Checked<RecordedEvent> {
  const body = checked(event, data);
  if (!body.ok) return body;
  const when = checked(stamp, data);
  return when.ok ? { ok: true, value: { ...body.value, ...when.value } } : when;
}

/** Checks and cleans the first line; the version is checked by the journal, which can say more. */
export function validateHeader(data: unknown): Checked<SessionHeader> {
  return checked(header, data);
}
