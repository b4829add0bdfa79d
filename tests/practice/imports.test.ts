// The simulated circuits must share no number with the rules that they judge: no import from rules, diagnosis or walk may reach them.
import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { describe, expect, it } from 'vitest';

const practice = resolve('src/practice');
const filesIn = (folder: string): string[] =>
  readdirSync(join(practice, folder))
    .filter((f) => f.endsWith('.ts'))
    .map((f) => join(practice, folder, f));

const importsOf = (file: string): string[] =>
  [...readFileSync(file, 'utf8').matchAll(/(?:from|import)\s*\(?\s*'([^']+)'/g)].map((m) => m[1] ?? '');

/** Everything that a file reaches through relative imports. */
function reached(file: string, seen = new Set<string>()): Set<string> {
  if (seen.has(file)) return seen;
  seen.add(file);
  for (const name of importsOf(file)) if (name.startsWith('.')) reached(resolve(dirname(file), name), seen);
  return seen;
}

describe('simulated circuits and their readings', () => {
  const own = [
    ...filesIn('circuits'),
    ...filesIn('readings'),
    join(practice, 'set.ts'),
    join(practice, 'meter.ts'),
  ];

  it('finds the files that it is about', () => {
    expect(own.length).toBeGreaterThan(15);
  });

  it.each(own)('%s reaches nothing outside the practice room', (file) => {
    const outside = [...reached(file)].filter((f) => !f.startsWith(practice));
    expect(outside).toEqual([]);
    for (const f of reached(file))
      for (const name of importsOf(f)) expect(name.startsWith('.') || name === 'eecircuit-engine').toBe(true);
  });

  it.each(own)('%s reads no rule file', (file) => {
    expect(readFileSync(file, 'utf8')).not.toMatch(/node:fs|rules\/|\.yaml/);
  });
});
