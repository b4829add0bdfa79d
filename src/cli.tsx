#!/usr/bin/env node
// The command line: parses arguments, starts what was asked for, turns errors into messages and exit codes.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { helpText } from './cli/commands.ts';
import { programFolder, sessionsFolder } from './cli/places.ts';
import { EXIT, InputError, UsageError } from './cli/problem.ts';
import { type CommandLine, readCommandLine } from './cli/usage.ts';

/** Set by the build; read from package.json when run from source. */
declare const FIRST_RASTER_VERSION: string | undefined;

function version(): string {
  if (typeof FIRST_RASTER_VERSION === 'string') return FIRST_RASTER_VERSION;
  const manifest: unknown = JSON.parse(readFileSync(join(programFolder(), 'package.json'), 'utf8'));
  return typeof manifest === 'object' && manifest !== null && 'version' in manifest
    ? String(manifest.version)
    : '?';
}

/** Commands load what they need only when they run: the first frame must not wait for the rest. */
async function run(line: CommandLine): Promise<number> {
  switch (line.command) {
    case 'rules':
      return (await import('./cli/rules.ts')).runRules(line);
    case 'calc':
      return (await import('./cli/calc.ts')).runCalc(line);
    case 'evaluate':
      return (await import('./cli/evaluate.ts')).runEvaluate(line);
    case 'completion': {
      const script = (await import('./cli/completion.ts')).completionFor(line.rest[0] ?? '');
      if (script === undefined) throw new UsageError('"completion" takes bash, zsh or fish.');
      process.stdout.write(script);
      return EXIT.done;
    }
    case 'list':
    case 'export':
    case 'import':
    case 'report': {
      const { openPreferences } = await import('./cli/preferences.ts');
      const preferences = await openPreferences(new Date());
      if (preferences.trouble) process.stderr.write(`${preferences.trouble}\n`);
      const folder = sessionsFolder(line.sessions, preferences.read().sessionsFolder);
      if (line.command === 'list') return (await import('./cli/list.ts')).runList(line, folder);
      if (line.command === 'export') return (await import('./cli/transfer.ts')).runExport(line, folder);
      if (line.command === 'import') return (await import('./cli/transfer.ts')).runImport(line, folder);
      return (await import('./cli/report.ts')).runReport(line, folder, preferences);
    }
    case 'home':
    case 'new':
    case 'resume':
    case 'practice':
      if (!process.stdin.isTTY || !process.stdout.isTTY) {
        throw new UsageError(
          'The screen needs a terminal on standard input and output. "first-raster --help" names the commands that do not.',
        );
      }
      return (await import('./cli/screen.ts')).runScreen(line);
  }
}

async function main(): Promise<number> {
  // A reader that has seen enough (`| head`) is no error.
  process.stdout.on('error', (error: NodeJS.ErrnoException) => {
    if (error.code === 'EPIPE') process.exit(EXIT.done);
    // On a full-screen terminal the screen has its own way out.
    if (process.stdout.isTTY) return;
    process.stderr.write(`Cannot write to standard output: ${error.code ?? error.message}\n`);
    process.exit(EXIT.input);
  });
  // A message that nobody can read changes nothing about what was done.
  process.stderr.on('error', () => undefined);
  const line = readCommandLine(process.argv.slice(2));
  if (line.help) {
    process.stdout.write(helpText());
    return EXIT.done;
  }
  if (line.version) {
    process.stdout.write(`${version()}\n`);
    return EXIT.done;
  }
  return run(line);
}

function explain(error: unknown): number {
  const detail = process.env.DEBUG && error instanceof Error ? `\n${error.stack ?? ''}` : '';
  if (error instanceof UsageError) {
    process.stderr.write(`${error.message} See first-raster --help.${detail}\n`);
    return EXIT.usage;
  }
  const isInput = error instanceof InputError || (error instanceof Error && error.name === 'SessionError');
  if (isInput) {
    process.stderr.write(`${error.message}${detail}\n`);
    return EXIT.input;
  }
  const message = error instanceof Error ? error.message : String(error);
  process.stderr.write(
    `First Raster met an error of its own: ${message}\nEverything entered is saved. Please report this line, the command, and version ${version()}; DEBUG=1 shows where.${detail}\n`,
  );
  return EXIT.internal;
}

main()
  .catch(explain)
  .then((code) => {
    process.exitCode = code;
  });
