// The built program in a real pseudo-terminal, its screen read from a headless emulator.
import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import xterm from '@xterm/headless';
import { type IPty, spawn } from 'node-pty';

const ROOT = join(import.meta.dirname, '../..');
export const PROGRAM = join(ROOT, 'dist/first-raster.js');
/** A shared machine can be slow; a screen that never comes still ends the test. */
const PATIENCE_MS = 45_000;

/** Builds the program if a source is newer than it. */
export function buildIfNeeded(): void {
  const made = spawnSync(process.execPath, [join(ROOT, 'src/tools/start.mjs'), '--version'], {
    encoding: 'utf8',
  });
  if (made.status !== 0) throw new Error(`the program cannot be built: ${made.stderr}`);
}

/** A folder for sessions and preferences that a test may fill. */
export function workFolder(): { readonly path: string; remove(): void } {
  const path = mkdtempSync(join(tmpdir(), 'first-raster-pty-'));
  return {
    path,
    // A program that was told to end may still be writing there; on a busy machine that can outlast the retries, and is no fault of what was tested.
    remove: () => {
      try {
        rmSync(path, { recursive: true, force: true, maxRetries: 50, retryDelay: 100 });
      } catch {
        // Left to the system, which empties its temporary folder.
      }
    },
  };
}

/** Environment of a terminal that knows nothing but this folder. */
export function bareEnvironment(folder: string): Readonly<Record<string, string>> {
  return {
    PATH: process.env.PATH ?? '',
    HOME: folder,
    XDG_CONFIG_HOME: join(folder, 'config'),
    XDG_DATA_HOME: join(folder, 'data'),
    TERM: 'xterm-256color',
    LANG: 'C.UTF-8',
    CI: 'false',
  };
}

const DRAIN_MS = 60;

export class Screen {
  readonly #pty: IPty;
  readonly #terminal: InstanceType<typeof xterm.Terminal>;
  /** Everything that the program wrote. */
  bytes = '';
  readonly exit: Promise<{ readonly code: number; readonly signal: number }>;

  constructor(
    folder: string,
    args: readonly string[],
    columns: number,
    rows: number,
    env: Readonly<Record<string, string>> = {},
    program = PROGRAM,
  ) {
    this.#terminal = new xterm.Terminal({ cols: columns, rows, allowProposedApi: true });
    this.#pty = spawn(process.execPath, [program, '--sessions', join(folder, 'sessions'), ...args], {
      name: 'xterm-256color',
      cols: columns,
      rows,
      cwd: folder,
      env: { ...bareEnvironment(folder), ...env },
    });
    this.#pty.onData((data) => {
      this.bytes += data;
      this.#terminal.write(data);
    });
    this.exit = new Promise((resolve) => {
      this.#pty.onExit(({ exitCode, signal }) => {
        // The last words may come after the news of the end; the emulator reads them before anyone looks.
        const read = (): void =>
          this.#terminal.write('', () => resolve({ code: exitCode, signal: signal ?? 0 }));
        setTimeout(read, DRAIN_MS);
      });
    });
  }

  get pid(): number {
    return this.#pty.pid;
  }

  async rows(): Promise<readonly string[]> {
    await new Promise<void>((resolve) => this.#terminal.write('', resolve));
    const buffer = this.#terminal.buffer.active;
    return Array.from(
      { length: this.#terminal.rows },
      (_, n) => buffer.getLine(buffer.viewportY + n)?.translateToString(true) ?? '',
    );
  }

  async text(): Promise<string> {
    return (await this.rows()).join('\n');
  }

  /** True while the alternate screen is shown. */
  get alternate(): boolean {
    return this.#terminal.buffer.active.type === 'alternate';
  }

  /** Waits until the screen shows the text; throws with the screen if it never does. */
  async until(wanted: string | RegExp): Promise<string> {
    const end = Date.now() + PATIENCE_MS;
    for (;;) {
      const text = await this.text();
      if (typeof wanted === 'string' ? text.includes(wanted) : wanted.test(text)) return text;
      if (Date.now() > end) throw new Error(`"${wanted}" never came. The screen:\n${text}`);
      await new Promise((resolve) => setTimeout(resolve, 40));
    }
  }

  type(text: string): void {
    this.#pty.write(text);
  }

  resize(columns: number, rows: number): void {
    this.#terminal.resize(columns, rows);
    this.#pty.resize(columns, rows);
  }

  kill(signal: string): void {
    process.kill(this.pid, signal);
  }

  dispose(): void {
    try {
      process.kill(this.pid, 'SIGKILL');
    } catch {
      // It has ended by itself.
    }
    this.#terminal.dispose();
  }
}
