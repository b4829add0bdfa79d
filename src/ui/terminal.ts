// Runs the app on a real terminal and gives the terminal back on every way out: leave, signals, suspend, a crash, a closed pipe.
import { StringDecoder } from 'node:string_decoder';
import type { App } from './app/app.ts';
import { createKeyStream } from './key-stream.ts';
import type { Mounted } from './mount.tsx';
import type { ScreenWriter } from './screen-writer.ts';

const TICK_MS = 1000;
const SIGNALS = { SIGINT: 2, SIGTERM: 15, SIGHUP: 1, SIGQUIT: 3 } as const;
/** Exit code when the terminal goes away without a word: that of a hang-up. */
const HUNG_UP = 129;

export interface TerminalStreams {
  readonly stdin: NodeJS.ReadStream;
  readonly stdout: NodeJS.WriteStream;
  /** The one that writes to `stdout`. */
  readonly writer: ScreenWriter;
}

/** What the app may ask of the terminal while it runs. */
export interface TerminalControl {
  bell(): void;
  redraw(): void;
  leave(): void;
}

/**
 * Shows the app until it leaves. `build` gets the controls and makes the app; `mount` draws it; `start` runs after the first frame.
 * Rejects with what went wrong after the terminal is restored.
 */
export async function runOnTerminal(
  { stdin, stdout, writer }: TerminalStreams,
  build: (control: TerminalControl, columns: number, rows: number) => App,
  mount: (app: App, onFrame: (frame: string) => void) => Promise<Mounted>,
  start: (app: App) => Promise<void>,
): Promise<void> {
  let finish: () => void = () => undefined;
  let fail: (error: unknown) => void = () => undefined;
  const over = new Promise<void>((resolve, reject) => {
    finish = resolve;
    fail = reject;
  });
  const app = build(
    { bell: () => writer.bell(), redraw: () => writer.repaint(), leave: () => finish() },
    stdout.columns ?? 80,
    stdout.rows ?? 24,
  );
  const take = (): void => {
    stdin.setRawMode(true);
    writer.open();
  };
  const giveBack = (): void => {
    try {
      writer.close();
      if (stdin.isTTY && !stdin.destroyed) stdin.setRawMode(false);
    } catch {
      // The terminal is gone: there is nobody to give it back to.
    }
  };
  let exiting = false;
  const onExit = (): void => {
    exiting = true;
    // The file first: giving a terminal back that is gone fails.
    app.close();
    giveBack();
  };

  let mounted: Mounted | undefined;
  const keys = createKeyStream((key) => {
    try {
      mounted?.key(key);
    } catch (error) {
      fail(error);
    }
  });
  const decoder = new StringDecoder('utf8');
  const onData = (bytes: Buffer): void => keys.push(decoder.write(bytes));
  const onResize = (): void => {
    if (mounted) mounted.resize(stdout.columns, stdout.rows);
    else app.resize(stdout.columns, stdout.rows);
    writer.resized();
  };
  const onBroken = (error: NodeJS.ErrnoException): void => {
    if (exiting) return;
    if (error.code === 'EPIPE' || error.code === 'EIO') process.exit(HUNG_UP);
    fail(error);
  };
  const onSuspend = (): void => {
    giveBack();
    process.kill(process.pid, 'SIGSTOP');
  };
  const onContinue = (): void => {
    // Whoever was stopped without being asked comes back to a terminal that the shell has used: taken anew, not just drawn.
    giveBack();
    take();
    onResize();
  };
  const signals = Object.entries(SIGNALS).map(([name, number]) => {
    const handler = (): void => {
      giveBack();
      process.exit(128 + number);
    };
    process.on(name, handler);
    return () => process.off(name, handler);
  });
  process.on('exit', onExit);
  process.on('SIGTSTP', onSuspend);
  process.on('SIGCONT', onContinue);
  process.on('uncaughtException', fail);
  process.on('unhandledRejection', fail);
  stdin.on('end', finish);
  stdout.on('resize', onResize);
  stdout.on('error', onBroken);
  stdin.on('error', onBroken);
  const clock = setInterval(() => app.tick(), TICK_MS);

  try {
    take();
    mounted = await mount(app, (frame) => writer.frame(frame));
    mounted.ended.catch(fail);
    // Keys pressed until now have waited in the terminal.
    stdin.on('data', onData);
    start(app).catch(fail);
    await over;
  } finally {
    clearInterval(clock);
    keys.stop();
    giveBack();
    stdin.off('data', onData);
    stdin.off('end', finish);
    stdin.pause();
    stdout.off('resize', onResize);
    stdout.off('error', onBroken);
    stdin.off('error', onBroken);
    process.off('exit', onExit);
    process.off('SIGTSTP', onSuspend);
    process.off('SIGCONT', onContinue);
    process.off('uncaughtException', fail);
    process.off('unhandledRejection', fail);
    for (const off of signals) off();
    mounted?.unmount();
    app.close();
  }
}
