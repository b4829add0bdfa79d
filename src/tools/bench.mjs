// `npm run bench`: measures diagnosis on simulated sets and the timings of the program, and prints them beside their goals. It fails nothing.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { build } from 'esbuild';

const root = resolve(dirname(fileURLToPath(import.meta.url)), '../..');
const folder = mkdtempSync(join(tmpdir(), 'first-raster-bench-'));
// Its own name a run: two may run side by side, and worker threads load it too.
const outfile = join(root, 'node_modules', `.first-raster-bench-${process.pid}.mjs`);
try {
  await build({
    bundle: true,
    platform: 'node',
    target: 'node20',
    format: 'esm',
    logLevel: 'warning',
    absWorkingDir: root,
    entryPoints: [join(root, 'src/tools/bench/main.ts')],
    outfile,
    // Bare packages stay where they are: the simulator brings its WebAssembly with it.
    packages: 'external',
  });
  const { main } = await import(`${pathToFileURL(outfile).href}?${Date.now()}`);
  await main(process.argv.slice(2), { root, folder });
} finally {
  rmSync(folder, { recursive: true, force: true });
  rmSync(outfile, { force: true });
}
