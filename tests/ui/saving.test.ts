// A disk that refuses, a file that can only be read, an archive, a thousand sets: as the technician meets them on the screen.
import * as fs from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { createSession, listArchived, openSession } from '../../src/session/index.ts';
import { beginDemo, driveTo } from './drive.ts';
import { type Bench, KEY, openBench } from './harness.ts';
import { BOOK } from './rules.ts';

const RULES = { name: BOOK.name, version: BOOK.version, hash: BOOK.hash };
let bench: Bench;
afterEach(() => bench.close());

const text = async (): Promise<string> => (await bench.screen()).join('\n');
/** Words of the screen without its line breaks. */
const words = async (): Promise<string> => (await text()).replace(/\s+/g, ' ');

function saved(name: string, at = '2026-01-05T18:00:00Z', set = name): void {
  const now = new Date(at);
  const session = createSession(bench.folder, {
    name,
    rules: RULES,
    now,
    set: { name: set, family: 'transformer' },
  });
  session.append({ type: 'note', text: 'on the bench' }, now);
  session.close();
}

/** Home, read anew: what was put into the folder meanwhile shows. */
function home(): void {
  bench.app.goHome();
}

/** Resumes the session that is marked first. */
function resumeFirst(): void {
  home();
  bench.type(KEY.enter);
}

describe('a disk that refuses', () => {
  it('the entry waits; the whole session goes on in another folder, with everything in it', async () => {
    bench = openBench(BOOK);
    saved('Tarnhollow one');
    resumeFirst();
    bench.fullDisk(true);
    bench.type(`${KEY.ctrl('x')}`);
    expect(await words()).toMatch(/1 NOT SAVED/);
    bench.type(KEY.ctrl('a'));
    expect(await text()).toMatch(
      /Save this session elsewhere[\s\S]*Not on disk yet, kept here:\n +powered off/,
    );
    bench.type(KEY.enter);
    expect(await words()).toContain('Type a folder');
    const blocked = join(bench.folder, 'a-file');
    fs.writeFileSync(blocked, '');
    bench.type(`${blocked}${KEY.enter}`);
    expect(await words()).toContain('is a file, not a folder');
    const stick = join(bench.folder, 'stick', 'sets');
    bench.type(`${KEY.ctrl('u')}${stick}${KEY.enter}`);
    expect(await words()).toContain('Entries go there from now on');
    bench.fullDisk(false);
    bench.type(KEY.ctrl('x'));
    expect(await words()).toMatch(/saved 4/);
    bench.app.close();
    const there = openSession(stick, 'Tarnhollow-one', { readOnly: true });
    expect(there.state.history.map(({ type }) => type)).toEqual([
      'note',
      'resumed',
      'powered-off',
      'powered-off',
    ]);
    const here = openSession(bench.folder, 'Tarnhollow-one', { readOnly: true });
    expect(here.state.lastSeq).toBe(2);
  });

  it('leaving asks once more while an entry is not on disk', async () => {
    bench = openBench(BOOK);
    saved('one');
    resumeFirst();
    bench.fullDisk(true);
    bench.type(KEY.ctrl('x'));
    bench.type(KEY.ctrl('c'));
    expect(bench.left()).toBe(false);
    expect(await words()).toMatch(
      /1 entry is not on disk and would be lost: Enter tries again, \^A saves elsewhere/,
    );
    bench.fullDisk(false);
    bench.type(KEY.enter);
    expect(await words()).toContain('Saved.');
    bench.type(KEY.ctrl('c'));
    expect(bench.left()).toBe(true);
  });

  it('what still waits when the program ends is tried once more', () => {
    bench = openBench(BOOK);
    saved('one');
    resumeFirst();
    bench.fullDisk(true);
    bench.type(KEY.ctrl('x'));
    bench.fullDisk(false);
    bench.app.close();
    expect(openSession(bench.folder, 'one', { readOnly: true }).state.lastSeq).toBe(3);
  });

  it('full at the resume itself: the session opens all the same, and its lock is not left behind', async () => {
    bench = openBench(BOOK);
    saved('one');
    home();
    bench.fullDisk(true);
    bench.type(KEY.enter);
    expect(await words()).toMatch(/1 NOT SAVED.*NOT SAVED YET: .*the disk is full/);
    bench.fullDisk(false);
    bench.type(KEY.enter);
    expect(await words()).toMatch(/saved 2/);
    home();
    expect(fs.readdirSync(bench.folder).filter((name) => name.endsWith('.lock'))).toEqual([]);
  });
});

