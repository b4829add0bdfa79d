// One session out as a single file and in again, put-away sessions in the list, files of other kinds: from a shell.
import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { archiveSession, createSession } from '../../src/session/index.ts';
import { buildIfNeeded, PROGRAM } from '../terminal/pty.ts';

const work = mkdtempSync(join(tmpdir(), 'first-raster-transfer-'));
const here = join(work, 'here');
const there = join(work, 'there');
const PATIENCE = { timeout: 120_000 };

function run(...args: string[]) {
  const { status, stdout, stderr } = spawnSync(process.execPath, [PROGRAM, ...args], {
    encoding: 'utf8',
    cwd: work,
    env: { PATH: process.env.PATH ?? '', HOME: work, XDG_CONFIG_HOME: join(work, 'config') },
  });
  return { code: status, out: stdout, err: stderr };
}

beforeAll(() => {
  buildIfNeeded();
  for (const name of ['kitchen', 'attic']) {
    const session = createSession(here, { name, rules: { name: 'r', version: '1', hash: 'h' } });
    session.append({ type: 'note', text: 'on the bench' });
    session.close();
  }
  archiveSession(here, 'attic');
}, 180_000);
afterAll(() => rmSync(work, { recursive: true, force: true }));

it('goes out, is not written over, comes in under a free name', PATIENCE, () => {
  const file = join(work, 'kitchen set.jsonl');
  expect(run('export', 'kitchen', '-o', file, '--sessions', here)).toMatchObject({
    code: 0,
    out: `Written: ${file}\n`,
  });
  expect(run('export', 'kitchen', '-o', file, '--sessions', here)).toMatchObject({
    code: 1,
    err: expect.stringMatching(/is there already and is not replaced/),
  });
  expect(run('import', file, '--sessions', there).out).toContain('Taken in as kitchen.');
  expect(run('import', file, '--sessions', there).out).toContain('Taken in as kitchen-2.');
  expect(readFileSync(join(there, 'kitchen-2.jsonl'))).toEqual(readFileSync(join(here, 'kitchen.jsonl')));
});

it('a damaged session goes out only when its good part is asked for', PATIENCE, () => {
  const path = join(here, 'torn.jsonl');
  writeFileSync(path, `${readFileSync(join(here, 'kitchen.jsonl'), 'utf8')}rubbish\n{}\n`);
  const file = join(work, 'good.jsonl');
  const refused = run('export', 'torn', '-o', file, '--sessions', here);
  expect(refused.code).toBe(1);
  expect(refused.err).toMatch(/torn\.jsonl:3: damaged/);
  expect(existsSync(file)).toBe(false);
  expect(run('export', 'torn', '-o', file, '--good-part', '--sessions', here).code).toBe(0);
  expect(run('import', file, '--sessions', there).code).toBe(0);
});

it(
  'what is no session is refused with file and line, a missing name by name, a missing -o as usage',
  PATIENCE,
  () => {
    const foreign = join(work, 'foreign.txt');
    writeFileSync(foreign, '\u001b[2Jhello\n');
    const run1 = run('import', foreign, '--sessions', there);
    expect(run1).toMatchObject({ code: 1, out: '' });
    expect(run1.err).toContain(`${foreign}:1: not a session file`);
    expect(run1.err).not.toContain('\u001b');
    expect(run('export', 'nobody', '-o', join(work, 'x'), '--sessions', here).err).toContain(
      'There is no session "nobody"',
    );
    expect(run('export', '../here/kitchen', '-o', join(work, 'x'), '--sessions', there).code).toBe(1);
    expect(run('export', 'kitchen', '--sessions', here).code).toBe(2);
    expect(run('import', '--sessions', here).code).toBe(2);
  },
);

it('lists what was put away', PATIENCE, () => {
  expect(run('list', '--archived', '--sessions', here).out).toMatch(/^attic /m);
  expect(run('list', '--sessions', here).out).not.toMatch(/^attic /m);
  expect(run('list', '--archived', '--sessions', join(work, 'none')).out).toMatch(/were put away/);
});
