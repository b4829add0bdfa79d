// What the program remembers between sessions. A damaged file is set aside and said, never fatal and never overwritten.
import { existsSync, renameSync } from 'node:fs';
import { join } from 'node:path';
import envPaths from 'env-paths';
import type { Preferences } from '../ui/ports.ts';

interface Stored extends Record<string, unknown> {
  instruments: readonly string[];
  technician: string;
  terms: 'us' | 'uk';
  sessionsFolder: string;
}

const DEFAULTS: Stored = {
  instruments: [],
  technician: '',
  terms: 'us',
  sessionsFolder: '',
};

const SCHEMA = {
  instruments: { type: 'array', items: { type: 'string', maxLength: 80 }, maxItems: 200 },
  technician: { type: 'string', maxLength: 200 },
  terms: { type: 'string', enum: ['us', 'uk'] },
  sessionsFolder: { type: 'string', maxLength: 4000 },
} as const;

export interface PreferenceStore {
  read(): Preferences;
  /** Keeps a change; if the disk refuses, it holds for this run only. */
  save(change: Partial<Preferences>): void;
  /** What went wrong with the file, in one line; '' if nothing. */
  readonly trouble: string;
}

/** Opens the preferences. `conf` is loaded here and not before: it takes longer than the first frame may. */
export async function openPreferences(now: Date, folder?: string): Promise<PreferenceStore> {
  const { default: Conf } = await import('conf');
  const cwd = folder ?? envPaths('first-raster', { suffix: '' }).config;
  const open = () =>
    new Conf<Stored>({
      projectName: 'first-raster',
      cwd,
      configName: 'preferences',
      schema: SCHEMA as never,
      clearInvalidConfig: false,
    });
  let trouble = '';
  let store: ReturnType<typeof open> | undefined;
  try {
    store = open();
  } catch (error) {
    const path = join(cwd, 'preferences.json');
    trouble = setAside(path, now, error);
    try {
      store = open();
    } catch {
      // Neither read nor replaced: this run goes with the defaults.
    }
  }
  let held: Stored = { ...DEFAULTS, ...(store?.store ?? {}) };
  return {
    trouble,
    read: () => held,
    save(change) {
      held = { ...held, ...change };
      try {
        store?.set(change);
      } catch {
        // A folder that cannot be written to: what was chosen holds until the program ends.
      }
    },
  };
}

/** Renames a file that cannot be used, so that its content is not lost, and says so. */
function setAside(path: string, now: Date, error: unknown): string {
  const why = error instanceof Error ? (error.message.split('\n')[0] ?? '') : String(error);
  if (!existsSync(path)) return `Preferences cannot be used (${why}); defaults are taken.`;
  const aside = `${path}.damaged-${now.toISOString().replace(/[:.]/g, '-')}`;
  try {
    renameSync(path, aside);
    return `The preferences file was damaged and is set aside as ${aside}; defaults are taken.`;
  } catch {
    return `The preferences file ${path} is damaged and could not be set aside; defaults are taken.`;
  }
}
