// What the technician types. Letter-and-digit values (4k7, 4R7, 2M2) follow IEC 60062:2016, marking codes for resistors and capacitors.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { QUANTITIES } from '../../src/rulebook/types.ts';
import {
  formatNumber,
  formatValue,
  parseReading,
  type ReadingSpec,
  type ReadingValue,
} from '../../src/session/index.ts';

const VOLTS: ReadingSpec = { kind: 'number', quantity: 'dc-volts', unit: 'V' };
const OHMS: ReadingSpec = { kind: 'number', quantity: 'ohms', unit: 'ohm' };
const MICROFARADS: ReadingSpec = { kind: 'number', quantity: 'farads', unit: 'uF' };
const MILLIAMPS: ReadingSpec = { kind: 'number', quantity: 'amps', unit: 'mA', plausible: [20, 400] };
const KILOVOLTS: ReadingSpec = { kind: 'number', quantity: 'hv-volts', unit: 'kV', plausible: [5, 25] };
const DRIVE: ReadingSpec = { kind: 'number', quantity: 'dc-volts', unit: 'V', plausible: [-150, 5] };
const HALVES: ReadingSpec = { kind: 'pair', quantity: 'ohms', unit: 'ohm', pairLabels: ['top', 'bottom'] };
const LOOK: ReadingSpec = {
  kind: 'choice',
  quantity: 'count',
  unit: '',
  options: [
    { id: 'full', title: 'Full raster' },
    { id: 'line', title: 'Single horizontal line' },
    { id: 'none', title: 'None' },
  ],
};

function value(text: string, spec: ReadingSpec): ReadingValue {
  const parsed = parseReading(text, spec);
  if (parsed.ok !== true) throw new Error(`${text}: ${JSON.stringify(parsed)}`);
  return parsed.value;
}
function plain(text: string, spec: ReadingSpec): number {
  const read = value(text, spec);
  if (read.kind !== 'number') throw new Error(`${text} is ${read.kind}`);
  return read.value;
}

