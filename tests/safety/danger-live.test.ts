// Dangers of power: isolation, the horizontal stage, dangerous readings: one named test each. Limits are common practice of the trade unless a source is named.
import { describe, expect, it } from 'vitest';
import {
  anodeLimits,
  checkSafety,
  type GateId,
  gatesFor,
  judgeGate,
  permits,
  permitsHorizontal,
  permitsPower,
  safetyFacts,
  safetyOf,
} from '../../src/safety/index.ts';
import {
  ALL_INSTRUMENTS,
  Bench,
  CHECKS,
  makeCheck,
  number,
  ORDINARY,
  option,
  withFacts,
} from './bench-log.ts';

const allowed = (bench: Bench, check = CHECKS.cold, passed: ReadonlySet<string> = new Set()) =>
  permits(check, bench.state, bench.config, passed).allowed;
const gate = (id: GateId, facts = ORDINARY) => {
  const found = gatesFor(facts).find((each) => each.id === id);
  if (found === undefined) throw new Error(`no gate ${id}`);
  return found;
};
const ids = (bench: Bench, target: 'discharged' | 'isolated-limited' | 'isolated-full') =>
  bench.state.nextGates(target).map((each) => each.id);

describe('isolation and power', () => {
  it('no isolation transformer, no live work: a variable transformer or a residual-current device is none', () => {
    const bench = new Bench(
      ORDINARY,
      ALL_INSTRUMENTS.filter((id) => id !== 'isolation-transformer'),
    ).cold();
    expect(bench.state.coldOnly).toBe(true);
    expect(bench.state.nextGates('isolated-limited')).toEqual([]);
    const permit = permitsPower('isolated-limited', bench.state, 40);
    expect(permit.allowed ? '' : permit.missing.join()).toMatch(
      /variable transformer is not isolation.*residual-current device does not replace/,
    );
    expect(allowed(bench)).toBe(true);
  });

  it('the transformer is proven: poles to earth with 100 kohm, and 5 Mohm', () => {
    expect(judgeGate(gate('isolation-poles'), number(58)).pass).toBe(false);
    expect(judgeGate(gate('isolation-ohms'), number(4e6, 'ohm')).pass).toBe(false);
    expect(judgeGate(gate('isolation-ohms'), { kind: 'over-range' }).pass).toBe(true);
    expect(
      judgeGate(gate('isolation-ohms'), { kind: 'bound', side: 'above', value: 2e7, unit: 'ohm' }).pass,
    ).toBe(true);
    expect(
      judgeGate(gate('isolation-ohms'), { kind: 'bound', side: 'above', value: 1e6, unit: 'ohm' }).pass,
    ).toBe(false);
    expect(judgeGate(gate('isolation-ohms'), { kind: 'short' }).pass).toBe(false);
  });

  it('and sized: 1.5 times the set, 2.5 times for a half-wave rectifier', () => {
    expect(judgeGate(gate('isolation-size'), number(247, 'W')).pass).toBe(false);
    expect(judgeGate(gate('isolation-size'), number(248, 'W')).pass).toBe(true);
    const half = withFacts({ topology: 'half-wave' }, 'series-halfwave');
    expect(judgeGate(gate('isolation-size', half), number(300, 'W')).pass).toBe(false);
    expect(judgeGate(gate('isolation-size', half), number(413, 'W')).pass).toBe(true);
  });

  it('every proof on the list is needed: leaving out any one keeps power off', () => {
    const open = ids(new Bench().cold(), 'isolated-limited');
    expect(open).toEqual(
      expect.arrayContaining([
        'isolation-poles',
        'isolation-ohms',
        'isolation-size',
        'lamp-choice',
        'bench-fuse',
        'coating-ground',
        'horizontal-disabled',
        'all-plugged',
        'nothing-earthed',
        'links-removed',
      ]),
    );
    for (const left of open) {
      const bench = new Bench().cold();
      for (const id of open) if (id !== left) bench.gate(id);
      expect(permitsPower('isolated-limited', bench.state, 40).allowed, left).toBe(false);
      bench.up('isolated-limited');
      expect(bench.state.forcedStop?.why, left).toBe('power-without-proof');
      expect(allowed(bench.gate('chassis-ac').gate('chassis-dc'), CHECKS.limited), left).toBe(false);
    }
  });

  it('an earthed clip on the set is asked about, and a cold check since then asks again', () => {
    const bench = new Bench().cold().answerAll('isolated-limited');
    expect(permitsPower('isolated-limited', bench.state, 40).allowed).toBe(true);
    bench.reading(CHECKS.cold);
    expect(ids(bench, 'isolated-limited')).toEqual(
      expect.arrayContaining(['nothing-earthed', 'all-plugged', 'links-removed']),
    );
    expect(gate('nothing-earthed').how.join()).toMatch(/full line voltage/);
  });

  it('coating spring: under 2 kohm before power', () => {
    expect(judgeGate(gate('coating-ground'), number(1999, 'ohm')).pass).toBe(true);
    expect(judgeGate(gate('coating-ground'), { kind: 'over-range' }).pass).toBe(false);
    expect(judgeGate(gate('coating-ground'), { kind: 'short' }).pass).toBe(true);
  });

  it('links are asked back one by one', () => {
    const bench = new Bench().cold().add({ type: 'link-fitted', what: 'clip on the anode' });
    bench.answerAllBut('links-removed');
    bench.gate('links-removed');
    expect(bench.state.mayGo('isolated-limited').missing.join()).toMatch(/clip on the anode/);
    bench.add({ type: 'link-removed', what: 'clip on the anode' }).gate('links-removed');
    expect(permitsPower('isolated-limited', bench.state, 40).allowed).toBe(true);
  });

  it('bench fuse: about 1.5 times the rated current', () => {
    expect(judgeGate(gate('bench-fuse'), number(2, 'A')).pass).toBe(true);
    expect(judgeGate(gate('bench-fuse'), number(10, 'A')).pass).toBe(false);
  });

  it('full line only after a bring-up without abort, with the lamp out', () => {
    const bench = new Bench().limited();
    expect(ids(bench, 'isolated-full')).toEqual(['bring-up-finished', 'lamp-bypassed']);
    bench.gate('bring-up-finished', option('aborted')).gate('lamp-bypassed');
    expect(permitsPower('isolated-full', bench.state, 117).allowed).toBe(false);
    const direct = new Bench().cold().answerAll('isolated-full');
    expect(permitsPower('isolated-full', direct.state, 117).allowed).toBe(false);
    expect(
      permitsPower('isolated-full', new Bench().limited().answerAll('isolated-full').state, 117).allowed,
    ).toBe(true);
  });

  it('line volts have a ceiling: a variable transformer goes to 120 %', () => {
    const state = new Bench().limited().answerAll('isolated-full').state;
    expect(permitsPower('isolated-full', state, 125).allowed).toBe(true);
    expect(permitsPower('isolated-full', state, 140).allowed).toBe(false);
    expect(permitsPower('isolated-full', state, Number.NaN).allowed).toBe(false);
  });

  it('a restart waits three minutes: a hint, not a gate', () => {
    const bench = new Bench().full().off();
    expect(bench.state.restartWaitSeconds).toBe(180);
    expect(bench.wait(3).state.restartWaitSeconds).toBe(0);
  });
});

