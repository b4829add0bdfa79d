// Dangers of making a set dead, and of unusual sets: one named test each. Limits are common practice of the trade unless a source is named.
import { describe, expect, it } from 'vitest';
import { type GateId, gatesFor, judgeGate, permits } from '../../src/safety/index.ts';
import { Bench, CHECKS, makeCheck, number, ORDINARY, option, withFacts } from './bench-log.ts';

const allowed = (bench: Bench, check = CHECKS.cold, passed: ReadonlySet<string> = new Set()) =>
  permits(check, bench.state, bench.config, passed).allowed;
const gate = (id: GateId, facts = ORDINARY) => {
  const found = gatesFor(facts).find((each) => each.id === id);
  if (found === undefined) throw new Error(`no gate ${id}`);
  return found;
};
const ids = (bench: Bench, target: 'discharged' | 'isolated-limited' | 'isolated-full') =>
  bench.state.nextGates(target).map((each) => each.id);

describe('the way up', () => {
  it('walks from an unknown set to full line and back', () => {
    const bench = new Bench();
    expect(bench.state.supply).toBe('unknown');
    expect(allowed(bench, CHECKS.look)).toBe(false);
    bench.gate('plug-pulled');
    expect(bench.state.supply).toBe('unplugged');
    expect(allowed(bench, CHECKS.look)).toBe(true);
    expect(allowed(bench)).toBe(false);
    bench.cold();
    expect(bench.state.supply).toBe('discharged');
    expect(allowed(bench)).toBe(true);
    bench.limited();
    expect(bench.state.supply).toBe('isolated-limited');
    expect(allowed(bench, CHECKS.limited)).toBe(true);
    expect(allowed(bench, CHECKS.full)).toBe(false);
    expect(allowed(bench)).toBe(false);
    bench.answerAll('isolated-full').up('isolated-full').answerAll('isolated-full');
    expect(bench.state.supply).toBe('isolated-full');
    expect(allowed(bench, CHECKS.full)).toBe(true);
    expect(allowed(bench, CHECKS.limited)).toBe(true);
    bench.off();
    expect(bench.state.supply).toBe('unplugged');
    expect(allowed(bench)).toBe(false);
    bench.cold();
    expect(allowed(bench)).toBe(true);
  });

  it('accepts power-off from anywhere', () => {
    for (const bench of [new Bench(), new Bench().cold(), new Bench().limited(), new Bench().full()]) {
      expect(bench.off().state.supply).toBe('unplugged');
    }
  });
});

