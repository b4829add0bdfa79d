// The write-up on the whole rule base: a leaky coupling capacitor and heater-cathode leakage, from typed answers to every format.
import { readFileSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { type ReportInput, renderReport, resultOf } from '../../src/report/index.ts';
import { partsList } from '../../src/report/parts-list.ts';
import { loadRules } from '../../src/rulebook/index.ts';
import { readCase } from '../../src/walk/case-file.ts';
import { createEngine } from '../../src/walk/engine.ts';
import { evaluateAll } from '../../src/walk/evaluate.ts';

const CASE = `
case: invented set, two faults
set: {family: series-doubler-halfwave, standard: "525", line_volts: 117, picture_tube: 21YP4A, horizontal_output: 6DQ6A, complaint: no-raster, restored: none}
instruments: [dmm, hv-probe, picture-tube-tester, tube-tester, isolation-transformer, variac, lamp-limiter, ring-tester]
answers:
  horizontal-output-grid-drive: "-18"
  horizontal-output-stopped-grid: "12"
  flyback-ring: "10"
  flyback-primary-ohms: "25"
  flyback-hv-winding-ohms: "300"
  yoke-ring: "10/10"
  yoke-horizontal-halves: "15/15"
  yoke-vertical-halves: "22/22"
  b-plus-working: "255"
  picture-tube-emission: good
  picture-tube-heater-cathode: "0.2"
  sound-look: good
truth: [horizontal-output.grid-coupling-capacitor/leaky, picture-tube.heater-cathode/leakage]
`;

const book = loadRules(new URL('../../rules', import.meta.url).pathname).book;
if (!book) throw new Error('the rule pack has errors');
const engine = createEngine(book);
const one = readCase('case.yaml', CASE, book).data;
if (!one) throw new Error('the case has errors');
const { view, refused } = evaluateAll(engine, one, { explained: true });
const input: ReportInput = {
  view,
  session: {
    name: 'two-faults',
    created: '2031-05-01T18:00:00Z',
    rules: { name: book.name, version: book.version, hash: book.hash },
  },
  rulebook: book,
  now: new Date('2031-05-02T08:00:00Z'),
};

describe('two faults on the whole rule base', () => {
  it('reads every answer and finds both', () => {
    expect(refused).toEqual([]);
    expect(view.trouble).toBeUndefined();
    const result = resultOf(view, { truth: one.truth });
    expect(result.truth?.map((entry) => (entry.rank ?? 99) <= 3)).toEqual([true, true]);
  });

  it('clears the flyback and the yoke as far as cold tests go, and condemns no picture tube for a curable leak', () => {
    const grades = Object.fromEntries((view.verdict?.core ?? []).map((entry) => [entry.id, entry.grade]));
    expect(grades.flyback).toBe('serviceable');
    expect(grades.yoke).toBe('serviceable');
    expect(['serviceable', 'not proven']).toContain(grades['picture-tube']);
    expect(grades['power-transformer']).toBeUndefined();
    expect(view.verdict?.recommendation).not.toContain('almost certainly bad');
  });

  it.each(['md', 'html', 'json'] as const)(
    'names both in %s, with nothing left blank and no word of safe use',
    (format) => {
      const text = renderReport(input, format);
      expect(text).toMatch(/grid coupling capacitor of the horizontal output tube/i);
      expect(text).toMatch(/isolated low-capacitance heater supply/i);
      expect(text).not.toMatch(/undefined|NaN|\[object|Infinity/);
      expect(text).not.toMatch(/\b(is|are|it|set|now) safe\b/i);
    },
  );

  it('gives a result that the schema takes', () => {
    const schema: unknown = JSON.parse(
      readFileSync(new URL('../../src/report/result.schema.json', import.meta.url), 'utf8'),
    );
    const validate = new Ajv2020({ strictRequired: false }).compile(Object(schema));
    validate(JSON.parse(renderReport(input, 'json')));
    expect(validate.errors ?? []).toEqual([]);
  });

  it('speaks British where asked, and leaves no American core term', () => {
    const text = renderReport({ ...input, terms: 'uk' }, 'md');
    expect(text).toContain('Line output transformer');
    expect(text).not.toMatch(/\bflyback\b/i);
  });

  it('keeps the hours within what an overhaul can take', () => {
    const [least, most] = view.verdict?.hours ?? [0, 0];
    expect(least).toBeGreaterThan(2);
    expect(most).toBeLessThan(60);
  });

  it('has a grade for every section that has parts of its own', () => {
    const ids = (view.verdict?.sections ?? []).map((entry) => entry.id);
    expect(ids).toEqual(expect.arrayContaining(['b-plus', 'horizontal-output', 'sound', 'tuner']));
    expect(new Set(ids).size).toBe(ids.length);
  });
});

describe('what an answer says was renewed', () => {
  const orders = (answer: string) => {
    const text = CASE.replace(
      'flyback-ring: "10"',
      `flyback-ring: "10"\n  flyback-killers-renewed: ${answer}`,
    );
    const other = readCase('case.yaml', text, book).data;
    if (!other) throw new Error('the case has errors');
    const walked = evaluateAll(engine, other).view;
    const steps = walked.verdict?.nextSteps.filter((step) => step.kind === 'class-replacement') ?? [];
    const parts = partsList({ ...input, view: walked }, (t) => t);
    return {
      steps: steps.map((step) => step.part).join(' '),
      bought: parts.filter((line) => line.reason.startsWith('aged')).flatMap((line) => line.positions),
    };
  };
  const title = (id: string) => book.parts.find((part) => part.id === id)?.title ?? id;
  const boost = title('damper-boost.boost-capacitor');
  const bypass = title('horizontal-output.screen-bypass');

  it('is neither ordered nor renewed again; what it does not name still is', () => {
    expect(orders('as-found').bought).toEqual(expect.arrayContaining([boost, bypass]));
    const two = orders('two-new').bought;
    expect(two).not.toContain(boost);
    expect(two).toContain(bypass);
    const five = orders('all-new').bought;
    expect(five).not.toContain(boost);
    expect(five).not.toContain(bypass);
    expect(orders('all-new').steps).not.toContain(bypass);
  });
});
