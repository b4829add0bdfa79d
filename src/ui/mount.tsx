// Joins app, Ink and a frame sink: used by the program on a terminal and by tests on a string.
import { type Instance, render } from 'ink';
import type { App } from './app/app.ts';
import { FrameStream, NoKeys } from './ink-streams.ts';
import type { Key } from './key-stream.ts';
import type { Paint } from './views/paint.ts';
import { Root } from './views/root.tsx';

export interface Mounted {
  /** Gives one key to the app. */
  key(key: Key): void;
  resize(columns: number, rows: number): void;
  unmount(): void;
  /** Settles when Ink stops; rejects with the error if drawing failed. */
  readonly ended: Promise<void>;
}

/** Draws the app; every finished frame goes to `onFrame`. */
export function mount(app: App, paint: Paint, onFrame: (frame: string) => void): Mounted {
  const { columns, rows } = app.state;
  const output = new FrameStream(columns, rows, onFrame);
  const input = new NoKeys();
  const instance: Instance = render(<Root app={app} paint={paint} />, {
    // Ink asks for whole terminal streams and uses only what these two have.
    stdout: output as unknown as NodeJS.WriteStream,
    stdin: input as unknown as NodeJS.ReadStream,
    debug: true,
    exitOnCtrlC: false,
    patchConsole: false,
  });
  return {
    key: (key) => app.key(key),
    resize(width, height) {
      output.resize(width, height);
      app.resize(width, height);
    },
    unmount: () => instance.unmount(),
    ended: instance.waitUntilExit().then(() => undefined),
  };
}