describe('dead and proven dead', () => {
  it('an ohms reading never proves isolation: the chassis is read live, AC and DC, at every power-up', () => {
    const bench = new Bench().limited();
    expect(
      ids(bench.off().cold().answerAll('isolated-limited').up('isolated-limited'), 'isolated-limited'),
    ).toEqual(['chassis-ac', 'chassis-dc']);
    expect(allowed(bench, CHECKS.limited)).toBe(false);
    expect(allowed(bench.gate('chassis-ac'), CHECKS.limited)).toBe(false);
    expect(allowed(bench.gate('chassis-dc'), CHECKS.limited)).toBe(true);
  });

  it('a full-wave doubler on the line shows mostly DC: 140 V DC with 3 V AC forces a stop', () => {
    const bench = new Bench().cold().answerAll('isolated-limited').up('isolated-limited');
    bench.gate('chassis-ac', number(3)).gate('chassis-dc', number(-140));
    expect(bench.state.forcedStop?.why).toBe('chassis-hot');
    expect(allowed(bench, CHECKS.limited)).toBe(false);
    bench.gate('chassis-dc', number(0.2));
    expect(bench.state.forcedStop).toBeDefined();
    bench.off();
    expect(bench.state.forcedStop).toBeUndefined();
    expect(ids(bench, 'isolated-limited')).toContain('isolation-poles');
  });

  it('phantom volts do not cry wolf: with 100 kohm across the meter the limits are 10 V AC and 5 V DC', () => {
    expect(judgeGate(gate('chassis-ac'), number(9.9)).pass).toBe(true);
    expect(judgeGate(gate('chassis-ac'), number(10)).pass).toBe(false);
    expect(judgeGate(gate('chassis-dc'), number(-4.9)).pass).toBe(true);
    expect(judgeGate(gate('chassis-dc'), number(5)).pass).toBe(false);
    expect(gate('chassis-ac').ask).toMatch(/100 kohm/);
  });

  it('discharge is read across each electrolytic, not across the stack', () => {
    const electrolytics = gate('electrolytics');
    expect(`${electrolytics.ask} ${electrolytics.how.join(' ')}`).toMatch(/own two terminals/);
    expect(judgeGate(electrolytics, number(1.9)).pass).toBe(true);
    for (const bad of [
      number(2),
      number(-114),
      { kind: 'over-range' } as const,
      { kind: 'short' } as const,
    ]) {
      expect(judgeGate(electrolytics, bad).pass).toBe(false);
    }
    expect(judgeGate(electrolytics, { kind: 'bound', side: 'below', value: 0.5, unit: 'V' }).pass).toBe(true);
    expect(judgeGate(electrolytics, { kind: 'bound', side: 'below', value: 5, unit: 'V' }).pass).toBe(false);
    expect(judgeGate(electrolytics, { kind: 'range', low: 0, high: 3, unit: 'V' }).pass).toBe(false);
    expect(judgeGate(electrolytics, number(1, 'ohm')).pass).toBe(false);
    expect(judgeGate(electrolytics, number(Number.NaN)).pass).toBe(false);
  });

  it('boost capacitor under 10 V and anode under 50 V belong to it', () => {
    expect(judgeGate(gate('boost-capacitor'), number(10)).pass).toBe(false);
    expect(judgeGate(gate('anode-first'), number(50)).pass).toBe(false);
    for (const id of ['electrolytics', 'boost-capacitor', 'anode-first', 'anode-second'] as const) {
      const bench = new Bench().cold().fail(id);
      expect(allowed(bench)).toBe(false);
    }
  });

  it('live, dead, live: without the meter proven before and after, nothing is dead', () => {
    const bench = new Bench().gate('plug-pulled').gate('eye-protection');
    for (const id of ['anode-first', 'electrolytics', 'boost-capacitor'] as const) bench.gate(id);
    bench.wait(6).gate('anode-second').gate('meter-before').gate('meter-after');
    expect(allowed(bench)).toBe(false);
    expect(ids(bench, 'discharged')).toContain('electrolytics');
    const early = new Bench()
      .gate('plug-pulled')
      .gate('eye-protection')
      .gate('meter-before')
      .gate('meter-after');
    early.gate('anode-first').gate('electrolytics').gate('boost-capacitor').wait(6).gate('anode-second');
    expect(allowed(early)).toBe(false);
    expect(ids(early, 'discharged')).toEqual(['meter-after']);
    const failing = new Bench().cold().fail('meter-after');
    expect(allowed(failing)).toBe(false);
    expect(ids(failing, 'discharged')).toContain('meter-before');
  });

  it('evidence expires: power-up, resume, 30 minutes, leaving, injection, anode lead, plug', () => {
    const lapses: readonly (readonly [string, (bench: Bench) => Bench])[] = [
      ['power-up', (b) => b.answerAll('isolated-limited').up('isolated-limited').off()],
      ['resume', (b) => b.add({ type: 'resumed' })],
      ['30 minutes', (b) => b.wait(31)],
      ['left the bench', (b) => b.add({ type: 'touched', what: 'left-bench' })],
      ['injected', (b) => b.add({ type: 'touched', what: 'injected' })],
      ['an injecting check', (b) => b.reading(CHECKS.leakage)],
      ['anode lead', (b) => b.add({ type: 'touched', what: 'anode-lead' })],
      ['plug', (b) => b.add({ type: 'touched', what: 'plug' })],
      ['clock stepped back', (b) => b.wait(-90)],
    ];
    for (const [name, lapse] of lapses) {
      const bench = new Bench().cold();
      expect(allowed(bench), name).toBe(true);
      expect(allowed(lapse(bench)), name).toBe(false);
    }
  });

  it('no single proof outlives power, resume, absence or the plug', () => {
    const ends: readonly (readonly [string, (bench: Bench) => Bench])[] = [
      ['power', (b) => b.answerAll('isolated-limited').up('isolated-limited').off()],
      ['resume', (b) => b.add({ type: 'resumed' })],
      ['absence', (b) => b.add({ type: 'touched', what: 'left-bench' })],
      ['plug', (b) => b.add({ type: 'touched', what: 'plug' })],
    ];
    const asked = ids(new Bench(), 'discharged');
    expect(asked).toHaveLength(8);
    for (const [name, end] of ends) {
      for (const left of asked) {
        const bench = end(new Bench().cold());
        for (const id of asked) {
          if (id === 'anode-second') bench.wait(6);
          if (id !== left) bench.gate(id);
        }
        expect(allowed(bench), `${left} after ${name}`).toBe(false);
        expect(ids(bench, 'discharged'), `${left} after ${name}`).toContain(left);
      }
    }
  });

  it('29 minutes are fresh, 31 are not, and one reading renews it when nothing else happened', () => {
    const bench = new Bench().cold();
    const expires = Date.parse(bench.state.expiresAt ?? '');
    bench.now = expires;
    expect(allowed(bench)).toBe(true);
    bench.now = expires + 1;
    expect(allowed(bench)).toBe(false);
    expect(ids(bench, 'discharged')).toEqual(['still-cold']);
    expect(allowed(bench.gate('still-cold'))).toBe(true);
    bench.wait(31).fail('still-cold');
    expect(ids(bench, 'discharged').length).toBeGreaterThan(3);
  });

  it('the short re-proof is not offered after two hours, nor after anything happened', () => {
    expect(ids(new Bench().cold().wait(150), 'discharged')).toContain('electrolytics');
    const bench = new Bench().cold().wait(31).add({ type: 'touched', what: 'injected' });
    bench.gate('still-cold');
    expect(allowed(bench)).toBe(false);
  });

  it('after charge was put in, capacitors AND anode are read again, and the meter proven after', () => {
    const bench = new Bench().cold().reading(CHECKS.leakage);
    expect(ids(bench, 'discharged')).toEqual([
      'electrolytics',
      'boost-capacitor',
      'anode-third',
      'meter-after',
    ]);
    bench.gate('electrolytics').gate('boost-capacitor').gate('meter-after');
    expect(allowed(bench)).toBe(false);
    expect(allowed(bench.gate('anode-third').gate('meter-after'))).toBe(true);
  });

  it('reading one thing again does not make the other proofs younger', () => {
    const bench = new Bench().cold().wait(20).gate('electrolytics').wait(15);
    expect(allowed(bench)).toBe(false);
  });

  it('the plug in sight is what counts, and every cord', () => {
    const plug = gate('plug-pulled');
    expect(`${plug.ask} ${plug.how.join(' ')}`).toMatch(/Count the cords/);
    expect(allowed(new Bench().cold().fail('plug-pulled'))).toBe(false);
    expect(allowed(new Bench().cold().fail('plug-pulled'), CHECKS.look)).toBe(false);
    expect(ids(new Bench().full().off(), 'discharged')).toContain('plug-pulled');
  });

  it('the anode is discharged to the strap, read, and again five minutes later', () => {
    expect(gate('anode-first').ask).toMatch(/strap of the outer coating/);
    const bench = new Bench()
      .gate('plug-pulled')
      .gate('eye-protection')
      .gate('meter-before')
      .gate('anode-first');
    expect(bench.state.anodeWaitSeconds).toBe(300);
    bench.gate('electrolytics').gate('boost-capacitor').wait(4).gate('anode-second').gate('meter-after');
    expect(allowed(bench)).toBe(false);
    bench.wait(1).gate('anode-second').gate('meter-after');
    expect(allowed(bench)).toBe(true);
  });

  it('and once more before lead, neck or yoke is touched', () => {
    const bench = new Bench().cold();
    expect(allowed(bench, CHECKS.neck)).toBe(true);
    bench.wait(12);
    expect(allowed(bench)).toBe(true);
    expect(allowed(bench, CHECKS.neck)).toBe(false);
    const permit = permits(CHECKS.neck, bench.state, {}, new Set());
    expect(permit.allowed ? [] : permit.gates.map((each) => each.id)).toEqual(['anode-third']);
    expect(allowed(bench.gate('anode-third'), CHECKS.neck)).toBe(true);
    bench.wait(31).gate('still-cold');
    expect(allowed(bench, CHECKS.cold)).toBe(true);
    expect(allowed(bench, CHECKS.neck), 'renewed by a reading of the electrolytics').toBe(false);
    expect(allowed(bench.gate('anode-third'), CHECKS.neck)).toBe(true);
    expect(allowed(bench.wait(15).fail('anode-third'), CHECKS.cold)).toBe(false);
  });
});

