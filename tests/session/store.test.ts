// The sessions folder: names, lock, list, archive, export and import.
import { spawn } from 'node:child_process';
import * as fs from 'node:fs';
import { hostname } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, describe, expect, it } from 'vitest';
import {
  archiveSession,
  createSession,
  exportSession,
  importSession,
  latestSession,
  listArchived,
  listSessions,
  openSession,
  rememberVerdict,
  SessionError,
  safeName,
  unarchiveSession,
} from '../../src/session/index.ts';
import { newFolder, note, RULES, reading, removeFolders } from './helpers.ts';

afterAll(removeFolders);

function failure(run: () => unknown): SessionError {
  try {
    run();
  } catch (error) {
    if (error instanceof SessionError) return error;
    throw error;
  }
  throw new Error('did not fail');
}

function make(
  folder: string,
  name: string,
  at = '2026-03-01T09:00:00Z',
  set?: { name: string; family: string },
): string {
  const now = new Date(at);
  const open = createSession(folder, { name, rules: RULES, now, ...(set === undefined ? {} : { set }) });
  open.append(reading('a', 1), now);
  open.close();
  return open.name;
}

describe('names', () => {
  it.each([
    ['Kitchen set / "1957"', 'Kitchen-set-1957'],
    ['../../etc/passwd', 'etc-passwd'],
    ['a\u0000b\u001b[31m', 'ab-31m'],
    ['  ', 'session'],
    ['...', 'session'],
    ['CON', 'set-CON'],
    ['lpt1.x', 'set-lpt1.x'],
    ['Télé de grand-mère', 'Télé-de-grand-mère'],
    ['電視 一', '電視-一'],
    ['\u202egnp.exe', 'gnp.exe'],
    ['x.jsonl', 'x'],
  ])('%s', (text, expected) => {
    expect(safeName(text)).toBe(expected);
  });

  it('anything becomes a name that stays in the folder', () => {
    fc.assert(
      fc.property(fc.oneof(fc.string({ unit: 'binary' }), fc.string()), (text) => {
        const name = safeName(text);
        expect(name).not.toMatch(/[/\\\u0000-\u001f\s]/);
        expect(name).not.toMatch(/^\./);
        expect(Buffer.byteLength(name)).toBeGreaterThan(0);
        expect(Buffer.byteLength(name)).toBeLessThanOrEqual(90);
        expect(safeName(name)).toBe(name);
      }),
      { numRuns: 2000 },
    );
  });

  it('a taken name gets a number', () => {
    const folder = newFolder();
    expect([make(folder, 'x'), make(folder, 'x'), make(folder, 'x')]).toEqual(['x', 'x-2', 'x-3']);
  });

  it.each(['../x', 'a/b', '..', '.hidden', 'a\\b', '', '/etc/passwd'])('"%s" opens nothing', (name) => {
    expect(failure(() => openSession(newFolder(), name)).kind).toBe('missing');
  });

  it('a link in the folder is not followed', () => {
    const folder = newFolder();
    const outside = newFolder();
    make(outside, 'real');
    fs.symlinkSync(join(outside, 'real.jsonl'), join(folder, 'trap.jsonl'));
    expect(failure(() => openSession(folder, 'trap')).kind).toBe('permission');
    expect(listSessions(folder)).toEqual([]);
  });

  it('a sessions folder that is itself a link works', () => {
    const real = newFolder();
    const link = join(newFolder(), 'link');
    fs.symlinkSync(real, link);
    make(link, 'x');
    expect(openSession(link, 'x', { readOnly: true }).state.lastSeq).toBe(1);
  });
});

