// One typed number with prefix, unit and kind mark: `4k7`, `15.5kv`, `.047`, `8.3ac`, `0,5 mA`. Knows nothing of checks' bands.
import type { Quantity } from '../rulebook/types.ts';
import { baseUnit, QUANTITY_WORDS, toBase, UNIT_WORDS } from './units.ts';

export type Mark = 'ac' | 'dc' | 'pp';

/** A number as typed, in the base unit; `bare` = neither prefix nor unit was typed. */
export interface TypedNumber {
  readonly value: number;
  readonly bare: boolean;
  readonly mark: Mark | undefined;
  /** What the typed suffix multiplies by; undefined when bare. */
  readonly factor: number | undefined;
  readonly note: string | undefined;
}

export type NumberResult =
  | { readonly ok: true; readonly number: TypedNumber }
  | { readonly ok: false; readonly message: string; readonly hint?: string }
  /** Two honest readings of what was typed. */
  | { readonly ok: 'ask'; readonly message: string; readonly numbers: readonly [TypedNumber, TypedNumber] };

/** Unit words in lower case -> base unit and factor. `mfd` and `mmfd` are the old words for micro- and picofarads. */
const UNIT_WORD: Readonly<Record<string, { readonly base: string; readonly factor: number }>> = {
  v: { base: 'V', factor: 1 },
  volt: { base: 'V', factor: 1 },
  volts: { base: 'V', factor: 1 },
  ohm: { base: 'ohm', factor: 1 },
  // The o of kilo falls away before ohm, as the a of mega does.
  kilohm: { base: 'ohm', factor: 1e3 },
  kilohms: { base: 'ohm', factor: 1e3 },
  ohms: { base: 'ohm', factor: 1 },
  ω: { base: 'ohm', factor: 1 },
  r: { base: 'ohm', factor: 1 },
  a: { base: 'A', factor: 1 },
  amp: { base: 'A', factor: 1 },
  amps: { base: 'A', factor: 1 },
  ampere: { base: 'A', factor: 1 },
  amperes: { base: 'A', factor: 1 },
  w: { base: 'W', factor: 1 },
  watt: { base: 'W', factor: 1 },
  watts: { base: 'W', factor: 1 },
  va: { base: 'W', factor: 1 },
  f: { base: 'F', factor: 1 },
  farad: { base: 'F', factor: 1 },
  farads: { base: 'F', factor: 1 },
  fd: { base: 'F', factor: 1 },
  mfd: { base: 'F', factor: 1e-6 },
  mf: { base: 'F', factor: 1e-6 },
  mmfd: { base: 'F', factor: 1e-12 },
  mmf: { base: 'F', factor: 1e-12 },
  h: { base: 'H', factor: 1 },
  hy: { base: 'H', factor: 1 },
  henry: { base: 'H', factor: 1 },
  henrys: { base: 'H', factor: 1 },
  henries: { base: 'H', factor: 1 },
  hz: { base: 'Hz', factor: 1 },
  hertz: { base: 'Hz', factor: 1 },
  // What hertz was called while these sets were made.
  cycles: { base: 'Hz', factor: 1 },
  cps: { base: 'Hz', factor: 1 },
  s: { base: 's', factor: 1 },
  sec: { base: 's', factor: 1 },
  secs: { base: 's', factor: 1 },
  second: { base: 's', factor: 1 },
  seconds: { base: 's', factor: 1 },
  min: { base: 's', factor: 60 },
  mins: { base: 's', factor: 60 },
  minute: { base: 's', factor: 60 },
  minutes: { base: 's', factor: 60 },
  '%': { base: '%', factor: 1 },
  percent: { base: '%', factor: 1 },
  c: { base: 'C', factor: 1 },
  '°c': { base: 'C', factor: 1 },
  deg: { base: 'C', factor: 1 },
  degree: { base: 'C', factor: 1 },
  degrees: { base: 'C', factor: 1 },
  degreesc: { base: 'C', factor: 1 },
  celsius: { base: 'C', factor: 1 },
  degreescelsius: { base: 'C', factor: 1 },
};

