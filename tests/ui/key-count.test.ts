// How many keys a whole walk takes: at most the characters of what is answered, and two more a check on average. The safety
// proofs and the changes of supply state in between have no allowance of their own.
import { afterEach, expect, it } from 'vitest';
import { passingAnswer } from '../../src/safety/index.ts';
import { answersAtOnce } from '../../src/ui/app/walk.ts';
import { gateMinutes } from '../../src/walk/evaluate.ts';
import type { Step, WalkView } from '../../src/walk/types.ts';
import { healthyAnswer } from '../walk/bench-answers.ts';
import { LEAK_AND_HEATER_CATHODE } from '../walk/scenarios.ts';
import { beginDemo, stepOf } from './drive.ts';
import { type Bench, KEY, openBench } from './harness.ts';
import { BOOK } from './rules.ts';

let bench: Bench;
afterEach(() => bench.close());

const MOST_STEPS = 500;

/** What is typed at a safety gate to pass it. */
function gateText(step: Step & { kind: 'gate' }): string {
  const value = passingAnswer(step.gate);
  if (value.kind === 'choice') return String(step.gate.options.findIndex((o) => o.id === value.option) + 1);
  // By the probe: volts would be asked about, where one is on the bench.
  if (value.kind === 'number' && step.gate.unitNeeded) return `${value.value / 1000}kV`;
  return value.kind === 'number' ? `${Number(value.value.toPrecision(3))}${value.unit}` : 'ol';
}

/** The volts that the line is brought to: the foot of the table, or the whole line where that is what is wanted. */
function lineText(step: Step & { kind: 'power-up' }, view: WalkView): string {
  const whole = step.to === 'isolated-full' || view.state.config.horizontal === 'enabled';
  return String(Math.round(step.rows.at(whole ? -1 : 0)?.lineVolts ?? view.state.set?.lineVolts ?? 117));
}

/** The keys that answer a check: options by their number, as a technician would. */
function answerText(step: Step & { kind: 'check' }, view: WalkView): string {
  const text = LEAK_AND_HEATER_CATHODE[step.check.id] ?? healthyAnswer(step.check, view) ?? '-';
  const option = step.check.options.findIndex((o) => o.id === text);
  return option >= 0 ? String(option + 1) : text;
}

it('is at most the characters of the readings plus two a check', { timeout: 120_000 }, () => {
  bench = openBench(BOOK, 100, 30);
  beginDemo(bench);
  const atChecks = { keys: 0, characters: 0, count: 0 };
  const elsewhere = { keys: 0, characters: 0, count: 0 };
  const enter = (text: string, at: typeof atChecks, confirm = true): void => {
    bench.type(confirm ? text + KEY.enter : text);
    at.characters += text.length;
    at.keys += text.length + (confirm ? 1 : 0);
  };
  for (let n = 0; n < MOST_STEPS && stepOf(bench).kind !== 'stop'; n++) {
    const step = stepOf(bench);
    const view = bench.app.state.live?.view;
    if (!view) break;
    // The line is raised while the set stands on the lamp: ^Y and the volts.
    if (step.kind === 'gate' && step.rows && (view.safety.bringUp?.volts ?? 0) > 0) {
      bench.type(KEY.ctrl('y'));
      enter('60', elsewhere);
      elsewhere.keys += 1;
    }
    const now = bench.app.state.live?.view ?? view;
    bench.wait(step.kind === 'gate' ? Math.max(5, 60 * gateMinutes(step, now)) : 5);
    const before = bench.app.state.live?.view.state.lastSeq ?? 0;
    if (step.kind === 'check') {
      const text = answerText(step, view);
      atChecks.count += 1;
      if (text === '-') {
        bench.type(`${KEY.ctrl('k')}2`);
        atChecks.keys += 2;
      } else {
        enter(text, atChecks, !answersAtOnce(step));
        // A value far out is asked about once more.
        if (bench.app.screen.kind === 'walk' && bench.app.screen.mode.kind === 'ask') enter('', atChecks);
      }
    } else {
      const text =
        step.kind === 'gate' ? gateText(step) : step.kind === 'power-up' ? lineText(step, view) : '';
      enter(text, elsewhere);
    }
    const { live, notice } = bench.app.state;
    expect(live?.view.state.lastSeq, `${step.kind}: ${notice?.text ?? ''}`).toBeGreaterThan(before);
  }
  expect(stepOf(bench).kind).toBe('stop');
  expect(atChecks.count).toBeGreaterThan(20);
  expect(atChecks.keys).toBeLessThanOrEqual(atChecks.characters + 2 * atChecks.count);
  const keys = atChecks.keys + elsewhere.keys;
  const characters = atChecks.characters + elsewhere.characters;
  expect(keys).toBeLessThanOrEqual(characters + 2 * atChecks.count);
});