describe('one writer', () => {
  it('a second one is told who has it, and may read', () => {
    const folder = newFolder();
    const name = make(folder, 'x');
    const first = openSession(folder, name);
    const error = failure(() => openSession(folder, name));
    expect(error).toMatchObject({
      kind: 'locked',
      message: expect.stringContaining(`process ${process.pid}`),
    });
    expect(openSession(folder, name, { readOnly: true }).state.lastSeq).toBe(1);
    first.close();
    openSession(folder, name).close();
    expect(fs.readdirSync(folder).filter((file) => file.includes('lock'))).toEqual([]);
  });

  const lock = (path: string, holder: object) => fs.writeFileSync(`${path}.lock`, JSON.stringify(holder));
  const holder = {
    pid: 999_999_999,
    host: hostname(),
    started: '2026-01-01T00:00:00Z',
    ticks: '',
    token: 't',
  };

  it('a lock of a process that is gone is taken over', () => {
    const folder = newFolder();
    const path = join(folder, `${make(folder, 'x')}.jsonl`);
    lock(path, { ...holder, pid: 2 ** 22 + 12_345 });
    openSession(folder, 'x').close();
    expect(fs.existsSync(`${path}.lock`)).toBe(false);
  });

  it.runIf(fs.existsSync('/proc/self/stat'))(
    'a process number used again by another program does not count',
    () => {
      const folder = newFolder();
      const path = join(folder, `${make(folder, 'x')}.jsonl`);
      lock(path, { ...holder, pid: process.pid, ticks: '1' });
      openSession(folder, 'x').close();
    },
  );

  it.runIf(process.platform === 'linux')(
    'a lock of a process that was killed and that nobody has waited for is taken over',
    async () => {
      const folder = newFolder();
      const path = join(folder, `${make(folder, 'x')}.jsonl`);
      // The shell begins a child and turns into a program that waits for nobody. The child is killed
      // only after that turn: a shell that is still itself would wait for it, and it would be gone.
      const parent = spawn('bash', ['-c', 'sleep 30 & echo $!; exec sleep 30'], {
        stdio: ['ignore', 'pipe', 'ignore'],
      });
      try {
        const pid = await new Promise<number>((resolve) =>
          parent.stdout.once('data', (text: Buffer) => resolve(Number.parseInt(String(text), 10))),
        );
        const name = (): string => fs.readFileSync(`/proc/${parent.pid}/comm`, 'utf8').trim();
        await expect.poll(name, { timeout: 10_000 }).toBe('sleep');
        process.kill(pid, 'SIGKILL');
        const state = (): string => fs.readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1]?.[0] ?? '';
        await expect.poll(state, { timeout: 10_000 }).toBe('Z');
        lock(path, { ...holder, pid });
        openSession(folder, 'x').close();
        expect(fs.existsSync(`${path}.lock`)).toBe(false);
      } finally {
        parent.kill('SIGKILL');
      }
    },
  );

  it('a lock from another computer stays while it gives signs of life; the message says what to delete', () => {
    const folder = newFolder();
    const path = join(folder, `${make(folder, 'x')}.jsonl`);
    lock(path, { ...holder, host: 'another-bench' });
    const error = failure(() => openSession(folder, 'x'));
    expect(error.message).toContain('another-bench');
    expect(error.message).toContain(`delete ${path}.lock`);
  });

  it('a lock from another computer without a sign of life for a day is taken over, and that is said', () => {
    const folder = newFolder();
    const path = join(folder, `${make(folder, 'x')}.jsonl`);
    lock(path, { ...holder, host: 'another\u001b[2J-bench' });
    const yesterday = new Date(Date.now() - 25 * 3600 * 1000);
    fs.utimesSync(`${path}.lock`, yesterday, yesterday);
    const open = openSession(folder, 'x');
    expect(open.notices.join()).toMatch(/Taken over from process 999999999 on another\[2J-bench/);
    open.append(note('goes on'));
    open.close();
  });

  it('who was taken over while asleep writes nothing more, keeps the entry, and saves elsewhere', () => {
    const folder = newFolder();
    const path = join(folder, `${make(folder, 'x')}.jsonl`);
    const asleep = openSession(folder, 'x');
    lock(path, { ...holder, host: 'another-bench' });
    const before = fs.readFileSync(path, 'utf8');
    expect(failure(() => asleep.append(note('late')))).toMatchObject({
      kind: 'locked',
      message: expect.stringMatching(/taken over meanwhile by .*another-bench.*save elsewhere/),
    });
    expect(fs.readFileSync(path, 'utf8')).toBe(before);
    expect(asleep.pending).toHaveLength(1);
    const other = newFolder();
    asleep.saveElsewhere(other);
    asleep.append(note('and on'));
    asleep.close();
    expect(openSession(other, 'x', { readOnly: true }).state.notes).toHaveLength(2);
    expect(fs.existsSync(`${path}.lock`)).toBe(true);
  });

  it('a lock deleted by hand is put back with the next entry', () => {
    const folder = newFolder();
    const open = createSession(folder, { name: 'x', rules: RULES });
    fs.rmSync(`${open.path}.lock`);
    open.append(note('on'));
    expect(failure(() => openSession(folder, 'x')).kind).toBe('locked');
    open.close();
    expect(fs.existsSync(`${open.path}.lock`)).toBe(false);
  });

  it('an unreadable lock counts while it is fresh only', () => {
    const folder = newFolder();
    const path = join(folder, `${make(folder, 'x')}.jsonl`);
    fs.writeFileSync(`${path}.lock`, '{');
    expect(failure(() => openSession(folder, 'x')).kind).toBe('locked');
    fs.utimesSync(`${path}.lock`, new Date(0), new Date(0));
    openSession(folder, 'x').close();
  });

  it('of many that try at once, one gets it', async () => {
    const folder = newFolder();
    make(folder, 'x');
    lock(join(folder, 'x.jsonl'), { ...holder, pid: 2 ** 22 + 12_345 });
    const script = `
      const { openSession } = await import(${JSON.stringify(join(import.meta.dirname, '../../src/session/index.ts'))});
      try { openSession(${JSON.stringify(folder)}, 'x'); process.stdout.write('got'); }
      catch (error) { process.stdout.write(error.kind); }
      process.stdin.on('close', () => process.exit()).resume();`;
    const runs = Array.from({ length: 4 }, () => {
      const child = spawn(process.execPath, ['--import', 'tsx', '--input-type=module', '-e', script], {
        stdio: ['pipe', 'pipe', 'inherit'],
      });
      return {
        child,
        said: new Promise<string>((done) => child.stdout.once('data', (chunk) => done(String(chunk)))),
      };
    });
    const said = await Promise.all(runs.map((run) => run.said));
    for (const { child } of runs) child.stdin.end();
    expect(said.sort()).toEqual(['got', 'locked', 'locked', 'locked']);
  });
});

