// `report`: the write-up of a session, to standard output or a file.
import { existsSync } from 'node:fs';
import { join, resolve } from 'node:path';
import writeFileAtomic from 'write-file-atomic';
import {
  type Photo,
  type ReportFormat,
  type ReportInput,
  renderPartsCsv,
  renderReport,
} from '../report/index.ts';
import type { Rulebook } from '../rulebook/types.ts';
import { openSession, type Session } from '../session/index.ts';
import { createEngine, type Engine } from '../walk/engine.ts';
import { findBrowser, printPdf } from './browser-print.ts';
import { readPhotos } from './photo-files.ts';
import type { PreferenceStore } from './preferences.ts';
import { EXIT, InputError } from './problem.ts';
import { rulebookFrom } from './rulebase.ts';
import type { CommandLine } from './usage.ts';

/** Signals whose fault tree goes into the bench record: what the owner sees, where it is likelier wrong than right. */
const WRONG_FROM = 0.5;
const MOST_TREES = 4;

interface WriteUp {
  readonly technician: string;
  readonly terms: 'us' | 'uk';
  readonly now: Date;
  readonly photos?: readonly Photo[];
}

/** What the report of a session is made from, as the session stands, with the weights of readings worked out. */
function inputFor(engine: Engine, book: Rulebook, session: Session, options: WriteUp): ReportInput {
  const view = engine.view(session.state, options.now, { explained: true });
  const wrong = book.signals.filter(
    (s) => s.outcome && 1 - (view.belief?.signals.get(s.id)?.normal ?? 1) >= WRONG_FROM,
  );
  const { name, rules, created } = session.header;
  return {
    view,
    session: { name: name || session.name, created, rules },
    rulebook: book,
    faultTrees: wrong.slice(0, MOST_TREES).flatMap((s) => engine.faultTree(view, s.id) ?? []),
    ...options,
  };
}

/** Renders the report of a session as it stands. */
export function reportOf(
  engine: Engine,
  book: Rulebook,
  session: Session,
  { format, ...options }: WriteUp & { readonly format: ReportFormat },
): string {
  return renderReport(inputFor(engine, book, session, options), format);
}

/** The first free name for a session's report in its folder: `NAME.report.html`, then `NAME.report-2.html` and so on. */
export function freeReportPath(
  folder: string,
  name: string,
): { readonly path: string; readonly older: boolean } {
  const named = (number: number) => join(folder, `${name}.report${number === 1 ? '' : `-${number}`}.html`);
  let number = 1;
  while (existsSync(named(number))) number += 1;
  return { path: named(number), older: number > 1 };
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
  const photos = readPhotos(line.photos);
  const session = openSession(folder, line.rest[0] ?? '', { readOnly: true });
  const { technician, terms } = preferences.read();
  const input = inputFor(createEngine(book), book, session, { technician, terms, now: new Date(), photos });
  for (const notice of session.notices) process.stderr.write(`${notice}\n`);
  session.close();
  if (line.parts !== undefined) writeWhole(resolve(line.parts), renderPartsCsv(input));
  if (!line.partsOnly) writeOut(input, line);
  return EXIT.done;
}

/** The write-up to where it was asked for. */
function writeOut(input: ReportInput, { format, only, output }: CommandLine): void {
  if (format === 'pdf') printPdf(renderReport(input, 'html', only), resolve(output ?? ''), findBrowser());
  else if (output === undefined) process.stdout.write(renderReport(input, format, only));
  else writeWhole(resolve(output), renderReport(input, format, only));
}
