// Random keys: whatever is pressed, nothing crashes, no line leaves its column, and no live check is ever shown on a set that is not live.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { currentStep } from '../../src/ui/app/walk.ts';
import { beginDemo } from './drive.ts';
import { type Bench, KEY, openBench } from './harness.ts';
import { BOOK } from './rules.ts';

let bench: Bench;
let folder: string;
const before = process.cwd();
// Random keys may save a set elsewhere, in any folder that they happen to spell.
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'first-raster-keys-'));
  process.chdir(folder);
});
afterEach(() => {
  bench.close();
  process.chdir(before);
  rmSync(folder, { recursive: true, force: true });
});

const PIECES = [
  ...'0123456789.-kMu>~',
  '1',
  '2',
  ' ',
  '!',
  '?',
  '-',
  'ol',
  'short',
  'skip',
  'yes',
  '29',
  '0',
  'x'.repeat(90),
  '受',
  KEY.enter,
  KEY.enter,
  KEY.enter,
  KEY.enter,
  KEY.escape,
  KEY.up,
  KEY.down,
  KEY.left,
  KEY.right,
  KEY.tab,
  KEY.pageDown,
  ...[...'abcdefgklnoprstuwxyz'].map(KEY.ctrl),
  '\u001b[200~4k7\n\u001b[31m\u001b[201~',
  '\u001b[1;5C',
  '\u0000',
];

/** Linear congruential numbers of Numerical Recipes (2nd ed., 1992, section 7.1): the same keys on every run. */
function* numbers(seed: number): Generator<number> {
  let x = seed;
  for (;;) {
    x = (Math.imul(x, 1664525) + 1013904223) >>> 0;
    yield x;
  }
}

/** Presses a run; `FIRST_RASTER_KEYS=200000` asks for a long one. */
const PRESSES = Number(process.env.FIRST_RASTER_KEYS) || 1500;
const PATIENCE_MS = 240_000 + PRESSES * 60;
const SEEDS = PRESSES > 10_000 ? [1] : [1, 2];

it.each(SEEDS)(`${PRESSES} presses, seed %i`, { timeout: PATIENCE_MS }, async (seed) => {
  bench = openBench(BOOK, 100, 30);
  beginDemo(bench);
  const random = numbers(seed);
  const next = (): number => random.next().value ?? 0;
  for (let n = 0; n < PRESSES; n++) {
    bench.type(PIECES[(next() >>> 8) % PIECES.length] ?? '');
    bench.wait((next() >>> 8) % 40);
    if (n % 50 === 0) bench.app.tick();
    const { app } = bench;
    if (app.screen.kind === 'home' && !app.state.live) beginDemo(bench);
    const { live } = app.state;
    const step = app.screen.kind === 'walk' ? currentStep(app, app.screen) : undefined;
    if (!live || step?.kind !== 'check') continue;
    const { state } = step.check;
    if (state === 'S1' || state === 'S2')
      expect(live.view.safety.supply).toBe(state === 'S1' ? 'isolated-limited' : 'isolated-full');
    if (state === 'S0') expect(live.view.safety.supply).toBe('discharged');
  }
  const screen = await bench.screen();
  expect(screen.some((row) => row.trim() !== '')).toBe(true);
  expect(bench.app.state.live?.session.pending).toEqual([]);
});
