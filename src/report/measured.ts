// Each reading beside what it should have been: value, expected, ratio, judgement, and whether it is still believed.
import type { JudgedReading } from '../diagnosis/types.ts';
import type { Check, Rulebook } from '../rulebook/types.ts';
import { baseUnit, formatNumber, formatValue } from '../session/index.ts';
import type { LoggedReading } from '../session/types.ts';
import { isStale, retiredBy } from '../walk/beliefs.ts';
import { judgeReading } from '../walk/judge.ts';
import type { ReportView } from './input.ts';
import { type GaugeScale, normalBand, scaleOf } from './scale.ts';
import { timeWords, typedText } from './text.ts';

export interface Measured {
  readonly seq: number;
  readonly at: string;
  readonly check: string;
  readonly title: string;
  readonly raw: string;
  readonly value: string;
  /** True for a measured number, false for a look, a sound or a choice. */
  readonly figure: boolean;
  readonly expected: string;
  /** Where the expected value comes from: formula, table or printed value; empty where the rules give a plain band. */
  readonly from: string;
  /** Measured / expected, where that makes sense. */
  readonly ratio: number | undefined;
  /** The reading against its normal band, for a gauge. */
  readonly scale: GaugeScale | undefined;
  readonly standing: 'good' | 'watch' | 'bad' | 'noted';
  readonly say: string;
  readonly lineVolts: string;
  readonly instrument: string;
  readonly supply: string;
  readonly note: string;
  readonly corrections: readonly string[];
  /** False for a reading taken before a repair that bears on it. */
  readonly believed: boolean;
}

/** Options named as what a reading should be. */
const MOST_OPTIONS = 3;

const SUPPLY_WORDS = {
  unknown: 'not proven dead',
  unplugged: 'unplugged',
  discharged: 'S0, discharged',
  'isolated-limited': 'S1, isolated, on the lamp',
  'isolated-full': 'S2, isolated, full line',
} as const;

/** All readings of a session in the order taken. `say` puts program text into the wanted terms. */
export function measuredOf(
  view: ReportView,
  rulebook: Rulebook,
  say: (text: string) => string,
): readonly Measured[] {
  const retired = retiredBy(rulebook, view.state);
  const judged = new Map(view.judged.map((reading) => [reading.seq, reading]));
  const checks = new Map(rulebook.checks.map((check) => [check.id, check]));
  const instruments = new Map(rulebook.instruments.map((entry) => [entry.id, entry.title]));
  return view.state.readings.map((reading) => {
    const taken = judged.get(reading.seq);
    // What was expected of it then stands, whatever a repair has changed since.
    const believed = taken && !isStale(rulebook, taken, retired) ? taken : undefined;
    const check = taken?.check ?? checks.get(reading.check);
    const judgement = believed && judgeReading(rulebook, believed);
    const read = check?.reads[0];
    return {
      ...described(reading, check, say),
      expected: say(expectedWords(taken, check)),
      from: say((taken?.expected?.reasons ?? []).join('; ')),
      ratio: read?.scale === 'ratio' || read === undefined ? judgement?.ratio : undefined,
      scale: believed && scaleOf(believed, judgement?.ratio),
      standing: judgement?.standing ?? 'noted',
      say: say(
        judgement?.say ??
          (check ? notBelieved(view, reading.seq) : 'Of another rule base: kept, not judged.'),
      ),
      // A look, a smell or a sound is taken without one.
      instrument:
        check?.kind === 'choice' && check.needs.length === 0
          ? ''
          : say(instruments.get(reading.context.instrument) ?? typedText(reading.context.instrument)),
      believed: believed !== undefined,
    };
  });
}

/** Why a reading is in the record and yet counts for nothing. */
function notBelieved(view: ReportView, seq: number): string {
  return view.state.repairs.some((repair) => repair.seq > seq)
    ? 'Taken before a repair that bears on it: kept, no longer believed.'
    : 'The record does not bear out that it could be taken: kept, no longer believed.';
}

function described(reading: LoggedReading, check: Check | undefined, say: (text: string) => string) {
  return {
    seq: reading.seq,
    at: timeWords(reading.at),
    check: reading.check,
    title: say(check?.title ?? typedText(reading.check)),
    raw: typedText(reading.raw),
    value:
      reading.value.kind === 'choice'
        ? say(formatValue(reading.value, check?.options))
        : formatValue(reading.value),
    figure: reading.value.kind !== 'choice',
    lineVolts: reading.context.lineVolts > 0 ? `${formatNumber(reading.context.lineVolts, 'V')}` : 'not live',
    supply: say(SUPPLY_WORDS[reading.context.supply]),
    note: typedText(reading.note),
    corrections: reading.corrections.map(typedText),
  };
}

/** What the reading should be: the computed value, else the normal band or the usual option of what it reads, else nothing. */
function expectedWords(reading: JudgedReading | undefined, check: Check | undefined): string {
  const expected = reading?.expected;
  // Three figures are more than such a value deserves already.
  if (expected && check) {
    const unit = check.kind === 'pair' && check.combine === 'ratio' ? '' : baseUnit(check.quantity);
    return `about ${formatNumber(Number(expected.value.toPrecision(3)), unit)}`;
  }
  const read = check?.reads[0];
  // Bands of a ratio are no values: without what it is relative to there is nothing to say.
  if (!check || !read || (read.scale === 'ratio' && check.combine !== 'ratio')) return '';
  if (read.scale === 'choice') return usualOptions(check);
  const band = normalBand(read);
  if (!band) return '';
  const [low, high] = band;
  const unit = read.scale === 'balance' ? '' : unitOf(reading, check);
  if (low !== null && high !== null) {
    const span = spanOf(low, high, unit);
    return read.scale === 'balance' ? `one ${span} times the other` : span;
  }
  if (low !== null) return `over ${formatNumber(low, unit)}`;
  return high === null ? '' : `under ${formatNumber(high, unit)}`;
}

/** `60 ohm to 1.2 kohm` rather than `0.06 to 1.2 kohm`: each end as it would be read off a meter. */
function spanOf(low: number, high: number, unit: string): string {
  const [first, last] = [formatNumber(low, unit), formatNumber(high, unit)];
  const unitWord = (text: string) => text.split(' ')[1] ?? '';
  return unitWord(first) === unitWord(last)
    ? formatValue({ kind: 'range', low, high, unit })
    : `${first} to ${last}`;
}

/** The options that a set in order gives: the usual one, and any other at least half as common. */
function usualOptions(check: Check): string {
  const chances = Object.entries(check.reads[0]?.table.normal ?? check.reads[0]?.table.ok ?? {});
  const most = Math.max(...chances.map(([, chance]) => chance));
  return chances
    .filter(([, chance]) => chance >= most / 2)
    .toSorted((a, b) => b[1] - a[1])
    .flatMap(([option]) => check.options.find((entry) => entry.id === option)?.title ?? [])
    .slice(0, MOST_OPTIONS)
    .join('; or ');
}

function unitOf(reading: JudgedReading | undefined, check: Check): string {
  const value = reading?.value;
  return value && 'unit' in value ? value.unit : check.unit;
}
