// What the screens work with once the first frame stands: preferences, rule base, engine, sessions, write-ups. None of it is loaded before.
import {
  archiveSession,
  createSession,
  latestSession,
  listArchived,
  listSessions,
  rememberVerdict,
  unarchiveSession,
} from '../session/index.ts';
import type { Ports } from '../ui/ports.ts';
import { createEngine, type Engine } from '../walk/engine.ts';
import { sessionsFolder } from './places.ts';
import { rehearse } from './practice.ts';
import { openPreferences } from './preferences.ts';
import { freeReportPath, reportOf, writeWhole } from './report.ts';
import { rulebookFrom } from './rulebase.ts';
import { inTerms } from './terms.ts';
import { openForWork } from './tryout.ts';
import type { CommandLine } from './usage.ts';

/** The part of the ports that needs what is read after the first frame. */
export type Work = Pick<Ports, 'sessions' | 'writeReport' | 'readPreferences' | 'savePreferences'> & {
  readonly practice: NonNullable<Ports['practice']>;
};

export interface AfterFrame {
  readonly engine: Engine;
  readonly folder: string;
  /** What went wrong with the preferences, in one line; '' if nothing. */
  readonly trouble: string;
  readonly work: Work;
  /** Name of the session that was last written to. */
  latest(): string | undefined;
}

/** Reads everything. Throws InputError for a rule base that cannot be used. */
export async function readAfterFrame(line: CommandLine): Promise<AfterFrame> {
  const preferences = await openPreferences(new Date());
  const folder = sessionsFolder(line.sessions, preferences.read().sessionsFolder);
  const book = await rulebookFrom(line.rules);
  const engine = createEngine(inTerms(book, preferences.read().terms));
  const { name, version, hash } = engine.book;
  const rules = { name, version, hash };
  return {
    engine,
    folder,
    trouble: preferences.trouble,
    latest: () => latestSession(folder),
    work: {
      sessions: {
        list: () => listSessions(folder),
        create: (called, set) => createSession(folder, { name: called, rules, set }),
        open: (called) => openForWork(folder, called),
        listArchived: () => listArchived(folder),
        archive: (called) => void archiveSession(folder, called),
        unarchive: (called) => void unarchiveSession(folder, called),
        remember: (called, verdict) => rememberVerdict(folder, called, verdict),
      },
      writeReport(_view, session) {
        const { technician, terms } = preferences.read();
        const { path, older } = freeReportPath(folder, session.name);
        // A report puts the rules' own words into the terms of today; words exchanged before would be exchanged again.
        const plain = engine.book === book ? engine : createEngine(book);
        writeWhole(
          path,
          reportOf(plain, book, session, { format: 'html', technician, terms, now: new Date() }),
        );
        return { path, older };
      },
      readPreferences: () => preferences.read(),
      savePreferences: (change) => preferences.save(change),
      practice: (asked) => rehearse(engine, asked),
    },
  };
}
