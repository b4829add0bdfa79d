// Ways by which a proof was once believed that no longer held, or a danger forgotten: each of them stays closed.
import { describe, expect, it } from 'vitest';
import type { SetFacts } from '../../src/rulebook/types.ts';
import {
  anodeLimits,
  bringUpOf,
  checkSafety,
  gatesFor,
  permits,
  type SafetyFacts,
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
import { Desk, reading } from './desk.ts';

const asked = (bench: Bench, target: 'isolated-limited' | 'isolated-full') =>
  bench.state.nextGates(target).map(({ id }) => id);
const cold = (desk: Desk): Desk => {
  desk.force({ type: 'powered-off', why: '' });
  return desk.to('discharged');
};

describe('a danger is not forgotten', () => {
  it('that a reading turns out to have been, after power is off', () => {
    const desk = new Desk().full();
    expect(desk.offer(reading('full', 245))).toBe('ok');
    const seq = desk.events.length;
    cold(desk);
    expect(desk.offer({ type: 'corrected', target: seq, raw: '450', value: number(450) })).toBe('ok');
    expect(desk.view.safety.unexplained?.say).toBe('Too high.');
    expect(desk.view.safety.nextGates('isolated-full').map(({ id }) => id)).toContain('cause-found');
  });

  it('when another one beside it was a slip', () => {
    const desk = new Desk().full();
    desk.force({ type: 'powered-off', why: '' });
    expect(desk.offer(reading('full', 4500))).toBe('ok');
    const seq = desk.events.length;
    expect(
      desk.offer({ ...reading('full'), type: 'reading', raw: 'red', value: option('red') } as never),
    ).toBe('ok');
    expect(desk.view.safety.unexplained?.say).toBe('Too high. Also: Red plate.');
    expect(desk.offer({ type: 'corrected', target: seq, raw: '245', value: number(245) })).toBe('ok');
    expect(desk.view.safety.unexplained?.say).toBe('Red plate.');
  });

  it('for which the key was pressed that is always at hand: it is asked why, before any power', () => {
    const bench = new Bench().limited().add({ type: 'powered-off', why: 'key', outOfTurn: true }).cold();
    expect(bench.state.askWhyOff).toBe(true);
    expect(asked(bench, 'isolated-limited')[0]).toBe('why-off');
    bench.gate('why-off', option('alarm'));
    expect(bench.state.unexplained?.say).toMatch(/smoked/);
    expect(asked(bench, 'isolated-limited')[0]).toBe('cause-found');
    const calm = new Bench().limited().add({ type: 'powered-off', why: 'key', outOfTurn: true }).cold();
    calm.gate('why-off', option('nothing-unusual'));
    expect(calm.state.askWhyOff).toBe(false);
    expect(calm.state.unexplained).toBeUndefined();
    expect(asked(new Bench().limited().off().cold(), 'isolated-limited')).not.toContain('why-off');
  });

  it('said to be found and put right, it is brought up on the lamp once more', () => {
    const bench = new Bench().full().reading(CHECKS.full, number(450)).off().cold();
    bench.gate('cause-found', option('put-right'));
    expect(asked(bench, 'isolated-full')).not.toContain('cause-found');
    expect(bench.state.mayGo('isolated-full').missing).toContain('Bring-up finished');
    const slip = new Bench().full().reading(CHECKS.full, number(450)).off().cold();
    slip.gate('cause-found', option('slip'));
    expect(slip.state.proven.has('bring-up-finished')).toBe(true);
  });

  it('the question whether its cause is found comes back when a "not found" is taken back', () => {
    const desk = new Desk().full();
    expect(desk.offer(reading('full', 450))).toBe('ok');
    cold(desk);
    const no = { type: 'gate', gate: 'cause-found', raw: '3', value: option('not-found') } as const;
    expect(desk.offer(no)).toBe('ok');
    expect(desk.on('isolated-limited', 40)).toMatch(/No power after what was read/);
    expect(desk.offer({ type: 'undone', target: desk.events.length })).toBe('ok');
    desk.to('isolated-limited');
    expect(desk.on('isolated-limited', 40)).toBe('ok');
  });
});

describe('the picture tube', () => {
  it('is not reached for on an anode reading of an hour ago, nor for cone, coating or the cap of the output tube', () => {
    const bench = new Bench(withFacts({ 'crt-construction': 'metal-cone' })).cold();
    for (let n = 0; n < 3; n++) bench.wait(28).gate('still-cold');
    expect(bench.state.supply).toBe('discharged');
    const way = asked(bench, 'isolated-limited');
    expect(way).toContain('anode-third');
    expect(way.indexOf('anode-third')).toBeLessThan(way.indexOf('cone-insulation'));
    bench.gate('cone-insulation').gate('horizontal-disabled');
    expect(bench.state.proven.has('cone-insulation')).toBe(false);
    expect(bench.state.horizontal).not.toBe('disabled');
    bench.gate('anode-third').gate('cone-insulation').gate('horizontal-disabled');
    expect(bench.state.proven.has('cone-insulation')).toBe(true);
    expect(bench.state.horizontal).toBe('disabled');
    for (const section of ['horizontal-output', 'damper-boost', 'gun-voltages']) {
      const check = makeCheck({ id: section, state: 'S0', section });
      const late = new Bench().cold().wait(12);
      expect(permits(check, late.state, {}, new Set()).allowed, section).toBe(false);
      expect(permits(check, late.gate('anode-third').state, {}, new Set()).allowed, section).toBe(true);
    }
  });

  it('turns out to be rated lower than what was read: no power before that is looked into', () => {
    const rated = (volts: number): SafetyFacts => ({
      ...ORDINARY,
      anode: anodeLimits(volts, 'design-maximum'),
    });
    const described = (pictureTube: string) =>
      ({ type: 'described', set: { pictureTube } as SetFacts }) as const;
    const rules = checkSafety(Object.values(CHECKS), (set) =>
      rated(set.pictureTube === 'small' ? 12_000 : 20_000),
    );
    const bench = new Bench().add(described('large')).full().reading(CHECKS.anode, number(18_000));
    bench.off().add(described('large'));
    const now = () => safetyOf(bench.log, rated(20_000), ALL_INSTRUMENTS, new Date(bench.now), rules);
    expect(now().unexplained).toBeUndefined();
    bench.add(described('small'));
    expect(now().unexplained?.say).toMatch(/above the rating of this picture tube/);
  });
});

describe('a live set', () => {
  it('of which nothing was said for an hour and a half has its chassis read again', () => {
    const bench = new Bench().full().wait(89);
    expect(bench.state.chassisProven).toBe(true);
    bench.wait(2);
    expect(bench.state.chassisProven).toBe(false);
    expect(permits(CHECKS.full, bench.state, {}, new Set()).allowed).toBe(false);
    expect(asked(bench, 'isolated-full')).toEqual(['chassis-ac', 'chassis-dc']);
  });
});

describe('the bring-up', () => {
  const rows = () =>
    (bringUpOf(ORDINARY, new Bench().limited().state.lampWatts)?.steps ?? []).filter((step) => step.lampIn);

  it('counts no time below its first row, and no more at a row than that is held', () => {
    const total = rows().reduce((sum, row) => sum + row.holdSeconds, 0);
    const low = new Bench()
      .cold()
      .answerAll('isolated-limited')
      .up('isolated-limited', 10)
      .answerAll('isolated-limited');
    expect(low.wait(60).state.bringUp?.seconds).toBe(total);
    const first = rows()[0];
    low.add({ type: 'line-volts', lineVolts: first?.setVolts ?? 0 }).wait(60);
    expect(low.state.bringUp?.seconds).toBe(0);
    low.add({ type: 'line-volts', lineVolts: rows().at(-1)?.setVolts ?? 0 });
    expect(low.state.bringUp?.seconds).toBe(total - (first?.holdSeconds ?? 0));
    low.gate('bring-up-finished');
    expect(low.state.proven.has('bring-up-finished')).toBe(false);
  });

  it('begins anew after a repair of the wiring, after corrected facts of the supply, and after a file of an older day', () => {
    const wired = new Bench().full().off().cold().add({ type: 'repaired', part: 'wiring.repair-supply' });
    expect(wired.state.proven.has('bring-up-finished')).toBe(false);
    expect(wired.state.proven.has('horizontal-disabled')).toBe(false);
    const older = new Bench().limited();
    older.add({ type: 'gate', gate: 'bring-up-finished', value: option('finished'), door: 1 });
    older.off().add({ type: 'resumed' }).limited();
    expect(older.state.bringUp?.seconds).toBeGreaterThan(60);
  });
});

describe('the bench', () => {
  it('without its transformer or lamp, and with them again, has another transformer and lamp', () => {
    const desk = new Desk().to('discharged').to('isolated-limited');
    expect(desk.offer({ type: 'bench-described', instruments: ['dmm'] })).toBe('ok');
    expect(desk.offer({ type: 'bench-described', instruments: [...ALL_INSTRUMENTS] })).toBe('ok');
    expect(desk.on('isolated-limited', 40)).toMatch(/Missing: .*[Ii]solation/);
    expect(desk.view.safety.proven.has('lamp-choice')).toBe(false);
  });
});

describe('drive', () => {
  it('of a tube that was changed since does not run the stage', () => {
    const desk = new Desk().full();
    desk.offer(reading('horizontal-output-grid-drive', -38));
    cold(desk);
    desk.standing.set('horizontal-output-grid-drive', 'allowed');
    expect(desk.offer({ type: 'configured', item: 'horizontal', value: 'enabled' })).toMatch(/drive/);
    desk.standing.delete('horizontal-output-grid-drive');
    desk.to('discharged');
    for (const gate of desk.view.safety.gates(['anode-third'])) desk.gate(gate.id);
    expect(desk.offer({ type: 'configured', item: 'horizontal', value: 'enabled' })).toBe('ok');
  });
});

describe('an answer in the record', () => {
  it('that proved nothing is known as such: a chassis at 8 V on a lowered line', () => {
    const bench = new Bench().cold().answerAll('isolated-limited').up('isolated-limited', 15);
    const gate = gatesFor(ORDINARY).find(({ id }) => id === 'chassis-ac');
    expect(gate?.limit).toMatchObject({ kind: 'below' });
    bench.gate('chassis-ac', number(8));
    expect(bench.state.forcedStop?.why).toBe('chassis-hot');
    expect(bench.state.unproven.has(bench.log.length)).toBe(true);
    expect(bench.state.unproven.has(1)).toBe(false);
  });
});
