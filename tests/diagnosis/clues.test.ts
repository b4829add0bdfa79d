// A sign that nothing accounts for: what is asked for its sake, in what order, and what is not worth its minutes. All numbers invented.
import { describe, expect, it } from 'vitest';
import {
  compileNetwork,
  evidenceOf,
  infer,
  isImpossible,
  type JudgedReading,
  type Plan,
  planNext,
} from '../../src/diagnosis/index.ts';
import { cluesTo } from '../../src/diagnosis/planner-clues.ts';
import { methodsDone } from '../../src/diagnosis/planner-tells.ts';
import type { Check } from '../../src/rulebook/types.ts';
import { facts, look, part, rulebook, signal } from './tiny-rules.ts';

const LOOK = look(
  'snow-look',
  { signal: 'gain' },
  { normal: { clean: 0.96, snowy: 0.04 }, low: { clean: 0.1, snowy: 0.9 } },
  { method: 'eye', minutes: 1 },
);
/** Ten parts that may each be behind the snow, none of them likely enough to be a suspect, and one behind the hum. */
const NAMES = ['a', 'b', 'c', 'd', 'e', 'f', 'g', 'h', 'i', 'j'];
const test = (name: string, id = `test-${name}`): Check =>
  look(
    id,
    { part: `tiny.${name}` },
    { ok: { good: 0.995, bad: 0.005 }, worn: { good: 0.03, bad: 0.97 } },
    { method: id, minutes: 4 },
  );
const BOOK = rulebook({
  signals: [signal('gain', {}, { outcome: true }), signal('hum', {}, { outcome: true })],
  parts: [
    ...NAMES.map((n) => part(`tiny.${n}`, { worn: [0.03, { gain: { low: 0.9 } }] })),
    part('tiny.filter', { worn: [0.02, { hum: { low: 0.9 } }] }),
  ],
  checks: [
    LOOK,
    look(
      'hum-listen',
      { signal: 'hum' },
      { normal: { no: 0.97, yes: 0.03 }, low: { no: 0.03, yes: 0.97 } },
      { method: 'ear', minutes: 1 },
    ),
    ...NAMES.map((n) => test(n)),
    test('filter'),
    test('c', 'swap-c'),
  ],
});
const network = compileNetwork(BOOK, facts());

function reading(seq: number, id: string, option: string): JudgedReading {
  const found = BOOK.checks.find((c) => c.id === id);
  if (!found) throw new Error(id);
  return {
    seq,
    check: found,
    value: { kind: 'choice', option },
    expected: undefined,
    meterSpread: 0.02,
    instrument: '',
  };
}

/** The plan after these readings; `far` tests cost this many minutes on the way. */
function plan(readings: readonly JudgedReading[], far: Readonly<Record<string, number>> = {}): Plan {
  const evidence = readings.flatMap(evidenceOf);
  const belief = infer(network, evidence);
  if (isImpossible(belief)) throw new Error(belief.impossible);
  const done = new Set(readings.map((r) => r.check.id));
  const open = BOOK.checks
    .filter((c) => !done.has(c.id))
    .map((c, order) => ({
      check: c,
      expected: undefined,
      changeMinutes: far[c.id] ?? 0,
      order,
      protective: false,
    }));
  return planNext(network, belief, evidence, open);
}

const SNOW = [reading(1, 'snow-look', 'snowy'), reading(2, 'hum-listen', 'no')];
const asked = (p: Plan): string[] => p.ranked.map((r) => r.check.id);

