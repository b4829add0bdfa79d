// What the program remembers between sessions. A damaged file is set aside and said, never fatal and never overwritten.
import { existsSync, renameSync, statSync } from 'node:fs';
import { join } from 'node:path';
import envPaths from 'env-paths';
import { z } from 'zod';
import { cleanText } from '../rulebook/plain-text.ts';
import { readTextFile } from '../rulebook/text-file.ts';
import { setFacts } from '../session/validate.ts';
import type { Preferences } from '../ui/ports.ts';

interface Stored extends Record<string, unknown> {
  instruments: readonly string[];
  technician: string;
  terms: 'us' | 'uk';
  sessionsFolder: string;
  intake?: Preferences['intake'];
}

const DEFAULTS: Stored = {
  instruments: [],
  technician: '',
  terms: 'us',
  sessionsFolder: '',
};

/** Largest preferences file that is read. */
const MOST_BYTES = 1_048_576;

/** What the file may hold. Checked here: the schema compiler that `conf` brings would cost half as long as a first frame. */
const SCHEMA = z.object({
  instruments: z.array(z.string().max(80)).max(200).optional(),
  technician: z.string().max(200).optional(),
  terms: z.enum(['us', 'uk']).optional(),
  sessionsFolder: z.string().max(4000).optional(),
  intake: z.unknown().optional(),
});

/** A broken-off intake; one that is not as it must be is forgotten, the rest of the file stands. */
const INTAKE = z.object({
  facts: setFacts,
  wish: z.enum(['watch', 'display', 'sell', 'unknown']),
  said: z.string().max(2000).default(''),
});

function refuseOddContent(stored: unknown): void {
  const issue = SCHEMA.safeParse(stored).error?.issues[0];
  if (issue) throw new Error(`\`${issue.path.join('.')}\` is not as it must be: ${issue.message}`);
}

export interface PreferenceStore {
  read(): Preferences;
  /** Keeps a change; if the disk refuses, it holds for this run only, and why is returned as a sentence ('' if kept). */
  save(change: Partial<Preferences>): string;
  /** What went wrong with the file, in one line; '' if nothing. */
  readonly trouble: string;
}

/** Only what is known, and its texts fit for a terminal. */
function cleaned(stored: Partial<Stored>): Partial<Stored> {
  const { instruments, technician, terms, sessionsFolder } = stored;
  const intake = INTAKE.safeParse(stored.intake).data;
  return {
    ...(instruments === undefined ? {} : { instruments: instruments.map(cleanText) }),
    ...(technician === undefined ? {} : { technician: cleanText(technician) }),
    ...(terms === undefined ? {} : { terms }),
    ...(sessionsFolder === undefined ? {} : { sessionsFolder: sessionsFolder.replaceAll('\0', '') }),
    ...(intake === undefined ? {} : { intake }),
  };
}

/** Opens the preferences. `conf` is loaded here and not before: it takes longer than the first frame may. */
export async function openPreferences(now: Date, folder?: string): Promise<PreferenceStore> {
  const { default: Conf } = await import('conf');
  const cwd = folder ?? envPaths('first-raster', { suffix: '' }).config;
  const open = () => {
    const conf = new Conf<Stored>({
      projectName: 'first-raster',
      cwd,
      configName: 'preferences',
      clearInvalidConfig: false,
      configFileMode: 0o600,
    });
    refuseOddContent(conf.store);
    return conf;
  };
  let trouble = '';
  let store: ReturnType<typeof open> | undefined;
  const path = join(cwd, 'preferences.json');
  try {
    refuseOddFile(path);
    store = open();
  } catch (error) {
    trouble = setAside(path, now, error);
    try {
      refuseOddFile(path);
      store = open();
    } catch {
      // Neither read nor replaced: this run goes with the defaults.
    }
  }
  let held: Stored = { ...DEFAULTS, ...cleaned(store?.store ?? {}) };
  return {
    trouble,
    read: () => held,
    save(change) {
      held = { ...held, ...change };
      if (!store) return `Preferences cannot be kept in ${path}.`;
      try {
        store.set(change);
        return '';
      } catch (error) {
        return `Preferences cannot be kept (${cleanText(error instanceof Error ? error.message : String(error))}).`;
      }
    },
  };
}

/** `conf` reads whatever is there, whole: a device, a pipe or a huge file must not get that far. */
function refuseOddFile(path: string): void {
  const stat = statSync(path, { throwIfNoEntry: false });
  if (stat !== undefined && !stat.isFile()) throw new Error('it is not a file');
  if (stat !== undefined && stat.size > MOST_BYTES) throw new Error(`larger than ${MOST_BYTES / 1024} KiB`);
}

/** Renames a damaged file, so that its content is not lost, and says so with the line; one that is only locked away stays. */
function setAside(path: string, now: Date, error: unknown): string {
  const why = cleanText(error instanceof Error ? (error.message.split('\n')[0] ?? '') : String(error));
  const code = error instanceof Error && 'code' in error ? String(error.code) : '';
  if (code !== '' || !existsSync(path)) return `Preferences cannot be used (${why}); defaults are taken.`;
  const where = `${path}:${lineOf(path, why)}`;
  const aside = `${path}.damaged-${now.toISOString().replace(/[:.]/g, '-')}`;
  try {
    renameSync(path, aside);
    return `${where}: the preferences file is damaged (${why}). It is set aside as ${aside}; defaults are taken.`;
  } catch {
    return `${where}: the preferences file is damaged (${why}) and could not be set aside; defaults are taken.`;
  }
}

/** Line of what is wrong: told by the JSON reader as line or position, by the schema as the name of a setting in quotes. */
function lineOf(path: string, why: string): number {
  const told = /\bline (\d+)/.exec(why)?.[1];
  if (told !== undefined) return Number(told);
  const file = readTextFile(path, MOST_BYTES);
  if (!('text' in file)) return file.line;
  const position = /\bposition (\d+)/.exec(why)?.[1];
  const setting = Object.keys(SCHEMA.shape).find((name) => why.includes(name));
  const at = position === undefined ? file.text.indexOf(`"${setting}"`) : Number(position);
  return at > 0 ? file.text.slice(0, at).split('\n').length : 1;
}
