// Instruments that lie throughout, a black lead on the wrong point, two meters that differ: found, said in trade words, weighed, and shown as the next step.
import { resolve } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { Conflict } from '../../src/diagnosis/index.ts';
import { loadRules } from '../../src/rulebook/index.ts';
import type { Check, Rulebook } from '../../src/rulebook/types.ts';
import { emptyState, fold, type ReadingValue, type SessionEvent } from '../../src/session/index.ts';
import { createEngine } from '../../src/walk/engine.ts';
import type { WalkView } from '../../src/walk/types.ts';
import { sampledValue, sampleSet } from './sampled-set.ts';
import { BENCH, MERIDIAN } from './scenarios.ts';

const book: Rulebook = loadRules(resolve(import.meta.dirname, '../../rules')).book ?? missing();
function missing(): never {
  throw new Error('the rule pack does not load');
}
const engine = createEngine(book);
const now = new Date('2001-01-01T12:00:00Z');
const healthy = sampleSet(book, MERIDIAN, '', () => 0.999);

interface Taken {
  readonly check: string;
  readonly value: ReadingValue;
  readonly instrument?: string;
}

function checkOf(id: string): Check {
  return book.checks.find((c) => c.id === id) ?? missing();
}

/** A good reading of a check in the middle of what is right there. */
function good(id: string): Taken {
  const value = sampledValue(book, healthy, checkOf(id), () => 0.5);
  if (!value) throw new Error(`nothing to read at ${id}`);
  return { check: id, value };
}

function times(factor: number, { check, value }: Taken): Taken {
  if (value.kind !== 'number') throw new Error('no number');
  return { check, value: { ...value, value: factor * value.value } };
}

function option(check: string, id: string): Taken {
  expect(checkOf(check).options.map((o) => o.id)).toContain(id);
  return { check, value: { kind: 'choice', option: id } };
}

function view(taken: readonly Taken[], before: readonly SessionEvent[] = []): WalkView {
  const events: SessionEvent[] = [
    { type: 'set-described', set: MERIDIAN },
    { type: 'bench-described', instruments: BENCH },
    ...before,
    ...taken.map(
      ({ check, value, instrument }): SessionEvent => ({
        type: 'reading',
        check,
        raw: '',
        value,
        context: {
          lineVolts: 117,
          instrument: instrument ?? checkOf(check).needs[0] ?? 'dmm',
          supply: 'isolated-full',
          config: { horizontal: 'enabled' },
        },
      }),
    ),
  ];
  const state = events.reduce(
    (so, event) => fold(so, { ...event, seq: so.lastSeq + 1, at: now.toISOString() }),
    emptyState(),
  );
  return engine.view(state, now, { trust: true, explained: true });
}

const about = (v: WalkView, kind: Conflict['slip']['kind']): Conflict | undefined =>
  v.conflicts.find((c) => c.slip.kind === kind);
const bad = (v: WalkView, part: string): number => 1 - (v.belief?.parts.get(part)?.ok ?? 1);

const RUNNING = book.checks
  .filter((c) => c.method === 'eye' && c.state === 'S2' && c.kind === 'choice')
  .map((c) => c.id);

describe('a tube tester that calls everything bad', () => {
  const tests = book.checks
    .filter((c) => c.needs.includes('tube-tester') && c.reads.some((r) => r.part) && c.kind === 'choice')
    .slice(0, 7);
  const weak = (check: Check): Taken => {
    const read = check.reads[0];
    const rows = Object.entries(read?.table ?? {}).filter(([state]) => state !== 'ok');
    const score = (o: string): number =>
      rows.reduce((sum, [, row]) => sum + (row[o] ?? 0), 0) - 3 * (read?.table.ok?.[o] ?? 0);
    const worst = check.options.map((o) => o.id).toSorted((a, b) => score(b) - score(a))[0];
    return option(check.id, worst ?? '');
  };
  const running = RUNNING.map(good);
  const all = view([...running, ...tests.map(weak)]);
  const one = view([...running, ...tests.slice(0, 1).map(weak)]);

  it('is doubted, in words that say what to do', () => {
    const conflict = about(all, 'instrument');
    expect(conflict?.slip.probability).toBeGreaterThan(0.5);
    expect(conflict?.say).toMatch(
      /readings by the tube tester do not fit.*calls everything bad.*tube known to be good/,
    );
    expect(conflict?.readings).toHaveLength(tests.length);
  });

  it('is the next step after making the set dead', () => {
    expect(all.verdict?.nextSteps[1]?.action).toMatch(/^Prove the tube tester before it is believed/);
  });

  it('condemns no tube that works, while one bad test alone is taken as it stands', () => {
    for (const test of tests) {
      const part = test.reads[0]?.part ?? '';
      expect(bad(all, part), part).toBeLessThan(0.5);
    }
    expect(about(one, 'instrument')).toBeUndefined();
  });
});

