// Every check that the rules would ask of a simulated set is answered by it, or is about a part that no simulated set has, with the reason.
import { describe, expect, it } from 'vitest';
import { CIRCUIT_FAMILIES, drawSet, setFactsOf } from '../../src/practice/index.ts';
import { NOT_SIMULATED } from '../../src/practice/readings/lifted.ts';
import { factsOf, holds } from '../../src/rulebook/facts.ts';
import { book } from './rules.ts';

/** Enough healthy sets of a family for both kinds of video coupling and of the low supply line. */
const SETS = 6;
const RUNNING = { horizontal: 'enabled', signal: 'applied' };

describe.each(CIRCUIT_FAMILIES)('checks of %s', (family) => {
  it('are answered, or on the short list of parts that it does not have', async () => {
    const answered = new Map<string, boolean>();
    for (let seed = 1; seed <= SETS; seed += 1) {
      const set = await drawSet({ seed, family, level: 'healthy' });
      const known = factsOf(book, setFactsOf(set));
      for (const check of book.checks) {
        if (!holds(check.when, known)) continue;
        const text = set.answer(check, RUNNING);
        answered.set(check.id, (answered.get(check.id) ?? false) || text !== undefined);
      }
    }
    const silent = [...answered].filter(([, yes]) => !yes).map(([id]) => id);
    expect(answered.size).toBeGreaterThan(380);
    expect(silent.filter((id) => !(id in NOT_SIMULATED))).toEqual([]);
  }, 60_000);
});

describe('the list of what no simulated set has', () => {
  it('is short, names checks of the rules, and gives a reason for each', () => {
    const known = new Set(book.checks.map((c) => c.id));
    expect(Object.keys(NOT_SIMULATED).length).toBeLessThan(10);
    for (const [id, why] of Object.entries(NOT_SIMULATED)) {
      expect(known, id).toContain(id);
      expect(why.length).toBeGreaterThan(15);
    }
  });
});
