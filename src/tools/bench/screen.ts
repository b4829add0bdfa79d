// What a key costs on the screens: time until its frame is finished, and bytes written against a whole redraw, at 120 x 40.
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { createSession, type SessionEvent } from '../../session/index.ts';
import { App } from '../../ui/app/app.ts';
import { begin } from '../../ui/app/opening.ts';
import { splitKeys } from '../../ui/key-stream.ts';
import { mount } from '../../ui/mount.tsx';
import { createScreenWriter } from '../../ui/screen-writer.ts';
import type { Engine } from '../../walk/engine.ts';
import { quantile } from './scores.ts';
import type { TimingRow } from './timing.ts';

const COLUMNS = 120;
const ROWS = 40;
const ROUNDS = 40;
const WARM_ROUNDS = 10;

const ctrl = (letter: string): string => String.fromCharCode(letter.charCodeAt(0) - 96);
const [ESC, UP, DOWN] = ['\u001b', '\u001b[A', '\u001b[B'] as const;

/** Screens with the keys that open each, and the keys that are timed there, over and over. */
const SCREENS: readonly {
  readonly title: string;
  readonly open: string;
  readonly keys: readonly string[];
}[] = [
  {
    title: 'card, a value typed and judged',
    open: '',
    keys: ['6', '8', '0', 'k', '\u007f', '\u007f', '\u007f', '\u007f'],
  },
  { title: 'all checks', open: ctrl('f'), keys: [DOWN, DOWN, DOWN, UP] },
  { title: 'all checks, searched', open: ctrl('f'), keys: ['b', '+', '\u007f', '\u007f'] },
  { title: 'fault tree', open: ctrl('w'), keys: [DOWN, DOWN, DOWN, UP] },
  { title: 'readings', open: ctrl('r'), keys: [UP, UP, UP, DOWN] },
  { title: 'verdict', open: ctrl('e'), keys: [DOWN, DOWN, DOWN, UP] },
];

export interface ScreenCost {
  readonly title: string;
  /** Milliseconds from key to finished frame. */
  readonly times: readonly number[];
  /** Bytes of each key over those of a whole redraw of the same frame. */
  readonly shares: readonly number[];
}

/** Presses keys on every heavy screen of a session that has these events. Files go into `folder`. */
export async function screenCosts(
  engine: Engine,
  events: readonly SessionEvent[],
  folder: string,
): Promise<readonly ScreenCost[]> {
  const sessions = join(folder, 'screen');
  mkdirSync(sessions);
  const { name, version, hash } = engine.book;
  const nothing = (): void => undefined;
  const writer = createScreenWriter({ columns: COLUMNS, rows: ROWS, write: nothing });
  const app = new App(
    {
      now: () => new Date(),
      sessions: {
        list: () => [],
        create: (title, set) => createSession(sessions, { name: title, rules: { name, version, hash }, set }),
        open: () => {
          throw new Error('nothing is resumed here');
        },
        listArchived: () => [],
        archive: nothing,
        unarchive: nothing,
        remember: nothing,
      },
      writeReport: () => ({ path: '', older: false }),
      readPreferences: () => ({ instruments: [], technician: '', terms: 'us', sessionsFolder: '' }),
      savePreferences: () => '',
      afterFrame: (work) => work(),
      bell: nothing,
      redraw: nothing,
      leave: nothing,
      practice: undefined,
    },
    COLUMNS,
    ROWS,
  );
  writer.open();
  let frames = 0;
  const mounted = mount(app, { ascii: false, colour: true }, (frame) => {
    frames += 1;
    writer.frame(frame);
  });
  app.loaded({ book: engine.book, engine });
  begin(app, 'screen', events, { name: 'Tarnhollow 17T5', family: '' });
  /** Presses bytes; resolves with the time once their frame is written, or once it is plain that none comes. */
  const press = async (bytes: string): Promise<number> => {
    const start = performance.now();
    const before = frames;
    for (const key of splitKeys(bytes, true).keys) mounted.key(key);
    for (let n = 0; frames === before && n < 5; n += 1) await new Promise((resolve) => setImmediate(resolve));
    const time = performance.now() - start;
    await new Promise((resolve) => setImmediate(resolve));
    return time;
  };
  const costs: ScreenCost[] = [];
  const aNumber = app.state.live?.view.standings.find(
    (s) => s.status === 'allowed' && s.check.kind === 'number',
  );
  // The first frames of a process are compiled as they run: a round over all screens goes before.
  for (const { open, keys } of SCREENS) {
    await press(open);
    for (let n = 0; n < WARM_ROUNDS; n += 1) for (const key of keys) await press(key);
    for (let n = 0; n < 2 && app.screen.kind !== 'walk'; n += 1) await press(ESC);
  }
  for (const { title, open, keys } of SCREENS) {
    if (open === '' && aNumber && app.screen.kind === 'walk')
      app.show({ ...app.screen, pinned: aNumber.check.id });
    await press(open);
    const times: number[] = [];
    const shares: number[] = [];
    for (let n = 0; n < ROUNDS; n += 1) {
      for (const key of keys) {
        const before = writer.bytesWritten();
        times.push(await press(key));
        const bytes = writer.bytesWritten() - before;
        writer.repaint();
        shares.push(bytes / (writer.bytesWritten() - before - bytes));
      }
    }
    costs.push({ title, times, shares });
    await press(ESC);
    if (app.screen.kind !== 'walk') await press(ESC);
  }
  mounted.unmount();
  app.close();
  return costs;
}

/** The costs as rows of the table, with the heaviest screen first. */
export function screenRows(costs: readonly ScreenCost[]): readonly TimingRow[] {
  return [...costs]
    .sort((a, b) => quantile(b.times, 0.95) - quantile(a.times, 0.95))
    .map(({ title, times, shares }) => ({
      what: `key to frame: ${title}`,
      p50: quantile(times, 0.5),
      p95: quantile(times, 0.95),
      goal: `<= 16 ms p95; bytes ${quantile(shares, 0.5).toFixed(2)}x of a redraw (p95 ${quantile(shares, 0.95).toFixed(2)}x), goal <= 0.1x`,
    }));
}
