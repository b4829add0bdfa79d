// Loads a rule pack from a folder: reads every file, reports every problem with its line, and yields the rulebook if there is no error.
import { createHash } from 'node:crypto';
import { existsSync, readdirSync, statSync } from 'node:fs';
import { join, relative } from 'node:path';
import type { z } from 'zod';
import { crossCheck } from './cross-check.ts';
import { loadTubes } from './data-file.ts';
import { expandChecks, expandFamily, expandKinds, expandParts, expandSignals } from './expand.ts';
import { cleanText } from './plain-text.ts';
import {
  familyFile,
  glossaryFile,
  packFile,
  priorsFile,
  type SectionFile,
  sectionFile,
  symptomsFile,
} from './schema.ts';
import { readTextFile } from './text-file.ts';
import type { Check, Family, Part, Rulebook, RuleProblem, Signal } from './types.ts';
import { type ParsedYaml, parseYaml } from './yaml-file.ts';

export interface LoadedRules {
  /** Present when no problem is an error. */
  readonly book: Rulebook | undefined;
  readonly problems: readonly RuleProblem[];
}

/** Most files a rule pack may hold: a mistyped folder must not be read whole. */
const MOST_FILES = 200;

/**
 * Reads the rule pack in `folder`. Never throws for what is in the files; `problems` names file, line and column.
 * A missing folder is itself a problem.
 */
