// The rule base in the technician's own dialect: its texts put into UK terms once, at start. Ids are never touched.
import { type Terms, translator } from '../report/index.ts';
import type { Rulebook } from '../rulebook/types.ts';

/** Keys of a rulebook whose text, or every text below, is meant for people. */
const TEXTS = new Set([
  'title',
  'describe',
  'ask',
  'where',
  'meter',
  'how',
  'why',
  'say',
  'meaning',
  'cautions',
  'decision',
  'action',
  'parts',
  'caution',
  'replacement',
  'reason',
  'safety',
  'pairLabels',
]);

/** The same rulebook with its texts in the wanted terms. */
export function inTerms(book: Rulebook, terms: Terms): Rulebook {
  if (terms === 'us') return book;
  const translate = translator(book.glossary, terms);
  const texts = (value: unknown): unknown => {
    if (typeof value === 'string') return translate(value);
    if (Array.isArray(value)) return value.map(texts);
    if (typeof value !== 'object' || value === null) return value;
    return Object.fromEntries(Object.entries(value).map(([key, child]) => [key, texts(child)]));
  };
  const walk = (value: unknown): unknown => {
    if (Array.isArray(value)) return value.map(walk);
    if (typeof value !== 'object' || value === null) return value;
    return Object.fromEntries(
      Object.entries(value).map(([key, child]) => [
        key,
        TEXTS.has(key) && isText(child) ? texts(child) : walk(child),
      ]),
    );
  };
  // Caution ids stand in lists under the same key as the table of caution texts: only the table is translated.
  const checks = book.checks.map((check) => ({ ...(walk(check) as typeof check), cautions: check.cautions }));
  const { glossary } = book;
  return { ...(walk(book) as Rulebook), checks, glossary };
}

/** Texts, lists of texts and tables of texts; not lists of whole rules that bear the same name (`parts`). */
function isText(value: unknown): boolean {
  if (typeof value === 'string') return true;
  if (typeof value !== 'object' || value === null) return false;
  return Object.values(value).every((child) => typeof child === 'string');
}
