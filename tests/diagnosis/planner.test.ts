// The planner on a small set: cheap telling checks first, protective ones before all, confirmation, proofs, and when to stop.
import { describe, expect, it } from 'vitest';
import {
  type Candidate,
  type Complaint,
  compileNetwork,
  evidenceOf,
  infer,
  isImpossible,
  type JudgedReading,
  type Plan,
  planNext,
} from '../../src/diagnosis/index.ts';
import { candidates, facts, findCheck, read, TINY } from './tiny-rules.ts';

const network = compileNetwork(TINY, facts());

function plan(
  readings: readonly JudgedReading[],
  open?: readonly Candidate[],
  complaints: readonly Complaint[] = [],
  mayBeCured: readonly string[] = [],
): Plan {
  const evidence = readings.flatMap(evidenceOf);
  const belief = infer(network, evidence);
  if (isImpossible(belief)) throw new Error(belief.impossible);
  return planNext(network, belief, evidence, open ?? candidates(readings.map((r) => r.check.id)), {
    complaints,
    mayBeCured,
  });
}
const first = (p: Plan): string | undefined => p.ranked[0]?.check.id;

const HEALTHY: readonly JudgedReading[] = [
  read(1, 'light-look', 'bright'),
  read(2, 'supply-volts', 258),
  read(3, 'drive-volts', 101),
  read(4, 'bias-volts', -35),
  read(5, 'current-amps', 0.1),
  read(6, 'anode-kv', 16000),
  read(7, 'gun-test', 92),
  read(8, 'ring', 14),
];

