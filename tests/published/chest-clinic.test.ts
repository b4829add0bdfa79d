// The chest-clinic network: a small published network with known answers, loaded into the same junction tree as the sets.
// Source: S. L. Lauritzen, D. J. Spiegelhalter, "Local computations with probabilities on graphical structures and their
// application to expert systems", Journal of the Royal Statistical Society B 50(2), 157-224, 1988: tables and example.
import { describe, expect, it } from 'vitest';
import type { Model } from '../../src/diagnosis/factor.ts';
import { compileTree } from '../../src/diagnosis/junction-tree.ts';
import { Propagation } from '../../src/diagnosis/junction-tree-pass.ts';
import { bruteForce } from '../diagnosis/enumeration.ts';

// State 0 = yes, 1 = no throughout.
const NAMES = [
  'asia',
  'smoking',
  'tuberculosis',
  'cancer',
  'bronchitis',
  'either',
  'xray',
  'dyspnoea',
] as const;
type Name = (typeof NAMES)[number];
const at = (name: Name): number => NAMES.indexOf(name);
const factor = (scope: readonly Name[], yes: readonly number[]): Model['factors'][number] => ({
  scope: scope.map(at),
  table: Float64Array.from(yes.flatMap((p) => [p, 1 - p])),
});

const CHEST: Model = {
  cards: NAMES.map(() => 2),
  factors: [
    factor(['asia'], [0.01]),
    factor(['smoking'], [0.5]),
    factor(['asia', 'tuberculosis'], [0.05, 0.01]),
    factor(['smoking', 'cancer'], [0.1, 0.01]),
    factor(['smoking', 'bronchitis'], [0.6, 0.3]),
    factor(['tuberculosis', 'cancer', 'either'], [1, 1, 1, 0]),
    factor(['either', 'xray'], [0.98, 0.05]),
    factor(['either', 'bronchitis', 'dyspnoea'], [0.9, 0.7, 0.8, 0.1]),
  ],
};

function query(evidence: Partial<Record<Name, 'yes' | 'no'>>): {
  readonly yes: (name: Name) => number;
  readonly weights: (Float64Array | undefined)[];
  readonly logEvidence: number;
} {
  const weights = NAMES.map((name) => {
    const said = evidence[name];
    return said === undefined ? undefined : Float64Array.of(said === 'yes' ? 1 : 0, said === 'no' ? 1 : 0);
  });
  const pass = new Propagation(compileTree(CHEST));
  const logEvidence = pass.calibrate(weights);
  return { yes: (name) => pass.marginal(at(name))[0] ?? Number.NaN, weights, logEvidence };
}

describe('chest clinic (Lauritzen and Spiegelhalter 1988)', () => {
  it('gives the published prior marginals', () => {
    const { yes } = query({});
    // Prior marginals, as printed to four digits in the literature on this network.
    expect(yes('tuberculosis')).toBeCloseTo(0.0104, 4);
    expect(yes('cancer')).toBeCloseTo(0.055, 4);
    expect(yes('bronchitis')).toBeCloseTo(0.45, 4);
    expect(yes('either')).toBeCloseTo(0.0648, 4);
    expect(yes('xray')).toBeCloseTo(0.1103, 4);
    expect(yes('dyspnoea')).toBeCloseTo(0.436, 4);
  });

  it('gives the published probability of a visit to Asia together with dyspnoea', () => {
    // S. Hojsgaard, "Graphical independence networks with the gRain package for R", Journal of Statistical Software 46(10),
    // 2012: the package's own test states P(asia = yes, dysp = yes) = 0.004501375 for these tables.
    const { yes, logEvidence } = query({ asia: 'yes', dyspnoea: 'yes' });
    expect(Math.exp(logEvidence)).toBeCloseTo(0.004501375, 9);
    // Posterior figures for this evidence from memory of the paper's worked example.
    expect(yes('bronchitis')).toBeCloseTo(0.811, 3);
    expect(yes('tuberculosis')).toBeCloseTo(0.088, 3);
    expect(yes('cancer')).toBeCloseTo(0.1, 2);
  });

  it('agrees with enumeration to 1e-9 for all 6,561 bodies of hard evidence that can be', () => {
    const pass = new Propagation(compileTree(CHEST));
    const options = [undefined, Float64Array.of(1, 0), Float64Array.of(0, 1)];
    let worst = 0;
    let impossible = 0;
    for (let n = 0; n < 3 ** NAMES.length; n += 1) {
      const weights = NAMES.map((_, v) => options[Math.floor(n / 3 ** v) % 3]);
      const log = pass.calibrate(weights);
      const brute = bruteForce(CHEST, weights);
      if (brute.evidence === 0) {
        expect(log).toBe(Number.NEGATIVE_INFINITY);
        impossible += 1;
        continue;
      }
      worst = Math.max(worst, Math.abs(Math.exp(log) / brute.evidence - 1));
      brute.marginals.forEach((row, v) => {
        const own = pass.marginal(v);
        row.forEach((p, s) => {
          worst = Math.max(worst, Math.abs((own[s] ?? Number.NaN) - p));
        });
      });
    }
    expect(worst).toBeLessThan(1e-9);
    // Tuberculosis or cancer without "either", and the like: known to be impossible and said so.
    expect(impossible).toBeGreaterThan(0);
  });
});
