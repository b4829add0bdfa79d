// Belief on a small set: tell-tale combinations, order of evidence, double counting, facts, and rules that must be refused.
import { describe, expect, it } from 'vitest';
import {
  type Belief,
  compileNetwork,
  type Evidence,
  evidenceOf,
  infer,
  isImpossible,
  type JudgedReading,
  NetworkError,
  rankSuspects,
} from '../../src/diagnosis/index.ts';
import { factsOf, holds } from '../../src/rulebook/facts.ts';
import { facts, part, read, rulebook, signal, TINY } from './tiny-rules.ts';

const network = compileNetwork(TINY, facts());

function believe(
  readings: readonly JudgedReading[],
  net = network,
): { belief: Belief; evidence: Evidence[] } {
  const evidence = readings.flatMap(evidenceOf);
  const belief = infer(net, evidence);
  if (isImpossible(belief)) throw new Error(belief.impossible);
  return { belief, evidence };
}
const bad = (belief: Belief, id: string): number => 1 - (belief.parts.get(id)?.ok ?? Number.NaN);
const ranked = (readings: readonly JudgedReading[]): string[] => {
  const { belief, evidence } = believe(readings);
  return rankSuspects(network, belief, evidence).map((s) => s.part);
};

describe('belief', () => {
  it('starts from the priors', () => {
    const { belief } = believe([]);
    expect(bad(belief, 'rectifier')).toBeCloseTo(0.13, 10);
    expect(bad(belief, 'knob')).toBeCloseTo(0.1, 10);
    expect(belief.assemblies.get('flyback')).toBeCloseTo(1 - 0.96 * 0.97, 10);
    expect(belief.logEvidence).toBeCloseTo(0, 10);
    for (const levels of belief.signals.values())
      expect(Object.values(levels).reduce((a, b) => a + b, 0)).toBeCloseTo(1, 12);
  });

  it('finds a leaky coupling capacitor from a weak bias and a high current behind a good drive', () => {
    const readings = [
      read(1, 'supply-volts', 250),
      read(2, 'drive-volts', 98),
      read(3, 'bias-volts', -15),
      read(4, 'current-amps', 0.16),
    ];
    expect(ranked(readings)[0]).toBe('coupling');
    const { belief } = believe(readings);
    expect(belief.parts.get('coupling')?.leaky).toBeGreaterThan(0.7);
    expect(bad(belief, 'oscillator')).toBeLessThan(0.05);
  });

  it('finds two faults at once, one up and one down the line', () => {
    const readings = [
      read(1, 'supply-volts', 150),
      read(2, 'drive-volts', 70),
      read(3, 'light-look', 'dim'),
      read(4, 'gun-test', 30),
      read(5, 'ring', 12),
    ];
    const names = ranked(readings);
    expect(names.slice(0, 3)).toContain('tube.gun');
    expect(names.slice(0, 3)).toContain('reservoir');
    expect(bad(believe(readings).belief, 'flyback.turns')).toBeLessThan(0.02);
  });

  it('explains away: a proven dead oscillator takes the blame from the flyback', () => {
    const dark = [read(1, 'light-look', 'dark'), read(2, 'supply-volts', 255)];
    const before = believe(dark).belief;
    const after = believe([...dark, read(3, 'drive-volts', 1), read(4, 'oscillator-swap', 5)]).belief;
    expect(bad(after, 'oscillator')).toBeGreaterThan(0.9);
    expect(bad(after, 'flyback.insulation')).toBeLessThan(bad(before, 'flyback.insulation'));
  });

  it('does not rank what no reading raised, and names a cause outside the rules where nothing else fits', () => {
    expect(ranked([])).toEqual([]);
    const odd = [
      read(1, 'supply-volts', 255),
      read(2, 'light-look', 'dark'),
      read(3, 'gun-test', 90),
      read(4, 'drive-volts', 101),
      read(5, 'current-amps', 0.1),
      read(6, 'anode-kv', 16200),
    ];
    const { belief, evidence } = believe(odd);
    const leak = rankSuspects(network, belief, evidence).find((s) => s.part === 'unmodelled');
    expect(leak?.id).toBe('unmodelled/light');
    expect(leak?.partProbability).toBeGreaterThan(0.15);
  });

  it('gives the same belief whatever order readings come in', () => {
    const readings = [
      read(1, 'supply-volts', 150),
      read(2, 'bias-volts', -12),
      read(3, 'gun-test', 40),
      read(4, 'light-look', 'dim'),
      read(5, 'coupling-leak', 2e6),
    ];
    const evidence = readings.flatMap(evidenceOf);
    const first = infer(network, evidence);
    const second = infer(network, [...evidence].reverse());
    if (isImpossible(first) || isImpossible(second)) throw new Error('impossible');
    for (const id of network.parts.keys()) expect(bad(second, id)).toBe(bad(first, id));
    expect(second.logEvidence).toBe(first.logEvidence);
  });

  it('counts a method once: reading the same again changes nothing, a second method does', () => {
    const once = believe([read(1, 'coupling-leak', 2e6)]).belief;
    const twice = believe([read(1, 'coupling-leak', 2e6), read(2, 'coupling-leak', 2e6)]).belief;
    expect(bad(twice, 'coupling')).toBeCloseTo(bad(once, 'coupling'), 12);
    const corrected = believe([read(1, 'coupling-leak', 2e6), read(2, 'coupling-leak', 5e8)]).belief;
    expect(corrected.parts.get('coupling')?.leaky).toBeLessThan(0.01);
    const other = believe([read(1, 'coupling-leak', 2e6), read(2, 'coupling-out', 3e6)]).belief;
    expect(bad(other, 'coupling')).toBeGreaterThan(bad(once, 'coupling'));
  });

  it('takes nothing from a sharp reading for a vague one beside it, nor counts two by one method twice', () => {
    const [one] = evidenceOf(read(1, 'coupling-leak', 2e6)) as [Evidence];
    const opinion = (seq: number, check: string, likelihood: readonly number[]): Evidence => ({
      ...one,
      seq,
      check,
      likelihood,
      scale: 1,
    });
    const leaky = (...some: readonly Evidence[]): number => {
      const belief = infer(network, some);
      if (isImpossible(belief)) throw new Error(belief.impossible);
      return bad(belief, 'coupling');
    };
    const states = one.likelihood.length;
    const against = (ok: number): number[] => Array.from({ length: states }, (_, s) => (s === 0 ? ok : 1));
    const forIt = Array.from({ length: states }, (_, s) => (s === 0 ? 1 : 0.02));
    const sharp = opinion(1, 'a', against(0.02));
    const vague = opinion(2, 'b', against(0.8));
    const agreeing = opinion(3, 'c', against(0.05));
    // Beside a vague one, and beside one that agrees: as sharp as alone, in any order.
    expect(leaky(sharp, vague)).toBeCloseTo(leaky(sharp), 12);
    expect(leaky(vague, sharp)).toBeCloseTo(leaky(sharp), 12);
    expect(leaky(sharp, agreeing)).toBeCloseTo(leaky(sharp), 12);
    // Two as strong each way leave what was believed beforehand.
    expect(leaky(sharp, opinion(4, 'd', forIt))).toBeCloseTo(leaky(), 12);
  });

  it('lets an own look replace what the owner said by the same method', () => {
    const own = evidenceOf(read(5, 'light-look', 'bright'));
    const said: Evidence = {
      ...(own[0] as Evidence),
      seq: 0,
      check: 'complaint',
      likelihood: [0.05, 0.05, 1, 1],
    };
    const alone = infer(network, own);
    const both = infer(network, [said, ...own]);
    if (isImpossible(alone) || isImpossible(both)) throw new Error('impossible');
    expect(both.signals.get('light')).toEqual(alone.signals.get('light'));
  });

  it('never rules the truth out on one wrong reading', () => {
    const right = [read(1, 'supply-volts', 255), read(2, 'drive-volts', 99), read(3, 'bias-volts', -14)];
    const wrong = [...right, read(4, 'coupling-leak', 900e6)];
    expect(bad(believe(right).belief, 'coupling')).toBeGreaterThan(0.5);
    expect(bad(believe(wrong).belief, 'coupling')).toBeGreaterThan(0.01);
  });

  it('says so when evidence is impossible, and leaves variables of other sets aside', () => {
    const [sure] = evidenceOf(read(1, 'supply-volts', 255));
    const none = infer(network, [{ ...(sure as Evidence), likelihood: [0, 0, 0, 0] }]);
    expect(isImpossible(none) && none.seqs).toEqual([1]);
    const other = infer(network, [{ ...(sure as Evidence), variable: 'signal:not-in-this-set' }]);
    expect(isImpossible(other)).toBe(false);
  });
});

