// `npm start -- ARGS`: builds when a source or a rule is newer than the built files, then runs the program with the arguments.
import { spawnSync } from 'node:child_process';
import { existsSync, readdirSync, statSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';

const here = dirname(fileURLToPath(import.meta.url));
const root = resolve(here, '../..');
const built = ['dist/first-raster.js', 'dist/rules.json'].map((name) => join(root, name));

/** Time of the newest file under a path, ms. */
function newest(path) {
  if (!existsSync(path)) return 0;
  const stat = statSync(path);
  if (!stat.isDirectory()) return stat.mtimeMs;
  return readdirSync(path).reduce((latest, name) => Math.max(latest, newest(join(path, name))), 0);
}

const oldestBuilt = Math.min(...built.map((path) => (existsSync(path) ? statSync(path).mtimeMs : 0)));
const newestSource = Math.max(...['src', 'rules', 'package.json'].map((name) => newest(join(root, name))));
if (newestSource > oldestBuilt) {
  const made = spawnSync(process.execPath, [join(here, 'build.mjs')], {
    stdio: ['ignore', 'inherit', 'inherit'],
  });
  if (made.status !== 0) process.exit(made.status ?? 70);
}
process.argv = [process.argv[0], built[0], ...process.argv.slice(2)];
await import(built[0]);
