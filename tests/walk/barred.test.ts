// Cold readings after which nothing is powered: the walk ends cold and says why, a power-up is refused, and a good reading lifts it.
// What may not be plugged in: common practice, no source.
import { describe, expect, it } from 'vitest';
import { drawSet, setFactsOf } from '../../src/practice/index.ts';
import { barsOf } from '../../src/safety/index.ts';
import { foldAll, type ReadingValue, type SessionEvent } from '../../src/session/index.ts';
import { evaluateWalk } from '../../src/walk/evaluate.ts';
import { book, engine, WELL_EQUIPPED } from './simulated-walk.ts';

const ohms = (value: number): ReadingValue => ({ kind: 'number', value, unit: 'ohm', unstable: false });
const event = (check: string, value: ReadingValue): SessionEvent => ({
  type: 'reading',
  check,
  raw: '',
  value,
  context: { supply: 'discharged', lineVolts: 0, config: {}, instrument: '' },
});
const barsAfter = (...events: readonly SessionEvent[]) =>
  barsOf(
    foldAll(events.map((each, n) => ({ ...each, seq: n + 1, at: '2000-01-01T00:00:00.000Z' }))),
    book.checks,
    { unexplained: undefined, disbelieved: new Map() },
  ).map(({ check, from }) => [check?.id, from]);
const bars = (...readings: readonly (readonly [string, ReadingValue])[]) =>
  barsAfter(...readings.map(([check, value]) => event(check, value)));

describe('what a cold reading forbids', () => {
  it('is power on a short, a cord or a tap that must not be plugged in', () => {
    expect(bars(['b-plus-short', ohms(61)])).toEqual([['b-plus-short', 'power']]);
    expect(bars(['b-plus-short', { kind: 'short' }])).toEqual([['b-plus-short', 'power']]);
    expect(bars(['cord-look', { kind: 'choice', option: 'perished' }])).toEqual([['cord-look', 'power']]);
    expect(bars(['heater-series-diode-look', { kind: 'choice', option: 'short' }])).toHaveLength(1);
  });

  it('is only the running stage where the short is in it', () => {
    expect(bars(['boost-capacitor-ohms', ohms(300)])).toEqual([['boost-capacitor-ohms', 'horizontal']]);
    expect(bars(['horizontal-output-screen-bypass-ohms', ohms(40)])).toEqual([
      ['horizontal-output-screen-bypass-ohms', 'horizontal'],
    ]);
  });

  it('is nothing where it reads right, and nothing any more once it does', () => {
    expect(bars(['b-plus-short', ohms(60_000)], ['cord-look', { kind: 'choice', option: 'sound' }])).toEqual(
      [],
    );
    expect(bars(['boost-capacitor-ohms', ohms(240_000)])).toEqual([]);
    expect(bars(['b-plus-short', ohms(61)], ['b-plus-short', ohms(58_000)])).toEqual([]);
  });
});

describe('what keeps a set off', () => {
  const option = (id: string): ReadingValue => ({ kind: 'choice', option: id });

  it('is every answer whose own words say so', () => {
    const power = [
      ['smell-look', 'selenium'],
      ['electrolytic-look', 'bulged'],
      ['insulation-look', 'crumbles'],
      ['repairs-seen', 'supply'],
      ['line-capacitor-look', 'old'],
      ['fuse-values', 'wrong'],
      ['blade-chassis-ohms', 'finite'],
      ['silicon-first-diode', 'short'],
      ['plugs-look', 'speaker'],
    ] as const;
    for (const [check, answer] of power)
      expect(bars([check, option(answer)]), check).toEqual([[check, 'power']]);
    expect(bars(['plug-ohms', ohms(0.2)])).toEqual([['plug-ohms', 'power']]);
    expect(bars(['plug-ohms', ohms(1.4)])).toEqual([]);
    expect(bars(['hv-lead-look', option('cracked')])).toEqual([['hv-lead-look', 'horizontal']]);
  });

  it('is not lifted by taking the reading back, nor by leaving the check out', () => {
    const short = event('b-plus-short', ohms(20));
    const back: SessionEvent = { type: 'undone', target: 1 };
    const skip: SessionEvent = { type: 'skipped', check: 'b-plus-short', reason: 'cannot-reach' };
    expect(barsAfter(short, back, skip)).toEqual([['b-plus-short', 'power']]);
    expect(barsAfter(short, back, event('b-plus-short', ohms(50_000)))).toEqual([]);
    // A slip of the pencil is put right, not taken back.
    const right: SessionEvent = { type: 'corrected', target: 1, raw: '20k', value: ohms(20_000) };
    expect(barsAfter(short, right)).toEqual([]);
  });
});

