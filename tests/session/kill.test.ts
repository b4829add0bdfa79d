// Killed at random moments: no reading that was accepted is lost, every file opens. SESSION_KILLS raises the number of runs.
import { spawn } from 'node:child_process';
import { join } from 'node:path';
import { buildSync } from 'esbuild';
import { afterAll, expect, it } from 'vitest';
import { createSession, listSessions, openSession } from '../../src/session/index.ts';
import { newFolder, RULES, removeFolders } from './helpers.ts';

afterAll(removeFolders);

const RUNS = Number(process.env.SESSION_KILLS ?? 30);
/** Sessions as one plain file: a child that compiles first spends its life on that. */
const BUILT = join(newFolder(), 'session.cjs');
buildSync({
  entryPoints: [join(import.meta.dirname, '../../src/session/index.ts')],
  outfile: BUILT,
  bundle: true,
  platform: 'node',
  format: 'cjs',
});

/** Appends for ever, telling each sequence number after it was accepted; killed by us after `ms` from its first word. */
function writeUntilKilled(folder: string, name: string, ms: number): Promise<number> {
  const script = `
    const { openSession } = require(${JSON.stringify(BUILT)});
    const { writeSync } = require('node:fs');
    const session = openSession(${JSON.stringify(folder)}, ${JSON.stringify(name)});
    for (;;) {
      const { seq } = session.append({ type: 'note', text: 'n'.repeat(Math.floor(Math.random() * 2000)) });
      writeSync(1, seq + '\\n');
    }`;
  const child = spawn(process.execPath, ['-e', script], {
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

/** A new file after so many kills: one that grows through all of them takes longer to read than to write. */
const KILLS_A_FILE = 25;

it(`survives ${RUNS} kills`, { timeout: RUNS * 15_000 }, async () => {
  const folder = newFolder();
  let name = '';
  for (let run = 0; run < RUNS; run++) {
    if (run % KILLS_A_FILE === 0) {
      const made = createSession(folder, { name: 'x', rules: RULES });
      made.close();
      name = made.name;
    }
    const accepted = await writeUntilKilled(folder, name, Math.random() * 60);
    const open = openSession(folder, name);
    expect(open.readOnly).toBeUndefined();
    expect(open.state.lastSeq).toBeGreaterThanOrEqual(accepted);
    expect(open.state.notes.map(({ seq }) => seq)).toEqual(
      Array.from({ length: open.state.lastSeq }, (_, index) => index + 1),
    );
    open.close();
  }
  expect(listSessions(folder).filter(({ trouble }) => trouble !== '')).toEqual([]);
});
