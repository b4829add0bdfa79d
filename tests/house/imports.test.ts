// The house rules on imports: rooms look down only, `bench` looks at nothing of ours, diagnosis knows no disk and no screen.
import { readdirSync, readFileSync, statSync } from 'node:fs';
import { join, relative, resolve } from 'node:path';
import { describe, expect, it } from 'vitest';

const SRC = resolve(import.meta.dirname, '../../src');

/** Room -> rooms that it may import from. A room may always import from itself. */
const MAY_IMPORT: Readonly<Record<string, readonly string[]>> = {
  bench: [],
  rulebook: [],
  session: ['rulebook', 'bench'],
  safety: ['session', 'rulebook', 'bench'],
  diagnosis: ['session', 'rulebook', 'bench'],
  walk: ['diagnosis', 'safety', 'session', 'rulebook', 'bench'],
  report: ['walk', 'diagnosis', 'safety', 'session', 'rulebook', 'bench'],
  practice: ['walk', 'diagnosis', 'safety', 'session', 'rulebook', 'bench'],
  ui: ['walk', 'report', 'practice', 'diagnosis', 'safety', 'session', 'rulebook', 'bench'],
  cli: ['ui', 'walk', 'report', 'practice', 'diagnosis', 'safety', 'session', 'rulebook', 'bench'],
  tools: ['cli', 'ui', 'walk', 'report', 'practice', 'diagnosis', 'safety', 'session', 'rulebook', 'bench'],
};

/** Rooms that must stay pure: no disk, no network, no processes, no screen. */
const PURE = ['bench', 'diagnosis', 'safety', 'walk', 'report'];
const EFFECTS =
  /^(node:)?(fs|fs\/promises|child_process|net|http|https|os|tty|worker_threads)$|^(ink|react|conf|write-file-atomic)/;

function files(dir: string): string[] {
  return readdirSync(dir).flatMap((name) => {
    const path = join(dir, name);
    return statSync(path).isDirectory() ? files(path) : /\.(ts|tsx|mjs)$/.test(name) ? [path] : [];
  });
}

function importsOf(path: string): string[] {
  const text = readFileSync(path, 'utf8');
  return [...text.matchAll(/(?:from|import)\s*\(?\s*'([^']+)'/g)].map((m) => m[1] ?? '');
}

const all = files(SRC).map((path) => {
  const [first = ''] = relative(SRC, path).split('/');
  return { path, name: relative(SRC, path), room: first.startsWith('cli') ? 'cli' : first };
});

describe('imports go down only', () => {
  it('finds the rooms', () => {
    expect(new Set(all.map((f) => f.room)).size).toBeGreaterThan(6);
  });

  it.each(all)('$name', ({ path, room }) => {
    const allowed = MAY_IMPORT[room];
    expect(allowed, `${room} is not a room that this test knows`).toBeDefined();
    for (const target of importsOf(path)) {
      if (target.startsWith('.')) {
        const [other = ''] = relative(SRC, resolve(path, '..', target)).split('/');
        const otherRoom = other.startsWith('cli') ? 'cli' : other;
        if (otherRoom !== room && !target.endsWith('.json'))
          expect(allowed, `${room} imports ${target}`).toContain(otherRoom);
      } else if (PURE.includes(room)) {
        expect(target, `${room} must stay pure`).not.toMatch(EFFECTS);
      }
    }
  });

  // The package is marked free of side effects: a bundler drops a module that nothing is taken from, and what it would have set up.
  it('no module is imported for its effect alone', () => {
    const bare = all.filter(({ path }) => /^import '/m.test(readFileSync(path, 'utf8')));
    expect(bare.map((f) => f.name)).toEqual([]);
  });

  it.each(all)('$name says what it is for', ({ path }) => {
    const [first = '', second = ''] = readFileSync(path, 'utf8').split('\n');
    expect(first.startsWith('//') || (first.startsWith('#!') && second.startsWith('//'))).toBe(true);
  });
});
