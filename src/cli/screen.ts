// The full-screen program: joins terminal, preferences, rule base, sessions and screens. Draws first, reads afterwards.
import { join } from 'node:path';
import {
  archiveSession,
  createSession,
  latestSession,
  listArchived,
  listSessions,
  rememberVerdict,
  unarchiveSession,
} from '../session/index.ts';
import { App } from '../ui/app/app.ts';
import { openIntake } from '../ui/app/intake.ts';
import { mount } from '../ui/mount.tsx';
import type { Ports } from '../ui/ports.ts';
import { runOnTerminal, type TerminalControl } from '../ui/terminal.ts';
import { createEngine, type Engine } from '../walk/engine.ts';
import { sessionsFolder } from './places.ts';
import { rehearse } from './practice.ts';
import { openPreferences, type PreferenceStore } from './preferences.ts';
import { EXIT, InputError } from './problem.ts';
import { reportOf, writeWhole } from './report.ts';
import { rulebookFrom } from './rulebase.ts';
import { inTerms } from './terms.ts';
import { openForWork } from './tryout.ts';
import type { CommandLine } from './usage.ts';

/** NO_COLOR counts when it is set to anything (no-color.org). */
const wantsColour = (line: CommandLine): boolean => !line.noColor && (process.env.NO_COLOR ?? '') === '';

/** What is read after the first frame. */
interface Read {
  readonly engine: Engine;
  readonly preferences: PreferenceStore;
  readonly folder: string;
}

function portsFor(control: TerminalControl, read: () => Read): Ports {
  const rules = () => {
    const { name, version, hash } = read().engine.book;
    return { name, version, hash };
  };
  return {
    ...control,
    now: () => new Date(),
    sessions: {
      list: () => listSessions(read().folder),
      create: (name, set) => createSession(read().folder, { name, rules: rules(), set }),
      open: (name) => openForWork(read().folder, name),
      listArchived: () => listArchived(read().folder),
      archive: (name) => void archiveSession(read().folder, name),
      unarchive: (name) => void unarchiveSession(read().folder, name),
      remember: (name, verdict) => rememberVerdict(read().folder, name, verdict),
    },
    writeReport(_view, session) {
      const { engine, preferences, folder } = read();
      const { technician, terms } = preferences.read();
      const path = join(folder, `${session.name}.report.html`);
      writeWhole(
        path,
        reportOf(engine, engine.book, session, { format: 'html', technician, terms, now: new Date() }),
      );
      return path;
    },
    afterFrame: (work) => void setImmediate(work),
    readPreferences: () => read().preferences.read(),
    savePreferences: (change) => read().preferences.save(change),
    practice: (asked) => rehearse(read().engine, asked),
  };
}

/** Shows the screens until the technician leaves. Throws InputError for a rule base or session that cannot be used. */
export async function runScreen(line: CommandLine): Promise<number> {
  let read: Read | undefined;
  const known = (): Read => {
    if (!read) throw new Error('asked before everything was read');
    return read;
  };
  const start = async (app: App): Promise<void> => {
    if (line.command === 'resume' && line.rest[0]) app.update({ busy: `Opening ${line.rest[0]} ...` });
    await new Promise((resolve) => setImmediate(resolve));
    const preferences = await openPreferences(new Date());
    const folder = sessionsFolder(line.sessions, preferences.read().sessionsFolder);
    const engine = createEngine(inTerms(await rulebookFrom(line.rules), preferences.read().terms));
    read = { engine, preferences, folder };
    app.loaded({ book: engine.book, engine });
    if (preferences.trouble) app.say(preferences.trouble, 'watch');
    if (line.command === 'new') openIntake(app, 'new');
    if (line.command === 'practice') {
      const { seed, family, level } = line;
      await app.practise({
        level,
        ...(seed === undefined ? {} : { seed }),
        ...(family === undefined ? {} : { family }),
      });
    }
    if (line.command === 'resume') {
      const name = line.rest[0] ?? latestSession(folder);
      if (name === undefined) throw new InputError(`There is no session to resume in ${folder}.`);
      await new Promise<void>((resolve) => app.resume(name, resolve));
      if (!app.state.live) throw new InputError(app.state.notice?.text ?? `"${name}" cannot be opened.`);
    }
  };
  await runOnTerminal(
    { stdin: process.stdin, stdout: process.stdout },
    (control, columns, rows) => new App(portsFor(control, known), columns, rows),
    (app, onFrame) => mount(app, { ascii: line.ascii, colour: wantsColour(line) }, onFrame),
    start,
  );
  return EXIT.done;
}
