// `rules`: the rule base in numbers; `rules --check DIR`: every problem of another one, with file and line.
import { resolve } from 'node:path';
import { loadRules, problemLine } from '../rulebook/load.ts';
import type { Rulebook } from '../rulebook/types.ts';
import { EXIT } from './problem.ts';
import { rulebookFrom } from './rulebase.ts';
import type { CommandLine } from './usage.ts';

/** Faults of a rulebook that no check can tell apart: of one part, or with the same effects, and no reading that differs. */
export function ambiguityGroups(book: Rulebook): readonly (readonly string[])[] {
  const readOfPart = new Map<string, Set<string>>();
  for (const check of book.checks) {
    for (const read of check.reads) {
      if (!read.part) continue;
      const named = readOfPart.get(read.part) ?? new Set<string>();
      for (const id of [...Object.keys(read.bands), ...Object.keys(read.table)])
        named.add(`${check.id}:${id}`);
      readOfPart.set(read.part, named);
    }
  }
  const groups = new Map<string, string[]>();
  for (const part of book.parts) {
    for (const fault of part.faults) {
      const read = [...(readOfPart.get(part.id) ?? [])].filter((r) => r.endsWith(`:${fault.id}`)).sort();
      const seenHere = read.length > 0 ? [part.id, ...read] : [];
      const effects = Object.entries(fault.effects)
        .map(([signal, row]) => `${signal}=${JSON.stringify(Object.entries(row).sort())}`)
        .sort();
      const key = JSON.stringify([seenHere, effects]);
      groups.set(key, [...(groups.get(key) ?? []), `${part.id}/${fault.id}`]);
    }
  }
  return [...groups.values()].filter((g) => g.length > 1);
}

/** What the summary counts. */
export function summarise(book: Rulebook) {
  return {
    name: book.name,
    version: book.version,
    hash: book.hash,
    counts: {
      sections: book.sections.length,
      families: book.families.length,
      signals: book.signals.length,
      parts: book.parts.length,
      faults: book.parts.reduce((sum, p) => sum + p.faults.length, 0),
      checks: book.checks.length,
      tubes: book.tubes.length,
      pictureTubes: book.pictureTubes.length,
    },
    ambiguous: ambiguityGroups(book),
    checks: book.checks.map((c) => ({ id: c.id, title: c.title, phase: c.phase, state: c.state })),
  };
}

export async function runRules(line: CommandLine): Promise<number> {
  if (line.check !== undefined) return checkRules(resolve(line.check), line.json);
  const summary = summarise(await rulebookFrom(line.rules));
  if (line.json) {
    process.stdout.write(`${JSON.stringify(summary, null, 2)}\n`);
    return EXIT.done;
  }
  const { counts, ambiguous } = summary;
  const rows = Object.entries(counts).map(
    ([name, count]) => `  ${String(count).padStart(5)}  ${name === 'pictureTubes' ? 'picture tubes' : name}`,
  );
  const groups = ambiguous.map((g) => `  ${g.join('  ')}`);
  process.stdout.write(
    [
      `${summary.name} ${summary.version}  ${summary.hash.slice(0, 12)}`,
      ...rows,
      '',
      groups.length === 0
        ? 'Every fault can be told from every other by some reading.'
        : 'Faults that no reading tells apart:',
      ...groups,
      '',
    ].join('\n'),
  );
  return EXIT.done;
}

function checkRules(folder: string, json: boolean): number {
  const { book, problems } = loadRules(folder);
  if (json) process.stdout.write(`${JSON.stringify({ ok: book !== undefined, problems }, null, 2)}\n`);
  else
    for (const problem of problems)
      (problem.severity === 'error' ? process.stderr : process.stdout).write(`${problemLine(problem)}\n`);
  if (!book) return EXIT.input;
  if (!json)
    process.stdout.write(`${folder}: ${book.parts.length} parts, ${book.checks.length} checks, no errors.\n`);
  return EXIT.done;
}
