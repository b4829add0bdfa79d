// What the technician types, understood: numbers, bounds, ranges, pairs, `ol`, `short`, choices. Pure; never throws.
import type { Quantity } from '../rulebook/types.ts';
import { type Mark, type NumberResult, parseNumber, type TypedNumber } from './number-text.ts';
import type { ReadingValue } from './types.ts';
import { baseUnit, formatNumber, formatValue, fromBase, toBase } from './units.ts';

/** What a check (or a safety gate) expects to be typed. `plausible` is in `unit`, e.g. [0.5, 20] with `kV`. */
export interface ReadingSpec {
  readonly kind: 'number' | 'pair' | 'choice';
  readonly quantity: Quantity;
  readonly unit: string;
  readonly options?: readonly { readonly id: string; readonly title: string }[];
  readonly plausible?: readonly [number, number];
  readonly pairLabels?: readonly [string, string];
}

export type ParsedReading =
  | { readonly ok: true; readonly value: ReadingValue; readonly note?: string }
  | { readonly ok: false; readonly message: string; readonly hint?: string }
  /** Asked once: `value` is what was typed, `alternatives` what may have been meant (it is among them). */
  | {
      readonly ok: 'ask';
      readonly message: string;
      readonly value: ReadingValue;
      readonly alternatives: readonly { readonly label: string; readonly value: ReadingValue }[];
    };

/** An open half of a pair is stored as this many ohms: JSON has no infinity, and no winding of a set comes near. */
const OPEN_OHMS = 1e9;
const LONGEST = 200;

const OVER_RANGE = /^(ol|o\.l\.?|open|inf(?:inite|inity)?(?: ohms?)?|overload|over-?range|∞)$/i;
const SHORT = /^(short|shorted|s\/c)$/i;
/** Quantities that cannot be negative. */
const UNSIGNED: ReadonlySet<Quantity> = new Set([
  'ohms',
  'watts',
  'farads',
  'henries',
  'hertz',
  'seconds',
  'count',
  'percent',
  'pp-volts',
]);

/**
 * Understands one entry in the terms of a check. Values come back in base units.
 * `-46` with unit V -> -46 V; `15.5kv` -> 15500 V; `>20M` -> above 2e7 ohm; `100-140` -> range; `ol` -> over-range.
 */
export function parseReading(text: string, spec: ReadingSpec): ParsedReading {
  const clean = normalise(text);
  if (clean === '') return refuse('Nothing typed.', spec);
  if (clean.length > LONGEST) return refuse('That is too long for a reading.', spec);
  if (spec.kind === 'choice') return parseChoice(clean, spec);
  return spec.kind === 'pair' ? parsePair(clean, spec) : parseOne(clean, spec);
}

/** An entry that this check would take, for messages: `e.g. 284, 4k7, >20M`. */
export function exampleFor(spec: ReadingSpec): string {
  if (spec.kind === 'choice') {
    return (spec.options ?? []).map((option, index) => `${index + 1} = ${option.title}`).join(', ');
  }
  const usual: Readonly<Record<Quantity, string>> = {
    'dc-volts': '284, -46 or 2.7',
    'ac-volts': '6.3 or 117',
    'pp-volts': '120',
    'hv-volts': '15.5kv',
    ohms: '47, 4k7 or >20M',
    amps: '110ma or 0.11a',
    watts: '165',
    farads: '.047u or 850p',
    henries: '12m',
    hertz: '15.7k',
    seconds: '30',
    percent: '80',
    count: '12',
    celsius: '55',
  };
  return spec.kind === 'pair' ? 'two values: 34 35' : usual[spec.quantity];
}

function normalise(text: string): string {
  return text
    .normalize('NFKC')
    .replace(/[\u0000-\u001f\u007f-\u009f]/g, ' ')
    .replace(/[\u2212\u2012-\u2015]/g, '-')
    .replace(/μ/g, 'u')
    .replace(/p-p/gi, 'pp')
    .replace(/\s+/g, ' ')
    .trim();
}

function refuse(message: string, spec: ReadingSpec, hint?: string): ParsedReading {
  const example =
    spec.kind === 'choice' ? `Choices: ${exampleFor(spec)}.` : `Type for example ${exampleFor(spec)}.`;
  return { ok: false, message, hint: hint === undefined ? example : `${hint} ${example}` };
}

