// Killed at random moments: no reading that was accepted is lost, every file opens. SESSION_KILLS raises the number of runs.
import { spawn } from 'node:child_process';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { createSession, openSession } from '../../src/session/index.ts';
import { newFolder, RULES, removeFolders } from './helpers.ts';

afterAll(removeFolders);

const RUNS = Number(process.env.SESSION_KILLS ?? 30);
const SOURCE = join(import.meta.dirname, '../../src/session/index.ts');

/** Appends for ever, telling each sequence number after it was accepted; killed by us after `ms` from its first word. */
function writeUntilKilled(folder: string, ms: number): Promise<number> {
  const script = `
    const { openSession } = await import(${JSON.stringify(SOURCE)});
    const { writeSync } = await import('node:fs');
    const session = openSession(${JSON.stringify(folder)}, 'x');
    for (;;) {
      const { seq } = session.append({ type: 'note', text: 'n'.repeat(Math.floor(Math.random() * 2000)) });
      writeSync(1, seq + '\\n');
    }`;
  const child = spawn(process.execPath, ['--import', 'tsx', '--input-type=module', '-e', script], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  return new Promise((done, fail) => {
    let out = '';
    child.stdout.on('data', (chunk) => {
      if (out === '') setTimeout(() => child.kill('SIGKILL'), ms);
      out += String(chunk);
    });
    child.on('error', fail);
    child.on('close', (_, signal) => {
      if (signal !== 'SIGKILL') fail(new Error(`ended by itself: ${out.slice(-200)}`));
      const whole = out.slice(0, out.lastIndexOf('\n')).split('\n');
      done(Number(whole.at(-1)));
    });
  });
}

it(`survives ${RUNS} kills`, { timeout: RUNS * 15_000 }, async () => {
  const folder = newFolder();
  createSession(folder, { name: 'x', rules: RULES }).close();
  for (let run = 0; run < RUNS; run++) {
    const accepted = await writeUntilKilled(folder, Math.random() * 60);
    const open = openSession(folder, 'x');
    expect(open.readOnly).toBeUndefined();
    expect(open.state.lastSeq).toBeGreaterThanOrEqual(accepted);
    expect(open.state.notes.map(({ seq }) => seq)).toEqual(
      Array.from({ length: open.state.lastSeq }, (_, index) => index + 1),
    );
    open.close();
  }
});