describe('kinds of sets', () => {
  it('line-frequency high voltage: 1 kohm, a link left on, asked back before power, and nothing live inside', () => {
    const facts = withFacts({ hv: 'line' });
    const link = gate('eht-link', facts);
    expect(`${link.ask} ${link.how.join(' ')}`).toMatch(/1 kohm.*30 s/s);
    const bench = new Bench(facts).cold();
    expect(bench.state.links).toHaveLength(1);
    expect(bench.state.mayGo('isolated-limited').missing.join()).toMatch(/link across the line-frequency HV/);
    const live = new Bench(facts).full();
    const inside = { ...CHECKS.anode, config: {} };
    const permit = permits(inside, live.state, live.config, new Set());
    expect(permit.allowed ? '' : permit.missing.join()).toMatch(/line-frequency/);
    expect(allowed(live, CHECKS.full)).toBe(true);
  });

  it('how the high voltage is made must be known before S0; "not sure" is not enough', () => {
    const bench = new Bench(withFacts({ hv: 'unknown' }))
      .gate('plug-pulled')
      .gate('eye-protection')
      .gate('eht-kind', option('unsure'));
    expect(ids(bench, 'discharged')).toContain('eht-kind');
    expect(allowed(new Bench(withFacts({ hv: 'unknown' })).cold())).toBe(true);
  });

  it('projection and electrostatic sets: no live high-voltage check', () => {
    for (const kind of ['projection', 'electrostatic']) {
      const bench = new Bench(withFacts({ 'set-kind': kind })).full();
      expect(allowed(bench, { ...CHECKS.anode, config: {} }), kind).toBe(false);
      expect(allowed(bench, CHECKS.full), kind).toBe(true);
    }
    expect(allowed(new Bench().full(), { ...CHECKS.anode, config: {} })).toBe(true);
  });

  it('metal cone: the lip, the separate HV capacitor, the sleeve before power', () => {
    const facts = withFacts({ 'crt-construction': 'metal-cone' });
    expect(gate('anode-first', facts).ask).toMatch(/lip of the metal cone/);
    expect(gate('anode-first', facts).cautions.join()).toMatch(/10 cm/);
    const bench = new Bench(facts);
    expect(ids(bench, 'discharged')).toContain('hv-capacitor');
    expect(ids(bench.cold(), 'isolated-limited')).toContain('cone-insulation');
    expect(ids(bench, 'isolated-limited')).not.toContain('coating-ground');
    expect(allowed(new Bench(facts).cold().fail('hv-capacitor'))).toBe(false);
  });

  it('an unknown picture tube is taken for the worse kind', () => {
    const bench = new Bench(withFacts({ 'crt-construction': 'unknown' }));
    expect(ids(bench, 'discharged')).toContain('hv-capacitor');
    expect(ids(bench.cold(), 'isolated-limited')).toContain('coating-ground');
  });

  it('focus electrode: no ordinary meter before the focus kind is known to be low-voltage', () => {
    const focus = makeCheck({ id: 'focus-voltage', state: 'S2' });
    for (const [kind, may] of [
      ['high-v', false],
      ['unknown', false],
      ['low-v', true],
    ] as const) {
      expect(allowed(new Bench(withFacts({ focus: kind })).full(), focus), kind).toBe(may);
    }
  });
});
