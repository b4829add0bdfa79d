// The rule base that the program runs on. The compiled one is read in milliseconds; the loader of source packs only comes in when it is needed.
import { join, resolve } from 'node:path';
import { loadCompiledRules } from '../rulebook/compiled.ts';
import type { Rulebook } from '../rulebook/types.ts';
import { programFolder } from './places.ts';
import { InputError } from './problem.ts';

/** Most problems of a rule pack that are printed. */
const MOST_PROBLEMS = 20;

/** The rule base: from a folder if one is asked for, else the compiled one, else the source beside the program. Throws InputError. */
export async function rulebookFrom(asked: string | undefined): Promise<Rulebook> {
  const compiled =
    asked === undefined ? loadCompiledRules(join(programFolder(), 'dist', 'rules.json')) : undefined;
  if (compiled) return compiled;
  const { loadRules, problemLine } = await import('../rulebook/load.ts');
  const { book, problems } = loadRules(asked === undefined ? join(programFolder(), 'rules') : resolve(asked));
  if (book) return book;
  const errors = problems.filter((p) => p.severity === 'error');
  const more = errors.length > MOST_PROBLEMS ? [`... and ${errors.length - MOST_PROBLEMS} more`] : [];
  throw new InputError([...errors.slice(0, MOST_PROBLEMS).map(problemLine), ...more].join('\n'));
}
