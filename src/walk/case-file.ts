// A case file: a set, what is on the bench, and what would be read where; for headless walks, published cases and rehearsals.
import { z } from 'zod';
import type { Rulebook, RuleProblem, SetFacts } from '../rulebook/types.ts';
import { parseYaml } from '../rulebook/yaml-file.ts';

const typed = z.union([z.string(), z.number()]).transform(String);
const answer = z.union([
  typed,
  z.strictObject({
    value: typed,
    note: z.string().optional(),
    instrument: z.string().optional(),
    line_volts: z.number().positive().optional(),
    context: z.record(z.string(), z.string()).optional(),
  }),
]);
const textOrList = z.union([z.string(), z.array(z.string())]);

const caseFile = z.strictObject({
  case: z.string().min(1),
  set: z.strictObject({
    family: z.string(),
    standard: z
      .union([
        z.enum(['525', '405', '625', 'dual']),
        z.literal([525, 405, 625]).transform((n) => String(n) as '525' | '405' | '625'),
      ])
      .default('525'),
    line_volts: z.number().min(20).max(300).optional(),
    rated_volts: z.number().min(20).max(300).optional(),
    rated_watts: z.number().min(10).max(1000).optional(),
    picture_tube: z.string().default('unknown'),
    horizontal_output: z.string().optional(),
    tubes: z.record(z.string(), z.string()).default({}),
    complaint: textOrList.default([]),
    restored: z.enum(['none', 'recapped', 'unknown']).default('unknown'),
    storage: z.enum(['dry', 'damp', 'unknown']).default('unknown'),
    facts: z.record(z.string(), z.string()).default({}),
  }),
  instruments: z.array(z.string()).optional(),
  gates: z.enum(['assumed', 'answered']).default('assumed'),
  answers: z.record(z.string(), z.union([answer, z.array(answer)])).default({}),
  repairs: z.array(z.string()).default([]),
  truth: z.array(z.string()).optional(),
});

export interface CaseAnswer {
  readonly text: string;
  readonly instrument: string;
  readonly lineVolts: number | undefined;
  readonly note: string;
}

/** A case, checked against the rulebook and ready to walk. */
export interface Case {
  readonly name: string;
  readonly set: SetFacts;
  readonly instruments: readonly string[];
  readonly gates: 'assumed' | 'answered';
  readonly answers: ReadonlyMap<string, readonly CaseAnswer[]>;
  readonly truth: readonly string[];
}

/**
 * Reads a case file. Never throws: `problems` names file, line and column of whatever is wrong, and `data` is then missing.
 * Ids that the rulebook does not know are problems too.
 */
export function readCase(
  file: string,
  text: string,
  book: Rulebook,
): { readonly data: Case | undefined; readonly problems: readonly RuleProblem[] } {
  const parsed = parseYaml(file, text, caseFile);
  if (!parsed.data) return { data: undefined, problems: parsed.problems };
  const raw = parsed.data;
  const problems: RuleProblem[] = [];
  const wrong = (path: readonly string[], message: string, fix: string): void => {
    problems.push({ file, ...parsed.at(path), id: '', message, fix, severity: 'error' });
  };
  const family = book.families.find((f) => f.id === raw.set.family || f.aliases.includes(raw.set.family));
  if (!family)
    wrong(
      ['set', 'family'],
      `unknown family "${raw.set.family}"`,
      `one of ${book.families.map((f) => f.id).join(', ')}`,
    );
  const checkIds = new Set(book.checks.map((c) => c.id));
  for (const id of Object.keys(raw.answers))
    if (!checkIds.has(id) && !(raw.gates === 'answered' && id.startsWith('gate-')))
      wrong(['answers', id], `unknown check "${id}"`, 'see `rules --json` for the ids');
  const complaint = typeof raw.set.complaint === 'string' ? [raw.set.complaint] : raw.set.complaint;
  for (const id of complaint)
    if (!book.symptoms.some((s) => s.id === id))
      wrong(['set', 'complaint'], `unknown complaint "${id}"`, 'use an id of rules/symptoms.yaml');
  for (const id of raw.instruments ?? [])
    if (!book.instruments.some((i) => i.id === id))
      wrong(['instruments'], `unknown instrument "${id}"`, 'use an id of rules/pack.yaml');
  for (const [id, value] of Object.entries(raw.set.facts)) factKnown(book, id, value, wrong);
  for (const id of raw.truth ?? [])
    if (!faultKnown(book, id)) wrong(['truth'], `unknown fault "${id}"`, 'write it as section.part/fault');
  if (problems.length > 0 || !family) return { data: undefined, problems };
  const tubes = {
    ...raw.set.tubes,
    ...(raw.set.horizontal_output ? { 'horizontal-output': raw.set.horizontal_output } : {}),
  };
  return {
    problems,
    data: {
      name: raw.case,
      set: {
        name: raw.case,
        owner: '',
        question: '',
        family: family.id,
        standard: raw.set.standard,
        lineVolts: raw.set.line_volts ?? family.ratedVolts,
        ratedVolts: raw.set.rated_volts ?? family.ratedVolts,
        ratedWatts: raw.set.rated_watts ?? 0,
        pictureTube: raw.set.picture_tube,
        tubes,
        complaint,
        restored: raw.set.restored,
        storage: raw.set.storage,
        facts: raw.set.facts,
        serviceData: {},
      },
      instruments: raw.instruments ?? book.instruments.map((i) => i.id),
      gates: raw.gates,
      answers: new Map(
        Object.entries(raw.answers).map(([id, one]) => [
          id,
          (Array.isArray(one) ? one : [one]).map((a) =>
            typeof a === 'string'
              ? { text: a, instrument: '', lineVolts: undefined, note: '' }
              : {
                  text: a.value,
                  instrument: a.instrument ?? '',
                  lineVolts: a.line_volts,
                  note: a.note ?? '',
                },
          ),
        ]),
      ),
      truth: raw.truth ?? [],
    },
  };
}

function factKnown(
  book: Rulebook,
  id: string,
  value: string,
  wrong: (path: string[], message: string, fix: string) => void,
): void {
  const fact = book.facts.find((f) => f.id === id);
  if (!fact)
    wrong(['set', 'facts', id], `unknown fact "${id}"`, `one of ${book.facts.map((f) => f.id).join(', ')}`);
  else if (value !== 'unknown' && !fact.values.some((v) => v.id === value))
    wrong(
      ['set', 'facts', id],
      `unknown value "${value}"`,
      `one of ${fact.values.map((v) => v.id).join(', ')}, unknown`,
    );
}

function faultKnown(book: Rulebook, id: string): boolean {
  const [part, fault] = id.split('/');
  return book.parts.some((p) => p.id === part && p.faults.some((f) => f.id === fault));
}
