// US or UK terms of the trade, for the program's own text. Names and notes that somebody typed are never touched.
import type { Rulebook } from '../rulebook/types.ts';

export type Terms = 'us' | 'uk';

/** A function that puts program text into the wanted dialect in one pass, longest terms first, so that no word is exchanged twice. */
export function translator(glossary: Rulebook['glossary'], terms: Terms): (text: string) => string {
  const table = new Map(
    glossary.filter((entry) => entry.us !== entry.uk).map((entry) => [entry.us.toLowerCase(), entry.uk]),
  );
  if (terms === 'us' || table.size === 0) return (text) => text;
  // Unchanged terms stay in the pattern: they shield longer expressions from a shorter term inside them.
  const words = glossary.map((entry) => entry.us).toSorted((a, b) => b.length - a.length);
  const pattern = new RegExp(
    `(?<![\\p{L}\\p{N}])(${words.map(literal).join('|')})(s?)(?![\\p{L}\\p{N}])`,
    'giu',
  );
  return (text) =>
    text.replace(pattern, (whole: string, found: string, plural: string) => {
      const other = table.get(found.toLowerCase());
      if (other === undefined) return whole;
      return withCase(found, plural !== '' && !other.endsWith('s') ? `${other}s` : other);
    });
}

function literal(text: string): string {
  return text.replace(/[.*+?^${}()|[\]\\]/g, '\\$&');
}

/** `Picture tube` at the start of a sentence keeps its capital. */
function withCase(found: string, other: string): string {
  return /^\p{Lu}/u.test(found) ? other.charAt(0).toUpperCase() + other.slice(1) : other;
}