describe('horizontal stage', () => {
  it('plate cap off with the screen still fed is never "disabled"', () => {
    expect(judgeGate(gate('horizontal-disabled'), option('cap-only')).pass).toBe(false);
    expect(judgeGate(gate('horizontal-disabled'), option('screen-and-cap')).pass).toBe(true);
  });

  it('pulling the output tube is for parallel heaters only', () => {
    expect(judgeGate(gate('horizontal-disabled'), option('output-tube-out')).pass).toBe(false);
    expect(
      judgeGate(gate('horizontal-disabled', withFacts({ heaters: 'parallel' })), option('output-tube-out'))
        .pass,
    ).toBe(true);
  });

  it('grid drive as DC needs the tube in, hot, with its cathode joined', () => {
    const bench = new Bench().full();
    for (const [method, may] of [
      ['screen-and-cap', true],
      ['output-tube-out', false],
      ['cathode-open', false],
    ] as const) {
      const config = { ...bench.config, 'horizontal-method': method };
      expect(permits(CHECKS.drive, bench.state, config, new Set()).allowed, method).toBe(may);
    }
  });

  it('is enabled only cold and only after its drive was read', () => {
    const drive = new Set(['horizontal-output-grid-drive']);
    expect(permitsHorizontal(new Bench().full().state, drive).allowed).toBe(false);
    expect(permitsHorizontal(new Bench().cold().state, new Set()).allowed).toBe(false);
    expect(permitsHorizontal(new Bench().cold().state, drive).allowed).toBe(true);
  });

  it('a self-oscillating stage has no drive to read; a stage of unknown kind is taken for a driven one', () => {
    for (const [kind, may] of [
      ['self-oscillating', true],
      ['driven', false],
      ['unknown', false],
    ] as const) {
      const bench = new Bench(withFacts({ 'line-stage': kind })).cold();
      expect(permitsHorizontal(bench.state, new Set()).allowed, kind).toBe(may);
      bench.configure('horizontal', 'enabled');
      expect(ids(bench, 'isolated-full'), kind).toContain('stage-fuse');
    }
  });

  it('once enabled goes to 90 % of the line or more in one move, lamp out, stage fused', () => {
    const bench = new Bench().full().off().cold().configure('horizontal', 'enabled');
    expect(bench.state.horizontal).toBe('enabled');
    expect(ids(bench, 'isolated-full')).toContain('stage-fuse');
    bench.answerAll('isolated-full');
    expect(permitsPower('isolated-limited', bench.state, 40).allowed).toBe(false);
    expect(permitsPower('isolated-full', bench.state, 90).allowed).toBe(false);
    expect(permitsPower('isolated-full', bench.state, 110).allowed).toBe(true);
    expect(allowed(bench.up('isolated-full').answerAll('isolated-full'), CHECKS.raster)).toBe(true);
    expect(allowed(bench, CHECKS.drive)).toBe(false);
  });

  it('changed live, or recorded while not proven dead, is not believed', () => {
    const live = new Bench().full().configure('horizontal', 'enabled');
    expect(live.state.forcedStop?.why).toBe('horizontal-changed-live');
    const unproven = new Bench().gate('plug-pulled').configure('horizontal', 'disabled');
    expect(unproven.state.horizontal).toBe('unknown');
  });
});

