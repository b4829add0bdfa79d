// Session files: nothing accepted is lost, nothing damaged is believed, nothing is overwritten.
import * as fs from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, describe, expect, it } from 'vitest';
import {
  createSession,
  exportSession,
  importSession,
  openSession,
  type Session,
  SessionError,
  type SessionEvent,
} from '../../src/session/index.ts';
import type { JournalIo } from '../../src/session/journal.ts';
import { UNKNOWN_SET } from '../../src/ui/app/intake-fields.ts';
import { newFolder, note, RULES, reading, removeFolders } from './helpers.ts';

afterAll(removeFolders);

function session(folder = newFolder(), count = 3): { folder: string; path: string; name: string } {
  const made = createSession(folder, { name: 'kitchen set', rules: RULES });
  for (let index = 0; index < count; index++) made.append(reading(`check-${index}`, index));
  const { path, name } = made;
  made.close();
  return { folder, path, name };
}

function failure(run: () => unknown): SessionError {
  try {
    run();
  } catch (error) {
    if (error instanceof SessionError) return error;
    throw error;
  }
  throw new Error('did not fail');
}

/** File calls of which one fails with this code, from the given call on, as often as told. */
function failing(name: 'writeSync' | 'fsyncSync', code: string, times: number, partial = 0): JournalIo {
  let left = times;
  const fail = (): never => {
    left -= 1;
    throw Object.assign(new Error(code), { code });
  };
  return {
    ...fs,
    fsyncSync: (fd) => (name === 'fsyncSync' && left > 0 ? fail() : fs.fsyncSync(fd)),
    writeSync: ((fd: number, bytes: Buffer, offset: number, length: number, position: number) => {
      if (name !== 'writeSync' || left <= 0) return fs.writeSync(fd, bytes, offset, length, position);
      if (partial > 0) fs.writeSync(fd, bytes, offset, Math.min(partial, length), position);
      return fail();
    }) as JournalIo['writeSync'],
  };
}

describe('a session file', () => {
  it('is one header line and one line an event, for its owner only', () => {
    const { path } = session();
    const lines = fs.readFileSync(path, 'utf8').trimEnd().split('\n');
    expect(JSON.parse(lines[0] ?? '')).toMatchObject({
      format: 'first-raster-session',
      version: 5,
      name: 'kitchen set',
      rules: RULES,
    });
    expect(JSON.parse(lines[3] ?? '')).toMatchObject({
      seq: 3,
      type: 'reading',
      at: expect.any(String),
      sum: expect.stringMatching(/^[0-9a-f]{16}$/),
    });
    expect(fs.statSync(path).mode & 0o777).toBe(0o600);
  });

  it('opens again with everything', () => {
    const { folder, name } = session();
    const open = openSession(folder, name);
    expect(open.state.readings.map(({ check }) => check)).toEqual(['check-0', 'check-1', 'check-2']);
    expect(open.notices).toEqual([]);
    open.append(note('later'));
    open.close();
    expect(openSession(folder, name, { readOnly: true }).state.lastSeq).toBe(4);
  });

  it('is on disk when append returns', () => {
    const folder = newFolder();
    const open = createSession(folder, { name: 'x', rules: RULES });
    open.append(note('here'));
    expect(fs.readFileSync(open.path, 'utf8')).toMatch(/"here"/);
    open.close();
  });

  it('strips control characters and direction marks, on the way in and on the way out', () => {
    const folder = newFolder();
    const open = createSession(folder, { name: 'x', rules: RULES });
    open.append(note('a\u001b[2Jb\u202ec\nd\u0007'));
    expect(open.state.notes[0]?.text).toBe('a[2Jbc d');
    open.close();
  });

  it('refuses an event that is none, and keeps nothing of it', () => {
    const folder = newFolder();
    const open = createSession(folder, { name: 'x', rules: RULES });
    const bad = { type: 'line-volts', lineVolts: Number.NaN } as const;
    expect(failure(() => open.append(bad)).message).toMatch(/lineVolts/);
    expect(open.pending).toEqual([]);
    expect(open.state.lastSeq).toBe(0);
    open.close();
  });
});

