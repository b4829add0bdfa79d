// Diagnosis on the real rule pack: narrow enough for every supply family, and exact whatever order it is eliminated in.
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import {
  compileNetwork,
  type Evidence,
  infer,
  isImpossible,
  planNext,
  TABLE_BUDGET,
} from '../../src/diagnosis/index.ts';
import { seededRandom } from '../../src/diagnosis/junction-tree-order.ts';
import { loadRules } from '../../src/rulebook/load.ts';
import { facts } from './tiny-rules.ts';

const { book } = loadRules(fileURLToPath(new URL('../../rules', import.meta.url)));
if (!book) throw new Error('the rule pack does not load');

function randomEvidence(random: () => number): Evidence[] {
  const evidence: Evidence[] = [];
  const add = (variable: string, states: number): void => {
    const likelihood = Array.from({ length: states }, () => 0.01 ** random());
    const none = likelihood.map(() => 0);
    evidence.push({
      seq: evidence.length + 1,
      check: `check-${evidence.length}`,
      method: 'meter',
      variable,
      likelihood,
      terms: { core: likelihood, timesTen: none, tenth: none, sign: none, wrongRange: none, uniform: none },
    });
  };
  for (const s of book?.signals ?? []) if (random() < 0.5) add(`signal:${s.id}`, 4);
  for (const p of book?.parts ?? []) if (random() < 0.2) add(`part:${p.id}`, p.faults.length + 1);
  return evidence;
}

describe('the rule pack as a network', () => {
  it.each(book.families.map((f) => f.id))('is narrow enough with every fact unknown: %s', (family) => {
    for (const restored of ['none', 'recapped'] as const) {
      const { tree } = compileNetwork(book, facts({ family, restored }));
      expect(tree.entries).toBeLessThanOrEqual(TABLE_BUDGET);
    }
  });

  it('gives the same beliefs from different trees under contradictory evidence, and they are distributions', () => {
    const set = facts({ family: book.families[0]?.id ?? '' });
    const [one, two] = [compileNetwork(book, set, { seed: 1 }), compileNetwork(book, set, { seed: 5 })];
    expect(one.tree.entries).not.toBe(two.tree.entries);
    let worst = 0;
    for (let n = 0; n < 12; n += 1) {
      const evidence = randomEvidence(seededRandom(50 + n));
      const [a, b] = [infer(one, evidence), infer(two, evidence)];
      if (isImpossible(a) || isImpossible(b)) throw new Error('impossible');
      worst = Math.max(worst, Math.abs(a.logEvidence / b.logEvidence - 1));
      for (const [id, p] of a.parts) {
        const q = b.parts.get(id) ?? {};
        let sum = 0;
        for (const [state, x] of Object.entries(p)) {
          expect(x).toBeGreaterThanOrEqual(0);
          sum += x;
          worst = Math.max(worst, Math.abs(x - (q[state] ?? Number.NaN)));
        }
        worst = Math.max(worst, Math.abs(sum - 1));
      }
      for (const [id, p] of a.signals)
        for (const level of ['normal', 'high', 'low', 'absent'] as const)
          worst = Math.max(worst, Math.abs(p[level] - (b.signals.get(id)?.[level] ?? Number.NaN)));
    }
    expect(worst).toBeLessThan(1e-10);
  });

  it('gives reading by reading, and with readings taken back, the very beliefs that all of them at once give', () => {
    const set = facts({ family: book.families[0]?.id ?? '' });
    const [kept, anew] = [compileNetwork(book, set), compileNetwork(book, set)];
    const random = seededRandom(90);
    const all = randomEvidence(random);
    let now: Evidence[] = [];
    for (let n = 0; n < 40; n += 1) {
      const one = all[Math.floor(random() * all.length)] as Evidence;
      now = now.includes(one) ? now.filter((e) => e !== one) : [...now, one];
      const a = infer(kept, now);
      // The other network forgets everything between two readings.
      anew.posterior.load(new Map());
      const b = infer(anew, now);
      if (isImpossible(a) || isImpossible(b)) throw new Error('impossible');
      expect(a.logEvidence).toBe(b.logEvidence);
      expect(a.parts).toEqual(b.parts);
      expect(a.signals).toEqual(b.signals);
    }
  });

  it('supposes the same of what is asked for, whether a what-if goes there only or everywhere', () => {
    const network = compileNetwork(book, facts({ family: book.families[0]?.id ?? '' }));
    const random = seededRandom(91);
    infer(network, randomEvidence(random));
    const { posterior } = network;
    const names = [...network.parts.keys()];
    for (const [id, { levels }] of [...network.signals].slice(0, 60)) {
      const condition = { kind: 'signal', id, weights: Float64Array.from(levels, (_, n) => n) } as const;
      const wanted = Array.from({ length: 3 }, () => names[Math.floor(random() * names.length)] ?? '');
      posterior.suppose(condition);
      const everywhere = wanted.map((part) => [...posterior.part(part, true)]);
      const toward = wanted.flatMap((part) => posterior.variable('part', part) ?? []);
      posterior.suppose(condition, { toward });
      expect(wanted.map((part) => [...posterior.part(part, true)])).toEqual(everywhere);
    }
  });

  it('always has something to ask at the start, with a reason that names it', () => {
    const network = compileNetwork(book, facts({ family: book.families[0]?.id ?? '' }));
    const belief = infer(network, []);
    if (isImpossible(belief)) throw new Error('impossible');
    const plan = planNext(
      network,
      belief,
      [],
      book.checks.map((check, order) => ({
        check,
        expected: { value: 100, spread: 0.1, unit: '', reasons: [] },
        changeMinutes: 0,
        order,
        protective: false,
      })),
    );
    expect(plan.stop).toBeUndefined();
    expect(plan.ranked).toHaveLength(book.checks.length);
    expect(plan.ranked[0]?.why).toMatch(
      /^(Tells most about the .+ for its .+|Seen or heard in a minute, .+|Other readings are held against it: .+)\.$/,
    );
    expect(plan.ranked.every((r) => Number.isFinite(r.score) && r.score >= 0 && r.gainBits >= 0)).toBe(true);
  });
});
