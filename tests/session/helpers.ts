// A fresh sessions folder for a test, and short events.
import * as fs from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { ReadingContext, ReadingValue, RecordedEvent, SessionEvent } from '../../src/session/index.ts';

export const RULES = { name: 'test-rules', version: '1.0.0', hash: 'abc' } as const;
export const CONTEXT: ReadingContext = { lineVolts: 0, instrument: 'dmm', supply: 'discharged', config: {} };
export const volts = (value: number): ReadingValue => ({ kind: 'number', value, unit: 'V', unstable: false });
export const reading = (check: string, value: number): SessionEvent => ({
  type: 'reading',
  check,
  raw: String(value),
  value: volts(value),
  context: CONTEXT,
});
export const note = (text: string): SessionEvent => ({ type: 'note', text });

/** Numbers and stamps a list of events, one second apart. */
export function recorded(events: readonly SessionEvent[]): RecordedEvent[] {
  return events.map((event, index) => ({
    ...event,
    seq: index + 1,
    at: new Date(Date.parse('2026-03-01T09:00:00Z') + index * 1000).toISOString(),
  }));
}

const made: string[] = [];

/** A new empty folder, removed by `removeFolders`. */
export function newFolder(): string {
  const folder = fs.mkdtempSync(join(tmpdir(), 'session-test-'));
  made.push(folder);
  return folder;
}

export function removeFolders(): void {
  for (const folder of made.splice(0)) fs.rmSync(folder, { recursive: true, force: true });
}
