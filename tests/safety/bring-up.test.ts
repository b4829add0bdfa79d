// A bring-up on the lamp is finished when its table was held and the line raised, not when somebody says so.
// The ladder and its holds: common practice, no source.
import { describe, expect, it } from 'vitest';
import { bringUpOf } from '../../src/safety/index.ts';
import { bringUpRows } from '../../src/walk/bring-up-rows.ts';
import { Bench, ORDINARY, option } from './bench-log.ts';
import { Desk } from './desk.ts';

/** Watts of the lamp that a bench for tests takes. */
const LAMP = new Bench().limited().state.lampWatts;
const table = () =>
  (bringUpOf(ORDINARY, LAMP)?.steps ?? [])
    .filter((step) => step.lampIn)
    .reduce((sum, step) => sum + step.holdSeconds, 0) / 60;

const onLamp = (volts = 40): Desk => {
  const desk = new Desk().to('discharged').to('isolated-limited');
  expect(desk.on('isolated-limited', volts)).toBe('ok');
  return desk.to('isolated-limited');
};

describe('bring-up finished', () => {
  it('is refused until every step of the table was held, with the minutes that are left', () => {
    const desk = onLamp();
    expect(desk.gate('bring-up-finished')).toMatch(/^Not finished yet: 1\d min more on the lamp/);
    desk.wait(table() - 2);
    expect(desk.gate('bring-up-finished')).toMatch(
      /^Not finished yet: 2 min more|^Not finished yet: \d+ s more/,
    );
    desk.wait(2);
    expect(desk.gate('bring-up-finished')).toBe('ok');
    expect(desk.view.safety.proven.has('bring-up-finished')).toBe(true);
  });

  it('wants the line raised as far as the lamp lets it', () => {
    const desk = onLamp(15).wait(60);
    expect(desk.gate('bring-up-finished')).toMatch(/raise the line until \d+ V or more stand at the set/);
    desk.offer({ type: 'line-volts', lineVolts: 60 });
    // What stood below the first row re-formed nothing.
    expect(desk.gate('bring-up-finished')).toMatch(/^Not finished yet/);
    desk.wait(table());
    expect(desk.gate('bring-up-finished')).toBe('ok');
  });

  it('"not yet" proves nothing and stops nothing', () => {
    const desk = onLamp();
    const answer = desk.offer({
      type: 'gate',
      gate: 'bring-up-finished',
      raw: '2',
      value: option('still-at-it'),
    });
    expect(answer).toMatch(/^Not finished yet/);
    desk.force({ type: 'gate', gate: 'bring-up-finished', raw: '2', value: option('still-at-it') });
    expect(desk.view.safety.forcedStop).toBeUndefined();
    expect(desk.view.safety.proven.has('bring-up-finished')).toBe(false);
  });
});

describe('the next bring-up of the same set', () => {
  const again = (part?: string): Bench => {
    const bench = new Bench().full().off();
    if (part) bench.cold().add({ type: 'repaired', part });
    return bench.cold().answerAll('isolated-limited').up('isolated-limited').answerAll('isolated-limited');
  };

  it('takes a minute; after a repair of the supply it takes the whole table', () => {
    expect(again().state.bringUp?.seconds).toBeLessThanOrEqual(60);
    expect(again('tuner.rf-tube').state.bringUp?.seconds).toBeLessThanOrEqual(60);
    for (const part of ['b-plus.filter-capacitor', 'line-input.fuse', 'heaters.ballast'])
      expect(again(part).state.bringUp?.seconds, part).toBe(table() * 60);
  });

  it('a repair of the supply closes full line until then', () => {
    const bench = new Bench().full().off().cold();
    expect(bench.state.proven.has('bring-up-finished')).toBe(true);
    bench.add({ type: 'repaired', part: 'b-plus.filter-capacitor' }).cold();
    expect(bench.state.proven.has('bring-up-finished')).toBe(false);
    expect(bench.state.mayGo('isolated-full').missing).toContain('Bring-up finished');
  });
});

it('a recapped set has nothing to re-form: each step is held a minute', () => {
  const short = bringUpOf({ ...ORDINARY, recapped: true }, LAMP)?.steps ?? [];
  expect(new Set(short.map((step) => step.holdSeconds))).toEqual(new Set([60]));
});

it('with the lamp in the current cannot pass what the lamp lets through', () => {
  for (const step of bringUpOf(ORDINARY, 100)?.steps ?? [])
    if (step.lampIn) expect(step.currentCeilingAmps).toBeLessThanOrEqual(100 / ORDINARY.ratedVolts);
});

it('no step of the table lets more pass than the bench fuse carries, and it says so', () => {
  const { state } = new Bench().limited();
  expect(state.fuseAmps).toBeGreaterThan(0);
  const most = Math.max(...bringUpRows(state, 'lamp').map((row) => row.currentCeilingAmps));
  const fuseAmps = most / 2;
  const rows = bringUpRows({ ...state, fuseAmps }, 'lamp');
  expect(Math.max(...rows.map((row) => row.currentCeilingAmps))).toBe(fuseAmps);
  for (const row of rows) expect(row.watch.includes('bench fuse')).toBe(row.currentCeilingAmps === fuseAmps);
  // Not said yet, it limits nothing.
  expect(bringUpRows({ ...state, fuseAmps: 0 }, 'lamp')).toEqual(
    bringUpRows({ ...state, fuseAmps: 2 * most }, 'lamp'),
  );
});

it('what an older file calls finished stays so', () => {
  const bench = new Bench().limited();
  bench.add({ type: 'gate', gate: 'bring-up-finished', value: option('finished'), door: 1 });
  expect(bench.state.proven.has('bring-up-finished')).toBe(true);
});