describe('the list', () => {
  it('has the latest first, with what the home screen shows', () => {
    const folder = newFolder();
    make(folder, 'old', '2026-01-01T09:00:00Z', { name: 'Old set', family: 'transformer' });
    make(folder, 'new', '2026-02-01T09:00:00Z');
    const open = openSession(folder, 'old');
    open.append(
      { type: 'powered-up', to: 'isolated-limited', lineVolts: 40 },
      new Date('2026-03-01T09:00:00Z'),
    );
    open.close();
    expect(listSessions(folder)).toMatchObject([
      {
        name: 'old',
        set: 'Old set',
        family: 'transformer',
        readings: 1,
        power: 'isolated-limited',
        lastAt: '2026-03-01T09:00:00.000Z',
      },
      { name: 'new', readings: 1, power: 'unknown' },
    ]);
    expect(latestSession(folder)).toBe('old');
  });

  it('of no folder is empty', () => {
    expect(listSessions(join(newFolder(), 'none'))).toEqual([]);
    expect(latestSession(join(newFolder(), 'none'))).toBeUndefined();
  });

  it('shows a damaged file with its trouble and passes it over for "latest"', () => {
    const folder = newFolder();
    make(folder, 'good', '2026-01-01T09:00:00Z');
    fs.writeFileSync(join(folder, 'bad.jsonl'), 'rubbish\n');
    expect(listSessions(folder).find(({ name }) => name === 'bad')?.trouble).toMatch(/not a session file/);
    expect(latestSession(folder)).toBe('good');
  });

  it('follows every change, whatever the index says', () => {
    const folder = newFolder();
    const name = make(folder, 'x');
    expect(listSessions(folder)[0]?.readings).toBe(1);
    const open = openSession(folder, name);
    open.append(reading('b', 2));
    open.close();
    expect(listSessions(folder)[0]?.readings).toBe(2);
    for (const rubbish of ['', '{', '[]', '{"x":{"size":1}}', `{"x":"${'a'.repeat(1000)}"}`]) {
      fs.writeFileSync(join(folder, '.index.json'), rubbish);
      expect(listSessions(folder)[0]).toMatchObject({ name: 'x', readings: 2 });
    }
    rememberVerdict(folder, 'x', 'flyback sound\u001b[2J');
    expect(listSessions(folder)[0]?.verdict).toBe('flyback sound[2J');
    fs.rmSync(join(folder, 'x.jsonl'));
    expect(listSessions(folder)).toEqual([]);
  });
});

