// Opening a demonstration leaves its file as it was, byte by byte, and goes on in a copy.
import { cpSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { openForWork } from '../../src/cli/tryout.ts';

const DEMOS = join(import.meta.dirname, '../../sessions');
let folder: string;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'first-raster-tryout-'));
  cpSync(join(DEMOS, 'demo-meridian.jsonl'), join(folder, 'demo-meridian.jsonl'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const bytes = (name: string): string => readFileSync(join(folder, `${name}.jsonl`), 'utf8');

it('opens a copy, says so, and resumes the copy the next time', () => {
  const before = bytes('demo-meridian');
  const first = openForWork(folder, 'demo-meridian');
  expect(first.session.name).toBe('tryout-meridian');
  expect(first.notices.join(' ')).toContain('a copy of it, tryout-meridian');
  first.session.append({ type: 'resumed' });
  first.session.close();
  const second = openForWork(folder, 'demo-meridian.jsonl');
  expect(second.session.state.lastSeq).toBe(first.session.state.lastSeq);
  expect(second.notices.join(' ')).toContain('as you left it');
  second.session.close();
  expect(bytes('demo-meridian')).toBe(before);
  expect(bytes('tryout-meridian').startsWith(before)).toBe(true);
  expect(readdirSync(folder).filter((f) => f.endsWith('.jsonl'))).toHaveLength(2);
});

it('opens any other session itself', () => {
  cpSync(join(folder, 'demo-meridian.jsonl'), join(folder, 'kitchen.jsonl'));
  const { session, notices } = openForWork(folder, 'kitchen');
  expect(session.name).toBe('kitchen');
  expect(notices).toEqual([]);
  session.close();
});

it('says when there is no such demonstration, and makes nothing', () => {
  expect(() => openForWork(folder, 'demo-nothing')).toThrow(/There is no session|no such|not exist/i);
  expect(readdirSync(folder).filter((f) => f.startsWith('tryout'))).toEqual([]);
});
