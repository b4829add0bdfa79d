// Writes the demonstration sessions `sessions/demo-*.jsonl` anew: npx tsx tests/sessions-demo/make-demo.ts [NAME ...] [--log]
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { loadRules, problemLine } from '../../src/rulebook/index.ts';
import { createSession, exportSession } from '../../src/session/index.ts';
import { createEngine } from '../../src/walk/engine.ts';
import { playBenchDay } from './bench-day.ts';
import { BENCH_DAYS } from './demos.ts';

const root = resolve(import.meta.dirname, '../..');
const { book, problems } = loadRules(join(root, 'rules'));
if (!book) throw new Error(problems.map(problemLine).join('\n'));
const engine = createEngine(book);
const names = process.argv.slice(2).filter((word) => !word.startsWith('--'));
const folder = mkdtempSync(join(tmpdir(), 'demo-'));
try {
  for (const day of BENCH_DAYS) {
    if (names.length > 0 && !names.includes(day.name)) continue;
    const { name, version, hash } = book;
    const session = createSession(folder, {
      name: day.name,
      rules: { name, version, hash },
      set: { name: day.set.name, family: day.set.family },
      now: new Date(day.startedAt),
    });
    const { log, end } = playBenchDay(engine, session, day);
    session.close();
    const file = join(root, 'sessions', `${day.name}.jsonl`);
    rmSync(file, { force: true });
    exportSession(folder, day.name, file);
    const view = engine.view(session.state, new Date(session.state.lastAt));
    const grades = view.verdict?.core.map((entry) => `${entry.id} ${entry.grade}`).join(', ');
    process.stdout.write(
      `${day.name}: ${session.state.readings.length} readings, ${view.verdict?.overall}; ${grades}; next: ${view.step.kind}; ${end}\n`,
    );
    if (process.argv.includes('--log')) {
      process.stdout.write(`${log.join('\n')}\n`);
      for (const s of view.suspects) process.stdout.write(`  ${s.id} ${s.partProbability.toFixed(2)}\n`);
    }
  }
} finally {
  rmSync(folder, { recursive: true, force: true });
}
