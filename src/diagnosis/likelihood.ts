// What one reading says about each state of what it reads: a smooth likelihood that allows for slips of the pencil.
import { LEVELS, type Read } from '../rulebook/types.ts';
import {
  type Domain,
  density,
  domainOf,
  edgeSoftness,
  massAbove,
  uniform,
  uniformAbove,
} from './likelihood-bands.ts';
import type { Evidence, Expected, JudgedReading } from './types.ts';

/** Shares of the mixture: the reading as it stands, ten times too large, a tenth, anything at all, the sign left out, AC for DC. */
export const SHARES = {
  core: 0.98,
  timesTen: 0.005,
  tenth: 0.005,
  uniform: 0.01,
  sign: 0.002,
  wrongRange: 0.008,
} as const;
/** No state is ever held less likely than this share of the best: one reading moves odds by 100 at most. */
export const LIKELIHOOD_FLOOR = 0.01;
/** The same for a value that was measured again and found the same: what is left is a wrong point, or a meter that lies both times. Judgement. */
const FLOOR_TWICE = 0.002;
/** Slips that happen twice the same way, as a share of those that happen once. Judgement. */
const SLIPS_TWICE = 0.2;
/** An option that a table does not name. */
const MISSING_OPTION = 0.01;
/** An unsteady needle widens the spread by this. */
const UNSTEADY = 1.5;
/** A moving-coil or average-responding meter on AC shows steady volts 2.22 times too high if nothing blocks them (full-wave scale on half-wave: 2 x 1.11; common practice, no source); with a blocking capacitor it shows none. */
const AC_ON_DC = 2.22;
/** Share of meters that block steady volts on AC; most digital ones do, the cheapest rectify them. Judgement, no source. */
const BLOCKED = 0.7;
/** Below this share of what is expected a voltage counts as none at all. */
const NOTHING = 0.03;
/** A limit counts up to so many edge widths beyond the outermost edge, and e-folds: half of what an open band reaches. */
const EDGES_BEYOND = 3;
const MOST_BEYOND = 1.25;

type Terms = Evidence['terms'];

/** What was read, in the domain of the scale: points (averaged), or everything above or below one. */
type Observed =
  | { readonly kind: 'points'; readonly xs: readonly number[]; readonly flipped: readonly number[] }
  | { readonly kind: 'above' | 'below'; readonly x: number };

/**
 * Evidence of one reading, one entry for each thing it reads. Likelihoods are scaled so that the best state has 1 and
 * the worst no less than 0.01 (0.002 where it was measured again and found the same). A reading that a scale cannot judge (a ratio without an expected value, a choice on a
 * number) gives no evidence.
 *
 * Bands are plateaus with Gaussian edges of width s, s^2 = spread of the bands^2 + spread of the expected value^2 + error
 * of the meter^2 (relative, except on the `difference` scale, in its unit). On `ratio`, a value whose sign is not the
 * expected one lies beyond zero and counts as none; that the sign was only left out is one of the slips.
 *
 * Example: expected 260 V, normal 0.8 to 1.2, low 0.3 to 0.8, spread 0.1. 255 V: normal 1, low about 0.04. 208 V, on the
 * edge: normal 1, low about 0.41 (the bands' widths differ in the logarithm), nothing jumps.
 */
export function evidenceOf(reading: JudgedReading): Evidence[] {
  if (isTooSmall(reading) || reading.early !== undefined) return [];
  return reading.check.reads.flatMap((read) => {
    const variable = read.part ? `part:${read.part}` : `signal:${read.signal ?? ''}`;
    const states = statesRead(read);
    const once =
      read.scale === 'choice' ? choiceTerms(reading, read, states) : numberTerms(reading, read, states);
    if (!once) return [];
    const terms = reading.twice ? fewerSlips(once) : once;
    const mixed = mixture(terms);
    return [
      {
        seq: reading.seq,
        check: reading.check.id,
        method: reading.check.method,
        variable,
        likelihood: floored(mixed, reading.twice ? FLOOR_TWICE : LIKELIHOOD_FLOOR),
        scale: Math.max(...mixed),
        ...(reading.instrument ? { instrument: reading.instrument } : {}),
        ...(read.part ? { states } : {}),
        terms,
      },
    ];
  });
}

/** Whether both values of a pair are so small that nothing arrives there: two dead halves are not two equal ones. */
export function isTooSmall({ check, value }: JudgedReading): boolean {
  if (value.kind !== 'pair' || check.combine !== 'ratio') return false;
  const largest = Math.max(...value.values.map(Math.abs));
  return largest === 0 || largest < (check.pairLeast ?? 0);
}

