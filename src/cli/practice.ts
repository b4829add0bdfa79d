// The practice bench: draws a simulated set and keeps its record in a folder that goes when the program ends.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createSession } from '../session/index.ts';
import type { AskedPractice, Rehearsal } from '../ui/ports.ts';
import type { Engine } from '../walk/engine.ts';
import { InputError } from './problem.ts';

const MOST_SEEDS = 100_000;

/** Puts a simulated set on the bench. Throws InputError for a family that cannot be simulated. The simulator is loaded here, not before. */
export async function rehearse(engine: Engine, asked: AskedPractice): Promise<Rehearsal> {
  const { CIRCUIT_FAMILIES, startPractice } = await import('../practice/index.ts');
  const known = CIRCUIT_FAMILIES.filter((id) => engine.book.families.some((f) => f.id === id));
  const seed = asked.seed ?? 1 + Math.floor(Math.random() * MOST_SEEDS);
  const family = asked.family ?? known[seed % known.length] ?? '';
  if (!known.some((id) => id === family)) {
    throw new InputError(`"${family}" cannot be simulated; practice has: ${known.join(', ')}.`);
  }
  const practice = await startPractice({ engine, seed, family, level: asked.level });
  const folder = mkdtempSync(join(tmpdir(), 'first-raster-practice-'));
  process.once('exit', () => rmSync(folder, { recursive: true, force: true }));
  const { name, version, hash } = engine.book;
  const session = createSession(folder, {
    name: `practice-${seed}`,
    rules: { name, version, hash },
    set: { name: practice.set.name, family },
  });
  for (const event of practice.opening) session.append(event);
  return { practice, session };
}
