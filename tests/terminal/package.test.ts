// The package as it is given away: packed, installed into an empty folder without a network, and a set begun, kept and resumed from there.
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { installPackage } from './install.ts';
import { Screen, workFolder } from './pty.ts';

const ENTER = '\r';
const CTRL_C = '\u0003';
const CTRL_G = '\u0007';
const DOWN = '\u001b[B';
const folder = workFolder();
let prefix = '';
let installed = '';
let program = '';
let screen: Screen | undefined;

beforeAll(() => {
  ({ prefix, folder: installed, program } = installPackage(folder.path));
}, 180_000);
afterAll(() => {
  screen?.dispose();
  folder.remove();
});

const run = (...args: readonly string[]) =>
  spawnSync(join(prefix, 'bin/first-raster'), args, {
    cwd: folder.path,
    encoding: 'utf8',
    env: { PATH: process.env.PATH, HOME: folder.path, XDG_DATA_HOME: join(folder.path, 'data') },
  });

it('brings the program, licences, manual page, demonstration sets and rules, and nothing of the sources', () => {
  for (const name of ['LICENSE', 'dist/THIRD-PARTY.txt', 'dist/first-raster.1', 'rules/pack.yaml'])
    expect(existsSync(join(installed, name)), name).toBe(true);
  expect(existsSync(join(installed, 'src'))).toBe(false);
  expect(existsSync(join(installed, 'node_modules'))).toBe(false);
  expect(existsSync(join(prefix, 'share/man/man1/first-raster.1'))).toBe(true);
});

it('runs from any folder, and keeps sessions where the system keeps data of users', () => {
  expect(run('--version')).toMatchObject({ status: 0 });
  expect(run('rules', '--check', join(installed, 'rules'))).toMatchObject({ status: 0, stderr: '' });
  const listed = run('list');
  expect(listed.stdout).toContain(join(folder.path, 'data'));
  expect(run('report', 'demo-meridian', '--sessions', join(installed, 'sessions')).stdout).toContain(
    'invented set',
  );
});

it('takes a set in, keeps it over a kill, and resumes it; then rehearses on a simulated set', {
  timeout: 120_000,
}, async () => {
  const open = (...args: readonly string[]): Screen => new Screen(folder.path, args, 80, 24, {}, program);
  screen = open('new');
  await screen.until('A name for this set');
  screen.type(`Tarnhollow 17T5${ENTER}`);
  await screen.until('How are B+ and the heaters fed?');
  screen.type('1');
  await screen.until('Whose set is it?');
  screen.type(CTRL_G);
  await screen.until('What is on the bench today?');
  for (let n = 0; n < 12; n++) screen.type(` ${DOWN}`);
  screen.type(ENTER);
  await screen.until('Every plug pulled and in sight');
  screen.kill('SIGKILL');
  await screen.exit;
  screen = open('resume');
  await screen.until('Every plug pulled and in sight');
  screen.type(CTRL_C);
  expect(await screen.exit).toMatchObject({ code: 0 });
  screen = open('practice', '--seed', '3', '--family', 'series-doubler-halfwave');
  await screen.until('Simulated set no. 3');
  screen.dispose();
});