/** Longest first, so that `mfd` is not read as milli-`fd`. */
const UNIT_WORDS_BY_LENGTH: readonly string[] = [...Object.keys(UNIT_WORD), ''].sort(
  (a, b) => b.length - a.length,
);

const PREFIX: Readonly<Record<string, number>> = {
  p: 1e-12,
  n: 1e-9,
  u: 1e-6,
  k: 1e3,
  g: 1e9,
  meg: 1e6,
  megs: 1e6,
  pico: 1e-12,
  nano: 1e-9,
  micro: 1e-6,
  milli: 1e-3,
  kilo: 1e3,
  mega: 1e6,
  giga: 1e9,
};

/** One way to read a suffix. */
interface Suffix {
  readonly factor: number;
  readonly base: string | undefined;
  readonly mark: Mark | undefined;
  /** Small `m` where mega- is likelier: both are offered. */
  readonly doubtfulM: boolean;
}

const MARKS: readonly (readonly [string, Mark | undefined])[] = [
  ['', undefined],
  ['ac', 'ac'],
  ['rms', 'ac'],
  ['dc', 'dc'],
  ['pp', 'pp'],
  ['peaktopeak', 'pp'],
];

/** Every way to read a suffix such as `kv`, `ma`, `vac`, `pp`, `M`. */
function suffixes(text: string, base: string): readonly Suffix[] {
  const found: Suffix[] = [];
  for (const [markText, mark] of MARKS) {
    if (!text.toLowerCase().endsWith(markText)) continue;
    const rest = text.slice(0, text.length - markText.length);
    for (const unit of UNIT_WORDS_BY_LENGTH) {
      if (!rest.toLowerCase().endsWith(unit)) continue;
      const prefix = rest.slice(0, rest.length - unit.length);
      const word = unit === '' ? undefined : UNIT_WORD[unit];
      const factor = prefixFactor(prefix, word?.base ?? base);
      if (factor === undefined) continue;
      found.push({
        factor: factor.value * (word?.factor ?? 1),
        base: word?.base,
        mark,
        doubtfulM: factor.doubtful,
      });
    }
  }
  return found;
}

/** `m` is milli and `M` mega, except where only one of them exists in this trade: no megamperes, no millihertz. */
function prefixFactor(
  prefix: string,
  base: string,
): { readonly value: number; readonly doubtful: boolean } | undefined {
  if (prefix === '') return { value: 1, doubtful: false };
  if (prefix === 'm' || prefix === 'M') {
    if (base === 'Hz') return { value: 1e6, doubtful: false };
    if (base === 'ohm') return { value: 1e6, doubtful: prefix === 'm' };
    if (base === 'V') return { value: prefix === 'M' ? 1e6 : 1e-3, doubtful: false };
    return { value: 1e-3, doubtful: false };
  }
  const value = PREFIX[prefix.toLowerCase()];
  return value === undefined ? undefined : { value, doubtful: false };
}

/** Digits with decimal point or comma -> one number, or two when `15,500` could be either. */
function plainNumber(text: string): readonly number[] | undefined {
  if (/^\d+$|^\d+\.\d*$|^\.\d+$/.test(text)) return [Number(text)];
  if (/^[1-9]\d{0,2},\d{3}$/.test(text))
    return [Number(text.replace(',', '')), Number(text.replace(',', '.'))];
  if (/^\d*,\d+$|^\d+,$/.test(text)) return [Number(text.replace(',', '.'))];
  if (/^\d{1,3}(,\d{3})+(\.\d*)?$/.test(text)) return [Number(text.replaceAll(',', ''))];
  if (/^\d{1,3}(\.\d{3})+,\d*$/.test(text)) return [Number(text.replaceAll('.', '').replace(',', '.'))];
  return undefined;
}

