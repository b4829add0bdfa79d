// `export` and `import`: one session as a single file, to take it to another computer or to keep it elsewhere.
import { resolve } from 'node:path';
import { exportSession, importSession } from '../session/index.ts';
import { clean } from '../ui/text.ts';
import { EXIT } from './problem.ts';
import type { CommandLine } from './usage.ts';

/** Writes a session of the folder to the file asked for. Throws SessionError. */
export function runExport(line: CommandLine, folder: string): number {
  const file = resolve(line.output ?? '');
  exportSession(folder, line.rest[0] ?? '', file, { goodPart: line.goodPart });
  process.stdout.write(`Written: ${clean(file)}\n`);
  return EXIT.done;
}

/** Takes a session file into the folder. Throws SessionError. */
export function runImport(line: CommandLine, folder: string): number {
  const name = importSession(folder, line.rest[0] ?? '');
  process.stdout.write(`Taken in as ${name}. Go on with: first-raster resume ${name}\n`);
  return EXIT.done;
}
