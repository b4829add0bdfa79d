// Reads one YAML text against a schema; every problem comes with file, line and column. Aliases, huge files and deep nesting are refused.
import { isAlias, isCollection, isScalar, LineCounter, type Node, parseDocument, visit } from 'yaml';
import type { z } from 'zod';
import { steeringCharacter } from './plain-text.ts';
import { MOST_BYTES } from './text-file.ts';
import type { RuleProblem } from './types.ts';

const MOST_DEPTH = 24;
const MOST_PROBLEMS = 20;
/** Columns before the first word of a line. */
const MOST_INDENT = 200;
const DEEP_INDENT = new RegExp(`^[ \\t?:-]{${MOST_INDENT + 1}}`, 'm');

export type Located = { line: number; column: number };

/** A parsed file: its data, and where each path in it stands. */
export interface ParsedYaml<T> {
  readonly data: T | undefined;
  readonly problems: readonly RuleProblem[];
  /** Line and column (from 1) of a path such as `['parts', 'fuse', 'kind']`; the nearest parent if the path is missing. */
  at(path: readonly PropertyKey[]): Located;
}

/**
 * Parses `text` (from `file`, named in messages) and checks it against `schema`.
 * Never throws: whatever is wrong is in `problems`, at most 20 a file and then a count.
 */
export function parseYaml<S extends z.ZodType>(
  file: string,
  text: string,
  schema: S,
): ParsedYaml<z.output<S>> {
  const problems: RuleProblem[] = [];
  const problem = (place: Located, message: string, fix: string, id = ''): void => {
    problems.push({ file, ...place, id, message, fix, severity: 'error' });
  };
  const start = { line: 1, column: 1 };
  const nowhere = { data: undefined, problems, at: () => start };
  if (Buffer.byteLength(text) > MOST_BYTES) {
    problem(
      start,
      `the file is larger than ${MOST_BYTES / 1024} KiB`,
      'split it, or check that it is the right file',
    );
    return nowhere;
  }
  const lines = new LineCounter();
  const place = (offset: number): Located => {
    const { line, col } = lines.linePos(offset);
    return { line: Math.max(1, line), column: Math.max(1, col) };
  };
  const tooDeep = nestingTooDeep(text);
  if (tooDeep >= 0) {
    const before = text.slice(0, tooDeep).split('\n');
    const line = { line: before.length, column: (before.at(-1)?.length ?? 0) + 1 };
    problem(line, `nested deeper than ${MOST_DEPTH} levels`, 'flatten the structure');
    return nowhere;
  }
  let document: ReturnType<typeof parseDocument>;
  try {
    document = parseDocument(text, {
      lineCounter: lines,
      prettyErrors: false,
      uniqueKeys: true,
      logLevel: 'error',
    });
  } catch (error) {
    problem(
      start,
      `not readable as YAML: ${error instanceof Error ? error.message : String(error)}`,
      'check the file',
    );
    return nowhere;
  }
  for (const error of document.errors)
    problem(
      place(error.pos[0]),
      error.message.split('\n')[0] ?? 'not YAML',
      'check quotes, colons and indentation',
    );
  let deep = false;
  visit(document, {
    Pair(_key, pair) {
      if (!isCollection(pair.key)) return undefined;
      problem(
        place(pair.key.range?.[0] ?? 0),
        'a key must be a word',
        'check braces, brackets and question marks',
      );
      return visit.BREAK;
    },
    Node(_key, node, path) {
      if (isAlias(node) || (node as { anchor?: string }).anchor) {
        problem(
          place(node.range?.[0] ?? 0),
          'anchors and aliases are not allowed here',
          'write the value out',
        );
        return visit.BREAK;
      }
      const steering =
        isScalar(node) && typeof node.value === 'string' ? steeringCharacter(node.value) : undefined;
      if (steering !== undefined) {
        problem(
          place(node.range?.[0] ?? 0),
          `the character ${steering} steers a terminal and has no place here`,
          'take it out',
        );
        return visit.BREAK;
      }
      if (path.length > MOST_DEPTH * 2 && !deep) {
        deep = true;
        problem(
          place(node.range?.[0] ?? 0),
          `nested deeper than ${MOST_DEPTH} levels`,
          'flatten the structure',
        );
        return visit.BREAK;
      }
      return undefined;
    },
  });
  const at = (path: readonly PropertyKey[]): Located => {
    for (let n = path.length; n >= 0; n -= 1) {
      const node = (n === 0 ? document.contents : document.getIn(path.slice(0, n) as unknown[], true)) as
        | Node
        | null
        | undefined;
      if (node && typeof node === 'object' && node.range) return place(node.range[0]);
    }
    return start;
  };
  if (problems.length > 0) return { data: undefined, problems: limited(problems), at };
  const result = schema.safeParse(document.toJS({ maxAliasCount: 0 }));
  if (!result.success) {
    for (const issue of result.error.issues) {
      const where = issue.path.length > 0 ? issue.path.map(String).join(' > ') : 'top of the file';
      problem(
        at(issue.path),
        `${where}: ${plainer(issue.message)}`,
        'see DEVELOPERS.md, "Add a check"',
        String(issue.path[1] ?? issue.path[0] ?? ''),
      );
    }
    return { data: undefined, problems: limited(problems), at };
  }
  return { data: result.data, problems, at };
}

/**
 * Where nesting gets too deep, or -1. Brackets can nest without indentation and the parser recurses; indentation, also by many
 * dashes or question marks on one line, goes into patterns of that length. So both are measured before it runs.
 */
function nestingTooDeep(text: string): number {
  const indented = DEEP_INDENT.exec(text);
  if (indented) return indented.index + MOST_INDENT;
  let depth = 0;
  for (let i = 0; i < text.length; i += 1) {
    const c = text[i];
    if (c === '[' || c === '{') depth += 1;
    else if ((c === ']' || c === '}') && depth > 0) depth -= 1;
    if (depth > MOST_DEPTH * 4) return i;
  }
  return -1;
}

function plainer(message: string): string {
  return message.replace(/^Invalid input: /, '').replace(/\breceived undefined\b/, 'it is missing');
}

function limited(problems: RuleProblem[]): RuleProblem[] {
  if (problems.length <= MOST_PROBLEMS) return problems;
  const first = problems.slice(0, MOST_PROBLEMS);
  const last = first[MOST_PROBLEMS - 1];
  if (last)
    first.push({
      ...last,
      message: `and ${problems.length - MOST_PROBLEMS} more problems in this file`,
      fix: 'mend these first',
    });
  return first;
}
