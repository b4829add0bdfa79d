// Reads the tube tables (CSV): numeric columns become numbers, the rest texts; empty cells stay absent.
import { parse } from 'csv-parse/sync';
import { steeringCharacter } from './plain-text.ts';
import type { RuleProblem, TubeData } from './types.ts';

/** Rows of a tube table. `read` yields the text or has complained already; bad rows go to `problems` with their line. */
export function loadTubes(
  path: string,
  read: (path: string) => string | undefined,
  problems: RuleProblem[],
): TubeData[] {
  const text = read(path);
  if (text === undefined) return [];
  const complain = (line: number, message: string, fix: string): void => {
    problems.push({ file: path, line, column: 1, id: '', message, fix, severity: 'error' });
  };
  for (const [index, row] of text.split('\n').entries()) {
    const steering = steeringCharacter(row.replace(/\r$/, ''));
    if (steering === undefined) continue;
    complain(index + 1, `the character ${steering} steers a terminal and has no place here`, 'take it out');
    return [];
  }
  let rows: { record: Record<string, string>; info: { lines: number } }[];
  try {
    rows = parse(text, {
      columns: true,
      info: true,
      trim: true,
      skip_empty_lines: true,
      max_record_size: 65_536,
      comment: '#',
      comment_no_infix: true,
    }) as unknown as typeof rows;
  } catch (error) {
    const at = error instanceof Error && 'lines' in error ? Number(error.lines) : 1;
    complain(
      Number.isFinite(at) ? at : 1,
      error instanceof Error ? error.message : String(error),
      'check commas and quotes of this row',
    );
    return [];
  }
  const seen = new Set<string>();
  const tubes: TubeData[] = [];
  for (const { record, info } of rows) {
    const { type = '', function: use = '', source_title: source = '', ...rest } = record;
    if (!type) complain(info.lines, 'the row has no type', 'give the registered type number');
    if (seen.has(type)) complain(info.lines, `type ${type} is there twice`, 'merge the two rows');
    seen.add(type);
    if (!source) complain(info.lines, `${type} has no source`, 'name the source, or say "from memory"');
    const numbers: Record<string, number> = {};
    const texts: Record<string, string> = {};
    for (const [column, cell] of Object.entries(rest)) {
      if (cell === '') continue;
      const value = Number(cell);
      if (Number.isFinite(value)) numbers[column] = value;
      else texts[column] = cell;
    }
    tubes.push({ type, function: use, numbers, texts, source });
  }
  return tubes;
}
