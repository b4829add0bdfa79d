// Likelihoods of single readings: no cliffs, bounded odds, every way a value can be typed, slips of the pencil.
import { describe, expect, it } from 'vitest';
import { evidenceOf, type JudgedReading } from '../../src/diagnosis/index.ts';
import { normalCdf } from '../../src/diagnosis/likelihood-bands.ts';
import { LEVELS, type Read } from '../../src/rulebook/types.ts';
import type { ReadingValue } from '../../src/session/types.ts';
import { check, read } from './tiny-rules.ts';

const number = (value: number, unstable = false): ReadingValue => ({
  kind: 'number',
  value,
  unit: '',
  unstable,
});

function judged(one: Partial<Read>, value: ReadingValue, rest: Partial<JudgedReading> = {}): JudgedReading {
  return {
    seq: 1,
    check: check('c', [one], {
      options: [
        { id: 'a', title: 'a', say: '' },
        { id: 'b', title: 'b', say: '' },
      ],
    }),
    value,
    expected: { value: 260, spread: 0, unit: 'V', reasons: [] },
    meterSpread: 0,
    ...rest,
  };
}
/** Likelihood by state name. */
function likely(
  one: Partial<Read>,
  value: ReadingValue,
  rest: Partial<JudgedReading> = {},
): Record<string, number> {
  const [evidence] = evidenceOf(judged(one, value, rest));
  if (!evidence) throw new Error('no evidence');
  const states = evidence.states ?? LEVELS;
  return Object.fromEntries(states.map((s, i) => [s, evidence.likelihood[i] ?? Number.NaN]));
}

const RATIO: Partial<Read> = {
  signal: 's',
  scale: 'ratio',
  bands: { normal: [[0.8, 1.25]], low: [[0.3, 0.8]], high: [[1.25, 2]], absent: [[0, 0.05]] },
  spread: 0.1,
};
const OHMS: Partial<Read> = {
  part: 'p',
  scale: 'bound',
  bands: { ok: [[20e6, null]], leaky: [[1e5, 10e6]], short: [[0, 100]] },
  spread: 0.2,
};

