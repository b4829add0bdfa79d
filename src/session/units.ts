// Units as typed and as shown: which words mean which unit, and how a number in base units is printed.

import type { Quantity } from '../rulebook/types.ts';
import { unitFactor } from '../rulebook/units.ts';
import type { ReadingValue } from './types.ts';

/** Base unit of each quantity; the unit that a stored reading is in. */
const BASE: Readonly<Record<Quantity, string>> = {
  'dc-volts': 'V',
  'ac-volts': 'V',
  'pp-volts': 'V',
  'hv-volts': 'V',
  ohms: 'ohm',
  amps: 'A',
  watts: 'W',
  farads: 'F',
  henries: 'H',
  hertz: 'Hz',
  seconds: 's',
  percent: '%',
  count: '',
  celsius: 'C',
};

/** Base unit of a quantity: `dc-volts` -> `V`. */
export function baseUnit(quantity: Quantity): string {
  return BASE[quantity];
}

/** What the quantity is called when a typed unit does not fit. */
export const QUANTITY_WORDS: Readonly<Record<Quantity, string>> = {
  'dc-volts': 'DC volts',
  'ac-volts': 'AC volts',
  'pp-volts': 'peak-to-peak volts',
  'hv-volts': 'high voltage (DC)',
  ohms: 'ohms',
  amps: 'current',
  watts: 'power',
  farads: 'capacitance',
  henries: 'inductance',
  hertz: 'frequency',
  seconds: 'time',
  percent: 'per cent',
  count: 'a count',
  celsius: 'degrees Celsius',
};

/** Base units in words, for messages. */
export const UNIT_WORDS: Readonly<Record<string, string>> = {
  V: 'volts',
  ohm: 'ohms',
  A: 'amperes',
  W: 'watts',
  F: 'farads',
  H: 'henries',
  Hz: 'hertz',
  s: 'seconds',
  '%': 'per cent',
  C: 'degrees',
  '': 'a plain number',
};

/** Converts a number in a rule's unit (`kV`, `mA`, `uF`, ...) to base units; an unknown unit is taken as the base unit itself. */
export function toBase(value: number, unit: string): number {
  return value * (unitFactor(unit)?.factor ?? 1);
}

/** Converts a number in base units to a rule's unit (`uF`, `mA`, ...). */
export function fromBase(value: number, unit: string): number {
  return value / (unitFactor(unit)?.factor ?? 1);
}

type Step = readonly [factor: number, prefix: string];

/** Prefixes in the order tried: the first whose factor does not exceed the number. Nanofarads are not used in this trade. */
const STEPS: Readonly<Record<string, readonly Step[]>> = {
  V: [
    [1e3, 'k'],
    [1, ''],
    [1e-3, 'm'],
  ],
  ohm: [
    [1e9, 'G'],
    [1e6, 'M'],
    [1e3, 'k'],
    [1, ''],
  ],
  A: [
    [1, ''],
    [1e-3, 'm'],
    [1e-6, 'u'],
  ],
  W: [
    [1e3, 'k'],
    [1, ''],
    [1e-3, 'm'],
  ],
  F: [
    [1e-9, 'u'],
    [1e-12, 'p'],
  ],
  H: [
    [1, ''],
    [1e-3, 'm'],
    [1e-6, 'u'],
  ],
  Hz: [
    [1e6, 'M'],
    [1e3, 'k'],
    [1, ''],
  ],
  s: [
    [1, ''],
    [1e-3, 'm'],
    [1e-6, 'u'],
  ],
};

const PREFIX_FACTOR: Readonly<Record<string, number>> = {
  G: 1e9,
  M: 1e6,
  k: 1e3,
  '': 1,
  m: 1e-3,
  u: 1e-6,
  p: 1e-12,
};

/** At most four significant digits, no exponent, no trailing zeros. */
function digits(value: number): string {
  if (value === 0) return '0';
  const magnitude = Math.floor(Math.log10(Math.abs(value)));
  const places = Math.min(12, Math.max(0, 3 - magnitude));
  const text = value.toFixed(places);
  const trimmed = text.includes('.') ? text.replace(/0+$/, '').replace(/\.$/, '') : text;
  return trimmed === '-0' ? '0' : trimmed;
}

/** Factor and unit text that suit a number of this size. */
function scaleFor(value: number, unit: string): { readonly factor: number; readonly unit: string } {
  const steps = STEPS[unit];
  if (steps === undefined || value === 0) return { factor: 1, unit };
  const size = Math.abs(value) * (1 + 1e-9);
  const last = steps[steps.length - 1];
  const [, prefix] = steps.find(([factor]) => size >= factor) ?? last ?? [1, ''];
  return { factor: PREFIX_FACTOR[prefix] ?? 1, unit: prefix + unit };
}

function joined(number: string, unit: string): string {
  if (unit === '') return number;
  return unit === '%' ? `${number} %` : `${number} ${unit}`;
}

/** A number in a base unit as shown: (15500, 'V') -> `15.5 kV`, (4.7e-8, 'F') -> `0.047 uF`, (-46, 'V') -> `-46 V`. */
export function formatNumber(value: number, unit: string): string {
  if (!Number.isFinite(value)) return value > 0 ? 'over range' : '?';
  const scale = scaleFor(value, unit);
  return joined(digits(value / scale.factor), scale.unit);
}

function formatSpan(low: number, high: number, unit: string, between: string): string {
  const scale = scaleFor(Math.max(Math.abs(low), Math.abs(high)), unit);
  return joined(`${digits(low / scale.factor)}${between}${digits(high / scale.factor)}`, scale.unit);
}

const MARK_WORDS = { ac: ' AC', dc: ' DC', pp: ' p-p' } as const;

/**
 * A stored reading as shown: `-46 V`, `15.5 kV`, `> 20 Mohm`, `100 to 140 V`, `34 / 35 ohm`, `over range`.
 * Choices show the option's id unless its title is found in `options`.
 */
export function formatValue(
  value: ReadingValue,
  options: readonly { readonly id: string; readonly title: string }[] = [],
): string {
  switch (value.kind) {
    case 'number': {
      const mark = value.mark === undefined ? '' : MARK_WORDS[value.mark];
      return `${formatNumber(value.value, value.unit)}${mark}${value.unstable ? ', drifting' : ''}`;
    }
    case 'bound':
      return `${value.side === 'above' ? '>' : '<'} ${formatNumber(value.value, value.unit)}`;
    case 'range':
      return formatSpan(value.low, value.high, value.unit, ' to ');
    case 'pair':
      return formatSpan(value.values[0], value.values[1], value.unit, ' / ');
    case 'over-range':
      return 'over range';
    case 'short':
      return 'short';
    case 'choice':
      return options.find((option) => option.id === value.option)?.title ?? value.option;
  }
}