describe('what was accepted can be read again', () => {
  const set = (part: object) => ({ type: 'set-described', set: { ...UNKNOWN_SET, ...part } }) as SessionEvent;
  it.each([
    ['a note that is a word of the language', note('__proto__')],
    ['a note that looks like a key of that name', note('"__proto__": 1')],
    ['a fact of that name', set({ facts: { ['__proto__']: 'x', constructor: 'y' } })],
    ['a set with more text than fits a line', set({ complaint: Array(40).fill('x'.repeat(4000)) })],
    [
      'an option of nothing but control characters',
      { type: 'configured', item: '\u0007', value: 'x' } as const,
    ],
    ['an id that shrinks to nothing', { type: 'link-fitted', what: '\u200b' } as const],
    ['half a character', note('a\ud83d\u0000\ude00b')],
    ['a number out of reach', { type: 'line-volts', lineVolts: 1e308 * 10 } as const],
    ['zero from below', { type: 'line-volts', lineVolts: -0 } as const],
  ])('%s: saved and read, or refused; what follows is not lost', (_, event) => {
    const folder = newFolder();
    const open = createSession(folder, { name: 'x', rules: RULES });
    let refused = false;
    try {
      open.append(event);
    } catch (error) {
      expect(error).toBeInstanceOf(SessionError);
      refused = true;
    }
    expect(open.pending).toEqual([]);
    open.append(note('after'));
    open.close();
    const again = openSession(folder, 'x');
    expect(again.readOnly).toBeUndefined();
    expect(again.notices).toEqual([]);
    expect(again.state.lastSeq).toBe(refused ? 1 : 2);
    again.close();
  });

  it('a clock in the year 10000 cannot make a file unreadable', () => {
    const folder = newFolder();
    const open = createSession(folder, { name: 'x', rules: RULES });
    expect(failure(() => open.append(note('late'), new Date('+010000-01-01T00:00:00Z'))).message).toMatch(
      /clock/,
    );
    open.append(note('on time'));
    open.close();
    expect(openSession(folder, 'x', { readOnly: true }).state.notes).toHaveLength(1);
  });

  it('a clock that stands before the last entry is said; the order of entries stays', () => {
    const folder = newFolder();
    const open = createSession(folder, { name: 'x', rules: RULES, now: new Date('2026-03-01T09:00:00Z') });
    open.append(note('first'), new Date('2026-03-01T10:00:00Z'));
    open.close();
    const again = openSession(folder, 'x', { now: new Date('2021-01-01T00:00:00Z') });
    expect(again.notices.join()).toMatch(/clock of this computer .*2021-01-01.*stands before the last entry/);
    again.append(note('second'), new Date('2021-01-01T00:00:10Z'));
    again.close();
    const read = openSession(folder, 'x', { now: new Date('2026-03-02T00:00:00Z') });
    expect(read.notices).toEqual([]);
    expect(read.state.notes.map(({ text }) => text)).toEqual(['first', 'second']);
    read.close();
  });
});