describe('a file that can only be read', () => {
  it('damaged in the middle: named with its line, and the good part goes on as a session of its own', async () => {
    bench = openBench(BOOK);
    saved('one');
    const path = join(bench.folder, 'one.jsonl');
    const damaged = `${fs.readFileSync(path, 'utf8')}rubbish\n{}\n`;
    fs.writeFileSync(path, damaged);
    home();
    expect(await text()).toContain('one.jsonl:3: damaged');
    bench.type(KEY.enter);
    expect(await words()).toMatch(/READ ONLY.*one\.jsonl:3: damaged.*\^A saves it elsewhere/);
    bench.type(KEY.ctrl('x'));
    expect(await words()).toContain('READ ONLY');
    bench.type(KEY.ctrl('a'));
    expect(await words()).toContain(`Folder: ${bench.folder}`);
    bench.type(KEY.enter);
    expect(await words()).toMatch(/saved 2.*Entries go there from now on/);
    bench.type(KEY.ctrl('x'));
    bench.app.close();
    expect(openSession(bench.folder, 'one-2', { readOnly: true }).state.lastSeq).toBe(3);
    expect(fs.readFileSync(path, 'utf8')).toBe(damaged);
  });
});

describe('the home list', () => {
  it('puts a set away and brings it back, by keys', async () => {
    bench = openBench(BOOK);
    saved('first', '2026-01-05T18:00:00Z');
    saved('second', '2026-01-06T18:00:00Z');
    home();
    bench.type(KEY.ctrl('a'));
    expect(await words()).toContain('Put away: second.');
    expect(await text()).not.toMatch(/second .*0 readings/);
    expect(listArchived(bench.folder).map(({ name }) => name)).toEqual(['second']);
    bench.type(KEY.tab);
    expect(await text()).toMatch(/Archive: 1 put away[\s\S]*▸ second/);
    bench.type(KEY.enter);
    expect(bench.app.state.live).toBeUndefined();
    bench.type(KEY.ctrl('a'));
    expect(await words()).toMatch(/nothing is put away.*Back on the bench: second/);
    bench.type(KEY.escape);
    expect(await text()).toMatch(/▸ second[\s\S]*first/);
  });

  it('a set that is open elsewhere is not put away', async () => {
    bench = openBench(BOOK);
    saved('one');
    const other = openSession(bench.folder, 'one');
    home();
    bench.type(KEY.ctrl('a'));
    expect(await words()).toContain('is open in another First Raster');
    other.close();
    expect(fs.existsSync(join(bench.folder, 'one.jsonl'))).toBe(true);
  });

  it('of a thousand: the latest on top, and words find one', async () => {
    bench = openBench(BOOK);
    for (let n = 0; n < 1000; n++) {
      const at = new Date(Date.parse('2020-01-01T00:00:00Z') + ((n * 37) % 1000) * 86_400_000).toISOString();
      const header = {
        format: 'first-raster-session',
        version: 1,
        created: at,
        name: `set ${n}`,
        rules: RULES,
      };
      const set = { name: `Tarnhollow ${n % 2 ? 'Meridian' : 'Orchard'} no ${n}`, family: 'transformer' };
      fs.writeFileSync(join(bench.folder, `set-${n}.jsonl`), `${JSON.stringify({ ...header, set })}\n`);
    }
    home();
    expect(await text()).toContain('Type to search the 1000 saved sets.');
    const order = bench.app.screen.kind === 'home' ? bench.app.screen.sessions.map((s) => s.lastAt) : [];
    expect(order).toHaveLength(1000);
    expect(order).toEqual([...order].sort().reverse());
    bench.type('meridian 777');
    const rows = (await bench.screen()).filter((row) => row.includes('Tarnhollow'));
    expect(rows).toHaveLength(1);
    expect(rows[0]).toContain('Tarnhollow Meridian no 777');
    bench.type(KEY.enter);
    expect((await bench.screen())[0]).toContain('set-777');
  });
});

it('a set that was live when its file was damaged starts with nothing proven, there and where it is saved', async () => {
  bench = openBench(BOOK);
  beginDemo(bench);
  driveTo(bench, (step) => step.kind === 'check' && step.check.state === 'S2');
  const { path } = bench.app.state.live?.session ?? { path: '' };
  expect(bench.app.state.live?.view.safety.supply).toBe('isolated-full');
  home();
  fs.writeFileSync(path, `${fs.readFileSync(path, 'utf8')}rubbish\n{}\n`);
  resumeFirst();
  expect(bench.app.state.live?.session.readOnly?.kind).toBe('damaged');
  expect(bench.app.state.live?.view.safety.supply).toBe('unknown');
  bench.type(KEY.ctrl('x'));
  expect(await words()).toContain('Pull the plug now.');
  bench.type(KEY.ctrl('a'));
  bench.type(`${KEY.ctrl('u')}${join(bench.folder, 'stick')}${KEY.enter}`);
  expect(bench.app.state.live?.session.readOnly).toBeUndefined();
  expect(bench.app.state.live?.view.state.history.at(-1)?.type).toBe('resumed');
  expect(bench.app.state.live?.view.safety.supply).toBe('unknown');
});
