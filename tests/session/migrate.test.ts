// An older file is brought to the present format on a copy, the file as it was is kept. The older format here is invented.
import * as fs from 'node:fs';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { listSessions, openSession, SessionError } from '../../src/session/index.ts';
import { readJournalFile, rewriteFile } from '../../src/session/journal.ts';
import { sumOf } from '../../src/session/journal-text.ts';
import { CURRENT_FORMAT, type Format, type Json, migratedEvent } from '../../src/session/migrate.ts';
import { newFolder, note, reading, removeFolders } from './helpers.ts';

afterAll(removeFolders);

/** Version 0 as it might have been: `program` for the rules, `what` for the type, volts as text, marks that no longer exist. */
const FROM_ZERO: Format = {
  version: 1,
  steps: {
    0: {
      header: ({ program, ...rest }) => ({
        ...rest,
        rules: { name: program, version: '0', hash: '' },
        set: null,
      }),
      event: ({ what, ...rest }): Json => {
        if (what === 'mark')
          return { seq: rest.seq, at: rest.at, type: 'note', text: `Mark: ${rest.colour}` };
        if (what === 'volts') return { ...rest, ...reading('b-plus', Number(rest.volts)) };
        return { ...rest, type: what };
      },
    },
  },
};
/** Two steps on: every note in the style of version 2. */
const FROM_ZERO_TO_TWO: Format = {
  version: 2,
  steps: {
    ...FROM_ZERO.steps,
    1: {
      header: (data) => data,
      event: (data) => (data.type === 'note' ? { ...data, text: `(${String(data.text)})` } : data),
    },
  },
};

function oldFile(name = 'x'): { folder: string; path: string; text: string } {
  const folder = newFolder();
  const at = '2026-03-01T09:00:00.000Z';
  const header = JSON.stringify({
    format: 'first-raster-session',
    version: 0,
    created: at,
    name,
    program: 'old rules',
  });
  let sum = sumOf('', header);
  const lines = [header];
  for (const data of [
    { seq: 1, at, what: 'volts', volts: '131' },
    { seq: 2, at, what: 'mark', colour: 'red' },
    { seq: 3, at, what: 'undone', target: 2 },
    { seq: 4, at, what: 'volts', volts: '262' },
  ]) {
    const content = JSON.stringify(data);
    sum = sumOf(sum, content);
    lines.push(`${content.slice(0, -1)},"sum":"${sum}"}`);
  }
  const path = join(folder, `${name}.jsonl`);
  const text = `${lines.join('\n')}\n`;
  fs.writeFileSync(path, text, { mode: 0o600 });
  return { folder, path, text };
}

describe('version 2, which did not hold the bring-up', () => {
  const now = (data: Record<string, unknown>) => migratedEvent(CURRENT_FORMAT, 2, data);
  it('keeps what rested on it believed, and nothing else', () => {
    expect(now({ type: 'gate', gate: 'bring-up-finished' })).toHaveProperty('door', 1);
    expect(now({ type: 'powered-up', to: 'isolated-full' })).toHaveProperty('door', 1);
    // Version 4 asks more of what comes before any power.
    expect(now({ type: 'powered-up', to: 'isolated-limited' })).toHaveProperty('door', 1);
    expect(now({ type: 'gate', gate: 'coating-ground' })).toHaveProperty('door', 1);
    expect(now({ type: 'gate', gate: 'chassis-ac' })).not.toHaveProperty('door');
    expect(now({ type: 'reading', check: 'x' })).not.toHaveProperty('door');
  });
});

describe('an older format', () => {
  it('is not one that the program knows today: refused with its version, left alone', () => {
    const { folder, path, text } = oldFile();
    expect(() => openSession(folder, 'x')).toThrow(/x\.jsonl:1: format 0 is not one/);
    expect(listSessions(folder)[0]?.trouble).toMatch(/format 0/);
    expect(fs.readFileSync(path, 'utf8')).toBe(text);
    expect(CURRENT_FORMAT.steps[CURRENT_FORMAT.version]).toBeUndefined();
  });

  it('opens with everything in it, is written anew, and the file as it was is kept', () => {
    const { folder, path, text } = oldFile();
    const open = openSession(folder, 'x', { format: FROM_ZERO });
    expect(open.readOnly).toBeUndefined();
    expect(open.header).toMatchObject({ version: 1, rules: { name: 'old rules' }, name: 'x' });
    expect(open.state.readings.map(({ seq, value }) => [seq, value])).toEqual([
      [1, { kind: 'number', value: 131, unit: 'V', unstable: false }],
      [4, { kind: 'number', value: 262, unit: 'V', unstable: false }],
    ]);
    expect(open.state.notes).toEqual([]);
    const kept = join(folder, 'older-formats', 'x-format-0.jsonl');
    expect(open.notices.join()).toContain(kept);
    expect(fs.readFileSync(kept, 'utf8')).toBe(text);
    open.append(note('goes on'));
    open.close();
    expect(fs.statSync(path).mode & 0o777).toBe(0o600);
    const again = openSession(folder, 'x', { format: FROM_ZERO });
    expect(again.notices).toEqual([]);
    expect(again.state.lastSeq).toBe(5);
    expect(again.state.startedAt).toBe('2026-03-01T09:00:00.000Z');
    again.close();
    expect(fs.readdirSync(folder).sort()).toEqual(['older-formats', 'x.jsonl']);
  });

  it('goes over two steps', () => {
    const { path } = oldFile();
    const text = readJournalFile(path, FROM_ZERO_TO_TWO);
    expect(text).toMatchObject({ version: 0, damage: undefined, header: { version: 2 } });
    expect(text.events[1]).toMatchObject({ seq: 2, type: 'note', text: '(Mark: red)' });
  });

  it('only looked at: nothing is written', () => {
    const { folder, text, path } = oldFile();
    const open = openSession(folder, 'x', { format: FROM_ZERO, readOnly: true });
    expect(open.state.readings).toHaveLength(2);
    expect(fs.readFileSync(path, 'utf8')).toBe(text);
    expect(fs.readdirSync(folder)).toEqual(['x.jsonl']);
  });

  it('damaged in the middle: read up to there with its line, not written anew', () => {
    const { folder, text, path } = oldFile();
    const bad = text.replace('"red"', '"rad"');
    fs.writeFileSync(path, bad);
    const open = openSession(folder, 'x', { format: FROM_ZERO });
    expect(open.readOnly).toMatchObject({ kind: 'damaged', line: 3 });
    expect(open.state.readings).toHaveLength(1);
    expect(fs.readFileSync(path, 'utf8')).toBe(bad);
  });

  it('a step that makes something else than an entry is damage with its line', () => {
    const { folder } = oldFile();
    const wrong: Format = {
      version: 1,
      steps: { 0: { header: FROM_ZERO.steps[0]?.header ?? ((d) => d), event: (data) => data } },
    };
    expect(openSession(folder, 'x', { format: wrong }).readOnly).toMatchObject({ kind: 'damaged', line: 2 });
  });

  it('cannot be kept where the kept name is taken: nothing changes', () => {
    const { path, folder, text } = oldFile();
    const read = readJournalFile(path, FROM_ZERO);
    const keep = join(folder, 'taken');
    fs.writeFileSync(keep, 'mine');
    expect(() => rewriteFile(path, keep, read.header, read.events)).toThrow(SessionError);
    expect(fs.readFileSync(path, 'utf8')).toBe(text);
    expect(fs.readFileSync(keep, 'utf8')).toBe('mine');
    expect(fs.readdirSync(folder).sort()).toEqual(['taken', 'x.jsonl']);
  });
});