describe('numbers', () => {
  const rows: readonly (readonly [string, ReadingSpec, number])[] = [
    ['284', VOLTS, 284],
    ['284v', VOLTS, 284],
    ['284 V', VOLTS, 284],
    ['121,5 volts', VOLTS, 121.5],
    ['121,25', VOLTS, 121.25],
    ['0,500 volt', VOLTS, 0.5],
    ['300 millivolts', VOLTS, 0.3],
    ['15,5 kilovolts', KILOVOLTS, 15_500],
    ['15.5 kilo-volts dc', KILOVOLTS, 15_500],
    ['110 milliamps', MILLIAMPS, 0.11],
    ['110 milli-amperes', MILLIAMPS, 0.11],
    ['110 milli amps', MILLIAMPS, 0.11],
    ['0,11 ampères', MILLIAMPS, 0.11],
    ['2 megohms', OHMS, 2e6],
    ['2 megaohms', OHMS, 2e6],
    ['2 megs', OHMS, 2e6],
    ['4,7 kilohms', OHMS, 4700],
    ['4.7 kilo-ohms', OHMS, 4700],
    ['20 milliohms', OHMS, 0.02],
    ['10 microfarads', MICROFARADS, 1e-5],
    ['850 picofarads', MICROFARADS, 8.5e-10],
    ['15.7 kilocycles', { kind: 'number', quantity: 'hertz', unit: 'Hz' }, 15_700],
    ['60 hertz', { kind: 'number', quantity: 'hertz', unit: 'Hz' }, 60],
    ['2 minutes', { kind: 'number', quantity: 'seconds', unit: 's' }, 120],
    ['80 per cent', { kind: 'number', quantity: 'percent', unit: '%' }, 80],
    ['55 degrees C', { kind: 'number', quantity: 'celsius', unit: 'C' }, 55],
    ['120 volts peak-to-peak', { kind: 'number', quantity: 'pp-volts', unit: 'V' }, 120],
    ['-46', VOLTS, -46],
    ['\u221246', VOLTS, -46],
    ['+6.3', VOLTS, 6.3],
    ['2.7', VOLTS, 2.7],
    ['-46dc', VOLTS, -46],
    ['-46 vdc', VOLTS, -46],
    ['320mv', VOLTS, 0.32],
    ['0', VOLTS, 0],
    ['15.5kv', KILOVOLTS, 15_500],
    ['15500', KILOVOLTS, 15_500],
    ['15.5', KILOVOLTS, 15_500],
    ['15500v', KILOVOLTS, 15_500],
    ['4k7', OHMS, 4700],
    ['4.7k', OHMS, 4700],
    ['4R7', OHMS, 4.7],
    ['2M2', OHMS, 2.2e6],
    ['1.2M', OHMS, 1.2e6],
    ['2 meg', OHMS, 2e6],
    ['470 kohm', OHMS, 470_000],
    ['3.3kΩ', OHMS, 3300],
    ['47r', OHMS, 47],
    ['.047', MICROFARADS, 4.7e-8],
    ['.047uf', MICROFARADS, 4.7e-8],
    ['0,047', MICROFARADS, 4.7e-8],
    ['850p', MICROFARADS, 8.5e-10],
    ['500u', MICROFARADS, 5e-4],
    ['100µ', MICROFARADS, 1e-4],
    ['20mfd', MICROFARADS, 2e-5],
    ['250 mmf', MICROFARADS, 2.5e-10],
    ['110', MILLIAMPS, 0.11],
    ['110ma', MILLIAMPS, 0.11],
    ['.11a', MILLIAMPS, 0.11],
    ['15.7k', { kind: 'number', quantity: 'hertz', unit: 'Hz' }, 15_700],
    ['2min', { kind: 'number', quantity: 'seconds', unit: 's' }, 120],
    ['80%', { kind: 'number', quantity: 'percent', unit: '%' }, 80],
    ['120pp', { kind: 'number', quantity: 'pp-volts', unit: 'V' }, 120],
    ['120 Vp-p', { kind: 'number', quantity: 'pp-volts', unit: 'V' }, 120],
    ['8.3ac', { kind: 'number', quantity: 'ac-volts', unit: 'V' }, 8.3],
    ['8.3 vac', { kind: 'number', quantity: 'ac-volts', unit: 'V' }, 8.3],
    ['1,234.5', VOLTS, 1234.5],
    ['1.234,5', VOLTS, 1234.5],
  ];
  it.each(rows)('%s', (text, spec, expected) => {
    expect(plain(text, spec)).toBeCloseTo(expected, 14);
  });

  it('a trailing or leading ~ means drifting', () => {
    expect(value('120~', VOLTS)).toMatchObject({ value: 120, unstable: true });
    expect(value('~120', VOLTS)).toMatchObject({ value: 120, unstable: true });
    expect(value('120', VOLTS)).toMatchObject({ unstable: false });
  });

  it('15,500 may be either: asked', () => {
    const parsed = parseReading('15,500', VOLTS);
    expect(parsed).toMatchObject({ ok: 'ask' });
    expect(parsed.ok === 'ask' ? parsed.alternatives.map((each) => each.label) : []).toEqual([
      '15.5 kV',
      '15.5 V',
    ]);
  });

  it('whole words of another kind are refused, and a volt never becomes a megavolt', () => {
    expect(parseReading('121,5 volts', OHMS)).toMatchObject({ ok: false });
    expect(parseReading('4.7 kilohms', VOLTS)).toMatchObject({ ok: false });
    expect(parseReading('121,5,3 volts', VOLTS)).toMatchObject({ ok: false });
    expect(parseReading('15,500 volts', VOLTS)).toMatchObject({ ok: 'ask' });
    expect(parseReading('infinity ohms', OHMS)).toMatchObject({ ok: true, value: { kind: 'over-range' } });
  });

  it('2m on an ohms check may be milli or mega: asked', () => {
    const parsed = parseReading('2m', OHMS);
    expect(parsed.ok === 'ask' ? parsed.alternatives.map((each) => each.label) : []).toEqual([
      '2 Mohm',
      '0.002 ohm',
    ]);
  });
});