const SHAPE = /^([+-]?)((?:\d|[.,](?=\d|[^.,]|$))+)\s*([^\d\s.,+-][^\d]*)?(\d+)?(.*)$/u;

/**
 * Reads one number for a quantity; a missing unit is the check's own (`unit`, e.g. `kV`, `uF`).
 * `4k7` is 4.7 k; `.047` is 0.047; `0,5` is 0.5; `15,500` asks. A unit of another kind is refused.
 */
export function parseNumber(text: string, quantity: Quantity, unit: string): NumberResult {
  const base = baseUnit(quantity);
  const match = SHAPE.exec(text);
  if (match === null) return { ok: false, message: `"${text}" is not a number.` };
  const [, sign = '', whole = '', suffixText = '', after = '', rest = ''] = match;
  const negative = sign === '-' ? -1 : 1;
  const letters = (suffixText + (after === '' ? '' : rest))
    .normalize('NFD')
    // `milli-amps`, `per cent`, `ampères`.
    .replace(/\p{M}|\s|(?<=\p{L})-(?=\p{L})/gu, '');
  const plain = plainNumber(after === '' ? whole : `${whole}.${after}`);
  const interior = after !== '' && !/^\d+$/.test(whole);
  if (plain === undefined || interior || (after === '' && rest.trim() !== '')) {
    return { ok: false, message: `"${text}" is not a number that I can read.` };
  }
  if (after !== '' && !/^(k|m|meg|g|r|u|n|p|v)$/i.test(suffixText.trim())) {
    return { ok: false, message: `"${text}" is not a number that I can read.` };
  }
  const suffix = chooseSuffix(letters, base);
  if ('message' in suffix)
    return suffix.base === undefined ? unknownUnit(letters) : wrongUnit(suffix.base, quantity);
  const scale = letters === '' || isMark(letters) ? toBase(1, unit) : suffix.factor;
  const make = (number: number, factor: number): TypedNumber => ({
    value: negative * tidy(number * factor),
    bare: letters === '' || isMark(letters),
    mark: suffix.mark,
    factor: letters === '' || isMark(letters) ? undefined : factor,
    note: /^mf$/i.test(letters) ? 'mf read as microfarads' : undefined,
  });
  const [first = 0, second] = plain;
  if (second !== undefined) {
    return {
      ok: 'ask',
      message: `"${text}": is the comma a decimal comma?`,
      numbers: [make(first, scale), make(second, scale)],
    };
  }
  if (suffix.doubtfulM) {
    return {
      ok: 'ask',
      message: `"${text}": m is milli, M is mega. Which?`,
      numbers: [make(first, suffix.factor), make(first, suffix.factor * 1e-9)],
    };
  }
  return { ok: true, number: make(first, scale) };
}

/** Removes the last-bit noise of a decimal number times a power of ten: 4.7 * 1e-6 -> 4.7e-6. */
function tidy(value: number): number {
  return Number(value.toPrecision(14));
}

function isMark(letters: string): boolean {
  return MARKS.some(([text]) => text !== '' && text === letters.toLowerCase());
}

/** The reading of a suffix that fits the quantity; else the one that shows what kind of unit was typed. */
function chooseSuffix(
  letters: string,
  base: string,
): Suffix | { readonly message: true; readonly base: string | undefined } {
  const ways = suffixes(letters, base);
  const fitting = ways.find((way) => way.base === base) ?? ways.find((way) => way.base === undefined);
  if (fitting !== undefined) return fitting;
  return { message: true, base: ways[0]?.base };
}

function unknownUnit(letters: string): NumberResult {
  return { ok: false, message: `"${letters}" is not a unit that I know.` };
}

function wrongUnit(typed: string, quantity: Quantity): NumberResult {
  return {
    ok: false,
    message: `This check asks ${QUANTITY_WORDS[quantity]}; you typed ${UNIT_WORDS[typed] ?? typed}.`,
    hint: 'Look at the meter range, or at which check is on the screen.',
  };
}
