// Lines of spans as text for the terminal, in the colours and characters that it is to get.
import { type Line, toAscii } from '../text.ts';
import { painted } from '../theme.ts';

/** What the terminal is to get. */
export interface Paint {
  /** Nothing but ASCII. */
  readonly ascii: boolean;
  readonly colour: boolean;
  /** The background is light. */
  readonly light?: boolean;
}

/** The lines, one a row; a line without text keeps its row. */
export function paintedLines(lines: readonly Line[], { ascii, colour, light }: Paint): string {
  return lines
    .map(
      (line) => line.map((s) => painted(s, colour, ascii ? toAscii(s.text) : s.text, light)).join('') || ' ',
    )
    .join('\n');
}
