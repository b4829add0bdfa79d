// What intake says of an answer while it is typed: figures that the tables have, a type that they lack, a number that is odd.
import { nearTypes, registeredType } from '../../rulebook/registered.ts';
import type { Rulebook, TubeData } from '../../rulebook/types.ts';
import { clean } from '../text.ts';
import { type Draft, type IntakeField, numberTyped } from './intake-fields.ts';

/** Watts on the label below which it is no television set of this kind, and above which a digit is too many (common practice, no source). */
const USUAL_WATTS = [80, 450] as const;
/** Line volts beside the label's beyond which the set is on the wrong line. */
const WRONG_LINE = 1.25;

export interface Remark {
  readonly text: string;
  readonly odd: boolean;
}

/** What is known of an answer while it is typed, or what is odd about it; it is taken all the same. `undefined` = nothing to say. */
export function remarkOn(
  book: Rulebook,
  field: IntakeField,
  typed: string,
  { facts }: Draft,
): Remark | undefined {
  const value = clean(typed).trim();
  if (value === '') return undefined;
  const [kind] = field.id.split(':');
  if (kind === 'picture-tube' || kind === 'tube') {
    const tubes = kind === 'tube' ? book.tubes : book.pictureTubes;
    const known = registeredType(tubes, value);
    if (known) return { text: `${known.type}: ${figuresOf(known)}`, odd: false };
    const near = nearTypes(tubes, value);
    const meant = near.length > 0 ? ` Near: ${near.join(', ')}.` : '';
    return { text: `Not in the tables: taken as typed, without figures of its own.${meant}`, odd: true };
  }
  const number = numberTyped(value, field.unit);
  if (!Number.isFinite(number)) return undefined;
  const [least, most] = USUAL_WATTS;
  if (kind === 'rated-watts' && number > 0 && (number < least || number > most))
    return { text: `Sets take ${least} to ${most} W: is this the input, in watts?`, odd: true };
  const other = kind === 'line-volts' ? facts.ratedVolts : facts.lineVolts;
  const apart = Math.max(number / other, other / number);
  if ((kind === 'line-volts' || kind === 'rated-volts') && apart > WRONG_LINE)
    return {
      text: 'Line and label are far apart: not without a transformer for its own voltage.',
      odd: true,
    };
  return undefined;
}

function figuresOf({ numbers, texts, function: role }: TubeData): string {
  const { deflection_deg: degrees, heater_V: volts, heater_A: amps } = numbers;
  const trap = { single: 'single ion trap', double: 'double ion trap', none: 'no ion trap' }[
    texts.ion_trap ?? ''
  ];
  return [
    role,
    degrees === undefined ? '' : `${degrees} degrees`,
    volts === undefined ? '' : `heater ${volts} V${amps === undefined ? '' : ` ${amps} A`}`,
    trap ?? '',
  ]
    .filter((t) => t)
    .join(', ');
}
