// Doubt and reasons: readings that do not fit, slips named, weights of readings, and the live fault tree.
import { describe, expect, it } from 'vitest';
import {
  type Belief,
  type Conflict,
  compileNetwork,
  conflictsOf,
  type Evidence,
  evidenceOf,
  explainSuspect,
  faultTree,
  fitOf,
  infer,
  isImpossible,
  type JudgedReading,
  rankSuspects,
} from '../../src/diagnosis/index.ts';
import { facts, read, TINY } from './tiny-rules.ts';

const network = compileNetwork(TINY, facts());
const believe = (evidence: readonly Evidence[]): Belief => {
  const belief = infer(network, evidence);
  if (isImpossible(belief)) throw new Error(belief.impossible);
  return belief;
};
const conflicts = (readings: readonly JudgedReading[]): Conflict[] => {
  const evidence = readings.flatMap(evidenceOf);
  return conflictsOf(network, believe(evidence), evidence, readings);
};
const logOdds = (p: number): number => Math.log(p / (1 - p));

const AROUND: readonly JudgedReading[] = [
  read(2, 'drive-volts', 101),
  read(3, 'bias-volts', -35),
  read(4, 'current-amps', 0.1),
  read(5, 'anode-kv', 16000),
  read(6, 'light-look', 'bright'),
];

describe('readings that do not fit', () => {
  it('flags no reading of a healthy set, nor of a set with one plain fault', () => {
    expect(conflicts([read(1, 'supply-volts', 258), ...AROUND])).toEqual([]);
    const leaky = [
      read(1, 'supply-volts', 250),
      read(2, 'drive-volts', 98),
      read(3, 'bias-volts', -15),
      read(4, 'current-amps', 0.16),
      read(5, 'coupling-leak', 2e5),
    ];
    expect(conflicts(leaky)).toEqual([]);
    // A rare fault alone is no contradiction: nothing speaks against it.
    expect(conflicts([read(1, 'oscillator-swap', 3)])).toEqual([]);
  });

  it.each([
    [2580, 'times-ten'],
    [25.8, 'tenth'],
  ] as const)('names the slip when 258 V is typed as %d', (typed, kind) => {
    const found = conflicts([read(1, 'supply-volts', typed), ...AROUND]);
    expect(found[0]).toMatchObject({ seq: 1, check: 'supply-volts', slip: { kind } });
    expect(found[0]?.slip.probability).toBeGreaterThan(0.5);
    expect(found[0]?.say).toMatch(/supply-volts.*ten times/);
    expect(found).toHaveLength(1);
  });

  it('names a forgotten minus', () => {
    const found = conflicts([
      read(1, 'supply-volts', 258),
      read(7, 'bias-volts', 34),
      ...AROUND.filter((r) => r.check.id !== 'bias-volts'),
    ]);
    expect(found).toMatchObject([{ seq: 7, check: 'bias-volts', slip: { kind: 'sign' } }]);
    expect(found[0]?.say).toMatch(/other sign/);
  });

  it('keeps belief near what the other readings say when one is a slip', () => {
    const good = believe([read(1, 'supply-volts', 258), ...AROUND].flatMap(evidenceOf));
    const slipped = believe([read(1, 'supply-volts', 25.8), ...AROUND].flatMap(evidenceOf));
    expect(slipped.signals.get('supply')?.normal).toBeGreaterThan(0.5);
    expect(good.signals.get('supply')?.normal).toBeGreaterThan(0.95);
  });

  it('calls out a reading that cannot stand beside the others', () => {
    const found = conflicts([
      read(1, 'supply-volts', 2),
      ...AROUND.filter((r) => r.check.id !== 'supply-volts'),
    ]);
    expect(found[0]?.check).toBe('supply-volts');
    expect(found[0]?.surprise).toBeLessThan(0.01);
    // It names the reading that speaks loudest against a dead supply.
    expect(found[0]?.say).toMatch(/beside "|square with "/);
    expect(found[0]?.say).not.toMatch(/probab|posterior|evidence/i);
  });

  it('gives a surprise between 0 and 1 that does not depend on the unit', () => {
    const readings = [read(1, 'supply-volts', 150), ...AROUND];
    const evidence = readings.flatMap(evidenceOf);
    const scaled = evidence.map((e) => ({ ...e, likelihood: e.likelihood.map((l) => 1000 * l) }));
    const a = fitOf(network, believe(evidence), evidence, readings);
    const b = fitOf(network, believe(scaled), scaled, readings);
    a.forEach((fit, i) => {
      expect(fit.surprise).toBeGreaterThanOrEqual(0);
      expect(fit.surprise).toBeLessThanOrEqual(1);
      expect(b[i]?.surprise).toBeCloseTo(fit.surprise, 9);
    });
  });
});

