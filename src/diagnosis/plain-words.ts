// Chances, lists and spans in the words that a technician would use to an owner. No numbers are made here, only spoken.
import type { Check, Rulebook } from '../rulebook/types.ts';
import { COMPLAINT } from './infer.ts';
import type { Weight } from './types.ts';

/** A probability in words: 0.31 -> `about 3 in 10`. Never 0 or 1: nothing here is certain. */
export function chanceWords(probability: number): string {
  if (!(probability >= 0 && probability <= 1)) return 'unknown';
  if (probability < 0.02) return 'under 1 in 50';
  if (probability < 0.075) return 'about 1 in 20';
  if (probability > 0.98) return 'better than 49 in 50';
  if (probability > 0.925) return 'about 19 in 20';
  return `about ${Math.round(probability * 10)} in 10`;
}

/** `[a, b, c]` -> `a, b and c`; with semicolons where one of three or more has a comma of its own; an empty list gives an empty string. */
export function listWords(words: readonly string[], last = 'and'): string {
  if (words.length <= 1) return words[0] ?? '';
  const inner = words.length > 2 && words.some((word) => word.includes(','));
  return `${words.slice(0, -1).join(inner ? '; ' : ', ')}${inner ? ';' : ''} ${last} ${words.at(-1)}`;
}

/** First letter small unless the word is an abbreviation (`B+`, `AGC`) or a type number, for use inside a sentence. */
export function inSentence(title: string): string {
  return /^[A-Z][a-z]/.test(title) ? title.charAt(0).toLowerCase() + title.slice(1) : title;
}

/** A title with its article inside a sentence: `the flyback`; one that begins with `A` keeps its own. */
export function withArticle(title: string): string {
  return /^An? /.test(title) ? title.charAt(0).toLowerCase() + title.slice(1) : `the ${inSentence(title)}`;
}

/** First letter capital, for the start of a sentence. */
export function sentence(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** A span of hours or money, rounded to what such an estimate deserves: `[0.52, 3.1]` -> `0.5 to 3`. */
export function spanWords(span: readonly [number, number]): string {
  const low = coarse(span[0]);
  const high = coarse(span[1]);
  if (low === high) return `${high}`;
  return low === 0 ? `up to ${high}` : `${low} to ${high}`;
}

/** Tenths below 1, halves below 10, whole below 100, tens above. */
function coarse(value: number): number {
  if (value < 1) return Math.round(value * 10) / 10;
  if (value < 10) return Math.round(value * 2) / 2;
  if (value < 100) return Math.round(value);
  return Math.round(value / 10) * 10;
}

/** Title of a check inside a sentence; the id itself for one that the rules do not have. */
export function checkTitle(rulebook: Rulebook, id: string): string {
  const check = rulebook.checks.find((entry) => entry.id === id);
  return inSentence(check?.title ?? id);
}

/** Whether a check is a look, a smell or a sound: it is taken again by looking again, with no instrument. */
export function isLook(check: Pick<Check, 'kind' | 'needs'> | undefined): boolean {
  return check?.kind === 'choice' && check.needs.length === 0;
}

/** Joins clauses into sentences: each gets its full stop, empty ones fall away. */
export function sentences(...parts: readonly string[]): string {
  return parts
    .map((part) => part.trim())
    .filter((part) => part !== '')
    .map((part) => (/[.!?]$/.test(part) ? part : `${part}.`))
    .join(' ');
}

/** Weights below this (natural log-odds) are no reason worth a word: odds moved by a third. */
const REASON = 0.3;
/** Two lines of 80 columns. */
const REASON_WIDTH = 160;

/**
 * Why something is suspected, in the names of the readings, strongest first, within two lines of 80 columns: `For it: grid voltage,
 * stopped (strong), drive; against it: one hour of running.` Readings that do not fit in are counted. Empty if no single reading moved it.
 */
export function reasonWords(
  because: readonly Weight[],
  nameOf: (check: string) => string,
  width = REASON_WIDTH,
): string {
  const movers = (direction: 1 | -1): readonly string[] =>
    because
      .filter((w) => w.weight * direction > REASON)
      .toSorted((a, b) => Math.abs(b.weight) - Math.abs(a.weight))
      .map(
        (w) =>
          (w.check === COMPLAINT ? 'what the owner said' : nameOf(w.check)) +
          (Math.abs(w.weight) >= Math.log(10) ? ' (strong)' : ''),
      );
  const [up, down] = [movers(1), movers(-1)];
  const side = (lead: string, names: readonly string[], most: number): string => {
    if (names.length === 0) return '';
    const shown = names.slice(0, Math.max(1, most));
    const left = names.length - shown.length;
    return `${lead}: ${shown.join('; ')}${left > 0 ? ` and ${left} more` : ''}`;
  };
  for (let most = 4; ; most -= 1) {
    const text = [side('For it', up, most), side('against it', down, most - 1)]
      .filter((t) => t !== '')
      .join('. ');
    const said = text === '' ? '' : `${sentence(text.replace('. against', '. Against'))}.`;
    if (said.length <= width || most <= 1) return said;
  }
}
