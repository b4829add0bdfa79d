// Loading a rule pack: units, defaults, and every way a file can be wrong, each with its line.
import { join, resolve } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { loadRules, problemLine } from '../../src/rulebook/index.ts';
import { TINY, tinyPack } from './tiny-pack.ts';

const section = TINY['sections/1-output.yaml'] ?? '';

function problemsOf(change: Readonly<Record<string, string | undefined>>): string[] {
  return loadRules(tinyPack(change))
    .problems.filter((p) => p.severity === 'error')
    .map((p) => problemLine(p).replace(/^.*\/rules-[^/]+\//, ''));
}

describe('a sound pack', () => {
  const { book, problems } = loadRules(tinyPack());

  it('loads without a problem', () => {
    expect(problems.filter((p) => p.severity === 'error')).toEqual([]);
    expect(book?.parts.map((p) => p.id)).toEqual(['output.coupling']);
  });

  it('turns the unit of a check into base units: bands, plausible limits, stops', () => {
    const leak = book?.checks.find((c) => c.id === 'coupling-leak');
    expect(leak?.reads[0]?.bands.ok).toEqual([[500e6, null]]);
    expect(leak?.plausible).toEqual([1000, 1e10]);
    expect(leak?.stop[0]?.below).toBe(10_000);
  });

  it('turns family values into base units', () => {
    expect(book?.families[0]?.values['b-plus-main']).toMatchObject({ value: 260, unit: 'V' });
  });

  it('takes the prior of a mode from its kind, column by column', () => {
    const prior = book?.parts[0]?.faults[0]?.prior;
    expect(prior?.none).toBeCloseTo(0.4);
    expect(prior?.recapped).toBeCloseTo(0.04);
    expect(prior?.unknown).toBeGreaterThan(0.04);
    expect(prior?.unknown).toBeLessThan(0.4);
  });

  it('puts checks in the order of the phases', () => {
    expect(book?.checks.map((c) => c.id)).toEqual(['coupling-leak', 'drive']);
  });

  it('has a hash that changes with any byte of the pack', () => {
    const other = loadRules(tinyPack({ 'glossary.yaml': 'terms: [{us: tube, uk: bottle}]\n' })).book;
    expect(other?.hash).not.toBe(book?.hash);
    expect(loadRules(tinyPack()).book?.hash).toBe(book?.hash);
  });
});

describe('a pack that is wrong says what and where', () => {
  it.each([
    [
      'a missing folder',
      'there is no such folder',
      () => loadRules(join(resolve('/'), 'no-such-rules')).problems.map(problemLine),
    ],
    ['a missing file', 'symptoms.yaml:1:1', () => problemsOf({ 'symptoms.yaml': undefined })],
    [
      'a signal that does not exist',
      'sections/1-output.yaml:6',
      () => problemsOf({ 'sections/1-output.yaml': section.replace('{drive: strong}', '{dirve: strong}') }),
    ],
    [
      'the near miss named',
      'did you mean "drive"',
      () => problemsOf({ 'sections/1-output.yaml': section.replace('{drive: strong}', '{dirve: strong}') }),
    ],
    [
      'a loop',
      'signals form a loop',
      () =>
        problemsOf({
          'sections/1-output.yaml': section.replace(
            'at the grid, inputs: {}',
            'at the grid, inputs: {pulse: strong}',
          ),
        }),
    ],
    [
      'an unknown signal that an outcome is seen by',
      'unknown signal "dirve"',
      () =>
        problemsOf({
          'sections/1-output.yaml': section.replace('outcome: true,', 'outcome: true, shown-by: [dirve],'),
        }),
    ],
    [
      'an unknown signal that a check is seen by',
      'unknown signal "dirve"',
      () =>
        problemsOf({
          'sections/1-output.yaml': section.replace('    minutes:', '    shown-by: [dirve]\n    minutes:'),
        }),
    ],
    [
      'an unknown part in a check',
      'unknown part "output.coupler"',
      () =>
        problemsOf({
          'sections/1-output.yaml': section.replace('part: output.coupling', 'part: output.coupler'),
        }),
    ],
    [
      'an unknown unit',
      'a unit is one of',
      () => problemsOf({ 'sections/1-output.yaml': section.replace('unit: Mohm', 'unit: bananas') }),
    ],
    [
      'chances over 1',
      'add up to more than 1',
      () =>
        problemsOf({ 'sections/1-output.yaml': section.replace('{low: 0.8}', '{low: 0.8, absent: 0.4}') }),
    ],
    [
      'a ratio without expectation',
      'a ratio needs an expected value',
      () => problemsOf({ 'sections/1-output.yaml': section.replace(/ {4}expect:.*\n/, '') }),
    ],
    [
      'a ratio of volts without the volts under which nothing arrives',
      'two dead halves are not two equal ones',
      () =>
        problemsOf({
          'sections/1-output.yaml': section.replace('kind: number', 'kind: pair\n    combine: ratio'),
        }),
    ],
    [
      'a key that nobody knows',
      'Unrecognized key',
      () => problemsOf({ 'sections/1-output.yaml': section.replace('minutes: 2', 'minuets: 2') }),
    ],
    [
      'an alias',
      'anchors and aliases are not allowed',
      () => problemsOf({ 'glossary.yaml': 'terms: &a [{us: tube, uk: valve}]\n' }),
    ],
    [
      'a fault without a prior',
      'has no prior',
      () => problemsOf({ 'sections/1-output.yaml': section.replace('leaky: {title', 'humid: {title') }),
    ],
    [
      'a tube twice',
      'is there twice',
      () =>
        problemsOf({
          'data/tubes.csv': `${TINY['data/tubes.csv']}6DQ6A,horizontal output,6.3,from memory\n`,
        }),
    ],
    [
      'a tube without source',
      'has no source',
      () =>
        problemsOf({
          'data/tubes.csv': 'type,function,heater_V,source_title\n6DQ6A,horizontal output,6.3,\n',
        }),
    ],
  ])('%s', (_what, message, problems) => {
    expect(problems().join('\n')).toContain(message);
  });

  it('names the line of the fault, not of the file', () => {
    const [first] = problemsOf({ 'sections/1-output.yaml': section.replace('unit: Mohm', 'unit: bananas') });
    expect(first).toMatch(/^sections\/1-output\.yaml:36:/);
  });

  it('refuses a bracket bomb without hanging', () => {
    expect(problemsOf({ 'glossary.yaml': `terms: ${'['.repeat(50_000)}` }).join()).toContain('nested deeper');
  });

  it('never throws on mutated files', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...Object.keys(TINY)),
        fc.nat(),
        fc.string({ maxLength: 6 }),
        fc.nat(12),
        (name, at, insert, cut) => {
          const text = TINY[name] ?? '';
          const place = at % (text.length + 1);
          const { problems, book } = loadRules(
            tinyPack({ [name]: text.slice(0, place) + insert + text.slice(place + cut) }),
          );
          for (const p of problems) expect(problemLine(p)).toMatch(/:\d+:\d+: (error|warning): /);
          expect(book !== undefined || problems.length > 0).toBe(true);
        },
      ),
      { numRuns: 300 },
    );
  });
});
