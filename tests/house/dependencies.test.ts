// The house rules on libraries: nothing unused, each with its reason written down, all bundled, none loaded before the first frame that need not be.
import { readdirSync, readFileSync, statSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { beforeAll, expect, it } from 'vitest';
import { buildIfNeeded } from '../terminal/pty.ts';

const ROOT = resolve(import.meta.dirname, '../..');
const manifest = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8'));
const declared = Object.keys(manifest.devDependencies);
/** Used by name in scripts or by the compiler, not by an import. */
const TOOLS = ['@biomejs/biome', 'tsx', 'typescript', 'vitest'];

function files(dir: string): string[] {
  return readdirSync(dir).flatMap((name) => {
    const path = join(dir, name);
    return statSync(path).isDirectory() ? files(path) : /\.(ts|tsx|mjs)$/.test(name) ? [path] : [];
  });
}

beforeAll(buildIfNeeded, 180_000);

it('every library is imported somewhere, or is a tool', () => {
  const all = ['src', 'tests'].flatMap((d) => files(join(ROOT, d)));
  const text = all.map((f) => readFileSync(f, 'utf8')).join('\n');
  const used = (name: string): boolean =>
    text.includes(`'${name}'`) || text.includes(`'${name}/`) || TOOLS.includes(name);
  expect(declared.filter((name) => !used(name.replace(/^@types\//, '')) && name !== '@types/node')).toEqual(
    [],
  );
});

it('every library has its reason in DEVELOPERS.md', () => {
  const guide = readFileSync(join(ROOT, 'DEVELOPERS.md'), 'utf8');
  const table = guide.slice(guide.indexOf('## Libraries'), guide.indexOf('## Commands'));
  const missing = declared.filter(
    (n) => !n.startsWith('@types/') && !table.includes(n.replace(/^@biomejs\//, '')),
  );
  expect(missing).toEqual([]);
});

it('installs without fetching anything: all that runs is in the bundle', () => {
  expect(manifest.dependencies).toBeUndefined();
});

it('names the licence of every package in the bundle', () => {
  const notices = readFileSync(join(ROOT, 'dist/THIRD-PARTY.txt'), 'utf8');
  const lock = JSON.parse(readFileSync(join(ROOT, 'package-lock.json'), 'utf8')).packages;
  for (const name of ['ink', 'react', 'yoga-layout', 'conf', 'zod', 'yaml', 'eecircuit-engine', 'csv-parse'])
    expect(notices).toContain(`${name} ${lock[`node_modules/${name}`].version} (`);
  expect(notices).not.toContain('see below');
});

it('has no Ink, simulator, schemas, rule loader, reports or preferences before the first frame', () => {
  const dist = join(ROOT, 'dist');
  const entry = readFileSync(join(dist, 'first-raster.js'), 'utf8');
  const screen = /import\("\.\/(part-screen-[^"]+)"\)/.exec(entry)?.[1] ?? '';
  const seen = new Map<string, string>();
  const visit = (name: string): void => {
    if (seen.has(name)) return;
    const text = readFileSync(join(dist, name), 'utf8');
    seen.set(name, text);
    for (const [, next = ''] of text.matchAll(/(?:from|import)\s*"\.\/([^"]+)"/g)) visit(next);
  };
  visit(screen);
  visit('first-raster.js');
  const loaded = [...seen.values()].join('\n');
  expect(loaded).toContain('New set');
  const everywhere = readdirSync(dist)
    .filter((name) => /^part-.*\.js$/.test(name))
    .map((name) => readFileSync(join(dist, name), 'utf8'))
    .join('\n');
  for (const heavy of [
    'ZodObject',
    'YAMLParseError',
    '<!doctype html>',
    'ajv',
    'simulator.mjs',
    'react.element',
    'yoga',
  ]) {
    expect(everywhere.toLowerCase(), heavy).toContain(heavy.toLowerCase());
    expect(loaded.toLowerCase().includes(heavy.toLowerCase()), heavy).toBe(false);
  }
  // The screens alone; Ink with its layout engine would bring another 0.4 MB.
  expect(loaded.length).toBeLessThan(250_000);
});