describe('torn and damaged', () => {
  it('a last line that is whole and changed by hand is damage, not a torn write: it is not cut off', () => {
    const { folder, path, name } = session();
    const text = fs.readFileSync(path, 'utf8').replace('"raw":"2"', '"raw":"7"');
    fs.writeFileSync(path, text);
    expect(openSession(folder, name).readOnly).toMatchObject({ kind: 'damaged', line: 4 });
    expect(fs.readFileSync(path, 'utf8')).toBe(text);
  });

  it('cut anywhere in its last line: that entry is dropped with a notice, the rest kept, and the next one goes in its place', () => {
    const { folder, path, name } = session();
    const whole = fs.readFileSync(path);
    const lastStart = whole.lastIndexOf(0x0a, whole.length - 2) + 1;
    for (let length = lastStart + 1; length < whole.length - 1; length += 7) {
      fs.writeFileSync(path, whole.subarray(0, length));
      const open = openSession(folder, name);
      expect(open.state.readings).toHaveLength(2);
      expect(open.notices.join()).toMatch(/line 4.*cut short/);
      open.append(reading('again', 9));
      open.close();
      const again = openSession(folder, name);
      expect(again.notices).toEqual([]);
      expect(again.state.readings.map(({ check }) => check)).toEqual(['check-0', 'check-1', 'again']);
      again.close();
    }
  });

  it('only the newline lost: nothing is lost', () => {
    const { folder, path, name } = session();
    fs.truncateSync(path, fs.statSync(path).size - 1);
    const open = openSession(folder, name);
    expect(open.state.readings).toHaveLength(3);
    open.append(reading('more', 1));
    open.close();
    expect(openSession(folder, name, { readOnly: true }).state.readings).toHaveLength(4);
  });

  it('a tail of zero bytes, as a crash leaves it', () => {
    const { folder, path, name } = session();
    fs.appendFileSync(path, Buffer.alloc(4096));
    const open = openSession(folder, name);
    expect(open.state.readings).toHaveLength(3);
    open.append(note('x'));
    open.close();
    expect(openSession(folder, name, { readOnly: true }).notices).toHaveLength(0);
  });

  it.each([
    [
      'a digit changed',
      (lines: string[]) =>
        lines.map((line, index) => (index === 2 ? line.replace('"value":1', '"value":7') : line)),
      3,
    ],
    ['a line taken out', (lines: string[]) => lines.filter((_, index) => index !== 2), 3],
    ['two lines swapped', ([a = '', b = '', c = '', d = '']: string[]) => [a, c, b, d], 2],
    [
      'the header changed',
      (lines: string[]) => lines.map((line, index) => (index === 0 ? line.replace('abc', 'xyz') : line)),
      2,
    ],
    ['rubbish', (lines: string[]) => lines.map((line, index) => (index === 1 ? '\u0000\u0001{' : line)), 2],
  ])('%s in the middle: reported with its line, read-only, never overwritten', (_, change, line) => {
    const { folder, path, name } = session(newFolder(), 4);
    const lines = fs.readFileSync(path, 'utf8').trimEnd().split('\n');
    const text = `${[...change(lines.slice(0, 4)), ...lines.slice(4)].join('\n')}\n`;
    fs.writeFileSync(path, text);
    const open = openSession(folder, name);
    expect(open.readOnly).toMatchObject({ kind: 'damaged', line });
    expect(open.notices.join()).toContain(`${path}:${line}: damaged`);
    expect(open.state.lastSeq).toBe(line - 2);
    expect(failure(() => open.append(note('x'))).kind).toBe('damaged');
    open.close();
    expect(fs.readFileSync(path, 'utf8')).toBe(text);
    const copy = join(newFolder(), 'copy.jsonl');
    expect(failure(() => exportSession(folder, name, copy)).kind).toBe('damaged');
    exportSession(folder, name, copy, { goodPart: true });
    const good = openSession(folder, importSession(folder, copy));
    expect(good.state.lastSeq).toBe(line - 2);
    good.append(note('goes on'));
    good.close();
  });

  it('a newer format is refused politely and left alone', () => {
    const { folder, path, name } = session();
    const text = fs.readFileSync(path, 'utf8').replace('"version":5', '"version":6');
    fs.writeFileSync(path, text);
    expect(failure(() => openSession(folder, name))).toMatchObject({
      kind: 'newer',
      message: expect.stringMatching(/newer First Raster.*Update/),
    });
    expect(fs.readFileSync(path, 'utf8')).toBe(text);
    expect(fs.existsSync(`${path}.lock`)).toBe(false);
  });

  it.each([
    ['empty', ''],
    ['another file', 'hello\n'],
    ['deep nesting', `${'['.repeat(50_000)}\n`],
    ['a poisoned key', '{"format":"first-raster-session","version":1,"__proto__":{"x":1}}\n'],
  ])('%s is not a session', (_, text) => {
    const folder = newFolder();
    fs.writeFileSync(join(folder, 'x.jsonl'), text);
    expect(failure(() => openSession(folder, 'x'))).toMatchObject({ kind: 'damaged', line: 1 });
    expect(fs.readFileSync(join(folder, 'x.jsonl'), 'utf8')).toBe(text);
  });

  it('mutated files never crash and never lose the entries before the change', () => {
    const { folder, path, name } = session(newFolder(), 8);
    const whole = fs.readFileSync(path);
    const mutation = fc.record({
      at: fc.nat(whole.length - 1),
      kind: fc.constantFrom('flip', 'cut', 'insert', 'drop'),
      byte: fc.nat(255),
    });
    fc.assert(
      fc.property(mutation, ({ at, kind, byte }) => {
        const [head, tail] = [whole.subarray(0, at), whole.subarray(at)];
        const one = Buffer.from([byte]);
        const bytes = {
          flip: Buffer.concat([head, one, tail.subarray(1)]),
          cut: head,
          insert: Buffer.concat([head, one, tail]),
          drop: Buffer.concat([head, tail.subarray(1)]),
        }[kind];
        fs.writeFileSync(path, bytes);
        const intact = whole.subarray(0, at).filter((each) => each === 0x0a).length;
        let open: Session;
        try {
          open = openSession(folder, name, { readOnly: true });
        } catch (error) {
          expect(error).toBeInstanceOf(SessionError);
          expect(intact).toBeLessThanOrEqual(1);
          return;
        }
        expect(open.state.lastSeq).toBeGreaterThanOrEqual(Math.max(0, intact - 1));
        open.state.readings.forEach((each, index) => {
          expect(each.check).toBe(`check-${index}`);
        });
      }),
      { numRuns: 1000 },
    );
  });
});

