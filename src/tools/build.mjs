// Builds dist/: the program with what is loaded later in files of its own, the rule pack compiled to one JSON file, the licences of
// all that went in, the man page. A broken rule pack fails the build. `--clean` leaves no file of an earlier build.
import {
  chmodSync,
  copyFileSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { build } from 'esbuild';
import { emojiOnDemand, noDeveloperTools, REGEXP_SETS } from './ink-bundle.mjs';
import { licencesOf } from './licences.mjs';

const root = resolve(dirname(fileURLToPath(import.meta.url)), '../..');
const dist = join(root, 'dist');
/** Files are made here and moved when whole: whoever runs the program meanwhile never meets half of one. */
let workshop = '';

/** A program that runs while a build is made may still load parts of the earlier one: they are kept this long. */
const KEEP_PARTS_MS = 3_600_000;

/** The circuit simulator is large and complete in itself: it is copied as it is, and loaded by the first simulated set. */
const SIMULATOR = 'eecircuit-engine';
const simulatorBeside = {
  name: 'simulator-beside',
  setup(build) {
    build.onResolve({ filter: new RegExp(`^${SIMULATOR}$`) }, () => ({
      path: './simulator.mjs',
      external: true,
    }));
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

/** Bundles the program; what a command imports when it runs becomes a file of its own. React reads NODE_ENV while it loads, so it is fixed here. */
async function buildProgram() {
  const { version } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8'));
  const { metafile } = await build({
    ...common,
    entryPoints: { 'first-raster': join(root, 'src/cli.tsx') },
    outdir: workshop,
    splitting: true,
    chunkNames: 'part-[name]-[hash]',
    metafile: true,
    jsx: 'automatic',
    minifySyntax: true,
    minifyWhitespace: true,
    minifyIdentifiers: true,
    legalComments: 'none',
    define: {
      'process.env.NODE_ENV': '"production"',
      FIRST_RASTER_VERSION: JSON.stringify(version),
    },
    supported: REGEXP_SETS,
    plugins: [noDeveloperTools, emojiOnDemand, simulatorBeside],
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
  chmodSync(join(workshop, 'first-raster.js'), 0o755);
  const engine = join(root, 'node_modules', SIMULATOR);
  copyFileSync(join(engine, 'dist', `${SIMULATOR}.mjs`), join(workshop, 'simulator.mjs'));
  const bundled = [...Object.keys(metafile.inputs), `node_modules/${SIMULATOR}/package.json`];
  writeFileSync(join(workshop, 'THIRD-PARTY.txt'), licencesOf(root, bundled));
}

/** Removes parts that no present file of the build is, once nobody can be running them any more. */
function sweep(made, keepMs) {
  const now = Date.now();
  for (const name of readdirSync(dist)) {
    if (made.has(name) || name.startsWith('.build-')) continue;
    if (now - statSync(join(dist, name)).mtimeMs >= keepMs) rmSync(join(dist, name), { recursive: true });
  }
}

/** Writes the manual page from the table of commands. */
async function buildManual() {
  const { version } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8'));
  const maker = join(workshop, 'manual.mjs');
  await build({ ...common, entryPoints: [join(root, 'src/cli/manual.ts')], outfile: maker });
  const { manualPage } = await import(`${pathToFileURL(maker).href}?${Date.now()}`);
  rmSync(maker);
  writeFileSync(join(workshop, 'first-raster.1'), manualPage(version));
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
  await buildManual();
  const problems = await buildRules();
  // An old rules.json must not outlive a pack that is broken now.
  if (problems.length > 0) rmSync(join(dist, 'rules.json'), { force: true });
  const made = readdirSync(workshop);
  for (const name of made) {
    // All files of one build bear its time: `npm start` asks the oldest whether a source is newer.
    utimesSync(join(workshop, name), new Date(), new Date());
    // The program goes in last: it must find its parts.
    if (name !== 'first-raster.js') renameSync(join(workshop, name), join(dist, name));
  }
  renameSync(join(workshop, 'first-raster.js'), join(dist, 'first-raster.js'));
  sweep(new Set(made), process.argv.includes('--clean') ? 0 : KEEP_PARTS_MS);
  if (problems.length > 0) {
    process.stderr.write(
      `The rule pack has ${problems.length} errors:\n${problems.slice(0, 20).join('\n')}\n`,
    );
    process.exitCode = 1;
  }
} finally {
  rmSync(workshop, { recursive: true, force: true });
}
