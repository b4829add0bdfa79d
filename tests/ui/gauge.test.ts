// The band gauge and "as expected": what is right, in words, as a bar, and as the value that a full stop records.
import { describe, expect, it } from 'vitest';
import type { Check } from '../../src/rulebook/types.ts';
import { asExpected } from '../../src/ui/app/as-expected.ts';
import { lineWidth } from '../../src/ui/text.ts';
import { gauge, placeOf, rangeWords, rightRange } from '../../src/ui/views/gauge.ts';
import { BOOK } from './rules.ts';

const [some] = BOOK.checks;
if (!some) throw new Error('the rule base has no checks');

function check(change: Partial<Check>): Check {
  return { ...(some as Check), kind: 'number', quantity: 'dc-volts', unit: 'V', options: [], ...change };
}
const read = (
  scale: 'ratio' | 'bound' | 'difference' | 'choice',
  bands: Check['reads'][number]['bands'],
  table: Check['reads'][number]['table'] = {},
) => [{ signal: 'x', scale, bands, table, spread: 0.1 }];
const volts = (value: number) => ({ value, spread: 0.1, unit: 'V', reasons: [] });

describe('what is right', () => {
  it('is the normal band times the expected value', () => {
    const one = check({ reads: read('ratio', { normal: [[0.9, 1.1]], low: [[0.2, 0.9]] }) });
    const range = rightRange(one, volts(260));
    expect(range && rangeWords(range)).toBe('234 to 286 V, about 260 V');
    expect(rightRange(one, undefined)).toBeUndefined();
    expect(asExpected(one, volts(260))).toEqual({ kind: 'range', low: 234, high: 286, unit: 'V' });
  });

  it('keeps its order for negative voltages', () => {
    const drive = check({ reads: read('ratio', { normal: [[0.7, 1.3]] }) });
    const range = rightRange(drive, volts(-46));
    expect(range?.low).toBeCloseTo(-59.8);
    expect(range?.high).toBeCloseTo(-32.2);
    const value = asExpected(drive, volts(-46));
    expect(value?.kind === 'range' && value.low < value.high).toBe(true);
  });

  it('has one side where the band has one, each end its own unit where they are far apart', () => {
    const insulation = check({ quantity: 'ohms', unit: 'Mohm', reads: read('bound', { ok: [[1e6, null]] }) });
    const range = rightRange(insulation, undefined);
    expect(range && rangeWords(range)).toBe('over 1 Mohm');
    expect(asExpected(insulation, undefined)).toEqual({
      kind: 'bound',
      side: 'above',
      value: 1e6,
      unit: 'ohm',
    });
    const wide = rightRange(
      check({ quantity: 'ohms', reads: read('bound', { ok: [[0.8, 8000]] }) }),
      undefined,
    );
    expect(wide && rangeWords(wide)).toBe('0.8 ohm to 8 kohm');
  });

  it('lies round the expected value for differences', () => {
    const balance = check({ reads: read('difference', { normal: [[-2, 2]] }) });
    expect(asExpected(balance, volts(0))).toEqual({ kind: 'range', low: -2, high: 2, unit: 'V' });
  });

  it('is the likeliest option of a choice, and nothing for two values', () => {
    const look = check({ kind: 'choice', reads: read('choice', {}, { normal: { good: 0.9, bad: 0.1 } }) });
    expect(asExpected(look, undefined)).toEqual({ kind: 'choice', option: 'good' });
    expect(
      asExpected(check({ kind: 'pair', reads: read('ratio', { normal: [[0.9, 1.1]] }) }), volts(1)),
    ).toBeUndefined();
  });
});

describe('the bar', () => {
  const range = { low: 234, high: 286, around: 260, unit: 'V' };
  const shown = (at: number, width = 60): string => {
    const [pointer = []] = gauge(range, { at, label: `${at} V`, standing: 'good' }, width);
    return pointer.map((s) => s.text).join('');
  };

  it('is as wide as asked for and points left, inside and right of what is right', () => {
    const [, bar = []] = gauge(range, undefined, 60);
    expect(lineWidth(bar)).toBe(60);
    const text = bar.map((s) => s.text).join('');
    const [from, to] = [text.indexOf('━'), text.lastIndexOf('━')];
    expect(shown(150).indexOf('▼')).toBeLessThan(from);
    expect(shown(260).indexOf('▼')).toBeGreaterThan(from);
    expect(shown(260).indexOf('▼')).toBeLessThan(to);
    expect(shown(500).indexOf('▼')).toBeGreaterThan(to);
  });

  it('never points outside, however far the value is', () => {
    for (const at of [0, -1e9, 1e12, Number.POSITIVE_INFINITY, 1e-12]) {
      const place = shown(at).indexOf('▼');
      expect(place).toBeGreaterThanOrEqual(0);
      expect(place).toBeLessThan(60);
    }
  });

  it('finds one place for every kind of reading', () => {
    const pair = check({ kind: 'pair', combine: 'ratio' });
    expect(placeOf({ kind: 'pair', values: [34, 17], unit: 'ohm' }, pair)).toBe(2);
    expect(placeOf({ kind: 'range', low: 100, high: 140, unit: 'V' }, pair)).toBe(120);
    expect(placeOf({ kind: 'over-range' }, pair)).toBe(Number.POSITIVE_INFINITY);
    expect(placeOf({ kind: 'short' }, pair)).toBe(0);
    expect(placeOf({ kind: 'choice', option: 'x' }, pair)).toBeUndefined();
  });
});