function parseChoice(text: string, spec: ReadingSpec): ParsedReading {
  const options = spec.options ?? [];
  const picked = (option: string): ParsedReading => ({ ok: true, value: { kind: 'choice', option } });
  const byNumber = /^\d{1,3}$/.test(text) ? options[Number(text) - 1] : undefined;
  if (byNumber !== undefined) return picked(byNumber.id);
  if (OVER_RANGE.test(text) && !options.some((option) => OVER_RANGE.test(option.id)))
    return refuse('Over range is no answer to a look.', spec);
  const wanted = text.toLowerCase();
  const exact = options.find(
    (option) => option.id.toLowerCase() === wanted || option.title.toLowerCase() === wanted,
  );
  if (exact !== undefined) return picked(exact.id);
  const starting = options.filter(
    (option) => option.id.toLowerCase().startsWith(wanted) || option.title.toLowerCase().startsWith(wanted),
  );
  const [only] = starting;
  if (only !== undefined && starting.length === 1 && !/^\d+$/.test(wanted)) return picked(only.id);
  return refuse(`"${text}" is none of the choices.`, spec);
}

function parseOne(text: string, spec: ReadingSpec): ParsedReading {
  const unstable = text.endsWith('~') || text.startsWith('~');
  const body = text.replace(/^~|~$/g, '').trim();
  if (OVER_RANGE.test(body)) return { ok: true, value: { kind: 'over-range' } };
  if (SHORT.test(body)) return parseShort(spec);
  const bound = /^(>=?|<=?|≥|≤)\s*(.+)$/.exec(body);
  if (bound !== null) return parseBound(bound[1] ?? '', bound[2] ?? '', spec);
  const whole = parseNumber(body, spec.quantity, spec.unit);
  if (whole.ok === false) {
    const range = parseRange(body, spec);
    if (range !== undefined) return range;
  }
  return finishNumber(whole, spec, unstable);
}

function parseShort(spec: ReadingSpec): ParsedReading {
  if (baseUnit(spec.quantity) === 'V' || spec.quantity === 'amps' || spec.quantity === 'watts') {
    return refuse('A short is an ohms finding; this check asks another kind of reading.', spec);
  }
  return { ok: true, value: { kind: 'short' } };
}

function parseBound(sign: string, rest: string, spec: ReadingSpec): ParsedReading {
  const side = sign.startsWith('>') || sign === '≥' ? 'above' : 'below';
  const make = (number: TypedNumber): ReadingValue => ({
    kind: 'bound',
    side,
    value: number.value,
    unit: baseUnit(spec.quantity),
  });
  const number = parseNumber(rest, spec.quantity, spec.unit);
  if (number.ok === false) return refuse(number.message, spec, number.hint);
  if (number.ok === 'ask') return askBetween(number.message, number.numbers.map(make));
  const wrong = wrongMark(number.number.mark, spec) ?? wrongSign(number.number, spec);
  if (wrong !== undefined) return wrong;
  return { ok: true, value: make(number.number) };
}

/** `100-140`, `-60--20`, `100 to 140`, `100-140k`; `-60-20` asks because it has two honest meanings. */
function parseRange(text: string, spec: ReadingSpec): ParsedReading | undefined {
  const parts = /^(\S.*?)\s*(?:-|\bto\b)\s*(-?\s*[\d.,].*)$/.exec(text);
  if (parts === null) return undefined;
  const [, left = '', rightText = ''] = parts;
  const right = rightText.replace(/^-\s+/, '-');
  const high = parseNumber(right, spec.quantity, spec.unit);
  const low = parseNumber(left, spec.quantity, spec.unit);
  if (high.ok !== true || low.ok !== true) {
    const bad = high.ok === true ? low : high;
    return bad.ok === false
      ? refuse(`"${text}" is neither a number nor a range.`, spec, bad.hint)
      : refuse(`"${text}": type both ends of the range without a comma.`, spec);
  }
  const wrong =
    wrongMark(low.number.mark, spec) ??
    wrongMark(high.number.mark, spec) ??
    wrongSign(low.number, spec) ??
    wrongSign(high.number, spec);
  if (wrong !== undefined) return wrong;
  const lowValue = sharedSuffix(low.number, high.number, spec);
  const make = (a: number, b: number): ReadingValue => ({
    kind: 'range',
    low: Math.min(a, b),
    high: Math.max(a, b),
    unit: baseUnit(spec.quantity),
  });
  const highValue = high.number.value;
  if (lowValue < 0 && highValue > 0 && /^-[^-]*-\s*[\d.,]/.test(text)) {
    return askBetween(`"${text}": which range?`, [make(lowValue, -highValue), make(lowValue, highValue)]);
  }
  return askIfImplausible(make(lowValue, highValue), spec, undefined);
}