describe('a set with its B+ shorted', () => {
  it('is never powered by the walk, ends cold with the reason first, and goes on once the short is gone', async () => {
    const set = await drawSet({
      seed: 91000,
      family: 'series-doubler-halfwave',
      level: 'single',
      fault: 'b-plus.doubler-output-leakage/short',
    });
    const one = { set: setFactsOf(set), instruments: WELL_EQUIPPED };
    const walk = evaluateWalk(engine, one, (check, now) => set.answer(check, now.state.config));
    const { view } = walk;
    expect(view.state.safetyLog.filter((entry) => entry.type === 'powered-up')).toEqual([]);
    expect(walk.refused).toEqual([]);
    expect(view.step.kind === 'stop' && view.step.say).toMatch(/^B\+ reads shorted: no power/);
    // Asked for by name, a live check says the same.
    expect(engine.stepFor(view, 'raster-brightness')).toMatchObject({
      missing: expect.arrayContaining([expect.stringMatching(/^B\+ reads shorted/)]),
    });

    const mended = await set.repaired(['b-plus.doubler-output-leakage']);
    const after = evaluateWalk(engine, one, (check, now) => mended.answer(check, now.state.config), {
      after: {
        state: view.state,
        minutes: walk.minutes,
        events: [
          {
            type: 'repaired',
            part: 'b-plus.doubler-output-leakage',
            action: 'replaced',
            found: 'short',
          },
        ],
      },
    });
    const asked = after.asked.map((a) => a.check);
    expect(asked).toContain('b-plus-short');
    expect(asked.indexOf('b-plus-short')).toBeLessThan(asked.indexOf('bring-up-b-plus'));
    expect(asked).toContain('raster-brightness');
  }, 60_000);
});

describe('a cold reading that forbids something and reads several parts', async () => {
  const set = setFactsOf(await drawSet({ seed: 5, family: 'series-doubler-halfwave', level: 'healthy' }));
  const standing = (check: string, option: string, repaired: string) => {
    const kept: SessionEvent[] = [
      { type: 'set-described', set },
      event(check, { kind: 'choice', option }),
      { type: 'repaired', part: repaired, action: 'replaced', found: '' },
    ];
    const state = foldAll(kept.map((each, n) => ({ ...each, seq: n + 1, at: '2000-01-01T00:00:00.000Z' })));
    return engine
      .view(state, new Date('2000-01-01T00:00:00.000Z'), { trust: true })
      .standings.find((s) => s.check.id === check)?.status;
  };

  it.each([
    ['flyback-killers-renewed', 'boost-bad', 'damper-boost.boost-capacitor'],
    ['flyback-killers-renewed', 'tested-bad', 'horizontal-output.screen-bypass'],
    ['hv-lead-look', 'cracked', 'high-voltage.lead'],
    ['electrolytic-look', 'bulged', 'b-plus.reservoir'],
    ['repairs-seen', 'boost', 'wiring.repair-boost'],
  ])('is asked again once one of them is new: %s %s', (check, option, part) => {
    expect(['allowed', 'locked']).toContain(standing(check, option, part));
    // A part elsewhere is none of its business, and a good answer is not asked again for one part of several.
    expect(standing(check, option, 'tuner.rf-tube')).toBe('done');
  });

  it('stays read where nothing was forbidden', () => {
    expect(standing('hv-lead-look', 'supple', 'high-voltage.lead')).toBe('done');
  });
});
