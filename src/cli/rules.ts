// `rules`: the rule base in numbers; `rules --check DIR`: every problem of another one, with file and line.
import { resolve } from 'node:path';
import { NetworkError } from '../diagnosis/index.ts';
import { loadRules, problemLine } from '../rulebook/load.ts';
import type { Rulebook } from '../rulebook/types.ts';
import { ruleReport, unusableFamilies } from '../walk/rule-report.ts';
import { EXIT, InputError } from './problem.ts';
import { rulebookFrom } from './rulebase.ts';
import type { CommandLine } from './usage.ts';

/** Most groups that are listed; `--json` has them all. */
const GROUPS_LISTED = 12;

/** What the summary counts, and what the pack can tell apart on one family with every instrument at hand. */
export function summarise(book: Rulebook, family: string) {
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
    measured: ruleReport(book, family),
    checks: book.checks.map((c) => ({ id: c.id, title: c.title, phase: c.phase, state: c.state })),
  };
}

export async function runRules(line: CommandLine): Promise<number> {
  if (line.check !== undefined) return checkRules(resolve(line.check), line.json);
  const book = await rulebookFrom(line.rules);
  const family = book.families[0]?.id ?? '';
  const summary = orRefused(family, () => summarise(book, family));
  process.stdout.write(
    line.json ? `${JSON.stringify(summary, null, 2)}\n` : `${lines(summary).join('\n')}\n`,
  );
  return EXIT.done;
}

function lines({ name, version, hash, counts, measured }: ReturnType<typeof summarise>): string[] {
  const percent = (share: number): string => `${(100 * share).toFixed(1)} %`;
  const large = measured.groups.filter((group) => group.length > 3);
  return [
    `${name} ${version}  ${hash.slice(0, 12)}`,
    ...Object.entries(counts).map(
      ([what, count]) =>
        `  ${String(count).padStart(5)}  ${what === 'pictureTubes' ? 'picture tubes' : what}`,
    ),
    '',
    `Of ${measured.faults} faults that a set of the family "${measured.family}" can have, all readings together tell`,
    `  ${percent(measured.alone)} from every other, and leave ${percent(measured.threeOrFewer)} in groups of three or fewer.`,
    ...(measured.unseen.length > 0 ? [`  Seen by no reading: ${measured.unseen.join(', ')}`] : []),
    ...(large.length > 0 ? ['Faults that are confused with more than two others:'] : []),
    ...large.slice(0, GROUPS_LISTED).map((group) => `  ${group[0]} (${group.length - 1} others)`),
    ...(large.length > GROUPS_LISTED ? [`  and ${large.length - GROUPS_LISTED} more; --json has them`] : []),
    ...(measured.idle.length > 0
      ? [`Checks that tell next to nothing on such a set: ${measured.idle.join(', ')}`]
      : []),
    `Sources: ${measured.sources.named} named, ${measured.sources.practice} common practice or memory.`,
    '',
    'section                  parts  faults  checks',
    ...measured.sections.map(
      (s) =>
        `${s.id.padEnd(24)} ${String(s.parts).padStart(5)} ${String(s.faults).padStart(7)} ${String(s.checks).padStart(7)}`,
    ),
  ];
}

/** What `measure` makes of the pack on one family; a pack that cannot be reckoned with is the writer's to mend. */
function orRefused<T>(family: string, measure: () => T): T {
  try {
    return measure();
  } catch (error) {
    if (error instanceof NetworkError) throw new InputError(refusal(family, error.message));
    throw error;
  }
}

const refusal = (family: string, reason: string): string => `on sets of the family "${family}" ${reason}`;

function checkRules(folder: string, json: boolean): number {
  const { book, problems } = loadRules(folder);
  const unusable = book ? unusableFamilies(book) : [];
  const ok = book !== undefined && unusable.length === 0;
  if (json) process.stdout.write(`${JSON.stringify({ ok, problems, unusable }, null, 2)}\n`);
  else {
    for (const problem of problems)
      (problem.severity === 'error' ? process.stderr : process.stdout).write(`${problemLine(problem)}\n`);
    const [first, ...others] = unusable;
    // One part is most often behind all of them: its name once is enough.
    if (first) process.stderr.write(`${folder}: error: ${refusal(first.family, first.reason)}\n`);
    if (others.length > 0)
      process.stderr.write(`  the same on sets of: ${others.map((one) => one.family).join(', ')}\n`);
  }
  if (!ok) return EXIT.input;
  if (!json)
    process.stdout.write(`${folder}: ${book.parts.length} parts, ${book.checks.length} checks, no errors.\n`);
  return EXIT.done;
}
