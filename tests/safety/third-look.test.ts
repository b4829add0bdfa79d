// More ways by which a danger was once forgotten, or a proof believed that no longer held: each of them stays closed.
import { describe, expect, it } from 'vitest';
import { bringUpOf, checkSafety, permits, tripped } from '../../src/safety/index.ts';
import { Bench, CHECKS, makeCheck, number, ORDINARY, option, withFacts } from './bench-log.ts';
import { Desk, reading } from './desk.ts';

const asked = (bench: Bench, target: 'isolated-limited' | 'isolated-full') =>
  bench.state.nextGates(target).map(({ id }) => id);

describe('a danger is not forgotten', () => {
  it('when the correction that made it harmless is taken back', () => {
    const desk = new Desk().full();
    expect(desk.offer(reading('full', 450))).toBe('ok');
    const seq = desk.events.length;
    desk.force({ type: 'powered-off', why: '' });
    desk.to('discharged');
    expect(desk.offer({ type: 'corrected', target: seq, raw: '45', value: number(45) })).toBe('ok');
    expect(desk.view.safety.dangers).toEqual([]);
    expect(desk.offer({ type: 'undone', target: desk.events.length })).toBe('ok');
    expect(desk.view.state.readings.find((r) => r.seq === seq)?.value).toEqual(number(450));
    expect(desk.view.safety.unexplained?.say).toBe('Too high.');
    expect(desk.view.safety.nextGates('isolated-full')[0]?.id).toBe('cause-found');
  });

  it('when a live set was left alone: it is asked how that ended', () => {
    const bench = new Bench().full().wait(30).add({ type: 'resumed' }).cold();
    expect(asked(bench, 'isolated-limited')[0]).toBe('why-off');
    bench.gate('why-off', option('alarm'));
    expect(asked(bench, 'isolated-limited')[0]).toBe('cause-found');
    expect(asked(new Bench().full().off().add({ type: 'resumed' }).cold(), 'isolated-limited')).not.toContain(
      'why-off',
    );
  });

  it('behind leads the wrong way round', () => {
    const anode = makeCheck({ id: 'a', state: 'S2', stop: [{ above: 21_000, say: 'Too high.' }] });
    expect(tripped(anode, number(-25_000))).toBe('Too high.');
    expect(tripped(anode, { kind: 'pair', values: [-25_000, -280], unit: 'V' })).toBe('Too high.');
    expect(tripped(anode, number(-18_000))).toBeUndefined();
    expect(tripped(anode, { kind: 'bound', side: 'below', value: 20_000, unit: 'V' })).toBeUndefined();
  });

  it('while the set is made dead: a live reading still in the head is typed until hands may go in', () => {
    const bench = new Bench().full().off().gate('plug-pulled').gate('eye-protection');
    bench.reading(CHECKS.full, number(450));
    expect(bench.state.unexplained?.say).toBe('Too high.');
    const back = new Bench().full().off();
    back.now -= 5 * 3600_000;
    expect(back.state.held).toBeUndefined();
  });
});

