// A rehearsal from home to the debrief with one key: simulated readings, nothing kept, an account of what was wrong.
import { readdirSync } from 'node:fs';
import { afterEach, expect, it } from 'vitest';
import { practise } from '../../src/ui/app/opening.ts';
import { stepOf } from './drive.ts';
import { type Bench, KEY, openBench } from './harness.ts';
import { BOOK } from './rules.ts';

let bench: Bench;
afterEach(() => bench.close());

const text = async (): Promise<string> => (await bench.screen()).join('\n');
const MOST_ENTERS = 400;

it('walks a simulated set with Enter alone, says what is simulated, and looks back', {
  timeout: 120_000,
}, async () => {
  bench = openBench(BOOK, 100, 30);
  await practise(bench.app, { seed: 7, family: 'series-doubler-halfwave', level: 'single' });
  const practice = bench.app.state.live?.practice;
  expect((await bench.screen())[0]).toMatch(/^ PRACTICE {2}Tarnhollow practice set 7 .*not kept$/);
  let sawReading = false;
  let sawGate = false;
  for (let n = 0; n < MOST_ENTERS && stepOf(bench).kind !== 'stop'; n++) {
    const { kind } = stepOf(bench);
    if (kind === 'check' && !sawReading) {
      const screen = await text();
      sawReading = /Enter, simulated: /.test(screen);
    }
    if (kind === 'gate' && !sawGate) sawGate = (await text()).includes('Enter, simulated');
    const before = bench.app.state.live?.view.state.lastSeq;
    bench.type(KEY.enter);
    expect(bench.app.state.live?.view.state.lastSeq, await text()).toBeGreaterThan(before ?? 0);
  }
  expect(sawReading).toBe(true);
  expect(sawGate).toBe(true);
  expect(practice?.ending).toBeUndefined();
  expect(await text()).toContain('Enter: what was wrong');
  bench.type(KEY.enter);
  const screen = await text();
  expect(screen).toContain('What was wrong:');
  expect(screen).toMatch(/\d+ readings, \d+ minutes at the bench/);
  // A key that was typed while the debrief was worked out does not put it away unread.
  bench.type(KEY.enter);
  expect(bench.app.screen.kind).toBe('debrief');
  bench.wait(1);
  bench.type(KEY.enter);
  expect(bench.app.screen.kind).toBe('home');
  expect(readdirSync(bench.folder).filter((f) => f.endsWith('.jsonl'))).toEqual([]);
});

it('tells the hidden fault when it is left early, and only then', { timeout: 60_000 }, async () => {
  bench = openBench(BOOK, 100, 30);
  await practise(bench.app, { seed: 3, level: 'single' });
  expect(await text()).not.toContain('What was wrong');
  bench.type(KEY.escape);
  expect(await text()).toContain('What was wrong:');
});

it('half-way through asks before it ends on one stray key', { timeout: 60_000 }, async () => {
  bench = openBench(BOOK, 100, 30);
  await practise(bench.app, { seed: 3, level: 'single' });
  for (let n = 0; n < 12; n++) bench.type(KEY.enter);
  expect(bench.app.state.live?.view.judged.length).toBeGreaterThan(0);
  bench.type(KEY.escape);
  expect(await text()).toContain('Esc again ends it.');
  // Anything else goes on with the walk.
  bench.type(KEY.enter);
  expect(bench.app.screen.kind).toBe('walk');
  bench.type(KEY.escape);
  bench.type(KEY.escape);
  expect(await text()).toContain('What was wrong:');
});

it('refuses a family that has no circuits, with those that have', async () => {
  bench = openBench(BOOK);
  await expect(practise(bench.app, { family: 'no-such-family', level: 'single' })).rejects.toThrow(
    /practice has: .*series-doubler-halfwave/,
  );
});

it('ends when a live point is reached for at once, and says why', { timeout: 60_000 }, async () => {
  bench = openBench(BOOK, 100, 30);
  await practise(bench.app, { seed: 3, family: 'transformer', level: 'single' });
  bench.type('\u0006');
  bench.type('anode voltage, dark!');
  bench.type(KEY.enter);
  const screen = await text();
  expect(screen).toContain('THE RUN IS OVER');
  expect(screen).toContain('without proof that it was dead');
  expect(screen).toContain('What was wrong:');
});
