// On a real pseudo-terminal: opens, resizes, is killed and resumed, and gives the terminal back on every way out.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { buildIfNeeded, Screen, workFolder } from './pty.ts';

const ENTER = '\r';
const CTRL = (letter: string): string => String.fromCharCode(letter.charCodeAt(0) - 96);
const DOWN = '\u001b[B';

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

const open = (
  args: readonly string[],
  columns = 80,
  rows = 24,
  env: Readonly<Record<string, string>> = {},
): void => {
  screen = new Screen(folder.path, args, columns, rows, env);
};

/** New set, every instrument marked, up to the first safety gate. */
async function toFirstGate(): Promise<void> {
  await screen.until('A name for this set');
  screen.type(`Tarnhollow 17T5${ENTER}`);
  await screen.until('How are B+ and the heaters fed?');
  screen.type('1');
  await screen.until('Whose set is it?');
  screen.type(CTRL('g'));
  await screen.until('What is on the bench today?');
  for (let n = 0; n < 12; n++) screen.type(` ${DOWN}`);
  screen.type(ENTER);
  await screen.until('Every plug pulled and in sight');
}

describe('first screen and leaving', { timeout: 120_000 }, () => {
  it.each([
    [80, 24],
    [120, 40],
  ])('home at %i x %i fills the screen, and Ctrl-C gives the terminal back', async (columns, rows) => {
    open([], columns, rows);
    await screen.until('New set');
    expect(screen.alternate).toBe(true);
    const lines = await screen.rows();
    expect(lines).toHaveLength(rows);
    expect(lines[rows - 1]).toContain('Enter take');
    screen.type(CTRL('c'));
    expect(await screen.exit).toMatchObject({ code: 0 });
    expect(screen.alternate).toBe(false);
    expect(screen.bytes.endsWith('\u001b[0m\u001b[?2004l\u001b[?25h\u001b[?1049l')).toBe(true);
  });

  it.each([
    ['SIGTERM', 143],
    ['SIGHUP', 129],
    ['SIGINT', 130],
  ])('%s gives the terminal back and ends with %i', async (signal, code) => {
    open([]);
    await screen.until('New set');
    screen.kill(signal);
    expect(await screen.exit).toMatchObject({ code });
    expect(screen.alternate).toBe(false);
    expect(screen.bytes).toContain('\u001b[?25h\u001b[?1049l');
  });

  it('suspends to the shell and comes back with the same screen', async () => {
    open([]);
    await screen.until('New set');
    const before = await screen.text();
    screen.kill('SIGTSTP');
    const end = Date.now() + 20_000;
    while (screen.alternate && Date.now() < end) {
      await screen.rows();
      await new Promise((resolve) => setTimeout(resolve, 20));
    }
    expect(screen.alternate).toBe(false);
    screen.kill('SIGCONT');
    await screen.until('New set');
    expect(screen.alternate).toBe(true);
    expect(await screen.text()).toBe(before);
  });

  it('resume without any session says so on the ordinary screen and ends with 1', async () => {
    open(['resume']);
    expect(await screen.exit).toMatchObject({ code: 1 });
    expect(screen.alternate).toBe(false);
    expect(await screen.text()).toContain('There is no session to resume');
  });

  it('a damaged preferences file is set aside and said', async () => {
    const { mkdirSync, writeFileSync } = await import('node:fs');
    const config = join(folder.path, 'config/first-raster');
    mkdirSync(config, { recursive: true });
    writeFileSync(join(config, 'preferences.json'), '{"instruments": [');
    open([]);
    await screen.until('set aside');
    expect(readdirSync(config).some((name) => name.startsWith('preferences.json.damaged-'))).toBe(true);
  });
});

describe('a walk', { timeout: 180_000 }, () => {
  it('is resized in the middle: small window, back, and the screen is as a fresh one', async () => {
    open(['new'], 120, 40);
    await toFirstGate();
    for (const [columns, rows] of [
      [100, 30],
      [200, 60],
      [81, 25],
      [160, 50],
    ] as const)
      screen.resize(columns, rows);
    screen.resize(60, 20);
    await screen.until(/needs\s+80 x 24/);
    screen.resize(80, 24);
    await screen.until(/Every plug pulled[\s\S]*\? help/);
    const shown = await screen.text();
    screen.type(CTRL('l'));
    await new Promise((resolve) => setTimeout(resolve, 300));
    expect(await screen.text()).toBe(shown);
  });

  it('is killed without warning and resumed: nothing accepted is lost', async () => {
    open(['new']);
    await toFirstGate();
    screen.type(`1${ENTER}`);
    await screen.until('UNPLUGGED');
    await screen.until(/saved 3/);
    screen.kill('SIGKILL');
    await screen.exit;
    const sessions = join(folder.path, 'sessions');
    const [file = ''] = readdirSync(sessions).filter((name) => name.endsWith('.jsonl'));
    const before = readFileSync(join(sessions, file), 'utf8');
    expect(before.trim().split('\n')).toHaveLength(4);
    open(['resume']);
    await screen.until(/SUPPLY NOT KNOWN\s+saved 4/);
    await screen.until('Every plug pulled and in sight');
    expect(readFileSync(join(sessions, file), 'utf8').startsWith(before)).toBe(true);
    screen.type(CTRL('c'));
    await screen.exit;
    open([]);
    await screen.until(/Tarnhollow 17T5 .*readings .*picture tube not proven|Tarnhollow 17T5 .*0 readings/);
    screen.type(CTRL('c'));
    await screen.exit;
  });

  it('writes colours only where they are wanted, and ASCII only where that is asked for', async () => {
    open(['new', '--ascii'], 80, 24, { NO_COLOR: '1' });
    await toFirstGate();
    expect(screen.bytes).not.toMatch(/\u001b\[(3[0-7]|4[0-7]|9[0-7])m/);
    const printed = screen.bytes.replace(/\u001b\[[0-9;?]*[A-Za-z]/g, '');
    expect(printed).toMatch(/^[\r\n -~]*$/);
    screen.type(CTRL('c'));
    await screen.exit;
  });
});

describe('linear text', { timeout: 180_000 }, () => {
  it('walks without one escape sequence, in the ordinary screen', async () => {
    open(['new', '--linear'], 100, 40);
    await toFirstGate();
    screen.type(`1${ENTER}`);
    await screen.until('UNPLUGGED');
    screen.resize(120, 30);
    screen.type(CTRL('c'));
    expect(await screen.exit).toMatchObject({ code: 0 });
    expect(screen.alternate).toBe(false);
    expect(screen.bytes).not.toMatch(/[\u001b\u2500-\u259f]/);
  });
});
