// What an owner reads: readings by their number instead of the bench's name for them, units in words, and the trade's words explained.
import { inSentence, sentence } from '../diagnosis/plain-words.ts';
import type { Rulebook } from '../rulebook/types.ts';
import type { Measured } from './measured.ts';

/** A word of the trade and what it means. */
export type Word = readonly [word: string, meaning: string];

const UNITS: readonly (readonly [RegExp, string])[] = [
  [/(\d) kohm\b/g, '$1 kilohms'],
  [/(\d) Mohm\b/g, '$1 megohms'],
  [/(\d) mohm\b/g, '$1 milliohms'],
  [/(\d) ohm\b/g, '$1 ohms'],
  [/(\d) uF\b/g, '$1 microfarads'],
  [/(\d) (?:nF)\b/g, '$1 nanofarads'],
  [/(\d) pF\b/g, '$1 picofarads'],
  [/(\d) uA\b/g, '$1 microamps'],
  [/(\d) mA\b/g, '$1 milliamps'],
  [/(\d) kV\b/g, '$1 kilovolts'],
  [/(\d) mV\b/g, '$1 millivolts'],
  [/(\d) V\b/g, '$1 volts'],
];

/** Units in words: `180 kohm` -> `180 kilohms`. */
export function unitsInWords(text: string): string {
  return UNITS.reduce((all, [unit, word]) => all.replace(unit, word), text);
}

function literal(text: string): string {
  return text.replace(/[.*+?^${}()|[\]\\]/g, '\\$&');
}

/**
 * Puts the program's own text into an owner's: a check that was taken is named by the number of its reading, which the bench record
 * has by its name. A title that is a single word, or that parts and their repairs are spoken of by, stays.
 */
export function ownersText(rulebook: Rulebook, measured: readonly Measured[]): (text: string) => string {
  const ofParts = rulebook.parts
    .flatMap(({ title, remedy, faults }) => [
      title,
      remedy.action,
      remedy.parts,
      ...faults.map((one) => one.title),
    ])
    .join('\n')
    .toLowerCase();
  const numbers = new Map(
    measured.flatMap(({ check, seq }) => {
      const title = (rulebook.checks.find((one) => one.id === check)?.title ?? '').toLowerCase();
      return title.includes(' ') && !ofParts.includes(title) ? [[title, seq] as const] : [];
    }),
  );
  const titles = [...numbers.keys()].toSorted((a, b) => b.length - a.length).map(literal);
  const pattern = new RegExp(`(?<![\\p{L}\\p{N}-])(?:${titles.join('|')})(?![\\p{L}\\p{N}-])`, 'giu');
  const plain = (text: string) =>
    unitsInWords(text)
      .replace(/what the owner said/g, 'what you said')
      .replace(/the owner’s consent/g, 'your consent')
      .replace(/settle with the owner whether/g, 'decide whether')
      .replace(/bench hours/g, 'hours of work');
  if (titles.length === 0) return plain;
  return (text) =>
    plain(
      text
        .replace(pattern, (title) => `reading ${numbers.get(title.toLowerCase())}`)
        // `reading 26, reading 51 and reading 101` -> `readings 26, 51 and 101`.
        .replace(
          /\breading (\d+)((?:(?:[,;]? and |[,;] )reading \d+)+)/g,
          (_, first: string, more: string) =>
            `readings ${first}${more
              .replace(/reading /g, '')
              .replace(/;/g, ',')
              .replace(', and', ' and')}`,
        )
        .replace(/"(reading \d+)"/g, '$1')
        .replace(/rests on one reading \((reading \d+)\)/g, 'rests on $1 alone')
        .replace(/(^|[.] )(readings? \d)/g, (_, before: string, words: string) => before + sentence(words)),
    );
}

/** The words of the trade that stand in these texts and have a meaning in the rules, in the order of the rules, at most so many. */
export function wordsIn(rulebook: Rulebook, texts: readonly string[], most: number): readonly Word[] {
  const all = texts.join('\n');
  return rulebook.glossary
    .filter(
      ({ us, means }) =>
        means !== undefined &&
        new RegExp(`(?<![\\p{L}\\p{N}])${literal(us)}s?(?![\\p{L}\\p{N}])`, 'iu').test(all),
    )
    .slice(0, most)
    .map(({ us, means }) => [inSentence(us), means ?? '']);
}
