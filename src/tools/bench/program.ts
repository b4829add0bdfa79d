// Rows on the program as a whole: the machine they were taken on, its start beside a bare program, published repairs, and what it withstands.
import { spawnSync } from 'node:child_process';
import { readdirSync, readFileSync } from 'node:fs';
import { arch, cpus, platform, release, totalmem } from 'node:os';
import { join } from 'node:path';
import { build } from 'esbuild';
import { readCase } from '../../walk/case-file.ts';
import type { Engine } from '../../walk/engine.ts';
import { evaluateAll } from '../../walk/evaluate.ts';
import { emojiOnDemand, noDeveloperTools, REGEXP_SETS } from '../ink-bundle.mjs';
import type { MeasuredRow } from './rows.ts';
import { starts } from './start.ts';

const BARE = `import { createElement } from 'react';
import { render, Text } from 'ink';
render(createElement(Text, null, 'Ready'));
setInterval(() => undefined, 60_000);
`;
/** Cases that come from outside the project; the others were written beside the rules. */
const PUBLISHED_CASE = /^(h\d|row-)/;

/** One line: what the numbers were taken on. */
export function machineLine(): string {
  const [cpu] = cpus();
  return `${cpus().length} x ${cpu?.model.trim() ?? 'unknown processor'}, ${(totalmem() / 2 ** 30).toFixed(0)} GiB, ${platform()} ${release()} ${arch()}, Node ${process.versions.node}, V8 ${process.versions.v8}`;
}

/** Builds what is compared, and measures the start of both. */
export async function startRows(root: string, folder: string): Promise<readonly MeasuredRow[]> {
  const bare = join(folder, 'bare.mjs');
  await build({
    stdin: { contents: BARE, resolveDir: join(root, 'src') },
    outfile: bare,
    bundle: true,
    platform: 'node',
    target: 'node20',
    format: 'esm',
    minifySyntax: true,
    minifyWhitespace: true,
    minifyIdentifiers: true,
    define: { 'process.env.NODE_ENV': '"production"' },
    supported: REGEXP_SETS,
    plugins: [noDeveloperTools, emojiOnDemand],
    banner: {
      js: "import { createRequire } from 'node:module'; const require = createRequire(import.meta.url);",
    },
  });
  const made = spawnSync(process.execPath, [join(root, 'src/tools/start.mjs'), '--version'], {
    encoding: 'utf8',
  });
  if (made.status !== 0) throw new Error(made.stderr);
  return starts(join(root, 'dist/first-raster.js'), bare, folder);
}

/**
 * Cases of the tests, all answers given: the found part in its place. Every part of `n` in the first n + 2, or in the first three;
 * for a symptom row of a handbook, any one of the causes that it names.
 */
export function publishedRows(engine: Engine, root: string): readonly MeasuredRow[] {
  const rowOf = (what: string, folder: string, from: RegExp, goal: number | undefined): MeasuredRow => {
    const at = join(root, 'tests/published/cases', folder);
    const met = readdirSync(at)
      .filter((name) => from.test(name) && name.endsWith('.yaml'))
      .flatMap((name) => {
        const text = readFileSync(join(at, name), 'utf8');
        const { data } = readCase(name, text, engine.book);
        if (!data || data.truth.length === 0) return [];
        const order = evaluateAll(engine, data).view.suspects.map((s) => s.part);
        const places = data.truth.map(
          (id) => order.indexOf(id.split('/')[0] ?? '') + 1 || Number.POSITIVE_INFINITY,
        );
        const anyOf = name.startsWith('row-') || /any one of the (entries|causes)/i.test(text);
        return [
          anyOf
            ? Math.min(...places) <= 3
            : places.every((place) => place <= Math.max(3, data.truth.length + 2)),
        ];
      });
    const count = met.filter(Boolean).length;
    const share = count / met.length;
    return {
      what,
      measured: `${count} of ${met.length}, ${(100 * share).toFixed(0)} %`,
      beside: "the author's own finding",
      goal: goal === undefined ? '' : `>= ${100 * goal} %`,
      met: goal === undefined ? undefined : share >= goal,
      value: share,
    };
  };
  return [
    rowOf(
      'published repairs with a reading on the fault, found part in its place',
      'readings',
      PUBLISHED_CASE,
      0.9,
    ),
    rowOf('the same with combinations written beside the rules', 'readings', /./, 0.9),
    rowOf('published repairs and symptom rows with looks only', 'symptoms', PUBLISHED_CASE, undefined),
  ];
}

/** Test runs with their numbers turned up: each either finds something or does not. */
const WITHSTOOD: readonly {
  readonly what: string;
  readonly file: string;
  readonly env: Readonly<Record<string, string>>;
  readonly goal: string;
}[] = [
  {
    what: 'killed at a random moment, 1,000 times',
    file: 'tests/session/kill.test.ts',
    env: { SESSION_KILLS: '1000' },
    goal: '0 readings lost',
  },
  {
    what: 'random keys, 200,000',
    file: 'tests/ui/random-keys.test.ts',
    env: { FIRST_RASTER_KEYS: '200000' },
    goal: '0 crashes, 0 interlock violations',
  },
  {
    what: 'damaged session, rule, case and preference files, 10,000',
    file: 'tests/session/fuzz.test.ts',
    env: { FUZZ_RUNS: '10000' },
    goal: '0 crashes, 0 stack traces',
  },
];

export function withstoodRows(root: string): readonly MeasuredRow[] {
  return WITHSTOOD.map(({ what, file, env, goal }) => {
    const run = spawnSync(
      process.execPath,
      [
        join(root, 'node_modules/vitest/vitest.mjs'),
        'run',
        '--config',
        'tests/vitest.config.ts',
        '--testTimeout',
        '3600000',
        file,
      ],
      { cwd: root, encoding: 'utf8', env: { ...process.env, ...env } },
    );
    const met = run.status === 0;
    return {
      what,
      measured: met ? 'none' : 'found: see the test',
      beside: file,
      goal,
      met,
      value: met ? 0 : 1,
    };
  });
}

/** The rows as a table that can stand in Markdown. */
export function measuredTable(rows: readonly MeasuredRow[]): string {
  return [
    '| what | measured | beside | goal |',
    '|---|---|---|---|',
    ...rows.map(
      (r) =>
        `| ${r.what} | ${r.measured} | ${r.beside} | ${r.goal || 'none set'}${r.met === false ? ': not met' : ''} |`,
    ),
  ].join('\n');
}