/** States that a read speaks of: all levels of a signal, or `ok` and the faults that the read names. */
export function statesRead(read: Read): readonly string[] {
  if (!read.part) return LEVELS;
  const named = new Set([...Object.keys(read.bands), ...Object.keys(read.table)]);
  named.delete('ok');
  return ['ok', ...named];
}

/** Weighted sum of the mixture's terms per state, not floored. */
export function mixture(terms: Terms): number[] {
  return terms.core.map(
    (core, i) =>
      SHARES.core * core +
      SHARES.timesTen * (terms.timesTen[i] ?? 0) +
      SHARES.tenth * (terms.tenth[i] ?? 0) +
      SHARES.uniform * (terms.uniform[i] ?? 0) +
      SHARES.sign * (terms.sign[i] ?? 0) +
      SHARES.wrongRange * (terms.wrongRange[i] ?? 0),
  );
}

/** The terms with their slips made rarer. */
function fewerSlips(terms: Terms): Terms {
  const rarer = (values: readonly number[]): number[] => values.map((v) => SLIPS_TWICE * v);
  return {
    core: terms.core,
    timesTen: rarer(terms.timesTen),
    tenth: rarer(terms.tenth),
    sign: rarer(terms.sign),
    wrongRange: rarer(terms.wrongRange),
    uniform: rarer(terms.uniform),
  };
}

/** Scaled so that the best is 1; none less than `floor`. */
export function floored(values: readonly number[], floor = LIKELIHOOD_FLOOR): number[] {
  const best = Math.max(...values);
  return values.map((v) => (best > 0 ? Math.max(v / best, floor) : 1));
}

/** Probability of each option under each state, rows normalised; `undefined` state rows are flat. */
export function optionTable(
  options: readonly string[],
  read: Read,
  states: readonly string[],
): readonly (readonly number[])[] {
  return states.map((state) => {
    const row = read.table[state];
    if (!row) return options.map(() => 1 / options.length);
    const values = options.map((o) => row[o] ?? MISSING_OPTION);
    const total = values.reduce((a, b) => a + b, 0);
    return values.map((v) => (total > 0 ? v / total : 1 / options.length));
  });
}

function choiceTerms(
  { check, value }: JudgedReading,
  read: Read,
  states: readonly string[],
): Terms | undefined {
  if (value.kind !== 'choice') return undefined;
  const options = check.options.map((o) => o.id);
  const at = options.indexOf(value.option);
  if (at < 0) return undefined;
  const none = states.map(() => 0);
  return {
    core: optionTable(options, read, states).map((row) => row[at] ?? 0),
    timesTen: none,
    tenth: none,
    sign: none,
    wrongRange: none,
    // A slip of the finger: any option. The share of the slips that a choice cannot have goes here too.
    uniform: states.map(() => 2 / options.length),
  };
}

function numberTerms(reading: JudgedReading, read: Read, states: readonly string[]): Terms | undefined {
  const domain = domainOf(read);
  const observed = observe(reading, read, domain);
  if (!observed) return undefined;
  const s = softness(read, reading.expected, reading.meterSpread, reading);
  const shift = Math.log(10);
  const none = states.map(() => 0);
  if (observed.kind !== 'points') {
    const { x, kind } = observed;
    // Well beyond the outermost edge a limit says no more than there: over 2000 Mohm is as good as over 100, not ten times of anything.
    const reach = Math.min(EDGES_BEYOND * s, MOST_BEYOND);
    const beyond = (state: string, x: number): number => {
      const at =
        kind === 'above' ? Math.min(x, domain.topEdge + reach) : Math.max(x, domain.bottomEdge - reach);
      const above = massAbove(domain, state, at, s);
      return kind === 'above' ? above : 1 - above;
    };
    const scaled = (factor: number): number => (domain.kind === 'log' ? x + Math.log(factor) : x * factor);
    const any = kind === 'above' ? uniformAbove(domain, x) : 1 - uniformAbove(domain, x);
    return {
      core: states.map((state) => beyond(knownAs(read, state), x)),
      timesTen: states.map((state) => beyond(knownAs(read, state), scaled(0.1))),
      tenth: states.map((state) => beyond(knownAs(read, state), scaled(10))),
      sign: none,
      wrongRange: none,
      uniform: states.map(() => any),
    };
  }
  const mean = (state: string, move: (x: number) => number, jacobian: number, xs = observed.xs): number =>
    (jacobian * xs.reduce((sum, x) => sum + density(domain, knownAs(read, state), move(x), s), 0)) /
    Math.max(1, xs.length);
  const log = domain.kind === 'log';
  return {
    core: states.map((q) => mean(q, (x) => x, 1)),
    timesTen: states.map((q) => (log ? mean(q, (x) => x - shift, 1) : mean(q, (x) => x / 10, 0.1))),
    tenth: states.map((q) => (log ? mean(q, (x) => x + shift, 1) : mean(q, (x) => x * 10, 10))),
    sign: observed.flipped.length > 0 ? states.map((q) => mean(q, (x) => x, 1, observed.flipped)) : none,
    wrongRange: wrongRangeOf(reading, read, states, observed.xs, domain, (q, shift) =>
      mean(q, (x) => x - shift, 1),
    ),
    uniform: states.map(() => uniform(domain)),
  };
}