describe('snow that nothing accounts for', () => {
  it('has its possible causes tested, the quick ones first, and nothing that does not feed it', () => {
    const p = plan(SNOW, { 'test-a': 6 });
    expect(p.stop).toBeUndefined();
    const order = asked(p);
    const near = [...NAMES.slice(1).map((n) => `test-${n}`), 'swap-c'];
    expect(order.slice(0, 10).sort()).toEqual(near.sort());
    expect(order.slice(10)).toEqual(['test-a', 'test-filter']);
    expect(p.ranked[0]?.why).toMatch(
      /^May show where what is not right comes from: tells about the tiny\.[b-j]\.$/,
    );
  });

  it('leaves alone a part that feeds it and may well be bad for another reason', () => {
    // The eleventh part hardly ever upsets the gain: as doubtful as before, whether the snow is real or not.
    const bystander = part('tiny.k', { worn: [0.3, { gain: { low: 0.0001 } }] });
    const book = { ...BOOK, parts: [...BOOK.parts, bystander], checks: [...BOOK.checks, test('k')] };
    const net = compileNetwork(book, facts());
    const evidence = SNOW.flatMap(evidenceOf);
    const belief = infer(net, evidence);
    if (isImpossible(belief)) throw new Error(belief.impossible);
    const candidates = book.checks
      .filter((c) => c.id.startsWith('test-'))
      .map((c, order) => ({ check: c, expected: undefined, changeMinutes: 0, order, protective: false }));
    const clues = planNext(net, belief, evidence, candidates).ranked.filter((r) => r.leads);
    expect(clues.map((r) => r.check.id).sort()).toEqual(NAMES.map((n) => `test-${n}`));
  });

  const away = (minutes: number) => Object.fromEntries(BOOK.checks.map((c) => [c.id, minutes]));

  it('is worth an hour of going there for a handful of tests', () => {
    const p = plan(SNOW, away(60));
    expect(p.stop).toBeUndefined();
    expect(p.ranked[0]?.leads).toBe(true);
  });

  it('is left alone where the way there costs more than they tell, and says so', () => {
    const p = plan(SNOW, away(2000));
    expect(p.stop?.reason).toBe('exhausted');
    expect(p.stop?.say).toMatch(/accounts for: gain/);
  });

  it('is explained by a cause that is found, and then nothing more is asked for its sake', () => {
    const p = plan([...SNOW, reading(3, 'test-c', 'bad'), reading(4, 'swap-c', 'bad')]);
    expect(asked(p)).toEqual([]);
    expect(p.stop).toMatchObject({ reason: 'isolated' });
    expect(p.stop?.say).toContain('tiny.c');
  });
});

describe('a dark screen where the feed is known to be gone', () => {
  const wrong = { normal: { good: 0.98, gone: 0.02 }, absent: { good: 0.02, gone: 0.98 } };
  const book = rulebook({
    signals: [
      signal('feed', {}, { leak: { absent: 0.03 } }),
      signal('light', { feed: { absent: { absent: 1 } } }, { outcome: true, leak: { absent: 0.001 } }),
    ],
    parts: [
      ...['fuse', 'choke', 'strip'].map((n) =>
        part(`tiny.${n}`, { worn: [0.02, { feed: { absent: 0.9 } }] }),
      ),
      part('tiny.lamp', { worn: [0.02, { light: { absent: 0.9 } }] }),
    ],
    checks: [
      look('light-look', { signal: 'light' }, wrong, { method: 'eye', minutes: 1 }),
      look('feed-volts', { signal: 'feed' }, wrong, { method: 'dc', minutes: 3 }),
      ...['fuse', 'choke', 'strip', 'lamp'].map((n) => test(n)),
    ],
  });
  const net = compileNetwork(book, facts());
  const clues = (
    read: readonly string[],
    { suspected = false, done = [] as readonly string[] } = {},
  ): string[] => {
    const evidence = read.flatMap((id, n) => {
      const found = book.checks.find((c) => c.id === id);
      if (!found) throw new Error(id);
      return [1, 2].flatMap((again) =>
        evidenceOf({
          ...{
            seq: 2 * n + again,
            check: { ...found, id: `${id}-${again}`, method: `${found.method}-${again}` },
          },
          ...{
            value: { kind: 'choice', option: 'gone' },
            expected: undefined,
            meterSpread: 0.02,
            instrument: '',
          },
        }),
      );
    });
    const belief = infer(net, evidence);
    if (isImpossible(belief)) throw new Error(belief.impossible);
    const open = book.checks
      .filter((c) => c.id.startsWith('test-') && !done.includes(c.id))
      .map((c, order) => ({ check: c, expected: undefined, changeMinutes: 0, order, protective: false }));
    const sign = { title: 'Dark', signals: ['light'], foremost: ['light'], sure: true };
    const scored = open.map((candidate) => ({
      ...{ candidate, minutes: candidate.check.minutes, gains: new Map(), gainBits: 0, relevantBits: 0 },
      ...{ coreBits: 0, coreGains: new Map(), coreShare: 0, score: 0 },
    }));
    return cluesTo(net, belief, methodsDone(evidence), [sign], scored, () => suspected)
      .map((s) => s.candidate.check.id)
      .sort();
  };

  it('has its causes sought behind the feed, not beside what the feed explains', () => {
    expect(clues(['light-look', 'feed-volts'])).toEqual(['test-choke', 'test-fuse', 'test-strip']);
  });

  it('has them sought everywhere while nothing upstream is known to be wrong', () => {
    expect(clues(['light-look'])).toEqual(['test-choke', 'test-fuse', 'test-lamp', 'test-strip']);
  });

  it('has them sought everywhere once nothing behind the feed is left to test, unless a suspect accounts for it', () => {
    const done = ['test-choke', 'test-fuse', 'test-strip'];
    expect(clues(['light-look', 'feed-volts'], { done })).toEqual(['test-lamp']);
    expect(clues(['light-look', 'feed-volts'], { done, suspected: true })).toEqual([]);
  });
});