describe('archive, export, import', () => {
  it('archives out of the list, not over another of the same name, not while open', () => {
    const folder = newFolder();
    make(folder, 'x');
    archiveSession(folder, 'x');
    make(folder, 'x');
    const open = openSession(folder, 'x');
    expect(failure(() => archiveSession(folder, 'x')).kind).toBe('locked');
    open.close();
    archiveSession(folder, 'x');
    expect(listSessions(folder)).toEqual([]);
    expect(
      listArchived(folder)
        .map(({ name }) => name)
        .sort(),
    ).toEqual(['x', 'x-2']);
  });

  it('a session goes out and comes in as one file with everything in it', () => {
    const folder = newFolder();
    make(folder, 'x');
    const file = join(newFolder(), 'to go.jsonl');
    exportSession(folder, 'x', file);
    expect(fs.statSync(file).mode & 0o777).toBe(0o600);
    expect(failure(() => exportSession(folder, 'x', file)).message).toContain(file);
    const other = newFolder();
    make(other, 'x');
    expect(importSession(other, file)).toBe('x-2');
    const open = openSession(other, 'x-2');
    expect(open.state.readings).toHaveLength(1);
    open.append(note('goes on'));
    open.close();
  });

  it('a damaged or foreign file is not taken in', () => {
    const folder = newFolder();
    make(folder, 'x');
    const path = join(folder, 'x.jsonl');
    fs.writeFileSync(
      path,
      fs.readFileSync(path, 'utf8').replace('"raw":"1"', '"raw":"2"') + fs.readFileSync(path, 'utf8'),
    );
    expect(failure(() => importSession(newFolder(), path)).kind).toBe('damaged');
    expect(failure(() => importSession(newFolder(), join(folder, 'none'))).kind).toBe('missing');
    expect(failure(() => importSession(newFolder(), folder)).kind).toBe('missing');
  });

  it('comes back from the archive, beside another of the same name', () => {
    const folder = newFolder();
    make(folder, 'x');
    archiveSession(folder, 'x');
    make(folder, 'x');
    expect(unarchiveSession(folder, 'x')).toBe('x-2');
    expect(listArchived(folder)).toEqual([]);
    expect(failure(() => unarchiveSession(folder, 'x')).kind).toBe('missing');
    expect(failure(() => unarchiveSession(folder, '../x')).kind).toBe('missing');
    expect(openSession(folder, 'x-2', { readOnly: true }).state.readings).toHaveLength(1);
  });

  it('a name inside an imported file cannot leave the folder', () => {
    const folder = newFolder();
    make(folder, '../../../evil');
    expect(importSession(folder, join(folder, 'evil.jsonl'))).toBe('evil-2');
  });
});

describe('limits', () => {
  it('an over-long line, a huge file: refused with a message', () => {
    const folder = newFolder();
    make(folder, 'x');
    const path = join(folder, 'x.jsonl');
    fs.appendFileSync(path, `${'x'.repeat(70_000)}\n{}\n`);
    expect(openSession(folder, 'x').readOnly).toMatchObject({ kind: 'damaged', line: 3 });
    fs.truncateSync(path, 40 * 1024 * 1024);
    expect(failure(() => openSession(folder, 'x')).message).toMatch(/larger than 32 MiB/);
  });
});