describe('bounds, ranges, over range, short', () => {
  it.each([
    ['>20M', OHMS, { kind: 'bound', side: 'above', value: 2e7 }],
    ['<0.5', VOLTS, { kind: 'bound', side: 'below', value: 0.5 }],
    ['>= 5 Mohm', OHMS, { kind: 'bound', side: 'above', value: 5e6 }],
    ['100-140', VOLTS, { kind: 'range', low: 100, high: 140 }],
    ['140 - 100', VOLTS, { kind: 'range', low: 100, high: 140 }],
    ['100-140k', OHMS, { kind: 'range', low: 100_000, high: 140_000 }],
    ['100 to 140', VOLTS, { kind: 'range', low: 100, high: 140 }],
    ['-60--20', VOLTS, { kind: 'range', low: -60, high: -20 }],
    ['ol', OHMS, { kind: 'over-range' }],
    ['O.L', OHMS, { kind: 'over-range' }],
    ['open', OHMS, { kind: 'over-range' }],
    ['inf', OHMS, { kind: 'over-range' }],
    ['short', OHMS, { kind: 'short' }],
  ] as const)('%s', (text, spec, expected) => {
    expect(value(text, spec)).toMatchObject(expected);
  });

  it('0 is a value, not a short', () => {
    expect(value('0', OHMS)).toMatchObject({ kind: 'number', value: 0 });
  });

  it('-60-20 has two honest meanings: asked', () => {
    expect(parseReading('-60-20', VOLTS).ok).toBe('ask');
  });
});

describe('what is not taken', () => {
  it('AC where DC is asked, and the reverse', () => {
    expect(parseReading('8.3ac', VOLTS)).toMatchObject({
      ok: false,
      message: expect.stringMatching(/AC.*DC/),
    });
    expect(parseReading('8.3dc', { ...VOLTS, quantity: 'ac-volts' }).ok).toBe(false);
    expect(parseReading('8.3pp', VOLTS).ok).toBe(false);
    expect(parseReading('>8ac', VOLTS).ok).toBe(false);
    expect(parseReading('100ac-140ac', VOLTS).ok).toBe(false);
  });

  it('a unit of the wrong kind, with a hint and an example', () => {
    const parsed = parseReading('47ohm', VOLTS);
    expect(parsed).toMatchObject({ ok: false, message: 'This check asks DC volts; you typed ohms.' });
    expect(parsed.ok === false ? parsed.hint : '').toMatch(/284/);
  });

  it.each([
    '',
    '   ',
    'abc',
    '-',
    '--5',
    '4..7',
    '12 34',
    '1e5',
    '0x10',
    'NaN',
    '5 bananas',
    '4k7k',
    '>',
    '100-',
    '.',
  ])('"%s" is refused', (text) => {
    expect(parseReading(text, VOLTS).ok).toBe(false);
  });

  it('negative ohms mean that voltage is left', () => {
    expect(parseReading('-5', OHMS)).toMatchObject({
      ok: false,
      message: expect.stringMatching(/still voltage/),
    });
  });
});

describe('did you mean', () => {
  const labels = (text: string, spec: ReadingSpec) => {
    const parsed = parseReading(text, spec);
    return parsed.ok === 'ask' ? parsed.alternatives.map((each) => each.label) : parsed.ok;
  };
  it('ten times outside asks, less does not', () => {
    expect(labels('3900', MILLIAMPS)).toBe(true);
    expect(labels('4000', MILLIAMPS)).toEqual(['400 mA', '40 mA', '4 A, as typed']);
    expect(labels('3', MILLIAMPS)).toBe(true);
    expect(labels('2', MILLIAMPS)).toEqual(['20 mA', '200 mA', '2 mA, as typed']);
  });
  it('a forgotten sign asks', () => {
    expect(labels('46', DRIVE)).toEqual(['-46 V', '46 V, as typed']);
    expect(labels('-46', DRIVE)).toBe(true);
  });
  it('zero never asks', () => {
    expect(labels('0', MILLIAMPS)).toBe(true);
  });
});

