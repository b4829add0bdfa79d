// Linear text for a screen reader: nothing drawn, nothing moved, each change said once.
import { afterEach, beforeEach, expect, it } from 'vitest';
import { LINEAR_COLUMNS, LINEAR_ROWS, sayLinear } from '../../src/ui/linear.ts';
import type { Step } from '../../src/walk/types.ts';
import { beginDemo, standAt, stepOf } from './drive.ts';
import { type Bench, KEY, openBench } from './harness.ts';
import { BOOK } from './rules.ts';

let bench: Bench;
let out = '';
let linear: ReturnType<typeof sayLinear>;
beforeEach(() => {
  bench = openBench(BOOK, LINEAR_COLUMNS, LINEAR_ROWS);
  out = '';
});
afterEach(() => {
  linear.stop();
  bench.close();
});

const listen = (ascii = false): void => {
  linear = sayLinear(
    bench.app,
    (text) => {
      out += text;
    },
    ascii,
  );
};
/** What was said since the last look. */
const heard = async (): Promise<string> => {
  await Promise.resolve();
  const text = out;
  out = '';
  return text;
};
const isNumber = (step: Step): boolean =>
  step.kind === 'check' && step.check.kind === 'number' && step.check.state === 'S0';

it('says the card in order, echoes what is typed, and says what the reading meant, once', async () => {
  standAt(bench, 'number', isNumber);
  listen();
  const step = stepOf(bench);
  const card = await heard();
  expect(card).toContain('DISCHARGE PROVEN');
  expect(card.indexOf('WHERE')).toBeGreaterThan(card.indexOf(step.kind === 'check' ? step.check.title : '?'));
  expect(card).toContain('Keys: Ctrl-X POWER OFF');
  bench.type('68');
  expect(await heard()).toBe('68');
  bench.type('\u007f');
  expect(await heard()).toBe('\b \b');
  bench.type('80k');
  expect(await heard()).toBe('80k');
  bench.type(KEY.enter);
  const after = await heard();
  const lines = after.split('\n').filter((l) => l !== '');
  expect(new Set(lines).size).toBe(lines.length);
  bench.wait(3);
  bench.app.tick();
  bench.app.tick();
  expect(await heard()).toBe('');
});

it('says only the marked line while the mark moves, and everything again when asked', async () => {
  standAt(bench, 'number', isNumber);
  listen();
  bench.type(KEY.ctrl('f'));
  expect(await heard()).toContain('Type words to find a check');
  bench.type(KEY.down);
  expect(await heard()).toMatch(/^here: [^\n]+\n$/);
  linear.repeat();
  expect(await heard()).toContain('Type words to find a check');
});

it('draws nothing and moves no cursor on any screen', async () => {
  standAt(bench, 'number', isNumber);
  listen();
  for (const key of ['f', 'w', 'r', 'e', 'd', 'b', 't', 'y', 's', 'n']) {
    bench.type(KEY.ctrl(key));
    await Promise.resolve();
    bench.type(KEY.escape);
    if (bench.app.screen.kind !== 'walk') bench.type(KEY.escape);
    await Promise.resolve();
  }
  bench.type('?');
  const text = await heard();
  expect(text).not.toMatch(/[\u001b\u2500-\u259f]/);
  expect(text.length).toBeGreaterThan(2000);
});

it('is ASCII where that is asked for', async () => {
  standAt(bench, 'number', isNumber);
  listen(true);
  bench.type(`680k${KEY.enter}${KEY.ctrl('e')}`);
  expect(await heard()).toMatch(/^[\n\b -~]*$/);
});

it('says a new card whole, also what the one before it said', async () => {
  beginDemo(bench);
  listen();
  await heard();
  // Two proofs with the same answers, one after the other.
  bench.type(`1${KEY.enter}`);
  const second = await heard();
  expect(second).toContain('PASSES');
  bench.type(`1${KEY.enter}`);
  const third = await heard();
  const { step } = bench.app.state.live?.view ?? {};
  for (const option of step?.kind === 'gate' ? step.gate.options : []) expect(third).toContain(option.title);
  expect(third).toContain('CAUTION');
});
