// One editable line: text, cursor, and what each key does to it. Pure.
import type { Key } from './key-stream.ts';
import { clean } from './text.ts';

export interface LineEdit {
  readonly text: string;
  /** Position in code units, 0 to text.length. */
  readonly cursor: number;
  /** The next character takes the place of the whole text: it was refused, or it is only what was supposed. */
  readonly anew?: true;
}

export const EMPTY_LINE: LineEdit = { text: '', cursor: 0 };

/** Longest line that is kept; the rest of a paste is dropped. */
const LONGEST = 200;

/** A line with this text, cursor at the end. */
export function lineOf(text: string): LineEdit {
  const kept = clean(text).slice(0, LONGEST);
  return { text: kept, cursor: kept.length };
}

/** The same text, given up as soon as something else is typed. */
export function toReplace({ text, cursor }: LineEdit): LineEdit {
  return { text, cursor, anew: true };
}

/** True where a key that could be text begins a new line of it. */
export function beginsAnew(line: LineEdit): boolean {
  return line.text === '' || line.anew === true;
}

const graphemes = new Intl.Segmenter('en', { granularity: 'grapheme' });

/** Boundaries between characters as people see them, so that Backspace never leaves half of one. */
function before(text: string, cursor: number): number {
  let last = 0;
  for (const { index } of graphemes.segment(text)) {
    if (index >= cursor) break;
    last = index;
  }
  return last;
}

function after(text: string, cursor: number): number {
  for (const { index, segment } of graphemes.segment(text)) {
    if (index + segment.length > cursor) return index + segment.length;
  }
  return text.length;
}

function insert(line: LineEdit, text: string): LineEdit {
  const kept = clean(text).slice(0, Math.max(0, LONGEST - line.text.length));
  return {
    text: line.text.slice(0, line.cursor) + kept + line.text.slice(line.cursor),
    cursor: line.cursor + kept.length,
  };
}

/** The line after a key, or `undefined` if the key is not one of editing. */
export function editLine(line: LineEdit, key: Key): LineEdit | undefined {
  switch (key.name) {
    case 'char':
    case 'paste':
      return insert(line.anew ? EMPTY_LINE : line, key.text);
    case 'backspace': {
      const start = before(line.text, line.cursor);
      return { text: line.text.slice(0, start) + line.text.slice(line.cursor), cursor: start };
    }
    case 'delete':
      return {
        text: line.text.slice(0, line.cursor) + line.text.slice(after(line.text, line.cursor)),
        cursor: line.cursor,
      };
    case 'left':
      return { text: line.text, cursor: before(line.text, line.cursor) };
    case 'right':
      return { text: line.text, cursor: after(line.text, line.cursor) };
    case 'home':
      return { text: line.text, cursor: 0 };
    case 'end':
      return { text: line.text, cursor: line.text.length };
    default:
      return undefined;
  }
}