describe('reasons', () => {
  const readings = [
    read(1, 'supply-volts', 250),
    read(2, 'drive-volts', 98),
    read(3, 'bias-volts', -15),
    read(4, 'current-amps', 0.16),
    read(5, 'coupling-leak', 2e6),
    read(6, 'coupling-out', 3e6),
    read(7, 'gun-test', 90),
  ];
  const evidence = readings.flatMap(evidenceOf);

  it('weighs a reading as the mean of its first-in and last-in log-odds, found by inferring anew', () => {
    const odds = (some: readonly Evidence[]): number => {
      const p = believe(some).parts.get('coupling')?.leaky ?? Number.NaN;
      return logOdds(p);
    };
    const weights = new Map(
      explainSuspect(network, evidence, 'coupling/leaky').map((w) => [w.check, w.weight]),
    );
    for (const variable of ['signal:bias', 'signal:current', 'signal:drive']) {
      const own = evidence.filter((e) => e.variable === variable);
      const firstIn = odds(own) - odds([]);
      const lastIn = odds(evidence) - odds(evidence.filter((e) => e.variable !== variable));
      const expected = (firstIn + lastIn) / 2;
      expect(weights.get(own[0]?.check ?? '') ?? 0).toBeCloseTo(Math.abs(expected) < 0.05 ? 0 : expected, 9);
    }
    // Two checks on the part itself share its weight.
    const own = evidence.filter((e) => e.variable === 'part:coupling');
    const firstIn = odds(own) - odds([]);
    const lastIn = odds(evidence) - odds(evidence.filter((e) => e.variable !== 'part:coupling'));
    expect((weights.get('coupling-leak') ?? 0) + (weights.get('coupling-out') ?? 0)).toBeCloseTo(
      (firstIn + lastIn) / 2,
      9,
    );
    expect(weights.get('coupling-leak')).toBeGreaterThan(0);
    expect(weights.has('gun-test')).toBe(false);
  });

  it('explains parts, assemblies and causes outside the rules, and nothing for an unknown id', () => {
    expect(explainSuspect(network, evidence, 'coupling')[0]?.weight).toBeGreaterThan(0);
    expect(explainSuspect(network, evidence, 'assembly:picture-tube')).toMatchObject([{ check: 'gun-test' }]);
    expect(explainSuspect(network, evidence, 'assembly:picture-tube')[0]?.weight).toBeLessThan(0);
    expect(explainSuspect(network, evidence, 'unmodelled/bias').length).toBeGreaterThan(0);
    expect(explainSuspect(network, evidence, 'no-such-part/at-all')).toEqual([]);
    expect(explainSuspect(network, [], 'coupling/leaky')).toEqual([]);
  });

  it('fills the reasons of ranked suspects when asked', () => {
    const belief = believe(evidence);
    expect(rankSuspects(network, belief, evidence)[0]?.because).toEqual([]);
    const [top] = rankSuspects(network, belief, evidence, { because: true });
    expect(top?.id).toBe('coupling/leaky');
    expect(top?.because.map((w) => w.check)).toContain('bias-volts');
    expect(top?.because).toEqual(explainSuspect(network, evidence, 'coupling/leaky'));
  });
});

describe('fault tree', () => {
  it('puts the blame where the readings put it', () => {
    const evidence = [
      read(1, 'light-look', 'dark'),
      read(2, 'supply-volts', 258),
      read(3, 'drive-volts', 0),
      read(4, 'oscillator-swap', 4),
      read(5, 'gun-test', 95),
    ].flatMap(evidenceOf);
    const tree = faultTree(network, believe(evidence), 'light', 5);
    expect(tree?.probability).toBeGreaterThan(0.95);
    const path: string[] = [];
    for (let node = tree; node; node = node.children[0]) path.push(node.id);
    expect(path).toEqual(['light', 'anode', 'pulse', 'drive', 'oscillator']);
    const emission = tree?.children.find((c) => c.id === 'emission');
    expect(emission?.cleared).toBe(true);
    expect(emission?.responsibility).toBeLessThan(0.05);
    expect(tree?.children.some((c) => c.kind === 'unmodelled')).toBe(true);
  });

  it('tells a bad part from a responsible one', () => {
    // A weak gun beside a dead oscillator: bad, but not why the screen is dark.
    const evidence = [
      read(1, 'light-look', 'dark'),
      read(2, 'drive-volts', 0),
      read(3, 'gun-test', 30),
    ].flatMap(evidenceOf);
    const tree = faultTree(network, believe(evidence), 'light', 2);
    const emission = tree?.children.find((c) => c.id === 'emission');
    expect(emission?.probability).toBeGreaterThan(0.5);
    expect(emission?.responsibility).toBeLessThan(0.2);
  });

  it('goes as deep as asked and knows its own signals', () => {
    const belief = believe([]);
    expect(faultTree(network, belief, 'light', 0)?.children).toEqual([]);
    expect(faultTree(network, belief, 'light', 1)?.children.every((c) => c.children.length === 0)).toBe(true);
    expect(faultTree(network, belief, 'nothing')).toBeUndefined();
  });
});