describe('a disk that refuses', () => {
  it.each([
    ['ENOSPC', 'full'],
    ['EROFS', 'read-only'],
    ['EACCES', 'permission'],
    ['EIO', 'io'],
  ] as const)('%s: the entry is kept, retried in order, nothing half-written stays', (code, kind) => {
    const folder = newFolder();
    const open = createSession(folder, { name: 'x', rules: RULES, io: failing('writeSync', code, 2, 20) });
    const error = failure(() => open.append(reading('a', 1)));
    expect(error.kind).toBe(kind);
    expect(error.message).toContain(open.path);
    expect(open.pending).toHaveLength(1);
    expect(open.state.readings).toHaveLength(1);
    expect(fs.readFileSync(open.path, 'utf8').endsWith('\n')).toBe(true);
    failure(() => open.append(reading('b', 2)));
    expect(open.pending.map(({ seq }) => seq)).toEqual([1, 2]);
    open.append(reading('c', 3));
    expect(open.pending).toEqual([]);
    open.close();
    const again = openSession(folder, open.name, { readOnly: true });
    expect(again.state.readings.map(({ check }) => check)).toEqual(['a', 'b', 'c']);
  });

  it('a flush that fails counts as not written', () => {
    const folder = newFolder();
    const open = createSession(folder, { name: 'x', rules: RULES, io: failing('fsyncSync', 'EIO', 1) });
    failure(() => open.append(reading('a', 1)));
    expect(open.pending).toHaveLength(1);
    open.retry();
    expect(open.pending).toEqual([]);
    open.close();
    expect(openSession(folder, open.name, { readOnly: true }).state.readings).toHaveLength(1);
  });

  it('saves elsewhere with what is pending, and goes on there', () => {
    const folder = newFolder();
    const other = join(newFolder(), 'not there yet');
    const open = createSession(folder, { name: 'x', rules: RULES, io: failing('writeSync', 'ENOSPC', 1) });
    failure(() => open.append(reading('a', 1)));
    const path = open.saveElsewhere(other);
    expect(open.pending).toEqual([]);
    open.append(reading('b', 2));
    open.close();
    expect(path.startsWith(other)).toBe(true);
    expect(openSession(other, open.name, { readOnly: true }).state.readings).toHaveLength(2);
    expect(fs.readdirSync(other)).toEqual(['x.jsonl']);
  });

  it('a file removed, replaced or added to by another program is not touched', () => {
    for (const meddle of [
      (path: string) => fs.rmSync(path),
      (path: string) => {
        fs.copyFileSync(path, `${path}.copy`);
        fs.renameSync(`${path}.copy`, path);
      },
      (path: string) => fs.appendFileSync(path, 'x\n'),
    ]) {
      const open = createSession(newFolder(), { name: 'x', rules: RULES });
      open.append(reading('a', 1));
      meddle(open.path);
      const before = fs.existsSync(open.path) ? fs.readFileSync(open.path, 'utf8') : '';
      expect(['missing', 'locked']).toContain(failure(() => open.append(reading('b', 2))).kind);
      expect(fs.existsSync(open.path) ? fs.readFileSync(open.path, 'utf8') : '').toBe(before);
      const other = newFolder();
      open.saveElsewhere(other);
      open.close();
      expect(openSession(other, 'x', { readOnly: true }).state.readings).toHaveLength(2);
    }
  });
});