/** In `100-140k` or `34/35k` the first number takes the suffix of the second. */
function sharedSuffix(first: TypedNumber, second: TypedNumber, spec: ReadingSpec): number {
  if (!first.bare || second.factor === undefined) return first.value;
  return Number(((first.value / toBase(1, spec.unit)) * second.factor).toPrecision(14));
}

function parsePair(text: string, spec: ReadingSpec): ParsedReading {
  const tokens = text.includes('/')
    ? text.split('/')
    : text.replace(/([\d.,])\s+(?!ol|open|inf|over|short)(?=[a-zΩ%°])/gi, '$1').split(/[\s;]+/);
  const [left, right] = tokens.map((token) => token.trim().replace(/,$|~/g, ''));
  if (tokens.length !== 2 || !left || !right) {
    const labels = spec.pairLabels === undefined ? '' : ` (${spec.pairLabels.join(', ')})`;
    return refuse(`This check asks two values${labels}.`, spec);
  }
  const notes: string[] = [];
  const first = pairHalf(left, spec, notes);
  const second = pairHalf(right, spec, notes);
  if ('ok' in first) return first;
  if ('ok' in second) return second;
  const values = [sharedSuffix(first, second, spec), second.value] as const;
  const value: ReadingValue = { kind: 'pair', values, unit: baseUnit(spec.quantity) };
  return notes.length === 0 ? { ok: true, value } : { ok: true, value, note: notes.join('; ') };
}

function pairHalf(text: string, spec: ReadingSpec, notes: string[]): TypedNumber | ParsedReading {
  const fixed = (value: number): TypedNumber => ({
    value,
    bare: false,
    mark: undefined,
    factor: undefined,
    note: undefined,
  });
  if (spec.quantity === 'ohms' && OVER_RANGE.test(text)) {
    notes.push('open taken as 1 Gohm');
    return fixed(OPEN_OHMS);
  }
  if (spec.quantity === 'ohms' && SHORT.test(text)) {
    notes.push('short taken as 0 ohm');
    return fixed(0);
  }
  const number = parseNumber(text, spec.quantity, spec.unit);
  if (number.ok === false) return refuse(number.message, spec, number.hint);
  if (number.ok === 'ask')
    return refuse(`"${text}" could be two numbers: type it with its unit and no comma.`, spec);
  return wrongMark(number.number.mark, spec) ?? wrongSign(number.number, spec) ?? number.number;
}

function finishNumber(result: NumberResult, spec: ReadingSpec, unstable: boolean): ParsedReading {
  if (result.ok === false) return refuse(result.message, spec, result.hint);
  if (result.ok === 'ask') {
    return askBetween(
      result.message,
      result.numbers.map((number) => numberValue(number, spec, unstable)),
    );
  }
  const { number } = result;
  const wrong = wrongMark(number.mark, spec) ?? wrongSign(number, spec);
  if (wrong !== undefined) return wrong;
  const shifted = kilovoltsMeant(number, spec);
  const value = numberValue(shifted ?? number, spec, unstable);
  const note = shifted === undefined ? number.note : `read as ${formatValue(value)}`;
  return askIfImplausible(value, spec, note);
}

function numberValue(number: TypedNumber, spec: ReadingSpec, unstable: boolean): ReadingValue {
  const value = { kind: 'number', value: number.value, unit: baseUnit(spec.quantity), unstable } as const;
  return number.mark === undefined ? value : { ...value, mark: number.mark };
}

/** A bare 1000 or more where the card asks kV can only be volts: taken so, and said. */
function kilovoltsMeant(number: TypedNumber, spec: ReadingSpec): TypedNumber | undefined {
  if (spec.unit !== 'kV' || !number.bare || Math.abs(number.value) < 1e6) return undefined;
  return { ...number, value: fromBase(number.value, 'kV') };
}

