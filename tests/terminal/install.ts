// The package as it is given away: packed from the build, and installed into an empty folder without a network.
import { spawnSync } from 'node:child_process';
import { mkdirSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { buildIfNeeded } from './pty.ts';

const ROOT = join(import.meta.dirname, '../..');

export interface Installed {
  /** Where it was installed to: `bin`, `lib`, `share` are below. */
  readonly prefix: string;
  /** The installed package itself. */
  readonly folder: string;
  readonly program: string;
}

/** Packs and installs below `work`. Throws with what npm said. */
export function installPackage(work: string): Installed {
  buildIfNeeded();
  const prefix = join(work, 'prefix');
  mkdirSync(prefix);
  const npm = (...args: readonly string[]): void => {
    const run = spawnSync('npm', [...args, '--cache', join(work, 'cache'), '--no-audit', '--no-fund'], {
      cwd: ROOT,
      encoding: 'utf8',
      env: { ...process.env, npm_config_offline: 'true' },
    });
    if (run.status !== 0) throw new Error(`npm ${args[0]}: ${run.stderr}${run.stdout}`);
  };
  // Without its scripts: they build anew, under the feet of other tests.
  npm('pack', '--ignore-scripts', '--pack-destination', work);
  const tarball = readdirSync(work).find((name) => name.endsWith('.tgz')) ?? '';
  npm('install', '--global', '--prefix', prefix, join(work, tarball));
  const folder = join(prefix, 'lib/node_modules/first-raster');
  return { prefix, folder, program: join(folder, 'dist/first-raster.js') };
}
