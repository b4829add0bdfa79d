// The streams that Ink is given instead of the terminal: frames go to our writer, and no keys come: they go to the app.
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

/** What Ink reads from: nothing ever comes, since keys go straight to the app. */
export class NoKeys extends EventEmitter {
  readonly isTTY = true;

  read(): null {
    return null;
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
