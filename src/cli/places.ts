// Where things are: the program's own folder, the sessions.
import { existsSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import envPaths from 'env-paths';

/** The folder that holds `rules/` and `sessions/`: two up from this source file, one up from the built program. */
export function programFolder(): string {
  let folder = dirname(fileURLToPath(import.meta.url));
  while (!existsSync(join(folder, 'package.json')) && dirname(folder) !== folder) folder = dirname(folder);
  return folder;
}

/**
 * The sessions folder: the one asked for, else the one preferred, else `sessions/` beside the program where it runs from its
 * source folder, else the user's data folder.
 */
export function sessionsFolder(asked: string | undefined, preferred: string): string {
  if (asked !== undefined) return resolve(asked);
  if (preferred !== '') return resolve(preferred);
  const own = programFolder();
  return existsSync(join(own, 'src')) && existsSync(join(own, 'sessions'))
    ? join(own, 'sessions')
    : join(envPaths('first-raster', { suffix: '' }).data, 'sessions');
}
