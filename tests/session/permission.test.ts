// Folders and files that may not be read or written, as an ordinary user meets them. Root may do everything, so root steps down first.
import * as fs from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openPreferences } from '../../src/cli/preferences.ts';
import { readTextFile } from '../../src/rulebook/text-file.ts';
import {
  archiveSession,
  createSession,
  exportSession,
  importSession,
  listSessions,
  openSession,
  SessionError,
} from '../../src/session/index.ts';
import { newFolder, note, RULES, removeFolders } from './helpers.ts';

const NOBODY = 65_534;
const { geteuid, seteuid } = process;
const isRoot = geteuid?.call(process) === 0;
/** Why an ordinary user cannot be had here; '' if one can. */
const cannot = geteuid === undefined || seteuid === undefined ? 'this system has no users of that kind' : '';

beforeAll(() => {
  if (isRoot) seteuid?.call(process, NOBODY);
});
afterAll(() => {
  if (isRoot) seteuid?.call(process, 0);
  removeFolders();
});

function failure(run: () => unknown): SessionError {
  try {
    run();
  } catch (error) {
    if (error instanceof SessionError) return error;
    throw error;
  }
  throw new Error('did not fail');
}

function saved(folder: string): string {
  const session = createSession(folder, { name: 'x', rules: RULES });
  session.append(note('here'));
  session.close();
  return session.path;
}

describe.skipIf(cannot !== '')(`without permission${cannot === '' ? '' : ` (skipped: ${cannot})`}`, () => {
  it('a folder that may not be written: opens for reading, says so, lists; nothing is made, put away or taken in', () => {
    const folder = newFolder();
    const path = saved(folder);
    const file = join(newFolder(), 'out.jsonl');
    exportSession(folder, 'x', file);
    fs.chmodSync(folder, 0o500);
    const open = openSession(folder, 'x');
    expect(open.readOnly?.kind).toBe('permission');
    expect(open.notices.join()).toMatch(/Read-only: Cannot lock .*no permission/);
    expect(open.state.notes).toHaveLength(1);
    expect(failure(() => open.append(note('no'))).kind).toBe('permission');
    expect(open.saveElsewhere(join(newFolder(), 'elsewhere'))).toContain('elsewhere');
    open.append(note('yes'));
    open.close();
    expect(listSessions(folder)).toHaveLength(1);
    for (const forbidden of [
      () => createSession(folder, { name: 'y', rules: RULES }),
      () => archiveSession(folder, 'x'),
      () => importSession(folder, file),
      () => exportSession(folder, 'x', join(folder, 'copy')),
    ])
      expect(failure(forbidden)).toMatchObject({
        kind: 'permission',
        message: expect.stringContaining(folder),
      });
    fs.chmodSync(folder, 0o700);
    expect(fs.readdirSync(folder).filter((name) => name !== '.index.json')).toEqual(['x.jsonl']);
    expect(fs.readFileSync(path, 'utf8').split('\n')).toHaveLength(3);
  });

  it('a file that may not be written opens for reading; one that may not be read says so, alone and in the list', () => {
    const folder = newFolder();
    const path = saved(folder);
    fs.chmodSync(path, 0o400);
    const open = openSession(folder, 'x');
    expect(open.readOnly?.kind).toBe('permission');
    open.close();
    fs.chmodSync(path, 0o000);
    expect(failure(() => openSession(folder, 'x'))).toMatchObject({
      kind: 'permission',
      message: expect.stringContaining(path),
    });
    expect(listSessions(folder)[0]?.trouble).toMatch(/x\.jsonl.*no permission/);
    expect(fs.readdirSync(folder).filter((name) => name.endsWith('.lock'))).toEqual([]);
  });

  it('a folder that may not be looked into: said, not an empty list', () => {
    const folder = newFolder();
    saved(folder);
    fs.chmodSync(folder, 0o000);
    expect(failure(() => listSessions(folder)).kind).toBe('permission');
    expect(() => openSession(folder, 'x')).toThrow();
    fs.chmodSync(folder, 0o700);
  });

  it('taken away between opening and the first entry: the entry waits, and is written when it is given back', () => {
    const folder = newFolder();
    const path = saved(folder);
    const open = openSession(folder, 'x');
    fs.chmodSync(path, 0o400);
    expect(failure(() => open.append(note('waits')))).toMatchObject({ kind: 'permission' });
    expect(open.pending).toHaveLength(1);
    fs.chmodSync(path, 0o600);
    open.retry();
    open.close();
    expect(openSession(folder, 'x', { readOnly: true }).state.notes.map(({ text }) => text)).toEqual([
      'here',
      'waits',
    ]);
  });

  it('preferences that may not be read are left where they are; rule files say so', async () => {
    const folder = newFolder();
    const path = join(folder, 'preferences.json');
    fs.writeFileSync(path, '{"terms": "uk"}', { mode: 0o000 });
    const store = await openPreferences(new Date(), folder);
    expect(store.trouble).toMatch(/cannot be used .*EACCES/);
    expect(store.read().terms).toBe('us');
    expect(fs.readdirSync(folder)).toEqual(['preferences.json']);
    expect(readTextFile(path)).toMatchObject({ message: 'cannot be read: no permission (EACCES)' });
  });
});
