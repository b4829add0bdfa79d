// Builds dist/: the program as one file, and the rule pack compiled to one JSON file. A broken rule pack fails the build.
import {
  chmodSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { build } from 'esbuild';

const root = resolve(dirname(fileURLToPath(import.meta.url)), '../..');
const dist = join(root, 'dist');
/** Files are made here and moved when whole: whoever runs the program meanwhile never meets half of one. */
let workshop = '';

/** Ink asks for the React developer tools only in development; the bundle must not carry them, nor fail without them. */
const noDeveloperTools = {
  name: 'no-developer-tools',
  setup(build) {
    build.onResolve({ filter: /^react-devtools-core$/ }, () => ({ path: 'stub', namespace: 'stub' }));
    build.onLoad({ filter: /.*/, namespace: 'stub' }, () => ({ contents: 'export default {};' }));
  },
};

const common = {
  bundle: true,
  platform: 'node',
  target: 'node20',
  format: 'esm',
  logLevel: 'warning',
  absWorkingDir: root,
};

/** Bundles the program. React reads NODE_ENV while it loads, so it is fixed at build time. */
async function buildProgram() {
  const outfile = join(workshop, 'first-raster.js');
  const { version } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8'));
  await build({
    ...common,
    entryPoints: [join(root, 'src/cli.tsx')],
    outfile,
    jsx: 'automatic',
    minifySyntax: true,
    minifyWhitespace: true,
    legalComments: 'linked',
    define: {
      'process.env.NODE_ENV': '"production"',
      'process.env.DEV': '"false"',
      FIRST_RASTER_VERSION: JSON.stringify(version),
    },
    plugins: [noDeveloperTools],
    // The circuit simulator is large, and only the practice bench loads it.
    external: ['eecircuit-engine'],
    banner: {
      js: [
        // Packages of the older module format ask for these three.
        "import { createRequire as frCreateRequire } from 'node:module';",
        "import { dirname as frDirname } from 'node:path';",
        "import { fileURLToPath as frFileURLToPath } from 'node:url';",
        "process.env.NODE_ENV = 'production';",
        'const require = frCreateRequire(import.meta.url);',
        'const __filename = frFileURLToPath(import.meta.url);',
        'const __dirname = frDirname(__filename);',
      ].join('\n'),
    },
  });
  chmodSync(outfile, 0o755);
}

/** Compiles rules/ with the program's own loader. Returns the problems found, one a line; empty when all is well. */
async function buildRules() {
  const loader = join(workshop, 'loader.mjs');
  const output = join(workshop, 'rules.json');
  await build({
    ...common,
    stdin: {
      contents:
        "export { loadRules, problemLine } from './load.ts'; export { compileRules } from './compiled.ts';",
      resolveDir: join(root, 'src/rulebook'),
      loader: 'ts',
    },
    outfile: loader,
    banner: {
      js: "import { createRequire as frCreateRequire } from 'node:module'; const require = frCreateRequire(import.meta.url);",
    },
  });
  try {
    const { loadRules, problemLine, compileRules } = await import(
      `${pathToFileURL(loader).href}?${Date.now()}`
    );
    const { book, problems } = loadRules(join(root, 'rules'));
    if (!book) return problems.filter((p) => p.severity === 'error').map(problemLine);
    writeFileSync(output, compileRules(book));
    return [];
  } finally {
    rmSync(loader, { force: true });
  }
}

mkdirSync(dist, { recursive: true });
workshop = mkdtempSync(join(dist, '.build-'));
try {
  await buildProgram();
  const problems = await buildRules();
  // An old rules.json must not outlive a pack that is broken now.
  if (problems.length > 0) rmSync(join(dist, 'rules.json'), { force: true });
  for (const name of readdirSync(workshop)) renameSync(join(workshop, name), join(dist, name));
  if (problems.length > 0) {
    process.stderr.write(
      `The rule pack has ${problems.length} errors:\n${problems.slice(0, 20).join('\n')}\n`,
    );
    process.exitCode = 1;
  }
} finally {
  rmSync(workshop, { recursive: true, force: true });
}