describe('a proof does not outlive what it rested on', () => {
  it('the lamp that was bridged for full line is asked back before it is counted on', () => {
    const bench = new Bench().full().off().cold();
    expect(asked(bench, 'isolated-limited')).toContain('lamp-choice');
    expect(asked(bench, 'isolated-full')).not.toContain('lamp-choice');
    expect(asked(new Bench().limited().off().cold(), 'isolated-limited')).not.toContain('lamp-choice');
  });

  it('a chassis that was judged by a line voltage which was a slip', () => {
    const desk = new Desk().to('discharged').to('isolated-limited');
    expect(
      desk.offer(
        { type: 'line-volts', lineVolts: 117 },
        { type: 'powered-up', to: 'isolated-limited', lineVolts: 117 },
      ),
    ).toBe('ok');
    const chassis = (gate: string, volts: number) =>
      ({ type: 'gate', gate, raw: `${volts}`, value: number(volts) }) as const;
    expect(desk.offer(chassis('chassis-ac', 8))).toBe('ok');
    expect(desk.offer(chassis('chassis-dc', 0.2))).toBe('ok');
    expect(desk.view.safety.chassisProven).toBe(true);
    expect(desk.offer({ type: 'line-volts', lineVolts: 20 })).toBe('ok');
    expect(desk.view.safety.chassisProven).toBe(false);
    expect(desk.view.safety.nextGates('isolated-limited').map(({ id }) => id)).toEqual(['chassis-ac']);
  });

  it('the hold at a line voltage that is taken back', () => {
    const desk = new Desk().to('discharged').to('isolated-limited');
    expect(desk.on('isolated-limited', 10)).toBe('ok');
    desk.to('isolated-limited');
    const before = desk.view.safety.bringUp;
    expect(bringUpOf(ORDINARY, desk.view.safety.lampWatts)?.steps.length).toBeGreaterThan(1);
    expect(desk.offer({ type: 'line-volts', lineVolts: 110 })).toBe('ok');
    desk.wait(40);
    expect(desk.view.safety.bringUp?.seconds).toBe(0);
    expect(desk.offer({ type: 'undone', target: desk.events.length })).toBe('ok');
    expect(desk.view.safety.bringUp).toEqual(before);
  });

  it('the disabled stage, once its tube or its cap was in hand', () => {
    const tube = makeCheck({ id: 't', state: 'S0', section: 'horizontal-output', access: 'tube-out' });
    const grip = makeCheck({ id: 'g', state: 'S0', section: 'wiring', refits: true });
    const ohms = makeCheck({ id: 'o', state: 'S0', section: 'horizontal-output', access: 'chassis-out' });
    const rules = checkSafety([tube, grip, ohms]);
    expect([tube, grip, ohms].map(({ id }) => rules.refits(id))).toEqual([true, true, false]);
    for (const check of [tube, grip]) {
      const desk = new Desk([...Object.values(CHECKS), check]).to('discharged').to('isolated-limited');
      expect(desk.view.safety.proven.has('horizontal-disabled')).toBe(true);
      expect(desk.offer(reading(check.id))).toBe('ok');
      expect(desk.view.safety.nextGates('isolated-limited').map(({ id }) => id)).toContain(
        'horizontal-disabled',
      );
    }
  });
});

describe('a line-frequency high voltage', () => {
  it('is discharged and linked before the anode is read', () => {
    const ids = new Bench(withFacts({ hv: 'line' })).state.nextGates('discharged').map(({ id }) => id);
    expect(ids.indexOf('eht-link')).toBeGreaterThan(ids.indexOf('meter-before'));
    expect(ids.indexOf('eht-link')).toBeLessThan(ids.indexOf('anode-first'));
  });

  it('lets no hand near once its link is off, until it is on again', () => {
    const bench = new Bench(withFacts({ hv: 'line' })).cold();
    const check = makeCheck({ id: 'hv', state: 'S0', section: 'high-voltage', access: 'back-off' });
    expect(permits(check, bench.state, {}, new Set()).allowed).toBe(true);
    for (const what of bench.state.links) bench.add({ type: 'link-removed', what });
    const permit = permits(check, bench.state, {}, new Set());
    expect(permit).toMatchObject({ allowed: false, gates: [{ id: 'eht-link' }] });
    bench.gate('eht-link');
    expect(permits(check, bench.state, {}, new Set()).allowed).toBe(true);
  });
});

describe('a meter inside a running set', () => {
  it.each(['electrostatic', 'projection'])(
    'is refused at the picture tube of a %s set, a look is not',
    (kind) => {
      const bench = new Bench(withFacts({ 'set-kind': kind, hv: 'flyback' })).full();
      const inside = makeCheck({ id: 'g2', state: 'S2', section: 'gun-voltages', access: 'chassis-out' });
      const look = makeCheck({ id: 'light', state: 'S2', section: 'picture-tube', access: 'outside' });
      expect(permits(inside, bench.state, {}, new Set())).toMatchObject({
        allowed: false,
        missing: [bench.state.hvRefusal],
      });
      expect(permits(look, bench.state, {}, new Set()).allowed).toBe(true);
    },
  );
});
