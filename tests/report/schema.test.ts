// The published schema of results: what walks of simulated sets give fits it, and what earlier versions gave still does.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { CIRCUIT_FAMILIES, drawSet, type Level, setFactsOf } from '../../src/practice/index.ts';
import { type Result, renderReport } from '../../src/report/index.ts';
import { evaluateWalk } from '../../src/walk/evaluate.ts';
import { book, engine, ROOT } from './demo-inputs.ts';

/** Simulated sets in this run; `REPORT_SETS=500` takes about a quarter of an hour. */
const SETS = Number(process.env.REPORT_SETS ?? 5);
const LEVELS: readonly Level[] = ['single', 'double', 'dormant'];
/** Bench minutes after which an evening ends: mostly early, as that is quick, and at times the walk's own end. */
const EVENINGS = [10, 600, 25, 60, 25, 40, 90, 10];

const schema: { readonly $id: string; readonly required: readonly string[] } = JSON.parse(
  readFileSync(join(ROOT, 'src/report/result.schema.json'), 'utf8'),
);
const validate = new Ajv2020({ strictRequired: false }).compile<Result>(schema);

const SAMPLES = join(import.meta.dirname, 'samples');

it(
  `fits the results of ${SETS} walks of simulated sets, and every page of them is whole`,
  async () => {
    const { name, version, hash } = book;
    const overall = new Set<string>();
    for (let n = 0; n < SETS; n += 1) {
      const family = CIRCUIT_FAMILIES[n % CIRCUIT_FAMILIES.length] ?? '';
      const level = LEVELS[Math.floor(n / CIRCUIT_FAMILIES.length) % LEVELS.length] ?? 'single';
      const set = await drawSet({ seed: 7000 + n, family, level });
      // Every other bench has all instruments; on the rest some are missing, and with them the live half of the walk.
      const instruments = book.instruments
        .map((one) => one.id)
        .filter((_, at) => n % 2 === 1 || (at * 7 + n) % 5 > 0);
      const { view } = evaluateWalk(
        engine,
        { set: setFactsOf(set), instruments },
        (check, at) => set.answer(check, at.state.config),
        { mostMinutes: EVENINGS[n % EVENINGS.length] ?? 600 },
      );
      const input = {
        view: engine.view(view.state, new Date('2031-05-01T20:00:00Z'), { explained: true }),
        session: { name: `set ${n}`, created: '2031-05-01T18:00:00Z', rules: { name, version, hash } },
        rulebook: book,
        now: new Date('2031-05-02T08:00:00Z'),
      };
      const json = renderReport(input, 'json');
      validate(JSON.parse(json));
      expect(validate.errors ?? [], `set ${n}`).toEqual([]);
      for (const page of [json, renderReport(input, 'md'), renderReport(input, 'html')])
        expect(page, `set ${n}`).not.toMatch(/undefined|NaN|\[object|Infinity/);
      overall.add(input.view.verdict?.overall ?? 'none');
    }
    expect(overall.size).toBeGreaterThan(1);
  },
  60_000 + SETS * 20_000,
);

describe('the published schema', () => {
  it('keeps its name and the fields that it promised', () => {
    expect(schema.$id).toBe('https://first-raster.invalid/schema/result-1.json');
    expect(schema.required).toEqual(
      expect.arrayContaining([
        'verdict',
        'suspects',
        'asked',
        'minutes',
        'stop',
        'notProven',
        'conflicts',
        'nextSteps',
      ]),
    );
  });

  it.each(readdirSync(SAMPLES))('still takes what an earlier version wrote: %s', (file) => {
    validate(JSON.parse(readFileSync(join(SAMPLES, file), 'utf8')));
    expect(validate.errors ?? []).toEqual([]);
  });

  it('describes every field of the samples: none was renamed or dropped', () => {
    const described = JSON.stringify(schema);
    for (const file of readdirSync(SAMPLES)) {
      const sample: Record<string, unknown> = JSON.parse(readFileSync(join(SAMPLES, file), 'utf8'));
      for (const key of Object.keys(sample)) expect(described, file).toContain(`"${key}":`);
    }
  });
});