describe('pairs and choices', () => {
  it.each([
    ['34 35', [34, 35]],
    ['34/35', [34, 35]],
    ['34, 35', [34, 35]],
    ['34 ohm 35 ohm', [34, 35]],
    ['1k2 / 1k3', [1200, 1300]],
    ['34/35k', [34_000, 35_000]],
    ['34 ol', [34, 1e9]],
  ])('%s', (text, expected) => {
    expect(value(text, HALVES)).toEqual({ kind: 'pair', values: expected, unit: 'ohm' });
  });
  it('one value is not two', () => {
    expect(parseReading('34', HALVES)).toMatchObject({
      ok: false,
      message: expect.stringMatching(/top, bottom/),
    });
    expect(parseReading('34 35 36', HALVES).ok).toBe(false);
  });
  it.each([
    ['2', 'line'],
    ['line', 'line'],
    ['LINE', 'line'],
    ['sing', 'line'],
    ['None', 'none'],
  ])('choice %s', (text, id) => {
    expect(value(text, LOOK)).toEqual({ kind: 'choice', option: id });
  });
  it.each(['0', '4', 'x', '1.5'])('choice %s is refused and the choices named', (text) => {
    const parsed = parseReading(text, LOOK);
    expect(parsed.ok === false ? parsed.hint : '').toMatch(/2 = Single horizontal line/);
  });
});

describe('shown again', () => {
  it.each([
    [-46, 'V', '-46 V'],
    [15_500, 'V', '15.5 kV'],
    [0.0012, 'V', '1.2 mV'],
    [4700, 'ohm', '4.7 kohm'],
    [0.11, 'A', '110 mA'],
    [4.7e-8, 'F', '0.047 uF'],
    [8.5e-10, 'F', '850 pF'],
    [1.5e-4, 'F', '150 uF'],
    [15_734, 'Hz', '15.73 kHz'],
    [0, 'V', '0 V'],
    [1000, 'ohm', '1 kohm'],
    [999.99, 'ohm', '1000 ohm'],
    [80, '%', '80 %'],
    [12, '', '12'],
  ])('%s %s', (number, unit, expected) => {
    expect(formatNumber(number, unit)).toBe(expected);
  });
  it('bounds, ranges, pairs', () => {
    expect(formatValue({ kind: 'bound', side: 'above', value: 2e7, unit: 'ohm' })).toBe('> 20 Mohm');
    expect(formatValue({ kind: 'range', low: 100, high: 140, unit: 'V' })).toBe('100 to 140 V');
    expect(formatValue({ kind: 'pair', values: [34, 35], unit: 'ohm' })).toBe('34 / 35 ohm');
    expect(formatValue({ kind: 'number', value: 8.3, unit: 'V', unstable: true, mark: 'ac' })).toBe(
      '8.3 V AC, drifting',
    );
  });
});

describe('anything at all', () => {
  const spec = fc.record({
    kind: fc.constantFrom('number' as const, 'pair' as const, 'choice' as const),
    quantity: fc.constantFrom(...QUANTITIES),
    unit: fc.constantFrom('V', 'kV', 'mA', 'uF', 'ohm', '', '%'),
    options: fc.constant(LOOK.options ?? []),
    plausible: fc.constantFrom(undefined, [-150, 5] as const, [1, 10] as const),
  });
  const bits = fc
    .array(
      fc.constantFrom(
        '1',
        '9',
        '0',
        '.',
        ',',
        '-',
        '>',
        '<',
        '~',
        'k',
        'm',
        'M',
        'u',
        'v',
        'ac',
        'pp',
        'ohm',
        ' ',
        '/',
        'ol',
        'to',
        '\u0000',
        '≥',
      ),
      { maxLength: 12 },
    )
    .map((each) => each.join(''));
  it('never throws, never yields a number that is not finite', () => {
    fc.assert(
      fc.property(fc.oneof(fc.string(), fc.string({ unit: 'binary' }), bits), spec, (text, each) => {
        const parsed = parseReading(text, each);
        if (parsed.ok === false) return parsed.message.length > 0;
        const numbers = Object.values(parsed.value)
          .flat()
          .filter((x) => typeof x === 'number');
        return numbers.every((x) => Number.isFinite(x));
      }),
      { numRuns: 5000 },
    );
  });
  it('what is shown can be typed again', () => {
    fc.assert(
      fc.property(fc.integer({ min: -99_999, max: 99_999 }), (n) => {
        const shown = formatNumber(n / 100, 'V');
        expect(Math.abs(plain(shown, VOLTS) - n / 100)).toBeLessThanOrEqual(Math.abs(n / 100) * 5e-4);
      }),
    );
  });
});