describe('likelihood of a reading', () => {
  it('knows the normal distribution function (Abramowitz and Stegun 1964, table 26.1)', () => {
    expect(normalCdf(0)).toBeCloseTo(0.5, 7);
    expect(normalCdf(1)).toBeCloseTo(0.841344746, 6);
    expect(normalCdf(-2)).toBeCloseTo(0.022750132, 6);
    expect(normalCdf(-4) / 3.167124e-5).toBeCloseTo(1, 5);
  });

  it('has no cliff: a reading that is 1 % different never changes the odds by more than a third', () => {
    const odds = (volts: number): number => {
      const l = likely(RATIO, number(volts));
      return Math.log((l.low ?? 0) / (l.normal ?? 0));
    };
    let worst = 0;
    for (let volts = 20; volts < 700; volts *= 1.01)
      worst = Math.max(worst, Math.abs(odds(volts * 1.01) - odds(volts)));
    expect(worst).toBeLessThan(1 / 3);
    // The edge itself (208 V) is no step either.
    expect(Math.abs(odds(208.01) - odds(207.99))).toBeLessThan(0.005);
  });

  it('lets a value that was found again move odds by 500, and holds its slips for a fifth as likely', () => {
    const far = number(5);
    const bands = { normal: [[0.8, 1.2]], low: [[0.001, 0.1]] } as const;
    const [once] = evidenceOf(judged({ scale: 'ratio', bands }, far));
    const [twice] = evidenceOf(judged({ scale: 'ratio', bands }, far, { twice: true }));
    expect(Math.min(...(once?.likelihood ?? []))).toBeGreaterThanOrEqual(0.01);
    expect(Math.min(...(twice?.likelihood ?? []))).toBeLessThan(0.005);
    expect(Math.min(...(twice?.likelihood ?? []))).toBeGreaterThanOrEqual(0.002);
    expect(twice?.terms.core).toEqual(once?.terms.core);
    expect(twice?.terms.timesTen).toEqual(once?.terms.timesTen.map((v) => v / 5));
  });

  it('never lets one reading move odds by more than 100', () => {
    for (const value of [0, 1e-9, 5, 26, 240, 260, 2600, 1e9, -260, -5]) {
      const all = Object.values(likely(RATIO, number(value)));
      expect(Math.max(...all)).toBe(1);
      expect(Math.min(...all)).toBeGreaterThanOrEqual(0.01);
    }
  });

  it('is judged against its expected value: 255 V is normal, 150 V low, 2 V absent, 400 V high', () => {
    const best = (volts: number): string => {
      const all = likely(RATIO, number(volts));
      return Object.keys(all).reduce((a, b) => ((all[b] ?? 0) > (all[a] ?? 0) ? b : a));
    };
    expect([255, 150, 2, 400].map(best)).toEqual(['normal', 'low', 'absent', 'high']);
  });

  it('works the documented example: 208 V on the edge is nearly as likely low as normal', () => {
    const at208 = likely({ ...RATIO, bands: { normal: [[0.8, 1.2]], low: [[0.3, 0.8]] } }, number(208));
    expect(at208.normal).toBe(1);
    expect(at208.low).toBeCloseTo(0.414, 2);
    const at255 = likely({ ...RATIO, bands: { normal: [[0.8, 1.2]], low: [[0.3, 0.8]] } }, number(255));
    expect(at255.low).toBeLessThan(0.05);
  });

  it('is softer with a poor meter, an uncertain expectation and an unsteady needle', () => {
    const odds = (value: ReadingValue, rest: Partial<JudgedReading> = {}): number => {
      const l = likely(RATIO, value, rest);
      return (l.normal ?? 0) / (l.low ?? 1);
    };
    const firm = odds(number(230));
    expect(odds(number(230), { meterSpread: 0.1 })).toBeLessThan(firm);
    expect(
      odds(number(230), { expected: { value: 260, spread: 0.15, unit: 'V', reasons: [] } }),
    ).toBeLessThan(firm);
    expect(odds(number(230, true))).toBeLessThan(firm);
  });

  it('takes a value of the wrong sign as nothing there, or as a forgotten sign', () => {
    const bias = { expected: { value: -35, spread: 0.1, unit: 'V', reasons: [] } };
    const [evidence] = evidenceOf(judged(RATIO, number(33), bias));
    expect(evidence?.likelihood[LEVELS.indexOf('absent')]).toBe(1);
    expect(evidence?.terms.sign[0]).toBeGreaterThan(evidence?.terms.core[0] ?? 1);
    const [plain] = evidenceOf(judged(RATIO, number(-33), bias));
    expect(plain?.likelihood[0]).toBe(1);
    expect(plain?.terms.sign.every((t) => t === 0)).toBe(true);
  });

  it('reads a bound, an over-range meter and a short', () => {
    expect(likely(OHMS, { kind: 'bound', side: 'above', value: 20e6, unit: 'ohm' }).ok).toBe(1);
    expect(likely(OHMS, { kind: 'over-range' }).ok).toBe(1);
    expect(likely(OHMS, { kind: 'over-range' }).short).toBeLessThan(0.1);
    expect(likely(OHMS, number(1e12)).ok).toBe(1);
    expect(likely(OHMS, { kind: 'short' }).short).toBe(1);
    expect(likely(OHMS, number(0)).short).toBe(1);
    expect(likely(OHMS, { kind: 'bound', side: 'below', value: 50, unit: 'ohm' }).short).toBe(1);
    // The end of an insulation tester's scale, far beyond what is good, is as good, and no slip of ten times.
    const far = { kind: 'bound', side: 'above', value: 2e9, unit: 'ohm' } as const;
    expect(likely(OHMS, far)).toEqual(likely(OHMS, { ...far, value: 400e6 }));
    expect(likely(OHMS, far).ok).toBe(1);
    expect(likely(OHMS, far).short).toBeLessThan(0.1);
    expect(likely(OHMS, number(1e6)).leaky).toBe(1);
  });

  it('averages a range over its ends and middle', () => {
    const range = likely(RATIO, { kind: 'range', low: 150, high: 260, unit: 'V' });
    const low = likely(RATIO, number(150));
    const high = likely(RATIO, number(260));
    expect(range.normal).toBeGreaterThan(low.normal ?? 1);
    expect(range.low).toBeGreaterThan(high.low ?? 1);
  });

  it('compares halves, and differences from zero', () => {
    const halves: Partial<Read> = {
      part: 'yoke',
      scale: 'balance',
      bands: {
        ok: [[0.9, 1.11]],
        shorted: [
          [0.3, 0.9],
          [1.11, 3],
        ],
      },
      spread: 0.03,
    };
    const pair = (a: number, b: number): ReadingValue => ({ kind: 'pair', values: [a, b], unit: 'ohm' });
    expect(likely(halves, pair(12, 12.2)).ok).toBe(1);
    expect(likely(halves, pair(12, 8)).shorted).toBe(1);
    expect(likely(halves, pair(8, 12)).shorted).toBe(1);
    const afc: Partial<Read> = {
      signal: 'afc',
      scale: 'difference',
      bands: { normal: [[-1, 1]], high: [[1, 8]], low: [[-8, -1]] },
      spread: 0.3,
    };
    expect(likely(afc, number(0.2)).normal).toBe(1);
    expect(likely(afc, number(5)).high).toBe(1);
    expect(likely(afc, number(-5)).low).toBe(1);
    expect(likely(afc, number(5)).low).toBeLessThan(0.05);
  });

  it('lets a fault that the bands do not name behave as ok, and a level that they do not name as anything', () => {
    expect(Object.keys(likely(OHMS, number(1e6)))).toEqual(['ok', 'leaky', 'short']);
    const levels = likely({ ...RATIO, bands: { normal: [[0.8, 1.25]] } }, number(260));
    expect(levels.high).toBe(levels.low);
    expect(levels.high).toBeGreaterThan(0.01);
  });

  it('uses the rows of a choice, with 1 in 100 for an option that a row leaves out', () => {
    const choice: Partial<Read> = {
      signal: 's',
      scale: 'choice',
      table: { normal: { a: 0.99 }, low: { a: 0.3, b: 0.7 } },
    };
    const b = likely(choice, { kind: 'choice', option: 'b' });
    expect(b.low).toBe(1);
    expect(b.normal).toBeGreaterThanOrEqual(0.01);
    expect(b.normal).toBeLessThan(0.05);
    // A level without a row is as likely to show one option as another.
    expect(b.absent).toBeCloseTo(0.5 / 0.7, 1);
  });

  it('gives no evidence where a scale cannot judge: a ratio without an expected value, a number for a choice', () => {
    expect(evidenceOf(judged(RATIO, number(260), { expected: undefined }))).toEqual([]);
    expect(evidenceOf(judged({ signal: 's', scale: 'choice' }, number(1)))).toEqual([]);
    expect(evidenceOf(judged(RATIO, { kind: 'choice', option: 'a' }))).toEqual([]);
    expect(evidenceOf(judged(RATIO, number(Number.NaN)))).toEqual([]);
  });

  it('carries the name, method and number of its reading', () => {
    const [evidence] = evidenceOf(read(7, 'supply-volts', 250));
    expect(evidence).toMatchObject({
      seq: 7,
      check: 'supply-volts',
      method: 'meter',
      variable: 'signal:supply',
    });
  });

  describe('of a point whose right value differs from design to design', () => {
    /** 1 V in one set and 16 V in another are right; a fault takes a set to a third of its own. */
    const WIDE: Partial<Read> = {
      signal: 's',
      scale: 'bound',
      bands: { normal: [[1, 16]], low: [[0.3, 1]], high: [[16, 50]], absent: [[0, 0.05]] },
      spread: 0.1,
    };
    const odds = (volts: number, level: 'low' | 'high'): number => {
      const l = likely(WIDE, number(volts));
      return (l[level] ?? 0) / (l.normal ?? 1);
    };

    it('says little of a fault low in its range, and more the further in', () => {
      expect(odds(1.5, 'low')).toBeGreaterThan(0.7);
      const along = [1.5, 3, 6, 9].map((v) => odds(v, 'low'));
      expect(along.toSorted((a, b) => b - a)).toEqual(along);
      expect(odds(14, 'low')).toBeLessThan(0.03);
    });

    it('and the same upwards, as far from the other end', () => {
      for (const volts of [1.5, 4, 9]) expect(odds(16 / volts, 'high')).toBeCloseTo(odds(volts, 'low'), 1);
    });

    it('but not where one design is all that the band holds, nor where it holds unlike things', () => {
      const one = likely({ ...WIDE, bands: { normal: [[1, 1.45]], low: [[0.3, 0.9]] } }, number(1.2));
      expect(one.low).toBeLessThan(0.05);
      const unlike = likely({ ...WIDE, bands: { normal: [[1, 8000]], low: [[0.01, 0.8]] } }, number(30));
      expect(unlike.low).toBe(0.01);
    });

    it('of a part, whose own value is printed on it, nothing of the kind is supposed', () => {
      const ohms: Partial<Read> = {
        part: 'p',
        scale: 'bound',
        bands: { ok: [[1, 16]], low: [[0.3, 1]] },
        spread: 0.1,
      };
      expect(likely(ohms, number(4)).low).toBeLessThan(0.03);
    });
  });
});
