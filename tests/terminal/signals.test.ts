// The terminal is given back on every way out, as the shell it was started from sees it: crash, signals, stop and go on, a closed
// window, a pipe that nobody reads.
import { spawnSync } from 'node:child_process';
import { existsSync, readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { createSession, openSession } from '../../src/session/index.ts';
import { buildIfNeeded, PROGRAM, workFolder } from './pty.ts';
import { Shell } from './shell.ts';

/** Who is in the shell is read from /proc. */
const LINUX = existsSync('/proc/self/stat') && spawnSync('bash', ['-c', 'stty --version']).status === 0;
const PATIENCE = { timeout: 180_000 };

let folder: ReturnType<typeof workFolder>;
let shell: Shell;
let sessions: string;

beforeAll(buildIfNeeded, 180_000);
beforeEach(() => {
  folder = workFolder();
  sessions = join(folder.path, 'sessions');
});
afterEach(() => {
  shell?.dispose();
  folder.remove();
}, 60_000);

function saved(name: string, notes = 1): void {
  const session = createSession(sessions, {
    name,
    rules: { name: 'x', version: '1', hash: 'x' },
    set: { name: `Tarnhollow ${name}`, family: 'transformer' },
  });
  for (let n = 0; n < notes; n++) session.append({ type: 'note', text: `note ${n}` });
  session.close();
}

const locks = (): string[] => readdirSync(sessions).filter((name) => name.endsWith('.lock'));

/** The program on an open session, in a shell. */
async function walking(env: Readonly<Record<string, string>> = {}): Promise<void> {
  saved('one');
  shell = new Shell(folder.path, env);
  await shell.shows('bench$');
  shell.start(`resume one --sessions "${sessions}"; echo "code $?"`);
  await shell.shows('saved 2');
  expect(shell.alternate).toBe(true);
  expect(shell.cooked()).toBe(false);
  expect(locks()).toHaveLength(1);
}

/** The shell has its terminal back: ordinary screen, visible cursor, lines edited and echoed, and it takes a command. */
async function givenBack(): Promise<void> {
  await shell.until('the ordinary screen', async () => {
    await shell.text();
    return !shell.alternate;
  });
  await shell.until(
    'ordinary line editing',
    () => shell.bytes.lastIndexOf('bench$') > shell.bytes.lastIndexOf('\u001b[?1049l'),
  );
  expect(shell.bytes.lastIndexOf('\u001b[?25h')).toBeGreaterThan(shell.bytes.lastIndexOf('\u001b[?25l'));
  expect(shell.bytes.lastIndexOf('\u001b[?2004l')).toBeGreaterThan(0);
  // While a command of the shell runs, the terminal is as the shell leaves it to commands.
  await shell.command(
    'stty -a | grep -o "^isig icanon iexten echo "; echo $((6*7))',
    /^isig icanon iexten echo\s*\n42$/m,
  );
}

describe.runIf(LINUX)('the shell gets its terminal back', PATIENCE, () => {
  it.each([
    ['SIGINT', 130],
    ['SIGTERM', 143],
    ['SIGHUP', 129],
    ['SIGQUIT', 131],
  ] as const)('after %s, with exit code %i, everything saved and the file free', async (signal, code) => {
    await walking();
    process.kill(shell.program(), signal);
    await shell.shows(new RegExp(`^code ${code}$`, 'm'));
    await givenBack();
    expect(locks()).toEqual([]);
    expect(openSession(sessions, 'one', { readOnly: true }).state.lastSeq).toBe(2);
  });

  it.each(['exception', 'rejection'])(
    'after an %s in the middle, with one line and no stack trace',
    async (kind) => {
      await walking({
        NODE_OPTIONS: `--import=${join(import.meta.dirname, 'failing.mjs')}`,
        FIRST_RASTER_TEST_FAILURE: kind,
        FIRST_RASTER_TEST_FAILURE_MS: '8000',
      });
      await shell.shows('First Raster met an error of its own: failure for a test');
      shell.type('echo code $?\r');
      await shell.shows('code 70');
      expect(await shell.text()).not.toMatch(/\n\s+at |failing\.mjs/);
      expect(shell.alternate).toBe(false);
      expect(locks()).toEqual([]);
    },
  );

  it('is stopped and brought back with fg: the shell works in between, then raw keys and the same screen', async () => {
    await walking();
    const before = await shell.text();
    process.kill(shell.program(), 'SIGTSTP');
    await shell.shows(/Stopped/);
    await givenBack();
    shell.type('fg\r');
    await shell.until('the screen again', () => shell.alternate);
    await shell.until('the same screen', async () => (await shell.text()) === before);
    expect(shell.cooked()).toBe(false);
    shell.type('\u0018');
    await shell.shows('saved 3');
    shell.type('\u0003');
    await givenBack();
  });

  it('stopped without being asked: taken anew when it goes on', async () => {
    await walking();
    const before = await shell.text();
    process.kill(shell.program(), 'SIGSTOP');
    await shell.until('the shell', () => /Stopped[\s\S]*bench\$/.test(shell.bytes));
    shell.type('stty sane; fg\r');
    await shell.until('the same screen', async () => (await shell.text()) === before);
    expect(shell.alternate).toBe(true);
    await shell.until('raw keys', () => !shell.cooked());
    shell.type('\u0003');
    await givenBack();
  });

  it('the window is closed: the program ends, nothing is lost, the file is free', async () => {
    await walking();
    const program = shell.program();
    shell.type('\u0018');
    await shell.shows('saved 3');
    shell.closeWindow();
    const end = Date.now() + 30_000;
    while (existsSync(`/proc/${program}`) && Date.now() < end)
      await new Promise((done) => setTimeout(done, 50));
    expect(existsSync(`/proc/${program}`)).toBe(false);
    expect(locks()).toEqual([]);
    expect(openSession(sessions, 'one', { readOnly: true }).state.lastSeq).toBe(3);
  });
});

/** A command line in a shell; the status is that of its first failing part. */
function piped(command: string) {
  const { status, stdout, stderr } = spawnSync('bash', ['-c', `set -o pipefail; ${command}`], {
    encoding: 'utf8',
    cwd: folder.path,
    env: {
      PATH: process.env.PATH ?? '',
      HOME: folder.path,
      XDG_CONFIG_HOME: join(folder.path, 'config'),
      NODE: process.execPath,
      PROGRAM,
      SESSIONS: sessions,
    },
  });
  return { status, stdout, stderr };
}

describe('a pipe that nobody reads to the end', PATIENCE, () => {
  it('list | head: the lines asked for, no message, code 0', () => {
    saved('one');
    const rules = { name: 'x', version: '1', hash: 'x' };
    for (let n = 0; n < 2000; n++) {
      const at = new Date(1_700_000_000_000 + n * 1000).toISOString();
      const header = {
        format: 'first-raster-session',
        version: 1,
        created: at,
        name: `set ${n}`,
        rules,
        set: null,
      };
      writeFileSync(join(sessions, `set-${n}.jsonl`), `${JSON.stringify(header)}\n`);
    }
    const run = piped('"$NODE" "$PROGRAM" list --sessions "$SESSIONS" | head -2');
    expect(run).toMatchObject({ status: 0, stderr: '' });
    expect(run.stdout.trimEnd().split('\n')).toHaveLength(2);
    expect(piped('"$NODE" "$PROGRAM" list --json --sessions "$SESSIONS" | head -1')).toMatchObject({
      status: 0,
      stderr: '',
    });
  });

  it('report | head, and a reader that is gone at once', () => {
    saved('one', 3000);
    expect(piped('"$NODE" "$PROGRAM" report one --sessions "$SESSIONS" | head -1')).toMatchObject({
      status: 0,
      stderr: '',
    });
    expect(piped('"$NODE" "$PROGRAM" report one --format html --sessions "$SESSIONS" | true').stderr).toBe(
      '',
    );
    expect(piped('"$NODE" "$PROGRAM" --help | true').stderr).toBe('');
  });

  it('messages that nobody reads: the code stays', () => {
    const run = piped(
      '("$NODE" "$PROGRAM" report none --sessions "$SESSIONS"; echo $? >&3) 3>code 2>&1 | true; cat code',
    );
    expect(run.stdout).toBe('1\n');
    const full = piped('"$NODE" "$PROGRAM" list --sessions "$SESSIONS" > /dev/full');
    expect(full.status).toBe(1);
    expect(full.stderr).toMatch(/standard output: .*ENOSPC/);
  });
});
