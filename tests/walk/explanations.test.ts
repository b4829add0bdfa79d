// Explanations as a stranger reads them: every reason is a reading that was taken, in trade words, within two lines of 80 columns.
import { resolve } from 'node:path';
import { describe, expect, it } from 'vitest';
import { reasonWords } from '../../src/diagnosis/index.ts';
import { loadRules } from '../../src/rulebook/index.ts';
import type { Rulebook } from '../../src/rulebook/types.ts';
import { createEngine } from '../../src/walk/engine.ts';
import { evaluateWalk } from '../../src/walk/evaluate.ts';
import { healthyAnswer } from './bench-answers.ts';
import { BENCH, LEAK_AND_HEATER_CATHODE, MERIDIAN } from './scenarios.ts';

const book: Rulebook = loadRules(resolve(import.meta.dirname, '../../rules')).book ?? missing();
function missing(): never {
  throw new Error('the rule pack does not load');
}
const engine = createEngine(book);
const nameOf = (id: string): string => book.checks.find((c) => c.id === id)?.title ?? id;
/** Words of the machinery, or ids of the rules, that mean nothing at a bench. */
const MACHINERY =
  /probab|posterior|prior|likelihood|log-odds|signal:|part:|\b\w+-\w+-\w+-\w+\b|undefined|NaN/i;

describe('a walk to its end', () => {
  const whys: string[] = [];
  const changes: string[] = [];
  const result = evaluateWalk(engine, { set: MERIDIAN, instruments: BENCH }, (check, view) => {
    if (view.step.kind === 'check') whys.push(view.step.why);
    if (view.verdict?.wouldChangeMost) changes.push(view.verdict.wouldChangeMost);
    return LEAK_AND_HEATER_CATHODE[check.id] ?? healthyAnswer(check, view);
  });
  const taken = new Set(result.view.state.readings.map((r) => r.check));

  it('explains every suspect by readings that were taken, in two lines', () => {
    expect(result.view.suspects.length).toBeGreaterThan(1);
    for (const suspect of result.view.suspects) {
      const because = engine.explain(result.view, suspect.id);
      expect(because.length, suspect.id).toBeGreaterThan(0);
      for (const { check } of because) expect([...taken, 'complaint'], suspect.id).toContain(check);
      const words = reasonWords(because, nameOf);
      expect(words, suspect.id).toMatch(/^(For|Against) it: /);
      expect(words.length, words).toBeLessThanOrEqual(160);
      expect(words).not.toMatch(MACHINERY);
    }
  });

  it('names for the leaking capacitor the reading that the trade finds it by', () => {
    const id = 'horizontal-output.grid-coupling-capacitor/leaky';
    const words = reasonWords(engine.explain(result.view, id), nameOf);
    // Grid end lifted and still positive, or positive with the oscillator stopped (common practice, no source).
    expect(words).toMatch(/For it: .*(coupling capacitor.*lifted|oscillator stopped)/i);
  });

  it('says why each check comes now, and what would change the verdict most, in one line each', () => {
    expect(whys.length).toBeGreaterThan(40);
    for (const why of whys) {
      expect(why.length, why).toBeLessThanOrEqual(240);
      expect(why).not.toMatch(MACHINERY);
    }
    for (const change of changes) {
      expect(change.length, change).toBeLessThanOrEqual(110);
      expect(change).not.toMatch(MACHINERY);
    }
  });
});

it('drops the weakest reasons first where there are too many, and counts them', () => {
  const because = book.checks.slice(0, 12).map((c, n) => ({ check: c.id, weight: 3 - 0.2 * n }));
  const words = reasonWords(because, nameOf);
  expect(words.length).toBeLessThanOrEqual(160);
  expect(words).toMatch(/and \d+ more\.$/);
  expect(reasonWords([], nameOf)).toBe('');
});
