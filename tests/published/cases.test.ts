// Published repairs, symptom tables and tell-tale combinations against the diagnosis: the found fault among the first suspects. Sources stand in each file.
import { readdirSync, readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { describe, expect, it } from 'vitest';
import { loadRules } from '../../src/rulebook/index.ts';
import { type Case, readCase } from '../../src/walk/case-file.ts';
import { createEngine } from '../../src/walk/engine.ts';
import { evaluateAll } from '../../src/walk/evaluate.ts';

const book = loadRules(resolve(import.meta.dirname, '../../rules')).book;
if (!book) throw new Error('the rule pack does not load');
const engine = createEngine(book);

interface Judged {
  readonly name: string;
  readonly met: boolean;
  readonly excused: boolean;
  readonly published: boolean;
  readonly first: readonly string[];
}

function read(folder: string, name: string): { one: Case; text: string } {
  const path = join(import.meta.dirname, 'cases', folder, name);
  const text = readFileSync(path, 'utf8');
  const { data, problems } = readCase(path, text, book ?? never());
  if (!data) throw new Error(problems.map((p) => `${p.file}:${p.line}: ${p.message}`).join('\n'));
  return { one: data, text };
}

function never(): never {
  throw new Error('the rule pack does not load');
}

/** Place of a faulty part among the suspects, from 1; the mode is not asked for. */
function place(id: string, suspects: readonly string[]): number {
  const at = suspects.findIndex((s) => s.split('/')[0] === id.split('/')[0]);
  return at < 0 ? Number.POSITIVE_INFINITY : at + 1;
}

function judge(folder: string, name: string): Judged {
  const { one, text } = read(folder, name);
  const { view, refused } = evaluateAll(engine, one, { explained: false });
  expect(refused, `${name}: answers that cannot be read`).toEqual([]);
  const suspects = view.suspects.map((s) => s.part);
  const places = one.truth.map((id) => place(id, suspects));
  const anyOf = name.startsWith('row-') || /any one of the (entries|causes)/i.test(text);
  const met = anyOf ? Math.min(...places) <= 3 : places.every((p) => p <= Math.max(3, one.truth.length + 2));
  return {
    name,
    met,
    excused: /Not met:/.test(text),
    published: /^(h\d|row-)/.test(name),
    first: suspects.slice(0, 3),
  };
}

function files(folder: string): string[] {
  return readdirSync(join(import.meta.dirname, 'cases', folder))
    .filter((f) => f.endsWith('.yaml'))
    .sort();
}

describe.each([
  ['readings', 0.9],
  ['symptoms', 0.4],
] as const)('cases in %s', (folder, least) => {
  const withTruth = files(folder).filter((name) => read(folder, name).one.truth.length > 0);
  const judged = withTruth.map((name) => judge(folder, name));

  it(`puts the found fault in its place in ${least * 100} % or more`, () => {
    const missed = judged.filter((j) => !j.met);
    const share = 1 - missed.length / judged.length;
    console.log(
      `${folder}: ${judged.length - missed.length} of ${judged.length} met (${Math.round(share * 100)} %)\n${missed.map((m) => `  ${m.name}: ${m.first.join(', ') || 'no suspect'}`).join('\n')}`,
    );
    expect(share).toBeGreaterThanOrEqual(least);
  });

  it('explains every miss in the file itself', () => {
    expect(judged.filter((j) => !j.met && !j.excused).map((j) => j.name)).toEqual([]);
  });
});

describe('cases without a fault', () => {
  const clean = (['readings', 'symptoms'] as const)
    .flatMap((folder) => files(folder).map((name) => ({ folder, name })))
    .filter(({ folder, name }) => read(folder, name).one.truth.length === 0);

  it.each(clean)('$name condemns no core part', ({ folder, name }) => {
    const { view } = evaluateAll(engine, read(folder, name).one, { explained: false });
    expect(view.verdict?.core.filter((g) => g.grade === 'failed')).toEqual([]);
  });
});
