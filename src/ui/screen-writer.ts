// The one place that writes to the terminal in full-screen mode: alternate screen, cursor, paste mode, line diff, synchronized output.
import { widthOf } from './text.ts';

/** What the writer needs of a terminal. */
export interface TerminalOut {
  readonly columns?: number;
  readonly rows?: number;
  write(text: string): unknown;
}

export interface ScreenWriter {
  /** Takes the alternate screen and hides the cursor. Harmless when already open. */
  open(): void;
  /** Shows a whole frame (lines separated by newlines); only lines that changed are written. */
  frame(text: string): void;
  /** Forgets what is on the screen and writes the last frame whole. */
  repaint(): void;
  /** The terminal has another size, or comes back from the shell. */
  resized(): void;
  /** Gives the terminal back as it was. Harmless when already closed. */
  close(): void;
  /** Rings the terminal. */
  bell(): void;
  /** Bytes written since the start, for the benchmark. */
  bytesWritten(): number;
}

const ESC = '\u001b[';
const OPEN = `${ESC}?1049h${ESC}?25l${ESC}?2004h${ESC}0m${ESC}2J${ESC}H`;
const CLOSE = `${ESC}0m${ESC}?2004l${ESC}?25h${ESC}?1049l`;
const BEGIN = `${ESC}?2026h`;
const END = `${ESC}?2026l`;
const SGR = /\u001b\[[0-9;:]*m/g;

/** A writer on `out`. Lines beyond the terminal's height are not shown; a line must fit the width. */
export function createScreenWriter(out: TerminalOut): ScreenWriter {
  let isOpen = false;
  let shown: (string | undefined)[] = [];
  let last = '';
  let bytes = 0;
  const put = (text: string): void => {
    bytes += Buffer.byteLength(text);
    out.write(text);
  };
  const draw = (text: string): void => {
    const rows = out.rows ?? 24;
    const columns = out.columns ?? 80;
    const lines = text.split('\n').slice(0, rows);
    let changes = '';
    for (let row = 0; row < Math.max(lines.length, Math.min(shown.length, rows)); row++) {
      const line = lines[row] ?? '';
      if (shown[row] === line) continue;
      // At the last column the cursor waits on the last character: erasing to the end of line there would take it away.
      const full = widthOf(line.replace(SGR, '')) >= columns;
      changes += `${ESC}${row + 1};1H${line}${ESC}0m${full ? '' : `${ESC}K`}`;
    }
    shown = lines;
    if (changes !== '') put(BEGIN + changes + END);
  };
  const repaint = (): void => {
    if (!isOpen) return;
    shown = [];
    put(`${ESC}0m${ESC}2J`);
    draw(last);
  };
  return {
    open() {
      if (isOpen) return;
      isOpen = true;
      shown = [];
      put(OPEN);
    },
    frame(text) {
      last = text;
      if (isOpen) draw(text);
    },
    repaint,
    resized: repaint,
    close() {
      if (!isOpen) return;
      isOpen = false;
      put(CLOSE);
    },
    bell() {
      if (isOpen) put('\u0007');
    },
    bytesWritten: () => bytes,
  };
}
