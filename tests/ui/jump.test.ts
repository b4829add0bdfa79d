// A check that was jumped to stays the goal through the proofs on the way to it, until it is read or left.
import { afterEach, expect, it } from 'vitest';
import { FRESH_WALK, type WalkScreen } from '../../src/ui/app/model.ts';
import { currentStep } from '../../src/ui/app/walk.ts';
import { gateMinutes } from '../../src/walk/evaluate.ts';
import { beginDemo } from './drive.ts';
import { type Bench, KEY, openBench } from './harness.ts';
import { BOOK } from './rules.ts';

let bench: Bench;
afterEach(() => bench?.close());

const GOAL = 'horizontal-output-grid-leak-ohms';
const screenOf = (): WalkScreen => {
  const { screen } = bench.app;
  if (screen.kind !== 'walk') throw new Error(`on ${screen.kind}`);
  return screen;
};

it('is led to through every gate, and forgotten once it is read', () => {
  bench = openBench(BOOK);
  beginDemo(bench);
  bench.app.show({ ...FRESH_WALK, pinned: GOAL });
  for (let n = 0; n < 40; n += 1) {
    const step = currentStep(bench.app, screenOf());
    const view = bench.app.state.live?.view;
    if (!step || !view) throw new Error('no step');
    if (step.kind === 'check') {
      expect(step.check.id).toBe(GOAL);
      bench.type(`480k 470k${KEY.enter}`);
      expect(screenOf().pinned).toBe('');
      return;
    }
    if (step.kind !== 'gate') throw new Error(step.kind);
    bench.wait(Math.max(10, 60 * gateMinutes(step, view)));
    bench.type(
      `${step.gate.kind === 'choice' ? '1' : step.gate.id.startsWith('anode') ? '0V' : '0'}${KEY.enter}`,
    );
    expect(screenOf().pinned, step.gate.id).toBe(GOAL);
  }
  throw new Error('never reached');
});

it('is left by Esc', () => {
  bench = openBench(BOOK);
  beginDemo(bench);
  bench.app.show({ ...FRESH_WALK, pinned: GOAL });
  bench.type(KEY.escape);
  bench.wait(1);
  expect(screenOf().pinned).toBe('');
});