/** The meter on AC at a DC point, or on DC at an AC point: none at all whatever is there, or (AC at DC, not blocked) 2.22 times too much. */
function wrongRangeOf(
  { check }: JudgedReading,
  read: Read,
  states: readonly string[],
  xs: readonly number[],
  domain: Domain,
  shifted: (state: string, shift: number) => number,
): number[] {
  const direct = check.quantity === 'dc-volts';
  if (read.scale !== 'ratio' || check.kind !== 'number' || !(direct || check.quantity === 'ac-volts'))
    return states.map(() => 0);
  const none = xs.every((x) => x <= Math.log(NOTHING)) ? 1 / (Math.log(NOTHING) - Math.log(domain.floor)) : 0;
  return states.map((q) => (direct ? BLOCKED * none + (1 - BLOCKED) * shifted(q, Math.log(AC_ON_DC)) : none));
}

/** A fault that the bands do not name behaves as `ok`. */
function knownAs(read: Read, state: string): string {
  return read.part && !read.bands[state] ? 'ok' : state;
}

/** Softness of the band edges for one reading, or for one still to be taken. */
export function softness(
  read: Read,
  expected: Expected | undefined,
  meterSpread: number,
  reading?: JudgedReading,
): number {
  const domain = domainOf(read);
  const unsteady = reading?.value.kind === 'number' && reading.value.unstable ? UNSTEADY : 1;
  if (domain.kind === 'linear') {
    const size = Math.abs(reading ? (plainValues(reading, read)[0] ?? 0) : 0);
    return edgeSoftness(domain, unsteady * (read.spread + meterSpread * size));
  }
  const reference = read.scale === 'ratio' ? (expected?.spread ?? 0) : 0;
  return edgeSoftness(domain, unsteady * Math.hypot(read.spread, reference, meterSpread));
}

/** Typed values as plain numbers in base units; a pair is combined as its check says. */
function plainValues({ check, value }: JudgedReading, read: Read): readonly number[] {
  switch (value.kind) {
    case 'number':
    case 'bound':
      return [value.value];
    case 'range':
      return [value.low, (value.low + value.high) / 2, value.high];
    case 'short':
      return [0];
    case 'pair': {
      const [a, b] = value.values;
      if (read.scale === 'difference' || check.combine === 'difference') return [a - b];
      return [b === 0 ? Number.MAX_VALUE : a / b];
    }
    default:
      return [];
  }
}

function observe(reading: JudgedReading, read: Read, domain: Domain): Observed | undefined {
  const { value, expected } = reading;
  if (value.kind === 'choice') return undefined;
  if (read.scale === 'ratio' && !expected?.value) return undefined;
  if (value.kind === 'over-range') return { kind: 'above', x: domain.topEdge };
  const reference = read.scale === 'ratio' ? (expected?.value ?? 1) : 1;
  const lowest = Math.log(domain.floor);
  const place = (v: number): number => {
    if (domain.kind === 'linear') return v;
    const size = Math.abs(v / reference);
    // The wrong sign on a ratio lies beyond zero: nothing of what was expected is there.
    return size <= domain.floor || (read.scale === 'ratio' && v / reference < 0) ? lowest : Math.log(size);
  };
  const values = plainValues(reading, read);
  if (values.length === 0 || values.some((v) => !Number.isFinite(v))) return undefined;
  if (value.kind === 'bound') return { kind: value.side, x: place(value.value) };
  const flipped = read.scale === 'ratio' ? values.filter((v) => v / reference < 0).map((v) => place(-v)) : [];
  return { kind: 'points', xs: values.map(place), flipped };
}
