// A shell in a pseudo-terminal, as a technician has one: what a program leaves behind in it can be seen.
import { execFileSync } from 'node:child_process';
import { readdirSync, readFileSync, readlinkSync } from 'node:fs';
import xterm from '@xterm/headless';
import { type IPty, spawn } from 'node-pty';
import { bareEnvironment, PROGRAM } from './pty.ts';

const PATIENCE_MS = 45_000;
const pause = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

export class Shell {
  readonly #pty: IPty;
  readonly #terminal = new xterm.Terminal({ cols: 80, rows: 24, allowProposedApi: true });
  /** Everything that was written to the terminal. */
  bytes = '';

  constructor(folder: string, env: Readonly<Record<string, string>> = {}) {
    this.#pty = spawn('bash', ['--norc', '--noprofile', '-i'], {
      name: 'xterm-256color',
      cols: 80,
      rows: 24,
      cwd: folder,
      env: { ...bareEnvironment(folder), PS1: 'bench$ ', ...env },
    });
    this.#pty.onData((data) => {
      this.bytes += data;
      this.#terminal.write(data);
    });
  }

  get pid(): number {
    return this.#pty.pid;
  }

  type(text: string): void {
    this.#pty.write(text);
  }

  /** Starts the program; `args` as a shell has them. */
  start(args: string): void {
    this.type(`"${process.execPath}" "${PROGRAM}" ${args}\r`);
  }

  async text(): Promise<string> {
    await new Promise<void>((resolve) => this.#terminal.write('', resolve));
    const buffer = this.#terminal.buffer.active;
    return Array.from(
      { length: 24 },
      (_, n) => buffer.getLine(buffer.viewportY + n)?.translateToString(true) ?? '',
    ).join('\n');
  }

  get alternate(): boolean {
    return this.#terminal.buffer.active.type === 'alternate';
  }

  /** Waits until the condition holds; throws with the screen if it never does. */
  async until(what: string, holds: () => boolean | Promise<boolean>): Promise<void> {
    const end = Date.now() + PATIENCE_MS;
    while (!(await holds())) {
      if (Date.now() > end) throw new Error(`${what} never came. The screen:\n${await this.text()}`);
      await pause(40);
    }
  }

  async shows(wanted: string | RegExp): Promise<void> {
    await this.until(String(wanted), async () => {
      const text = await this.text();
      return typeof wanted === 'string' ? text.includes(wanted) : wanted.test(text);
    });
  }

  /** Gives the shell a command, again if it was not ready to read one (it drops what comes while it takes its terminal back). */
  async command(text: string, wanted: RegExp): Promise<void> {
    for (let tries = 0; tries < 10; tries++) {
      await pause(200);
      this.type(`${text}\r`);
      for (let waits = 0; waits < 20; waits++) {
        if (wanted.test(await this.text())) return;
        await pause(100);
      }
    }
    throw new Error(`${text} never said ${wanted}. The screen:\n${await this.text()}`);
  }

  /** Number of the program that runs in the shell. */
  program(): number {
    for (const pid of readdirSync('/proc')) {
      try {
        const stat = readFileSync(`/proc/${pid}/stat`, 'utf8');
        const [, parent] = stat.slice(stat.lastIndexOf(')') + 2).split(' ');
        if (
          Number(parent) === this.pid &&
          readFileSync(`/proc/${pid}/cmdline`, 'utf8').includes('first-raster')
        )
          return Number(pid);
      } catch {
        // Not a process, or it has just ended.
      }
    }
    throw new Error('the program does not run in the shell');
  }

  /** `ICANON` and `ECHO` of the terminal, as the system has them now. */
  cooked(): boolean {
    const terminal = readlinkSync(`/proc/${this.pid}/fd/0`);
    const modes = execFileSync('stty', ['-a', '-F', terminal], { encoding: 'utf8' }).split(/\s+|;/);
    return modes.includes('icanon') && modes.includes('echo') && modes.includes('isig');
  }

  /** Pulls the terminal away, as closing its window does. */
  closeWindow(): void {
    this.#pty.kill('SIGKILL');
    // The library keeps its end of the line open after a kill; destroying it is what a terminal window does.
    if ('destroy' in this.#pty && typeof this.#pty.destroy === 'function') this.#pty.destroy();
  }

  dispose(): void {
    try {
      process.kill(this.program(), 'SIGKILL');
    } catch {
      // It has ended by itself.
    }
    try {
      this.#pty.kill('SIGKILL');
    } catch {
      // So has the shell.
    }
    this.#terminal.dispose();
  }
}