export function loadRules(folder: string): LoadedRules {
  const problems: RuleProblem[] = [];
  const complain = (
    file: string,
    message: string,
    fix: string,
    severity: 'error' | 'warning' = 'error',
    line = 1,
  ): void => {
    problems.push({ file, line, column: 1, id: '', message, fix, severity });
  };
  if (!existsSync(folder) || !statSync(folder).isDirectory()) {
    complain(folder, 'there is no such folder', 'name a folder that holds pack.yaml');
    return { book: undefined, problems };
  }
  const hash = createHash('sha256');
  const read = (path: string): string | undefined => {
    const file = readTextFile(path);
    if ('text' in file) {
      hash.update(relative(folder, path)).update('\0').update(file.text).update('\0');
      return file.text;
    }
    complain(path, file.message, file.fix, 'error', file.line);
    return undefined;
  };
  const yaml = <S extends z.ZodType>(path: string, schema: S): ParsedYaml<z.output<S>> | undefined => {
    const text = read(path);
    if (text === undefined) return undefined;
    const parsed = parseYaml(path, text, schema);
    problems.push(...parsed.problems);
    return parsed;
  };
  const yamlsIn = (name: string): string[] => {
    const sub = join(folder, name);
    if (!existsSync(sub)) {
      complain(sub, 'the folder is missing', `a rule pack has ${name}/`);
      return [];
    }
    if (!statSync(sub).isDirectory()) {
      complain(sub, 'is not a folder', `a rule pack has ${name}/`);
      return [];
    }
    const files = readdirSync(sub)
      .filter((f) => f.endsWith('.yaml'))
      .sort();
    if (files.length > MOST_FILES)
      complain(sub, `more than ${MOST_FILES} files`, 'check that this is a rule pack');
    return files.slice(0, MOST_FILES).map((f) => join(sub, f));
  };

  const pack = yaml(join(folder, 'pack.yaml'), packFile);
  const priors = yaml(join(folder, 'priors.yaml'), priorsFile);
  const symptoms = yaml(join(folder, 'symptoms.yaml'), symptomsFile);
  const glossary = yaml(join(folder, 'glossary.yaml'), glossaryFile);
  const kinds = priors?.data ? expandKinds(priors.data) : [];
  const kindById = new Map(kinds.map((k) => [k.id, k]));
  const factors = new Map(
    Object.entries(priors?.data?.kinds ?? {}).map(([id, k]) => [id, k['recapped-factor']]),
  );

  const families: Family[] = [];
  for (const path of yamlsIn('families')) {
    const parsed = yaml(path, familyFile);
    if (parsed?.data) families.push(expandFamily(parsed.data));
  }

  const files = new Map<string, { path: string; parsed: ParsedYaml<SectionFile> }>();
  const signals: Signal[] = [];
  const parts: Part[] = [];
  const checks: Check[] = [];
  const seen = new Map<string, string>();
  for (const path of yamlsIn('sections')) {
    const parsed = yaml(path, sectionFile);
    if (!parsed?.data) continue;
    const file = parsed.data;
    files.set(file.section, { path, parsed });
    signals.push(...expandSignals(file));
    parts.push(
      ...expandParts(
        file,
        kindById,
        factors,
        priors?.data?.share ?? { none: 1, recapped: 1, unknown: 1 },
        (part, fault) => {
          problems.push({
            file: path,
            ...parsed.at(['parts', part, 'faults', fault]),
            id: part,
            message: `fault "${fault}" has no prior, and its kind has no mode of that name`,
            fix: 'give `prior:`, or name a mode of the kind',
            severity: 'error',
          });
        },
      ),
    );
    checks.push(...expandChecks(file));
    for (const [group, entries] of [
      ['signals', file.signals],
      ['checks', file.checks],
    ] as const) {
      for (const id of Object.keys(entries)) {
        const earlier = seen.get(`${group} ${id}`);
        if (earlier)
          problems.push({
            file: path,
            ...parsed.at([group, id]),
            id,
            message: `${group.slice(0, -1)} "${id}" is already in ${earlier}`,
            fix: 'give it another id',
            severity: 'error',
          });
        seen.set(`${group} ${id}`, relative(folder, path));
      }
    }
  }

  const tubes = loadTubes(join(folder, 'data', 'tubes.csv'), read, problems);
  const pictureTubes = loadTubes(join(folder, 'data', 'picture-tubes.csv'), read, problems);
  const broken = problems.some((p) => p.severity === 'error');
  if (broken || !pack?.data) return { book: undefined, problems };

  const book: Rulebook = {
    name: pack.data.name,
    version: pack.data.version,
    hash: hash.digest('hex'),
    phases: pack.data.phases,
    sections: [...files.values()].map(({ parsed }) => ({
      id: parsed.data?.section ?? '',
      title: parsed.data?.title ?? '',
      describe: parsed.data?.describe ?? '',
    })),
    families,
    kinds,
    facts: pack.data.facts,
    instruments: pack.data.instruments,
    symptoms: Object.entries(symptoms?.data?.symptoms ?? {}).map(([id, s]) => ({
      id,
      title: s.title,
      reads: s.reads,
    })),
    assemblies: pack.data.assemblies,
    signals,
    parts,
    checks: inWalkOrder(
      checks,
      pack.data.phases.map((p) => p.id),
    ),
    cautions: pack.data.cautions,
    tubes,
    pictureTubes,
    glossary: glossary?.data?.terms ?? [],
  };
  for (const finding of crossCheck(book)) {
    const home = files.get(finding.section) ?? {
      path: join(folder, finding.path[0] === 'symptoms' ? 'symptoms.yaml' : 'pack.yaml'),
      parsed: finding.path[0] === 'symptoms' ? symptoms : pack,
    };
    problems.push({
      file: home.path,
      ...(home.parsed?.at(finding.path.map((p) => (/^\d+$/.test(p) ? Number(p) : p))) ?? {
        line: 1,
        column: 1,
      }),
      id: finding.path[1] ?? '',
      message: finding.message,
      fix: finding.fix,
      severity: finding.severity,
    });
  }
  return problems.some((p) => p.severity === 'error') ? { book: undefined, problems } : { book, problems };
}

/** Checks in the order of the phases; within a phase as the section files have them. */
function inWalkOrder(checks: readonly Check[], phases: readonly string[]): Check[] {
  const rank = new Map(phases.map((p, n) => [p, n]));
  return checks
    .map((check, n) => ({ check, n }))
    .sort((a, b) => (rank.get(a.check.phase) ?? 0) - (rank.get(b.check.phase) ?? 0) || a.n - b.n)
    .map(({ check }) => check);
}

/** One line for the terminal: `file:line:column: message (fix)`. */
export function problemLine(problem: RuleProblem): string {
  const id = problem.id && !problem.message.includes(problem.id) ? `${problem.id}: ` : '';
  return cleanText(
    `${problem.file}:${problem.line}:${problem.column}: ${problem.severity}: ${id}${problem.message}. Fix: ${problem.fix}.`,
  );
}
