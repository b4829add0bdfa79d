// Practice in the built program: begins from the shell, keeps nothing, looks back on leaving; the circuit simulator loads for it alone.
import { cpSync, existsSync, mkdirSync, readdirSync, rmSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { afterEach, beforeAll, beforeEach, expect, it } from 'vitest';
import { buildIfNeeded, PROGRAM, Screen, workFolder } from './pty.ts';

const CTRL_C = '\u0003';
let folder: ReturnType<typeof workFolder>;
let screen: Screen;

beforeAll(buildIfNeeded, 180_000);
beforeEach(() => {
  folder = workFolder();
});
afterEach(() => {
  screen.dispose();
  folder.remove();
});

it('begins from the shell, and tells on leaving what was wrong', { timeout: 120_000 }, async () => {
  screen = new Screen(folder.path, ['practice', '--seed', '7', '--family', 'transformer'], 80, 24);
  await screen.until(/PRACTICE {2}Tarnhollow practice set 7/);
  await screen.until('Enter, simulated:');
  screen.type('\r');
  await screen.until('UNPLUGGED');
  screen.type(CTRL_C);
  await screen.until('What was wrong:');
  screen.type(CTRL_C);
  expect(await screen.exit).toMatchObject({ code: 0 });
  const sessions = join(folder.path, 'sessions');
  expect(existsSync(sessions) ? readdirSync(sessions) : []).toEqual([]);
});

it('names the families that it has when asked for another', { timeout: 60_000 }, async () => {
  screen = new Screen(folder.path, ['practice', '--family', 'nothing'], 100, 24);
  expect(await screen.exit).toMatchObject({ code: 1 });
  expect(await screen.text()).toContain('"nothing" cannot be simulated; practice has:');
});

it('shows its home screen where the simulator is not even installed', { timeout: 60_000 }, async () => {
  const bare = join(folder.path, 'program');
  mkdirSync(bare);
  cpSync(dirname(PROGRAM), join(bare, 'dist'), { recursive: true });
  cpSync(join(dirname(PROGRAM), '../package.json'), join(bare, 'package.json'));
  const built = join(bare, 'dist/first-raster.js');
  rmSync(join(bare, 'dist/simulator.mjs'));
  screen = new Screen(folder.path, [], 80, 24, {}, built);
  await screen.until('Practice');
  screen.type(CTRL_C);
  expect(await screen.exit).toMatchObject({ code: 0 });
});
