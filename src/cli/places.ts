// Where things are: the program's own folder, the rule base, the sessions.
import { existsSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import envPaths from 'env-paths';
import { loadCompiledRules } from '../rulebook/compiled.ts';
import { loadRules, problemLine } from '../rulebook/load.ts';
import type { Rulebook } from '../rulebook/types.ts';
import { InputError } from './problem.ts';

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

/** Most problems of a rule pack that are printed. */
const MOST_PROBLEMS = 20;

/** The rule base: from a folder if one is asked for, else the compiled one, else the source beside the program. Throws InputError. */
export function rulebookFrom(asked: string | undefined): Rulebook {
  const compiled =
    asked === undefined ? loadCompiledRules(join(programFolder(), 'dist', 'rules.json')) : undefined;
  if (compiled) return compiled;
  const { book, problems } = loadRules(asked === undefined ? join(programFolder(), 'rules') : resolve(asked));
  if (book) return book;
  const errors = problems.filter((p) => p.severity === 'error');
  const more = errors.length > MOST_PROBLEMS ? [`... and ${errors.length - MOST_PROBLEMS} more`] : [];
  throw new InputError([...errors.slice(0, MOST_PROBLEMS).map(problemLine), ...more].join('\n'));
}
