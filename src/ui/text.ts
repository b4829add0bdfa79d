// Lines and spans: what every pane is made of. Cleaning, width, wrapping and padding of text, so that no column ever moves.
import stringWidth from 'string-width';

/** What a piece of text means; `theme.ts` gives it a colour. Colour is never the only carrier. */
export type Tone = 'plain' | 'quiet' | 'accent' | 'good' | 'watch' | 'bad' | 'live' | 'danger' | 'title';

export interface Span {
  readonly text: string;
  readonly tone?: Tone;
  readonly bold?: boolean;
  readonly inverse?: boolean;
}

export type Line = readonly Span[];

const ESCAPES =
  /\u001b(?:\[[0-?]*[ -/]*[@-~]|\][^\u0007\u001b]*(?:\u0007|\u001b\\)?|[PX^_][^\u001b]*(?:\u001b\\)?|.)?/gs;
const CONTROLS =
  /[\u0000-\u001f\u007f-\u009f\u061c\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb]/g;
const PLAIN = /^[\u0020-\u007e]*$/;

/** Text from a file or a paste, made harmless: escape sequences, control and direction characters are taken out. */
export function clean(text: string): string {
  if (PLAIN.test(text)) return text;
  return text
    .replace(/[\r\n\t]+/g, ' ')
    .replace(ESCAPES, '')
    .replace(CONTROLS, '');
}

/** Widths of texts that are not plain: the same ones are drawn frame after frame. */
const widths = new Map<string, number>();
const MOST_WIDTHS = 4000;

/** Columns that the text takes on the terminal. */
export function widthOf(text: string): number {
  if (PLAIN.test(text)) return text.length;
  const known = widths.get(text);
  if (known !== undefined) return known;
  if (widths.size >= MOST_WIDTHS) widths.clear();
  const width = stringWidth(text);
  widths.set(text, width);
  return width;
}

const graphemes = new Intl.Segmenter('en', { granularity: 'grapheme' });

/** Leading part of the text that fits in `width` columns. */
function take(text: string, width: number): string {
  if (PLAIN.test(text)) return text.slice(0, Math.max(0, width));
  let used = 0;
  let out = '';
  for (const { segment } of graphemes.segment(text)) {
    const w = stringWidth(segment);
    if (used + w > width) break;
    used += w;
    out += segment;
  }
  return out;
}

let whole = false;

/** Says whether texts are left uncut from now on: nobody sees columns where everything is spoken. */
export function keepWhole(on: boolean): void {
  whole = on;
}

/** Cuts with an ellipsis so that the text takes at most `width` columns. */
export function cut(text: string, width: number): string {
  if (whole || widthOf(text) <= width) return text;
  return width <= 1 ? take(text, width) : `${take(text, width - 1)}…`;
}

/** Cuts and pads to exactly `width` columns. */
export function pad(text: string, width: number, align: 'left' | 'right' = 'left'): string {
  const short = cut(text, width);
  const gap = ' '.repeat(Math.max(0, width - widthOf(short)));
  return align === 'left' ? short + gap : gap + short;
}

/** Breaks at spaces; a word longer than the line is broken inside. Never returns an empty list. */
export function wrap(text: string, width: number): string[] {
  const room = Math.max(1, width);
  const lines: string[] = [];
  let line = '';
  for (const word of clean(text).split(' ').filter(Boolean)) {
    if (line !== '' && widthOf(line) + 1 + widthOf(word) <= room) {
      line += ` ${word}`;
      continue;
    }
    if (line !== '') lines.push(line);
    line = word;
    while (widthOf(line) > room) {
      const head = take(line, room) || line.slice(0, 1);
      lines.push(head);
      line = line.slice(head.length);
    }
  }
  if (line !== '' || lines.length === 0) lines.push(line);
  return lines;
}

/** The first `most` lines of a text; where there is more, the last one ends in an ellipsis. */
export function wrapTo(text: string, width: number, most: number): string[] {
  const lines = wrap(text, width);
  if (whole || lines.length <= most) return lines;
  const last = lines[most - 1] ?? '';
  return [...lines.slice(0, most - 1), widthOf(last) + 2 <= width ? `${last} …` : cut(`${last} …`, width)];
}

/** A span, shortly written. */
export function span(text: string, tone: Tone = 'plain', style: Omit<Span, 'text' | 'tone'> = {}): Span {
  return { text, tone, ...style };
}

export const BLANK: Line = [];

