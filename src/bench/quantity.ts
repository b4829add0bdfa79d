// Numbers as technicians type them (4k7, 100u, 15.5k, .047u, 4,7k) and the way back to readable text.

const PREFIXES: Readonly<Record<string, number>> = {
  p: 1e-12,
  n: 1e-9,
  u: 1e-6,
  m: 1e-3,
  k: 1e3,
  K: 1e3,
  M: 1e6,
  meg: 1e6,
  G: 1e9,
};

/** Spellings of units that may follow a number. */
const UNIT_NAMES: Readonly<Record<string, readonly string[]>> = {
  V: ['v', 'volt', 'volts'],
  A: ['a', 'amp', 'amps'],
  ohm: ['ohm', 'ohms', 'r'],
  F: ['f', 'farad', 'farads'],
  H: ['h', 'henry', 'henries'],
  Hz: ['hz', 'hertz'],
  s: ['s', 'sec', 'seconds'],
  W: ['w', 'watt', 'watts'],
  VA: ['va'],
  J: ['j', 'joule', 'joules'],
  C: ['c', 'celsius'],
  '%': ['%', 'percent'],
  min: ['min'],
  mm: ['mm'],
  dB: ['db'],
};

export type Parsed =
  | { readonly ok: true; readonly value: number }
  | { readonly ok: false; readonly why: string };

const NUMBER = /^([+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?)\s*(.*)$/i;
const INFIX = /^([+-]?\d+)(meg|[pnumkKMGRr])(\d+)(.*)$/;

/**
 * Reads one number in `unit`. Prefixes p n u m k M (also meg) G; a prefix may stand for the decimal point (4k7); the
 * decimal comma is understood; a unit may follow and must be the right one.
 * Examples: `4k7` -> 4700; `.047u` -> 4.7e-8; `15.5kV` in V -> 15500; `10V` in ohm -> refused.
 */
export function parseQuantity(text: string, unit: string): Parsed {
  const clean = text
    .trim()
    .replace(/[µμ]/g, 'u')
    .replace(/[Ωω]/g, 'ohm')
    .replace(/^([+-]?\d*),(\d+)/, '$1.$2');
  if (clean === '') return { ok: false, why: 'is empty' };
  const infix = INFIX.exec(clean);
  let digits: string;
  let rest: string;
  let factor = 1;
  if (infix) {
    const letter = infix[2] ?? '';
    if (/^r$/i.test(letter) && unit !== 'ohm')
      return { ok: false, why: `is in ${unitWords(unit)}; "${text}" is in ohm` };
    digits = `${infix[1]}.${infix[3]}`;
    rest = infix[4] ?? '';
    factor = PREFIXES[letter] ?? 1;
  } else {
    const plain = NUMBER.exec(clean);
    if (!plain)
      return {
        ok: false,
        why: `must be a number${unit === '' ? '' : ` in ${unitWords(unit)}`}, not "${text}"`,
      };
    digits = plain[1] ?? '';
    rest = plain[2] ?? '';
    // The whole rest may be a unit (`min`, `mm`); otherwise its first letters may be a prefix.
    if (rest !== '' && !isUnit(rest, unit)) {
      const prefix = Object.keys(PREFIXES)
        .filter((p) => rest.startsWith(p))
        .sort((a, b) => b.length - a.length)[0];
      if (prefix !== undefined) {
        factor = PREFIXES[prefix] ?? 1;
        rest = rest.slice(prefix.length);
      }
    }
  }
  rest = rest.trim();
  if (rest !== '' && !isUnit(rest, unit)) {
    return { ok: false, why: `must be a number in ${unitWords(unit)}, not "${text}"` };
  }
  const value = Number(digits) * factor;
  // Number() of "4.7" times 1000 leaves rounding dust; twelve digits are more than any meter has.
  return Number.isFinite(value)
    ? { ok: true, value: Number(value.toPrecision(12)) }
    : { ok: false, why: 'is too large' };
}

function isUnit(text: string, unit: string): boolean {
  return (UNIT_NAMES[unit] ?? []).includes(text.toLowerCase());
}

function unitWords(unit: string): string {
  return unit === '' ? 'plain digits' : unit;
}

const ENGINEERING: readonly (readonly [number, string])[] = [
  [1e9, 'G'],
  [1e6, 'M'],
  [1e3, 'k'],
  [1, ''],
  [1e-3, 'm'],
  [1e-6, 'u'],
  [1e-9, 'n'],
  [1e-12, 'p'],
];
const PREFIXED_UNITS = ['V', 'A', 'ohm', 'F', 'H', 'Hz', 's', 'W', 'VA', 'J'];

/** Value with an engineering prefix and its unit. Examples: 4700 ohm -> `4.7 kohm`; 4.7e-8 F -> `47 nF`; 12 % -> `12 %`. */
export function formatQuantity(value: number, unit: string, digits = 4): string {
  const trim = (x: number) => String(Number(x.toPrecision(digits)));
  if (value === 0 || !Number.isFinite(value) || !PREFIXED_UNITS.includes(unit))
    return `${trim(value)} ${unit}`.trim();
  const size = Number(Math.abs(value).toPrecision(digits));
  const [scale, prefix] = ENGINEERING.find(([s]) => size >= s) ?? [1e-12, 'p'];
  return `${trim(value / scale)} ${prefix}${unit}`;
}
