// Judges one answer to a gate. When in doubt (over range, wrong unit, a bound that does not settle it) the answer is: not proven.
import { WITHDRAWN } from '../session/fold.ts';
import type { ReadingValue, SessionEvent } from '../session/types.ts';
import { baseUnit, formatValue } from '../session/units.ts';
import type { Gate, GateLimit } from './gate.ts';

export interface GateVerdict {
  readonly pass: boolean;
  /** One line for the technician. */
  readonly say: string;
}

/** Least and greatest value that an answer may stand for, in base units; undefined if it is no number of this kind. */
function span(value: ReadingValue): readonly [number, number] | undefined {
  switch (value.kind) {
    case 'number':
      return [value.value, value.value];
    case 'range':
      return [value.low, value.high];
    case 'bound':
      return value.side === 'above'
        ? [value.value, Number.POSITIVE_INFINITY]
        : [Number.NEGATIVE_INFINITY, value.value];
    case 'over-range':
      return [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
    case 'short':
      return [0, 0];
    default:
      return undefined;
  }
}

/** A `<0.5` from a meter means 0 to 0.5, whatever the sign of the needle. */
function magnitudes(value: ReadingValue, low: number, high: number): readonly [number, number] {
  if (value.kind === 'bound' && value.side === 'below') return [0, Math.abs(value.value)];
  const ends = [Math.abs(low), Math.abs(high)] as const;
  const least = low <= 0 && high >= 0 ? 0 : Math.min(...ends);
  return [least, Math.max(...ends)];
}

/** Whether an answer lies within a limit, by magnitude and for all that it may stand for. */
export function meets(limit: GateLimit, value: ReadingValue): boolean {
  if (limit.kind === 'options') return value.kind === 'choice' && limit.pass.includes(value.option);
  const ends = span(value);
  if (ends === undefined) return false;
  const [least, greatest] = magnitudes(value, ...ends);
  if (limit.kind === 'below') return greatest < limit.value;
  if (limit.kind === 'above') return least > limit.value;
  return least >= limit.low && greatest <= limit.high;
}

function fitsUnit(gate: Gate, value: ReadingValue): boolean {
  if (!('unit' in value)) return true;
  if (value.unit !== baseUnit(gate.quantity)) return false;
  const mark = value.kind === 'number' ? value.mark : undefined;
  return mark === undefined || (gate.quantity === 'ac-volts' ? mark === 'ac' : mark === 'dc');
}

/** An answer as it is said back; a nameplate's volt-amperes stay such. */
export function answerWords(gate: Gate, value: ReadingValue): string {
  const text = formatValue(value, gate.options);
  return gate.unit === 'VA' ? text.replace(/W$/, 'VA') : text;
}

/** Does this answer meet the gate's limit? Numbers are compared by magnitude; the sign of a voltage is no excuse. */
export function judgeGate(gate: Gate, value: ReadingValue): GateVerdict {
  if (value.kind === 'choice' && value.option === WITHDRAWN) {
    return { pass: false, say: 'Taken back: answer it again.' };
  }
  const voltsOverRange = value.kind === 'short' && gate.quantity !== 'ohms';
  if (!voltsOverRange && fitsUnit(gate, value) && meets(gate.limit, value)) {
    return { pass: true, say: `${gate.title}: ${answerWords(gate, value)}.` };
  }
  const option = value.kind === 'choice' ? gate.options.find((each) => each.id === value.option) : undefined;
  const why = option?.say || gate.otherwise;
  return {
    pass: false,
    say: gate.kind === 'choice' ? why : `${answerWords(gate, value)}; wanted ${gate.limitText}. ${why}`,
  };
}

/** Events that follow from a passed answer and must be recorded with it, so that configuration and links are true. */
export function followUps(gate: Gate, value: ReadingValue): readonly SessionEvent[] {
  if (!judgeGate(gate, value).pass || value.kind !== 'choice') return [];
  if (gate.id === 'horizontal-disabled') {
    return [
      { type: 'configured', item: 'horizontal', value: 'disabled' },
      { type: 'configured', item: 'horizontal-method', value: value.option },
    ];
  }
  return gate.id === 'eht-link' ? [{ type: 'link-fitted', what: EHT_LINK }] : [];
}

/** Name of the link that stays on a line-frequency HV supply while it is worked on. */
export const EHT_LINK = 'link across the line-frequency HV';

/** A nominal passing answer: for published cases without safety readings and for simulated sets, never for a bench session. */
export function passingAnswer(gate: Gate): ReadingValue {
  const unit = baseUnit(gate.quantity);
  switch (gate.limit.kind) {
    case 'options':
      return { kind: 'choice', option: gate.limit.pass[0] ?? '' };
    case 'below':
      return { kind: 'number', value: gate.limit.value * 0.1, unit, unstable: false };
    case 'above':
      return { kind: 'number', value: gate.limit.value * 4, unit, unstable: false };
    case 'within':
      return { kind: 'number', value: (gate.limit.low + gate.limit.high) / 2, unit, unstable: false };
  }
}