/** AC where DC is asked (or the reverse) is a meter on the wrong range: never taken silently. */
function wrongMark(mark: Mark | undefined, spec: ReadingSpec): ParsedReading | undefined {
  if (mark === undefined) return undefined;
  const fits: Readonly<Record<Quantity, readonly Mark[]>> = {
    'dc-volts': ['dc'],
    'hv-volts': ['dc'],
    'ac-volts': ['ac'],
    'pp-volts': ['pp'],
    amps: ['ac', 'dc', 'pp'],
    ohms: [],
    watts: [],
    farads: [],
    henries: [],
    hertz: [],
    seconds: [],
    percent: [],
    count: [],
    celsius: [],
  };
  if (fits[spec.quantity].includes(mark)) return undefined;
  const typed = { ac: 'AC', dc: 'DC', pp: 'peak-to-peak' }[mark];
  const asked = {
    'dc-volts': 'DC volts',
    'hv-volts': 'DC volts',
    'ac-volts': 'AC volts',
    'pp-volts': 'volts peak-to-peak',
  };
  const name = spec.quantity in asked ? asked[spec.quantity as keyof typeof asked] : 'no AC or DC mark';
  return refuse(`You typed ${typed}; this check asks ${name}.`, spec, 'Switch the meter and read again.');
}

function wrongSign(number: TypedNumber, spec: ReadingSpec): ParsedReading | undefined {
  if (number.value >= 0 || !UNSIGNED.has(spec.quantity)) return undefined;
  return spec.quantity === 'ohms'
    ? refuse(
        'Ohms cannot be negative: there is still voltage there.',
        spec,
        'Discharge and prove it dead again, then read.',
      )
    : refuse('This reading cannot be negative.', spec);
}

function askBetween(message: string, values: readonly ReadingValue[]): ParsedReading {
  const [value] = values;
  if (value === undefined) return { ok: false, message };
  return {
    ok: 'ask',
    message,
    value,
    alternatives: values.map((each) => ({ label: formatValue(each), value: each })),
  };
}

/** How far outside the plausible range before the program asks. */
const FAR = 10;

function askIfImplausible(value: ReadingValue, spec: ReadingSpec, note: string | undefined): ParsedReading {
  const taken: ParsedReading = note === undefined ? { ok: true, value } : { ok: true, value, note };
  if (spec.plausible === undefined || (value.kind !== 'number' && value.kind !== 'range')) return taken;
  const low = toBase(spec.plausible[0], spec.unit);
  const high = toBase(spec.plausible[1], spec.unit);
  const number =
    value.kind === 'number'
      ? value.value
      : Math.abs(value.high) > Math.abs(value.low)
        ? value.high
        : value.low;
  const inside = (x: number) => x >= low && x <= high;
  const signSlip = !inside(number) && number !== 0 && inside(-number);
  if (!signSlip && !isFar(number, low, high)) return taken;
  const factors = signSlip ? [-1] : [1e-3, 1e3, 1e-6, 1e6, 0.1, 10, 0.01, 100];
  const meant = factors.filter((factor) => inside(number * factor)).slice(0, 3);
  const alternatives = [...meant, 1].map((factor) => {
    const scaled = scale(value, factor);
    return { label: factor === 1 ? `${formatValue(scaled)}, as typed` : formatValue(scaled), value: scaled };
  });
  const usual = `${formatNumber(low, baseUnit(spec.quantity))} to ${formatNumber(high, baseUnit(spec.quantity))}`;
  return {
    ok: 'ask',
    message: `${formatValue(value)}? Here one expects ${usual}. Did you mean:`,
    value,
    alternatives,
  };
}

/** Ten times or more outside; zero is always a possible reading. */
function isFar(number: number, low: number, high: number): boolean {
  if (number === 0 || (number >= low && number <= high)) return false;
  const size = Math.max(Math.abs(low), Math.abs(high));
  if (Math.abs(number) >= FAR * size) return true;
  return low > 0 && number > 0 && number <= low / FAR;
}

function scale(value: ReadingValue, factor: number): ReadingValue {
  const times = (x: number) => Number((x * factor).toPrecision(14));
  if (value.kind === 'number') return { ...value, value: times(value.value) };
  if (value.kind !== 'range') return value;
  const ends = [times(value.low), times(value.high)] as const;
  return { ...value, low: Math.min(...ends), high: Math.max(...ends) };
}
