// The main screens as files that people read and approve: at three sizes, and once in ASCII.
// `FIRST_RASTER_GOLDEN=write npm run test:only -- tests/ui/golden.test.ts` writes them anew; look at every one before it is kept.
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeAll, expect, it } from 'vitest';
import type { Step } from '../../src/walk/types.ts';
import { beginDemo, driveToCheck } from './drive.ts';
import { goldenBook } from './golden-pack.ts';
import { type Bench, KEY, openBench } from './harness.ts';

const FOLDER = join(import.meta.dirname, 'golden');
const WRITE = process.env.FIRST_RASTER_GOLDEN === 'write';
const BOOK = goldenBook();
const SIZES = [
  { columns: 80, rows: 24, ascii: false },
  { columns: 80, rows: 24, ascii: true },
  { columns: 100, rows: 30, ascii: false },
  { columns: 160, rows: 50, ascii: false },
] as const;

function stand(bench: Bench, check: string, arrived?: (step: Step) => boolean): void {
  beginDemo(bench, 'one');
  driveToCheck(bench, check, arrived);
}

/** Intake up to the question for the supply; its answers are drawn before they take a key. */
async function toSupply(bench: Bench): Promise<void> {
  bench.type(`${KEY.enter}Tarnhollow 17T5${KEY.enter}`);
  await bench.screen();
}

/** A cold reading taken, the next one at hand. */
function afterAReading(bench: Bench): void {
  stand(bench, 'coupling-leak');
  bench.type(`12M${KEY.enter}`);
}

const SCREENS: Readonly<Record<string, (bench: Bench) => void | Promise<void>>> = {
  home(bench) {
    for (const [name, family] of [
      ['Tarnhollow 17T5', 'one'],
      ['Tarnhollow 21 console', 'one'],
    ] as const) {
      beginDemo(bench, family, name);
      bench.type(`1${KEY.enter}`);
      bench.wait(3600);
      bench.app.goHome();
    }
  },
  intake: toSupply,
  async 'intake-complaint'(bench) {
    await toSupply(bench);
    bench.type('1');
    bench.wait(1);
    for (let n = 0; n < 4; n++) bench.type(KEY.tab);
    await bench.screen();
    bench.type(KEY.enter);
  },
  async bench(bench) {
    await toSupply(bench);
    bench.type(`1${KEY.ctrl('g')} `);
  },
  gate(bench) {
    stand(bench, 'coupling-leak', (s) => s.kind === 'gate');
  },
  'gate-number'(bench) {
    stand(bench, 'coupling-leak', (s) => s.kind === 'gate' && s.gate.kind === 'number');
  },
  check(bench) {
    stand(bench, 'coupling-leak');
    bench.type('12');
  },
  'check-choice'(bench) {
    stand(bench, 'filter-look');
    bench.type(KEY.down + KEY.down);
  },
  'check-large'(bench) {
    stand(bench, 'coupling-leak');
    bench.type(`${KEY.ctrl('t')}680`);
  },
  'check-live'(bench) {
    stand(bench, 'b-plus');
    bench.type('180');
  },
  'after-a-reading': afterAReading,
  'did-you-mean'(bench) {
    stand(bench, 'coupling-leak');
    bench.type(`900000000${KEY.enter}`);
  },
  skip(bench) {
    stand(bench, 'coupling-leak');
    bench.type(KEY.ctrl('k'));
  },
  list(bench) {
    afterAReading(bench);
    bench.type(KEY.tab);
  },
  browser(bench) {
    afterAReading(bench);
    bench.type(KEY.ctrl('f'));
  },
  tree(bench) {
    afterAReading(bench);
    bench.type(KEY.ctrl('w'));
  },
  log(bench) {
    afterAReading(bench);
    bench.type(KEY.ctrl('r'));
  },
  verdict(bench) {
    afterAReading(bench);
    bench.type(KEY.ctrl('e'));
  },
  help(bench) {
    stand(bench, 'coupling-leak');
    bench.type('?');
  },
  'power-up'(bench) {
    stand(bench, 'b-plus', (s) => s.kind === 'power-up');
  },
  'power-off'(bench) {
    stand(bench, 'b-plus');
    bench.type(KEY.ctrl('x'));
  },
  discharge(bench) {
    stand(bench, 'coupling-leak', (s) => s.kind === 'gate' && s.gate.id === 'electrolytics');
    bench.type(KEY.ctrl('s'));
    bench.wait(1);
    bench.app.tick();
  },
  'bring-up'(bench) {
    stand(bench, 'b-plus', (s) => s.kind === 'power-up');
    bench.type(`30${KEY.enter}`);
    for (const amps of ['0.31', '0.28', '0.22']) {
      bench.type(`${KEY.ctrl('y') + KEY.ctrl('u')}58 ${amps}${KEY.enter}`);
      bench.wait(20);
    }
  },
  held(bench) {
    stand(bench, 'b-plus');
    bench.type(`180${KEY.ctrl('x')}`);
  },
  repair(bench) {
    afterAReading(bench);
    bench.type(KEY.ctrl('w') + KEY.down + KEY.down + KEY.ctrl('g'));
  },
  'log-repair'(bench) {
    stand(bench, 'coupling-leak');
    bench.type(`0.2M${KEY.enter}`);
    bench.type(`${KEY.ctrl('w') + KEY.down + KEY.down + KEY.ctrl('g')}1${KEY.enter}${KEY.escape}`);
    driveToCheck(bench, 'coupling-leak');
    bench.type(`12M${KEY.enter}${KEY.ctrl('r') + KEY.up}`);
  },
  elsewhere(bench) {
    afterAReading(bench);
    bench.type(KEY.ctrl('a'));
  },
  settings(bench) {
    bench.type(`\u001b[F${KEY.enter}`);
  },
};

let bench: Bench;
beforeAll(() => {
  process.env.TZ = 'UTC';
  mkdirSync(FOLDER, { recursive: true });
});
afterEach(() => bench.close());

async function pictures(name: string): Promise<string> {
  const parts: string[] = [];
  for (const { columns, rows, ascii } of SIZES) {
    bench?.close();
    bench = openBench(BOOK, columns, rows, ascii);
    await SCREENS[name]?.(bench);
    const screen = await bench.screen();
    parts.push(`=== ${columns}x${rows}${ascii ? ' ASCII' : ''} ===`, ...screen);
  }
  return `${parts.join('\n')}\n`;
}

it.each(Object.keys(SCREENS))('%s is as it was approved', async (name) => {
  const file = join(FOLDER, `${name}.txt`);
  const shown = await pictures(name);
  if (WRITE) writeFileSync(file, shown);
  expect(shown).toBe(readFileSync(file, 'utf8'));
});