/** The first points at which a running set is read in DC volts with the digital meter, against an expected value. */
function voltPoints(count: number): string[] {
  return book.checks
    .filter(
      (c) =>
        c.quantity === 'dc-volts' &&
        c.state === 'S2' &&
        c.kind === 'number' &&
        c.needs.join() === 'dmm' &&
        c.reads[0]?.scale === 'ratio',
    )
    .slice(0, count)
    .map((c) => c.id);
}

describe('a voltmeter that shows half', () => {
  const points = voltPoints(9);
  const running = RUNNING.map(good);
  const half = view([...running, ...points.map((id) => times(0.5, good(id)))]);
  const right = view([...running, ...points.map(good)]);

  it('is found beside a set that plays, and not where the same points read right', () => {
    const found = half.conflicts.find((c) => c.slip.kind === 'instrument' || c.slip.kind === 'return-point');
    expect(found?.slip.kind).toBe('instrument');
    expect(found?.say).toMatch(/the voltmeter .*half of what is there/);
    expect(
      right.conflicts.filter((c) => c.slip.kind === 'instrument' || c.slip.kind === 'return-point'),
    ).toEqual([]);
  });

  it('is doubted less where it read a known source right that evening', () => {
    const few = [...running, ...points.slice(0, 3).map((id) => times(0.5, good(id)))];
    const doubt = (v: WalkView): number => about(v, 'instrument')?.slip.probability ?? 0;
    const proven = view(few, [
      { type: 'gate', gate: 'meter-after', raw: 'y', value: { kind: 'choice', option: 'yes' } },
    ]);
    expect(doubt(view(few))).toBeGreaterThan(0);
    expect(doubt(proven)).toBeLessThan(doubt(view(few)));
  });

  it('leaves no part condemned that good readings would clear', () => {
    const condemned = half.suspects.filter((s) => s.partProbability >= 0.8);
    expect(condemned.map((s) => s.id)).toEqual([]);
  });
});

describe('the black lead on a chassis that hangs in the air', () => {
  const points = voltPoints(6);
  const v = view([...RUNNING.map(good), ...points.map((id, n) => times(0.03 + 0.05 * n, good(id)))]);

  it('is named, with the way to B-', () => {
    const conflict = about(v, 'return-point');
    expect(conflict?.say).toMatch(/black lead .* B-/);
    expect(v.verdict?.nextSteps.some((s) => /black lead to the negative terminal/.test(s.action))).toBe(true);
  });
});

describe('a high-voltage probe that shows half', () => {
  it('is doubted or its readings are, while the raster is bright and wide', () => {
    const probe = book.checks.filter((c) => c.needs.includes('hv-probe') && c.kind === 'number').slice(0, 2);
    const v = view([...RUNNING.map(good), ...probe.map((c) => times(0.5, good(c.id)))]);
    const seqs = v.judged.filter((r) => r.check.needs.includes('hv-probe')).map((r) => r.seq);
    expect(v.conflicts.some((c) => seqs.includes(c.seq) || c.readings?.some((s) => seqs.includes(s)))).toBe(
      true,
    );
    expect(v.verdict?.core.find((g) => g.id === 'flyback')?.grade).not.toBe('failed');
  });
});

describe('two meters at one point', () => {
  const point = 'b-plus-working';
  const v = view([
    ...RUNNING.map(good),
    { ...good(point), instrument: 'dmm' },
    { ...times(0.4, good(point)), instrument: 'analog-meter' },
  ]);

  it('are both kept, weighed and named', () => {
    expect(v.judged.filter((r) => r.check.id === point)).toHaveLength(2);
    const said = v.conflicts.find((c) => c.slip.kind === 'disagree' || c.check === point);
    expect(said?.say).toBeTruthy();
    const both = v.conflicts.find((c) => c.slip.kind === 'disagree');
    expect(both?.say).toMatch(/digital multimeter and moving-coil multimeter/);
  });
});

it('knows the looks that these cases rest on', () => {
  expect(RUNNING.length).toBeGreaterThan(8);
});
