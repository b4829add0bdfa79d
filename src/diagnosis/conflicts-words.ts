// What is said of readings that do not fit, in the words of the trade: what is odd, what it may be, what to do.
import type { Rulebook } from '../rulebook/types.ts';
import type { DoubtedSource } from './infer-instruments.ts';
import type { Lie } from './likelihood-instruments.ts';
import { sentence } from './plain-words.ts';
import type { Conflict } from './types.ts';

function quoted(book: Rulebook, check: string): string {
  return `"${book.checks.find((c) => c.id === check)?.title ?? check}"`;
}

/** One reading that does not fit; `against` is the title of the reading that speaks loudest against it. Measured `twice`, it is not asked a third time. */
export function sayOne(
  book: Rulebook,
  { check, slip }: Omit<Conflict, 'say'>,
  against: string | undefined,
  twice = false,
): string {
  const name = quoted(book, check);
  const beside = against ? `beside "${against}"` : 'beside the other readings';
  const asked = book.checks.find((c) => c.id === check);
  if (asked?.kind === 'choice' && slip.kind !== 'none')
    return `${name} does not fit ${beside}. Look again, with a better light or another pair of eyes.`;
  // A decimal point is misread twice the same way; a wrong point or a chance hardly.
  if (twice && (slip.kind === 'none' || slip.kind === 'other'))
    return `${name} was measured twice and does not fit ${beside}. It stands: measure that one again, or look for a second fault.`;
  const scale =
    asked?.quantity === 'count' ? 'Miscounted, or typed wrong?' : 'Decimal point, prefix or range?';
  switch (slip.kind) {
    case 'times-ten':
      return `${name} looks ten times too large ${beside}. ${scale} Measure it again.`;
    case 'tenth':
      return `${name} looks ten times too small ${beside}. ${scale} Measure it again.`;
    case 'sign':
      return `${name} would fit with the other sign. Were the leads the right way round, or was the minus left out?`;
    case 'ac-dc':
      return `${name} does not fit ${beside}. Was the meter on AC where DC is there, or the other way round? Measure it again.`;
    case 'none':
      return `${name} is hard to square with ${against ? `"${against}"` : 'the other readings'}. Measure both again; if they stand, look for a second fault.`;
    default:
      return `${name} does not fit ${beside}. Right point, right return lead, right range? Measure it again.`;
  }
}

/** Two readings that would fit if each had been taken at the other's point. */
export function saySwapped(book: Rulebook, first: string, second: string): string {
  return `${quoted(book, first)} and ${quoted(book, second)} would both fit the other way round. Was each taken at the other's point, or were the values exchanged when typed? Measure both again.`;
}

/** Two readings of one thing that contradict each other; both are kept. `instruments` are named where they differ. */
export function sayDisagree(book: Rulebook, first: string, second: string, instruments: string): string {
  const names =
    first === second
      ? `Two readings of ${quoted(book, first)}`
      : `${quoted(book, first)} and ${quoted(book, second)}`;
  return `${names} contradict each other${instruments}. Both are kept and weighed against each other; a third way of measuring decides.`;
}

/** What a lie does to readings, after "they would fit if it". */
function lieWords(lie: Lie): string {
  switch (lie.kind) {
    case 'scale': {
      const { factor } = lie;
      if (factor === 10 || factor === 0.1) return `shows ten times too ${factor > 1 ? 'much' : 'little'}`;
      const size =
        factor >= 2.5 || factor <= 0.35 ? 'a third' : factor >= 1.7 || factor <= 0.6 ? 'half' : 'some 30 %';
      if (factor < 1)
        return size === 'some 30 %' ? 'shows some 30 % too little' : `shows ${size} of what is there`;
      return size === 'some 30 %'
        ? 'shows some 40 % too much'
        : `shows ${size === 'half' ? 'twice' : 'three times'} what is there`;
    }
    case 'always':
      return lie.says === 'good' ? 'calls everything good' : 'calls everything bad';
    case 'offset':
      return `is some ${Math.abs(lie.volts)} V off`;
    case 'floating':
      return 'hangs in the air';
  }
}

const COUNT = ['no', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine'] as const;

/** An instrument or return point that is doubted: how many readings, what would explain them, how to prove it. */
export function sayInstrument({ source, likeliest, readings, probability }: DoubtedSource): string {
  const count = readings.length;
  const number = sentence(COUNT[count] ?? String(count));
  const many = `${number} reading${count === 1 ? '' : 's'}`;
  const sure = probability >= 0.5 ? 'do not fit the others' : 'may not be right';
  if (likeliest.kind === 'offset' || likeliest.kind === 'floating')
    return `${many} of live volts ${sure}: they would fit if the black lead ${likeliest.kind === 'floating' ? 'is on a chassis that hangs in the air' : `stands ${Math.abs(likeliest.volts)} V off`} instead of on B-. ${sentence(source.proof)}.`;
  return `${many} by ${source.title} ${sure}: they would fit if it ${lieWords(likeliest)}. ${sentence(source.proof)}; until then they count less.`;
}

/** The order that settles the doubt about an instrument or a return point. */
export function proofOf({ source }: DoubtedSource): string {
  return source.id === 'return-point'
    ? `Find the right return point before more is read live: ${source.proof}`
    : `Prove ${source.title} before it is believed: ${source.proof}`;
}
