// The streams that Ink is given instead of the terminal: frames go to our writer, keys come one at a time from our splitter.
import { EventEmitter } from 'node:events';

/** What Ink writes to. Whole frames arrive here because Ink runs with `debug`; cursor escapes are left to the screen writer. */
export class FrameStream extends EventEmitter {
  readonly isTTY = true;
  columns: number;
  rows: number;
  readonly #onFrame: (frame: string) => void;

  constructor(columns: number, rows: number, onFrame: (frame: string) => void) {
    super();
    this.columns = columns;
    this.rows = rows;
    this.#onFrame = onFrame;
  }

  write(text: string): boolean {
    if (!text.startsWith('\u001b[?25')) this.#onFrame(text);
    return true;
  }

  resize(columns: number, rows: number): void {
    this.columns = columns;
    this.rows = rows;
    this.emit('resize');
  }
}

/** What Ink reads from: gets only the keys that a choice list is to handle itself. */
export class ForwardedKeys extends EventEmitter {
  readonly isTTY = true;
  #waiting: string[] = [];

  read(): string | null {
    return this.#waiting.shift() ?? null;
  }

  forward(raw: string): void {
    this.#waiting.push(raw);
    this.emit('readable');
  }

  setEncoding(): this {
    return this;
  }

  setRawMode(): this {
    return this;
  }

  ref(): this {
    return this;
  }

  unref(): this {
    return this;
  }
}