describe('planner', () => {
  it('starts with the core parts and the screen, and does not spend ten minutes where two do', () => {
    const p = plan([]);
    expect(p.stop).toBeUndefined();
    const order = p.ranked.map((r) => r.check.id);
    expect(order).toHaveLength(TINY.checks.length);
    expect(order.slice(0, 2).sort()).toEqual(['gun-test', 'light-look']);
    expect(order.indexOf('coupling-leak')).toBeLessThan(order.indexOf('coupling-out'));
  });

  it('prefers the same information for fewer minutes, and counts the change of state', () => {
    const base = candidates(['light-look']);
    const order = (extra: number): string[] =>
      plan(
        [],
        base.map((c) => (c.check.id === 'supply-volts' ? { ...c, changeMinutes: extra } : c)),
      ).ranked.map((r) => r.check.id);
    const quick = order(0).indexOf('supply-volts');
    const slow = order(30).indexOf('supply-volts');
    expect(slow).toBeGreaterThan(quick);
  });

  it('follows the trail: no drive behind a good supply asks about the oscillator', () => {
    const p = plan([read(1, 'light-look', 'dark'), read(2, 'supply-volts', 258), read(3, 'drive-volts', 0)]);
    expect(p.ranked.slice(0, 3).map((r) => r.check.id)).toContain('oscillator-swap');
    const rest = p.ranked.map((r) => r.check.id);
    expect(rest.indexOf('oscillator-swap')).toBeLessThan(rest.indexOf('coupling-out'));
  });

  it('puts protective checks first in walk order and risky ones last', () => {
    const open = candidates().map((c) => {
      if (c.check.id === 'ring' || c.check.id === 'bias-volts') return { ...c, protective: true };
      if (c.check.id === 'light-look') return { ...c, check: { ...c.check, risky: true } };
      return c;
    });
    const order = plan([], open).ranked.map((r) => r.check.id);
    expect(order.slice(0, 2)).toEqual(['bias-volts', 'ring']);
    expect(order.at(-1)).toBe('light-look');
    expect(plan([], open).ranked[0]?.why).toMatch(/protects/);
  });

  it('keeps walk order between near ties in one supply state', () => {
    const twin = findCheck(TINY, 'supply-volts');
    const open: Candidate[] = [3, 1, 2].map((order) => ({
      check: { ...twin, id: `twin-${order}`, minutes: 2 + order / 1000 },
      expected: { value: 260, spread: 0.05, unit: 'V', reasons: [] },
      changeMinutes: 0,
      order: 10 - order,
      protective: false,
    }));
    expect(plan([], open).ranked.map((r) => r.check.id)).toEqual(['twin-3', 'twin-2', 'twin-1']);
  });

  it('values a second check by the same method on the same thing less than the first', () => {
    const again = { ...findCheck(TINY, 'supply-volts'), id: 'supply-again' };
    const open: Candidate[] = [
      {
        check: again,
        expected: { value: 260, spread: 0.05, unit: 'V', reasons: [] },
        changeMinutes: 0,
        order: 1,
        protective: false,
      },
    ];
    const fresh = plan([], open).ranked[0]?.gainBits ?? 0;
    const unclear = plan([read(1, 'supply-volts', 206)], open).ranked[0]?.gainBits ?? 0;
    expect(unclear).toBeLessThan(fresh);
  });

  it('does not stop at one reading: a suspect is confirmed by a second, independent one', () => {
    const p = plan(
      [
        ...HEALTHY.filter((r) => !['bias-volts', 'current-amps'].includes(r.check.id)),
        read(9, 'coupling-leak', 1e5),
      ],
      candidates([...HEALTHY.map((r) => r.check.id), 'coupling-leak', 'oscillator-swap']).concat(
        candidates().filter((c) => c.check.id === 'bias-volts'),
      ),
    );
    expect(p.stop).toBeUndefined();
    expect(['bias-volts', 'coupling-out']).toContain(first(p));
  });

  it('stops on an isolated fault, and says that a second one may hide behind it', () => {
    const readings = [
      ...HEALTHY.filter((r) => !['bias-volts', 'current-amps'].includes(r.check.id)),
      read(9, 'bias-volts', -14),
      read(10, 'current-amps', 0.16),
      read(11, 'coupling-leak', 1e5),
      read(12, 'coupling-out', 2e5),
      read(13, 'oscillator-swap', 90),
    ];
    const p = plan(readings);
    expect(p.stop?.reason).toBe('isolated');
    expect(p.stop?.say).toMatch(/coupling capacitor/);
    expect(p.stop?.say).toMatch(/second fault behind this one/);
    expect(p.ranked).toEqual([]);
  });

  it('does not wait to see a screen that a found suspect keeps dark', () => {
    const seen = [read(1, 'supply-volts', 258), read(2, 'ring', 14), read(3, 'gun-test', 92)];
    const dead = [...seen, read(4, 'drive-volts', 0.5), read(5, 'oscillator-swap', 4)];
    expect(plan(dead).stop?.say).toMatch(/point to the oscillator tube/);
    // With drive there, the screen has to be looked at.
    const alive = [...seen, read(4, 'drive-volts', 101), read(5, 'oscillator-swap', 90)];
    expect(plan(alive).stop).toBeUndefined();
    expect(plan(alive).ranked.map((r) => r.check.id)).toContain('light-look');
    // One reading alone finds nobody, so nothing is taken as dark for its sake.
    const once = plan([...seen, read(4, 'oscillator-swap', 4)]);
    expect(once.stop).toBeUndefined();
  });

  it('says nothing was found on a healthy set, but not before the core has its proof', () => {
    const done = plan(HEALTHY);
    expect(done.stop?.reason).toBe('nothing-found');
    const unproven = HEALTHY.filter((r) => r.check.id !== 'ring');
    const p = plan(unproven);
    expect(p.stop).toBeUndefined();
    expect(first(p)).toBe('ring');
  });

  it('looks for the cause of a wrong outcome while anything tells about it', () => {
    // Dim, and every volt as it should be: the gun has not been tested yet.
    const readings = [
      ...HEALTHY.filter((r) => r.check.id !== 'gun-test' && r.check.id !== 'light-look'),
      read(9, 'light-look', 'dim'),
    ];
    const p = plan(readings);
    expect(p.stop).toBeUndefined();
    expect(first(p)).toBe('gun-test');
  });

  it('never passes over a complaint: what feeds it is asked about, and the end does not say that nothing is wrong', () => {
    const dim = [{ title: 'Dim at times', signals: ['emission'] }];
    const untested = HEALTHY.filter((r) => r.check.id !== 'current-amps');
    const left = candidates(untested.map((r) => r.check.id));
    expect(plan(untested, [], []).stop?.reason).toBe('nothing-found');
    const p = plan(untested, left, dim);
    const end = plan(untested, [], dim);
    expect(end.stop?.reason).toBe('exhausted');
    expect(end.stop?.say).toMatch(/accounts for: dim at times/);
    // Own looks that find its signals in order withdraw a complaint; they cannot speak for a signal that is not looked at.
    const seen = [{ title: 'Dim', signals: ['light'] }];
    expect(plan(untested, [], seen).stop?.reason).toBe('nothing-found');
    expect(p.stop?.reason).not.toBe('nothing-found');
  });

  it('does not end before what a repair may have cured of a complaint has been read again', () => {
    const untested = HEALTHY.filter((r) => r.check.id !== 'drive-volts');
    const left = candidates(untested.map((r) => r.check.id)).filter((c) => c.check.id === 'drive-volts');
    expect(plan(untested, left).stop?.reason).toBe('nothing-found');
    const p = plan(untested, left, [], ['drive']);
    expect(p.stop).toBeUndefined();
    expect(first(p)).toBe('drive-volts');
    // Where nothing can read it, the walk does not wait for it.
    expect(plan(untested, [], [], ['drive']).stop?.reason).toBe('nothing-found');
  });

  it('works a cold session without sight of the screen, and does not ask what is known beforehand as a proof', () => {
    const cold = candidates().filter((c) => c.check.state !== 'S2' || c.check.id.startsWith('coupling'));
    expect(plan([], cold).stop).toBeUndefined();
    const dead = plan(
      [
        read(1, 'light-look', 'dark'),
        read(2, 'supply-volts', 258),
        read(3, 'drive-volts', 0),
        read(4, 'oscillator-swap', 3),
        read(5, 'gun-test', 92),
        read(6, 'ring', 14),
      ],
      candidates().filter((c) => c.check.id === 'anode-kv'),
    );
    expect(dead.stop?.reason).toBe('isolated');
    expect(dead.stop?.say).toMatch(/oscillator tube/);
  });

  it('ends the asking when a core part is as good as certainly bad, on two readings', () => {
    const one = plan([read(1, 'gun-test', 4)]);
    expect(one.stop).toBeUndefined();
    const emission = TINY.checks.filter((c) => c.id === 'gun-test');
    const two = plan(
      [
        read(1, 'gun-test', 4),
        read(2, 'light-look', 'dark'),
        read(3, 'supply-volts', 258),
        read(4, 'drive-volts', 101),
        read(5, 'anode-kv', 16000),
      ],
      candidates().filter((c) => !emission.includes(c.check) && c.check.id === 'coupling-out'),
    );
    expect(two.stop?.reason).toBe('core-failed');
    expect(two.stop?.say).toMatch(/picture tube/);
  });

  it('stops as exhausted when nothing is left to read', () => {
    expect(plan([], []).stop?.reason).toBe('exhausted');
  });

  it('speaks in trade words', () => {
    for (const r of plan([]).ranked) {
      expect(r.why).toMatch(/^[A-Z].*\.$/);
      expect(r.why).not.toMatch(/undefined|entropy|posterior|bits?\b|probab/i);
    }
  });
});
