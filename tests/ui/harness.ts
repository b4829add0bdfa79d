// A whole app without a terminal: real engine, real journal in a temporary folder, a clock that tests move, the screen as text.
import * as fs from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import xterm from '@xterm/headless';
import { rehearse } from '../../src/cli/practice.ts';
import type { Rulebook } from '../../src/rulebook/types.ts';
import {
  archiveSession,
  createSession,
  listArchived,
  listSessions,
  openSession,
  type RecordedEvent,
  unarchiveSession,
} from '../../src/session/index.ts';
import { App } from '../../src/ui/app/app.ts';
import { begin } from '../../src/ui/app/opening.ts';
import { type Key, splitKeys } from '../../src/ui/key-stream.ts';
import { mount } from '../../src/ui/mount.tsx';
import type { Preferences } from '../../src/ui/ports.ts';
import { createScreenWriter } from '../../src/ui/screen-writer.ts';
import { createEngine, type Engine } from '../../src/walk/engine.ts';

export interface Bench {
  readonly app: App;
  readonly folder: string;
  /** What the terminal shows, one string a row, trailing blanks cut. */
  screen(): Promise<readonly string[]>;
  /** Types bytes as a terminal would send them. */
  type(bytes: string): void;
  key(key: Key): void;
  resize(columns: number, rows: number): void;
  /** Begins a session that already has these entries, each at its own time; the clock goes on from the last. */
  restore(events: readonly RecordedEvent[]): void;
  /** Moves the clock on, seconds. */
  wait(seconds: number): void;
  /** From now on the disk takes nothing, or takes everything again. */
  fullDisk(full: boolean): void;
  /** From now on work that waits for a frame waits until it is let go. */
  holdWork(): { letGo(): void };
  readonly left: () => boolean;
  /** How often the terminal was rung. */
  readonly bells: () => number;
  readonly reports: string[];
  readonly preferences: () => Preferences;
  close(): void;
}

/** Bytes of keys that have names. */
export const KEY = {
  enter: '\r',
  escape: '\u001b',
  up: '\u001b[A',
  down: '\u001b[B',
  right: '\u001b[C',
  left: '\u001b[D',
  tab: '\t',
  pageDown: '\u001b[6~',
  ctrl: (letter: string): string => String.fromCharCode(letter.charCodeAt(0) - 96),
} as const;

/** One engine a rule base: compiling its network takes longer than a test. */
const engines = new Map<Rulebook, Engine>();

function engineFor(book: Rulebook): Engine {
  const engine = engines.get(book) ?? createEngine(book);
  engines.set(book, engine);
  return engine;
}

/** An app on `book`, at its home screen, `columns` x `rows`. */
export function openBench(book: Rulebook, columns = 80, rows = 24, ascii = false): Bench {
  const folder = fs.mkdtempSync(join(tmpdir(), 'first-raster-ui-'));
  let clock = Date.parse('2026-02-03T18:00:00Z');
  let gone = false;
  let rung = 0;
  let preferences: Preferences = { instruments: [], technician: '', terms: 'us', sessionsFolder: '' };
  const reports: string[] = [];
  const rules = { name: book.name, version: book.version, hash: book.hash };
  const engine = engineFor(book);
  let diskFull = false;
  const unkept = '';
  let held: (() => void)[] | undefined;
  const io = {
    ...fs,
    writeSync: ((...args: Parameters<typeof fs.writeSync>) => {
      if (diskFull) throw Object.assign(new Error('ENOSPC: no space left on device'), { code: 'ENOSPC' });
      return fs.writeSync(...args);
    }) as typeof fs.writeSync,
  };
  let replay: readonly RecordedEvent[] = [];
  const terminal = new xterm.Terminal({ cols: columns, rows, allowProposedApi: true });
  const size = { columns, rows };
  const writer = createScreenWriter({
    get columns() {
      return size.columns;
    },
    get rows() {
      return size.rows;
    },
    write: (text) => terminal.write(text),
  });
  const app = new App(
    {
      now: () => new Date(clock),
      sessions: {
        list: () => listSessions(folder),
        create: (name, set) => {
          const session = createSession(folder, { name, rules, set, now: new Date(clock), io });
          for (const { seq: _seq, at, ...event } of replay) session.append(event, new Date(at));
          replay = [];
          return session;
        },
        open: (name) => {
          const session = openSession(folder, name, { now: new Date(clock), io });
          return { session, notices: session.notices };
        },
        listArchived: () => listArchived(folder),
        archive: (name) => void archiveSession(folder, name),
        unarchive: (name) => void unarchiveSession(folder, name),
        remember: () => undefined,
      },
      writeReport: (_view, session) => {
        const path = join(folder, `${session.name}.report.html`);
        const older = reports.includes(path);
        reports.push(path);
        return { path, older };
      },
      readPreferences: () => preferences,
      savePreferences: (change) => {
        preferences = { ...preferences, ...change };
        return unkept;
      },
      afterFrame: (work) => {
        if (held) held.push(work);
        else work();
      },
      bell: () => {
        rung += 1;
        writer.bell();
      },
      redraw: () => writer.repaint(),
      leave: () => {
        gone = true;
      },
      practice: (asked) => rehearse(engine, asked),
    },
    columns,
    rows,
  );
  writer.open();
  const mounted = mount(app, { ascii, colour: true }, (frame) => writer.frame(frame));
  app.loaded({ book, engine });
  return {
    app,
    folder,
    reports,
    async screen() {
      await new Promise((resolve) => setImmediate(resolve));
      await new Promise<void>((resolve) => terminal.write('', resolve));
      const buffer = terminal.buffer.active;
      return Array.from({ length: size.rows }, (_, n) => buffer.getLine(n)?.translateToString(true) ?? '');
    },
    type(bytes) {
      for (const key of splitKeys(bytes, true).keys) mounted.key(key);
    },
    key: (key) => mounted.key(key),
    resize(width, height) {
      size.columns = width;
      size.rows = height;
      terminal.resize(width, height);
      mounted.resize(width, height);
      writer.repaint();
    },
    restore(events) {
      replay = events;
      clock = Date.parse(events.at(-1)?.at ?? '') || clock;
      begin(app, 'demo', [], { name: 'demo', family: '' });
    },
    wait(seconds) {
      clock += seconds * 1000;
    },
    fullDisk(full) {
      diskFull = full;
    },
    holdWork() {
      const waiting: (() => void)[] = [];
      held = waiting;
      return {
        letGo() {
          held = undefined;
          for (const work of waiting) work();
        },
      };
    },
    left: () => gone,
    bells: () => rung,
    preferences: () => preferences,
    close() {
      app.close();
      mounted.unmount();
      terminal.dispose();
      fs.rmSync(folder, { recursive: true, force: true });
    },
  };
}
