// `report`: the write-up of a session, to standard output or a file.
import { resolve } from 'node:path';
import writeFileAtomic from 'write-file-atomic';
import { type ReportFormat, renderReport } from '../report/index.ts';
import type { Rulebook } from '../rulebook/types.ts';
import { openSession, type Session } from '../session/index.ts';
import { createEngine, type Engine } from '../walk/engine.ts';
import type { PreferenceStore } from './preferences.ts';
import { EXIT, InputError } from './problem.ts';
import { rulebookFrom } from './rulebase.ts';
import type { CommandLine } from './usage.ts';

/** Signals whose fault tree goes into the bench record: what the owner sees, where it is likelier wrong than right. */
const WRONG_FROM = 0.5;
const MOST_TREES = 4;

/** Renders the report of a session as it stands, with the weights of readings worked out. */
export function reportOf(
  engine: Engine,
  book: Rulebook,
  session: Session,
  options: {
    readonly format: ReportFormat;
    readonly technician: string;
    readonly terms: 'us' | 'uk';
    readonly now: Date;
  },
): string {
  const view = engine.view(session.state, options.now, { explained: true });
  const wrong = book.signals.filter(
    (s) => s.outcome && 1 - (view.belief?.signals.get(s.id)?.normal ?? 1) >= WRONG_FROM,
  );
  const { name, rules, created } = session.header;
  return renderReport(
    {
      view,
      session: { name: name || session.name, created, rules },
      technician: options.technician,
      rulebook: book,
      now: options.now,
      terms: options.terms,
      faultTrees: wrong.slice(0, MOST_TREES).flatMap((s) => engine.faultTree(view, s.id) ?? []),
    },
    options.format,
  );
}

/** Writes a file whole or not at all. Throws InputError if the disk refuses. */
export function writeWhole(path: string, text: string): void {
  try {
    writeFileAtomic.sync(path, text);
  } catch (error) {
    throw new InputError(`Cannot write ${path}: ${error instanceof Error ? error.message : String(error)}`);
  }
}

export async function runReport(
  line: CommandLine,
  folder: string,
  preferences: PreferenceStore,
): Promise<number> {
  const book = await rulebookFrom(line.rules);
  const session = openSession(folder, line.rest[0] ?? '', { readOnly: true });
  const { technician, terms } = preferences.read();
  const text = reportOf(createEngine(book), book, session, {
    format: line.format,
    technician,
    terms,
    now: new Date(),
  });
  for (const notice of session.notices) process.stderr.write(`${notice}\n`);
  session.close();
  if (line.output === undefined) process.stdout.write(text);
  else writeWhole(resolve(line.output), text);
  return EXIT.done;
}
