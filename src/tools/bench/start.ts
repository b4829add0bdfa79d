// How fast the program stands on the screen, and in how much memory, beside a bare one-line Ink program that is bundled the same way.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { spawn } from 'node-pty';
import type { MeasuredRow } from './rows.ts';

const RUNS = 20;
const PATIENCE_MS = 60_000;
/** A program that has nothing to show yet may already have written these: private modes, cursor, titles. */
const ESCAPES = /\u001b(\[[0-9;?]*[ -/]*[@-~]|\][^\u0007]*\u0007|[()][0-9A-B]|[=>78])/g;

interface Start {
  /** From the start of the process to the first words on the screen, ms. */
  readonly first: number;
  /** To the words that say that keys are taken, ms. */
  readonly ready: number;
  /** Peak resident memory at that time, MiB; `undefined` where the system does not tell. */
  readonly peak: number | undefined;
}

function peakOf(pid: number): number | undefined {
  try {
    const found = /VmHWM:\s+(\d+) kB/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'));
    return found ? Number(found[1]) / 1024 : undefined;
  } catch {
    return undefined;
  }
}

/** Starts a program in a pseudo-terminal of its own, waits for the words, and ends it. */
function startOnce(args: readonly string[], ready: RegExp, folder: string): Promise<Start> {
  return new Promise((resolve, reject) => {
    const began = performance.now();
    const pty = spawn(process.execPath, [...args], {
      name: 'xterm-256color',
      cols: 80,
      rows: 24,
      cwd: folder,
      env: {
        PATH: process.env.PATH ?? '',
        HOME: folder,
        XDG_CONFIG_HOME: join(folder, 'config'),
        XDG_DATA_HOME: join(folder, 'data'),
        TERM: 'xterm-256color',
        LANG: 'C.UTF-8',
        CI: 'false',
      },
    });
    let text = '';
    let first = 0;
    let result: Start | undefined;
    const late = setTimeout(() => {
      pty.kill('SIGKILL');
      reject(new Error(`${args.join(' ')} did not show ${ready}:\n${text}`));
    }, PATIENCE_MS);
    pty.onData((data) => {
      if (result) return;
      text += data;
      const words = text.replace(ESCAPES, '');
      if (first === 0 && /\S/.test(words)) first = performance.now() - began;
      if (!ready.test(words)) return;
      result = { first, ready: performance.now() - began, peak: peakOf(pty.pid) };
      pty.kill('SIGKILL');
    });
    pty.onExit(() => {
      clearTimeout(late);
      if (result) resolve(result);
      else reject(new Error(`${args.join(' ')} ended before it showed ${ready}:\n${text}`));
    });
  });
}

/** Rows of the start: `program` is the built program, `bare` the bare one, both full paths. The two take turns, so that a busy machine slows both. */
export async function starts(
  program: string,
  bare: string,
  folder: string,
  runs = RUNS,
): Promise<readonly MeasuredRow[]> {
  const own: Start[] = [];
  const yard: Start[] = [];
  for (let n = 0; n < runs; n += 1) {
    yard.push(await startOnce([bare], /Ready/, folder));
    own.push(await startOnce([program, '--sessions', join(folder, 'no-sessions')], /New set/, folder));
  }
  const median = (list: readonly Start[], of: (s: Start) => number | undefined): number => {
    const sorted = list.flatMap((s) => of(s) ?? []).sort((x, y) => x - y);
    return sorted[Math.floor(sorted.length / 2)] ?? Number.NaN;
  };
  const compared = (what: string, unit: string, of: (s: Start) => number | undefined, goal: string) => {
    const mine = median(own, of);
    const theirs = median(yard, of);
    return {
      what,
      measured: `${mine.toFixed(0)} ${unit}, ${(mine / theirs).toFixed(2)}x`,
      beside: `${theirs.toFixed(0)} ${unit} bare Ink program`,
      goal,
      met: goal === '' ? undefined : mine / theirs <= Number(/[\d.]+/.exec(goal)?.[0]),
      value: mine / theirs,
    };
  };
  return [
    compared(`first frame, cold (median of ${runs})`, 'ms', (s) => s.first, '<= 1.3x'),
    compared('home screen takes keys, rules read', 'ms', (s) => s.ready, ''),
    ...(own.some((s) => s.peak !== undefined)
      ? [compared('peak memory, home screen', 'MiB', (s) => s.peak, '<= 1.4x')]
      : []),
  ];
}
