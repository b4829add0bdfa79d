// Text for a page: escaping for Markdown and HTML, dates, and spans of hours and money. What was typed comes out inert.
import { cleanText } from '../session/index.ts';

/** Longest typed text that goes into a report; the journal keeps the rest. */
const LONGEST = 2000;

/** What somebody typed: control and direction characters taken out, blanks at the ends too, cut at 2,000 characters. */
export function typedText(text: string): string {
  const clean = cleanText(text.slice(0, LONGEST * 2)).trim();
  return clean.length > LONGEST ? `${clean.slice(0, LONGEST)}…` : clean;
}

const HTML: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
};

/** Text for an HTML element or a quoted attribute. */
export function escapeHtml(text: string): string {
  return cleanText(text).replace(/[&<>"']/g, (c) => HTML[c] ?? c);
}

/** Longer words than any of the trade: a line may be broken inside them, or they would run off the sheet. */
const LONG_WORD = /\S{24,}/gu;
/** A character as it stands in escaped HTML: an entity is one. */
const EIGHT_CHARACTERS = /(?:&[a-z0-9#]+;|[^&]){8}(?=.)/gu;

/** Text for an HTML element: escaped, and with places to break in words that no line holds. */
export function htmlText(text: string): string {
  return escapeHtml(text).replace(LONG_WORD, (word) => word.replace(EIGHT_CHARACTERS, '$&<wbr>'));
}

/** Text for one line of Markdown (CommonMark with tables): nothing in it can become markup, raw HTML or a new cell. */
export function escapeMarkdown(text: string): string {
  return (
    cleanText(text)
      .replace(/[\\`*_[\]|~#]/g, '\\$&')
      .replace(/&/g, '&amp;')
      .replace(/</g, '&lt;')
      .replace(/>/g, '&gt;')
      // Addresses that some readers make links of by themselves (GitHub Flavored Markdown, autolinks extension).
      .replace(/\b(https?|ftp|mailto|xmpp):/gi, '$1\\:')
      .replace(/\b(www)\./gi, '$1\\.')
      .replace(/@/g, '\\@')
      .replace(/^(\s*)([-+=])(?=\s|$|[-=])/, '$1\\$2')
      .replace(/^(\s*\d+)([.)])(?=\s|$)/, '$1\\$2')
  );
}

/** `No shorted turn. Insulation is still not proven.` -> `No shorted turn.` */
export function firstSentence(text: string): string {
  return /^.*?[.!?](?=\s[A-Z]|$)/s.exec(text)?.[0] ?? text;
}

/** `2031-05-01T19:20:00Z` -> `2031-05-01 19:20 UTC`; a text that is no date is given back as it is. */
export function timeWords(iso: string): string {
  const time = new Date(iso);
  return Number.isNaN(time.getTime())
    ? typedText(iso)
    : `${time.toISOString().slice(0, 16).replace('T', ' ')} UTC`;
}

/** `2031-05-01`; the date in UTC. */
export function dateWords(date: Date): string {
  return Number.isNaN(date.getTime()) ? 'date unknown' : date.toISOString().slice(0, 10);
}