/** One line of one tone. */
export function plain(text: string, tone: Tone = 'plain', style: Omit<Span, 'text' | 'tone'> = {}): Line {
  return [span(text, tone, style)];
}

export function lineWidth(line: Line): number {
  return line.reduce((sum, s) => sum + widthOf(s.text), 0);
}

/** Cuts a line of spans to `width` columns and pads it to exactly that. */
export function fitLine(line: Line, width: number): Line {
  const out: Span[] = [];
  let left = width;
  for (const [n, s] of line.entries()) {
    const w = widthOf(s.text);
    const rest = line.slice(n + 1).some((later) => later.text.trim() !== '');
    if (w > left || (w === left && rest)) {
      if (left > 0) out.push({ ...s, text: pad(w > left ? s.text : `${s.text} `, left) });
      left = 0;
      break;
    }
    out.push(s);
    left -= w;
  }
  if (left > 0) out.push({ text: ' '.repeat(left) });
  return out;
}

/** Two columns: `left` padded to `width`, then `gap`, then `right`. The longer one sets the height. */
export function beside(left: readonly Line[], width: number, right: readonly Line[], gap = '  '): Line[] {
  const height = Math.max(left.length, right.length);
  return Array.from({ length: height }, (_, n) => [
    ...fitLine(left[n] ?? BLANK, width),
    { text: gap },
    ...(right[n] ?? BLANK),
  ]);
}

/** Left text and right text at the two ends of one line; the left one gives way. */
export function ends(left: Line, right: Line, width: number): Line {
  const room = Math.max(0, width - lineWidth(right) - 1);
  return [...fitLine(left, room), { text: ' ' }, ...right];
}

/** Exactly `height` lines: cut at the end, or blank lines added. */
export function tall(lines: readonly Line[], height: number): Line[] {
  return Array.from({ length: Math.max(0, height) }, (_, n) => lines[n] ?? BLANK);
}

/** Window of a long list that keeps `index` in sight: first row to show. */
export function windowStart(index: number, count: number, height: number): number {
  if (count <= height) return 0;
  return Math.min(Math.max(0, index - Math.floor(height / 2)), count - height);
}

const ASCII_FOR: Readonly<Record<string, string>> = {
  '–': '-',
  '—': '-',
  '−': '-',
  '…': '.',
  '×': 'x',
  µ: 'u',
  μ: 'u',
  Ω: 'R',
  '°': 'o',
  '±': '~',
  '≈': '~',
  '≤': '<',
  '≥': '>',
  '→': '>',
  '←': '<',
  '↑': '^',
  '↓': 'v',
  '·': '.',
  '•': '*',
  '“': '"',
  '”': '"',
  '‘': "'",
  '’': "'",
  '─': '-',
  '│': '|',
  '▁': '_',
  '▂': '.',
  '▃': ':',
  '▄': '-',
  '▅': '=',
  '▆': '+',
  '▇': '*',
  '█': '#',
  '▓': '#',
  '▒': '=',
  '░': '.',
  '▲': '!',
  '▸': '>',
  '▾': 'v',
  '√': '/',
  '━': '=',
  '▼': 'v',
  '┃': '|',
  '½': '~',
  '●': '*',
  '○': 'o',
  '◐': '*',
  '◎': '0',
  '▌': '|',
  '▏': '|',
  '✓': '+',
  '✗': 'x',
};

/** The same text in ASCII, column for column: what has no likeness becomes `?`. */
export function toAscii(text: string): string {
  if (PLAIN.test(text)) return text;
  let out = '';
  for (const { segment } of graphemes.segment(text)) {
    if (PLAIN.test(segment)) out += segment;
    else {
      const bare = segment.normalize('NFD').replace(/[\u0300-\u036f]/g, '');
      const known = ASCII_FOR[segment] ?? (PLAIN.test(bare) ? bare : '?');
      out += known.padEnd(Math.max(1, stringWidth(segment)), '?');
    }
  }
  return out;
}

/** `2026-11-25T13:42:00Z` -> `25 Nov 2026 13:42`, in the time of this computer. */
export function when(iso: string): string {
  const date = new Date(iso);
  if (Number.isNaN(date.getTime())) return '';
  const month = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'][
    date.getMonth()
  ];
  const two = (n: number): string => String(n).padStart(2, '0');
  return `${date.getDate()} ${month} ${date.getFullYear()} ${two(date.getHours())}:${two(date.getMinutes())}`;
}