describe('compiling the network of a set', () => {
  it("uses the prior of the set's history, multiplied by its facts, and a new part's after a repair", () => {
    const q = part('q', { leaky: [0.4, { s: { low: 0.9 } }] });
    const damp = rulebook({
      signals: [signal('s')],
      parts: [
        part('p', { leaky: [0.4, { s: { low: 0.9 } }] }),
        { ...q, faults: q.faults.map((f) => ({ ...f, factors: { storage: { damp: 3 } } })) },
      ],
    });
    const prior = (set: Parameters<typeof compileNetwork>[1], id: string, repaired: string[] = []): number =>
      compileNetwork(damp, set, { repaired }).parts.get(id)?.prior[1] ?? Number.NaN;
    expect(prior(facts(), 'p')).toBeCloseTo(0.4, 12);
    expect(prior(facts({ restored: 'recapped' }), 'p')).toBeCloseTo(0.08, 12);
    expect(prior(facts({ storage: 'damp' }), 'q')).toBeCloseTo(0.9, 12);
    expect(prior(facts({ storage: 'unknown' }), 'q')).toBeCloseTo(0.4, 12);
    expect(prior(facts(), 'p', ['p'])).toBeCloseTo(0.01, 12);
  });

  it('leaves out what does not apply, and inputs from it; the first input whose condition holds is used', () => {
    const book = rulebook({
      families: [
        {
          id: 'f',
          title: '',
          describe: '',
          aliases: [],
          facts: { heaters: 'series' },
          ratedVolts: 117,
          ratedWatts: 100,
          values: {},
          safety: [],
          source: '',
        },
      ],
      signals: [
        signal('string', {}, { when: { heaters: ['series'] } }),
        signal('winding', {}, { when: { heaters: ['parallel'] } }),
        {
          ...signal('glow'),
          inputs: [
            { signal: 'winding', rows: { absent: { absent: 1 } } },
            { signal: 'string', rows: { absent: { high: 1 } }, when: { sound: ['am'] } },
            { signal: 'string', rows: { absent: { absent: 1 } } },
          ],
        },
      ],
      parts: [
        part('only-parallel', { open: [0.1, { glow: { absent: 1 } }] }, { when: { heaters: ['parallel'] } }),
      ],
    });
    const am = compileNetwork(book, facts({ family: 'f', facts: { sound: 'am' } }));
    expect([...am.signals.keys()].sort()).toEqual(['glow', 'string']);
    expect([...am.parts.keys()]).toEqual([]);
    expect(am.signals.get('glow')?.inputs).toEqual(['string']);
    expect(am.signals.get('glow')?.levels).toContain('high');
    const split = compileNetwork(book, facts({ family: 'f', facts: { sound: 'split' } }));
    expect(split.signals.get('glow')?.levels).not.toContain('high');
  });

  it("merges family facts under the set's; an unknown or unasked fact satisfies any condition", () => {
    const book = rulebook({});
    const known = factsOf(book, facts({ facts: { sound: 'unknown', agc: 'gated' }, storage: 'damp' }));
    expect(known).toMatchObject({
      agc: 'gated',
      storage: 'damp',
      standard: '525',
      family: 'none',
      restored: 'none',
    });
    expect(holds({ sound: ['am'] }, known)).toBe(true);
    expect(holds({ 'never-asked': ['x'] }, known)).toBe(true);
    expect(holds({ agc: ['mean'] }, known)).toBe(false);
    expect(holds({ agc: ['mean', 'gated'], storage: ['damp'] }, known)).toBe(true);
    expect(holds(undefined, known)).toBe(true);
  });

  it('refuses a loop and prints it', () => {
    const row = { absent: { absent: 0.9 } };
    const book = rulebook({
      signals: [signal('a', { c: row }), signal('b', { a: row }), signal('c', { b: row })],
    });
    expect(() => compileNetwork(book, facts())).toThrow(NetworkError);
    expect(() => compileNetwork(book, facts())).toThrow(/a <- c <- b <- a|b <- a <- c <- b|c <- b <- a <- c/);
  });

  it('refuses rules that hang together too widely, and names the parts to keep local', () => {
    const names = Array.from({ length: 16 }, (_, i) => `s${i}`);
    const book = rulebook({
      signals: names.map((n) => signal(n, {}, { leak: { high: 0.001, low: 0.001, absent: 0.001 } })),
      parts: names.flatMap((a, i) =>
        names.slice(i + 1).map((b) =>
          part(`${a}-${b}`, {
            f: [0.05, { [a]: { low: 0.5, absent: 0.2 }, [b]: { low: 0.5, high: 0.2 } }],
          }),
        ),
      ),
    });
    expect(() => compileNetwork(book, facts())).toThrow(/too widely.*s\d+-s\d+ \(acts on 2 signals/s);
  });
});