describe('dangerous readings', () => {
  it('anode above its limit and a red plate force a stop until power-off', () => {
    for (const [check, value] of [
      [CHECKS.full, number(450)],
      [CHECKS.full, option('red')],
      [CHECKS.anode, number(21_000)],
    ] as const) {
      const bench = new Bench().full().reading(check, value);
      expect(bench.state.forcedStop?.why).toBe('dangerous-reading');
      expect(allowed(bench, CHECKS.full)).toBe(false);
      expect(bench.state.nextGates('isolated-full')).toEqual([]);
      expect(permitsPower('isolated-full', bench.state, 117).allowed).toBe(false);
      expect(bench.off().state.forcedStop).toBeUndefined();
    }
  });

  it('B+ that does not fall after switch-off is not a forced stop but a set to discharge by hand', () => {
    const bench = new Bench().full().off().fail('electrolytics');
    expect(bench.state.forcedStop).toBeUndefined();
    expect(ids(bench, 'discharged')).toContain('electrolytics');
  });

  it('anode limits: 110 % of a design-center rating, 100 % of a design-maximum', () => {
    expect(anodeLimits(18_000, 'design-center')).toEqual({
      warnAboveVolts: 18_000,
      tripAboveVolts: 19_800,
    });
    expect(anodeLimits(18_000, 'design-maximum').tripAboveVolts).toBe(18_000);
    expect(anodeLimits(18_000, 'unknown').tripAboveVolts).toBe(18_000);
  });

  it('the picture tube in the set sets the limit: 18 kV design-center trips at 19.8 kV, design-maximum at 18 kV', () => {
    for (const [rating, volts, stops] of [
      ['design-center', 19_000, false],
      ['design-center', 19_810, true],
      ['design-maximum', 18_010, true],
    ] as const) {
      const tube = { numbers: { anode_kV_design_max: 18 }, texts: { rating_system: rating } };
      const facts = { ...ORDINARY, anode: safetyFacts(undefined, undefined, tube).anode };
      const check = makeCheck({ id: 'anode-hv-bright', state: 'S2', quantity: 'hv-volts', unit: 'kV' });
      const bench = new Bench(facts).full().reading(check, number(volts));
      const state = safetyOf(bench.log, facts, ALL_INSTRUMENTS, new Date(bench.now), checkSafety([check]));
      expect(state.forcedStop !== undefined, `${rating} ${volts}`).toBe(stops);
    }
  });

  it('a stop outlives a resume: the set is still on', () => {
    const bench = new Bench().full().reading(CHECKS.full, number(450)).add({ type: 'resumed' });
    expect(bench.state.forcedStop).toBeDefined();
    expect(bench.off().state.forcedStop).toBeUndefined();
  });

  it('the anode lead touched live forces a stop', () => {
    expect(new Bench().full().add({ type: 'touched', what: 'anode-lead' }).state.forcedStop?.why).toBe(
      'anode-touched-live',
    );
  });

  it('a set left alone live must have its chassis read again', () => {
    const bench = new Bench().full().add({ type: 'touched', what: 'left-bench' });
    expect(allowed(bench, CHECKS.full)).toBe(false);
    expect(allowed(bench.answerAll('isolated-full'), CHECKS.full)).toBe(true);
  });

  it('a check of the finished-set kind (on the wall outlet) has no place in the walk', () => {
    const finished = { ...CHECKS.full, state: 'S3' as 'S2' };
    for (const bench of [new Bench().cold(), new Bench().full()])
      expect(allowed(bench, finished)).toBe(false);
  });
});
