// Whole walks without a screen: from a cold set to a verdict, with the interlock in force all the way.
import { resolve } from 'node:path';
import { describe, expect, it } from 'vitest';
import { loadRules } from '../../src/rulebook/index.ts';
import { createEngine } from '../../src/walk/engine.ts';
import { evaluateWalk, type WalkResult } from '../../src/walk/evaluate.ts';
import { healthyAnswer } from './bench-answers.ts';
import { BENCH, LEAK_AND_HEATER_CATHODE, MERIDIAN } from './scenarios.ts';

const { book, problems } = loadRules(resolve(import.meta.dirname, '../../rules'));
if (!book) throw new Error(problems.map((p) => `${p.file}:${p.line} ${p.message}`).join('\n'));
const engine = createEngine(book);

function walk(instruments: readonly string[], overrides: Readonly<Record<string, string>>): WalkResult {
  return evaluateWalk(
    engine,
    { set: MERIDIAN, instruments },
    (check, view) => overrides[check.id] ?? healthyAnswer(check, view),
  );
}

describe('a leaky coupling capacitor and heater-cathode leakage in one set', () => {
  const result = walk(BENCH, LEAK_AND_HEATER_CATHODE);
  const grades = new Map(result.view.verdict?.core.map((g) => [g.id, g.grade]));

  it('ends by itself, in an evening or two', () => {
    expect(result.view.step.kind).toBe('stop');
    expect(result.refused).toEqual([]);
    expect(result.minutes).toBeLessThan(8 * 60);
  });

  it('names both faults first', () => {
    expect(
      result.view.suspects
        .slice(0, 2)
        .map((s) => s.id)
        .sort(),
    ).toEqual(['horizontal-output.grid-coupling-capacitor/leaky', 'picture-tube.heater-cathode/leakage']);
  });

  it('clears flyback and yoke, and does not condemn the picture tube', () => {
    expect(['sound', 'serviceable']).toContain(grades.get('flyback'));
    expect(['sound', 'serviceable']).toContain(grades.get('yoke'));
    expect(grades.get('picture-tube')).toBe('serviceable');
  });

  it('tells a leaky capacitor from a gassy tube by the oscillator-stopped reading, as the trade does', () => {
    expect(result.asked.map((a) => a.check)).toContain('horizontal-output-stopped-grid');
    const gassy = result.view.suspects.find((s) => s.id === 'horizontal-output.tube/gassy');
    expect(gassy?.probability ?? 0).toBeLessThan(0.2);
  });

  it('reads drive before the output stage is enabled, and cathode current before what it guards', () => {
    const order = result.asked.map((a) => a.check);
    expect(order.indexOf('horizontal-output-grid-drive')).toBeLessThan(
      order.indexOf('horizontal-output-cathode-current'),
    );
    const guarded = ['boost-ratio', 'anode-hv-dark', 'raster-brightness'].filter((id) => order.includes(id));
    expect(guarded.length).toBeGreaterThan(0);
    for (const id of guarded)
      expect(order.indexOf('horizontal-output-cathode-current')).toBeLessThan(order.indexOf(id));
  });

  it('takes nothing live before the cold proofs', () => {
    const firstLive = result.asked.findIndex((a) => a.state === 'S1' || a.state === 'S2');
    const cold = result.asked.slice(0, firstLive).map((a) => a.check);
    for (const guard of ['plug-ohms', 'b-plus-short', 'heater-series-diode-look'])
      expect(cold).toContain(guard);
  });
});

describe('a set in order', () => {
  const result = walk(BENCH, {});

  it('is worth its overhaul, and nothing is suspected that a reading raised', () => {
    expect(['worth-overhauling', 'worth-with-reservations']).toContain(result.view.verdict?.overall);
    expect(result.view.suspects.filter((s) => s.partProbability > 0.5)).toEqual([]);
  });

  it('never calls the set safe', () => {
    const words = JSON.stringify([result.view.verdict?.recommendation, result.view.verdict?.nextSteps]);
    expect(words).not.toMatch(/\b(is|are|now|set) safe\b/i);
  });
});

describe.each(['transformer', 'series-halfwave-300ma'])(
  'a set in order of the family %s, nothing else known of it',
  (family) => {
    const found = book?.families.find((f) => f.id === family);
    const volts = found?.ratedVolts ?? 117;
    const set = {
      ...MERIDIAN,
      family,
      lineVolts: volts,
      ratedVolts: volts,
      ratedWatts: 0,
      tubes: {},
      facts: {},
      standard: volts > 180 ? ('dual' as const) : ('525' as const),
    };
    const result = evaluateWalk(engine, { set, instruments: BENCH }, healthyAnswer);

    it('ends by itself, with nothing refused and no suspect', () => {
      expect(result.view.step.kind).toBe('stop');
      expect(result.refused).toEqual([]);
      expect(result.view.suspects.filter((s) => s.partProbability > 0.5)).toEqual([]);
      expect(result.view.verdict?.overall).toBe('worth-overhauling');
    });
  },
);

describe('an output tube over its limit', () => {
  const result = walk(BENCH, { 'horizontal-output-cathode-current': '165' });

  it('stops live work at the limit of the tube that is fitted (6DQ6A: 140 mA, design-center)', () => {
    const events = result.view.state.history;
    const at = events.findIndex(
      (e) => e.type === 'reading' && e.check === 'horizontal-output-cathode-current',
    );
    expect(at).toBeGreaterThan(0);
    expect(events[at + 1]?.type).toBe('powered-off');
  });
});

describe('no isolation transformer', () => {
  const result = walk(
    BENCH.filter((i) => i !== 'isolation-transformer'),
    LEAK_AND_HEATER_CATHODE,
  );

  it('stays cold and says so', () => {
    expect(result.asked.filter((a) => a.state === 'S1' || a.state === 'S2')).toEqual([]);
    expect(result.view.verdict?.coldOnly).toBe(true);
    expect(result.view.step.kind).toBe('stop');
  });
});

describe('nothing can be measured', () => {
  const result = evaluateWalk(engine, { set: MERIDIAN, instruments: BENCH }, () => undefined);

  it('ends with a verdict that proves nothing', () => {
    expect(result.view.step.kind).toBe('stop');
    expect(result.asked).toEqual([]);
    expect(new Set(result.view.verdict?.core.map((g) => g.grade))).toEqual(new Set(['not proven']));
    expect(result.view.verdict?.overall).toBe('not-yet-known');
  });
});
