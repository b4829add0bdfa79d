// A supply that reads a quarter low takes every stage with it: the stages are no witnesses that it is right.
import { describe, expect, it } from 'vitest';
import { evidenceOf, type JudgedReading } from '../../src/diagnosis/index.ts';
import { drawSet, setFactsOf } from '../../src/practice/index.ts';
import { LEVELS } from '../../src/rulebook/types.ts';
import { evaluateWalk } from '../../src/walk/evaluate.ts';
import { onSupply, supplyShare } from '../../src/walk/supply-share.ts';
import { book, engine, WELL_EQUIPPED } from './simulated-walk.ts';

const read = (id: string, value: number, expected: number, seq = 1): JudgedReading => {
  const check = book.checks.find((c) => c.id === id);
  if (!check) throw new Error(id);
  return {
    seq,
    check,
    value: { kind: 'number', value, unit: 'V', unstable: false },
    expected: { value: expected, spread: 0.1, unit: 'V', reasons: [] },
    meterSpread: 0.02,
  };
};
const odds = (reading: JudgedReading, share?: number): number => {
  const own = evidenceOf(reading);
  const [one] = share === undefined ? own : onSupply(book, reading, own, share);
  const at = (level: 'normal' | 'low') => one?.likelihood[LEVELS.indexOf(level)] ?? Number.NaN;
  return at('normal') / at('low');
};

describe('how far the supply is off', () => {
  it('is its last reading against what is expected, where that is not right', () => {
    expect(supplyShare([read('b-plus-horizontal-off', 206, 280)])).toBeCloseTo(0.736, 2);
    expect(
      supplyShare([read('b-plus-horizontal-off', 206, 280), read('b-plus-working', 256, 260, 2)]),
    ).toBeUndefined();
    expect(supplyShare([read('b-plus-horizontal-off', 270, 280)])).toBeUndefined();
    expect(supplyShare([read('video-output-plate', 100, 200)])).toBeUndefined();
  });
});

describe('the plate of a stage at three quarters of its volts', () => {
  const plate = read('vertical-output-plate', 180, 240);
  it('speaks for a right supply where nothing is known of it', () => {
    expect(odds(plate)).toBeGreaterThan(1.5);
  });
  it('says as good as nothing where B+ itself stands at three quarters', () => {
    expect(odds(plate, 0.75)).toBeGreaterThan(0.6);
    expect(odds(plate, 0.75)).toBeLessThan(1.3);
  });
  it('a plate that is right all the same still speaks against the low supply', () => {
    expect(odds(read('vertical-output-plate', 238, 240), 0.75)).toBeGreaterThan(2);
  });
  it('a mistyped B+ changes nothing of what the stages say', () => {
    expect(odds(plate, 0.1)).toBeCloseTo(odds(plate), 6);
  });
});

it.each([
  ['series-doubler-halfwave', 'b-plus.doubler-series-capacitor/low'],
  ['transformer', 'b-plus.rectifier-tube/weak'],
])(
  'a low supply is followed to its cause: %s %s',
  async (family, fault) => {
    const set = await drawSet({ seed: 2, family, level: 'single', fault });
    const one = { set: setFactsOf(set), instruments: WELL_EQUIPPED };
    const { view } = evaluateWalk(engine, one, (check, now) => set.answer(check, now.state.config));
    const [first] = view.suspects.filter((s) => s.part !== 'unmodelled');
    expect(first?.part).toBe(fault.split('/')[0]);
  },
  90_000,
);
