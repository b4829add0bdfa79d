// Looks that no walk ends without, and what they leave to be asked about a core part before them. All numbers invented.
import { describe, expect, it } from 'vitest';
import { compileNetwork, infer, isImpossible, type Plan, planNext } from '../../src/diagnosis/index.ts';
import { assembly, facts, look, part, rulebook, signal } from './tiny-rules.ts';

/** A core part that makes light, a cold test of it, and the look at the light; `dimmer` is a second cause of a dark screen. */
function book(dimmer: number) {
  return rulebook({
    signals: [signal('light', {}, { outcome: true })],
    assemblies: [assembly('core', { core: true })],
    parts: [
      part('tiny.core', { broken: [0.1, { light: { absent: 0.98 } }] }, { assembly: 'core' }),
      part('tiny.dimmer', { broken: [dimmer, { light: { absent: 0.98 } }] }),
    ],
    checks: [
      look(
        'cold-test',
        { part: 'tiny.core' },
        { ok: { good: 0.95, bad: 0.05 }, broken: { good: 0.1, bad: 0.9 } },
        { state: 'S0', minutes: 4 },
      ),
      look(
        'look',
        { signal: 'light' },
        { normal: { lit: 0.98, none: 0.02 }, absent: { lit: 0.01, none: 0.99 } },
        { method: 'eye', minutes: 1 },
      ),
    ],
  });
}

function plan(dimmer: number, ids: readonly string[] = ['cold-test', 'look']): Plan {
  const rules = book(dimmer);
  const network = compileNetwork(rules, facts());
  const belief = infer(network, []);
  if (isImpossible(belief)) throw new Error(belief.impossible);
  const open = rules.checks
    .filter((c) => ids.includes(c.id))
    .map((c, order) => ({
      check: c,
      expected: undefined,
      changeMinutes: c.id === 'look' ? 60 : 0,
      order,
      protective: false,
    }));
  return planNext(network, belief, [], open);
}

const coreBits = (p: Plan, id: string): number => p.ranked.find((r) => r.check.id === id)?.coreBits ?? 0;

describe('a cold test of a core part', () => {
  it('counts for little where the look that comes anyway will tell as much', () => {
    expect(coreBits(plan(0.001), 'cold-test')).toBeLessThan(
      0.5 * coreBits(plan(0.001, ['cold-test']), 'cold-test'),
    );
  });

  it('keeps its worth where a dark screen would leave it open', () => {
    expect(coreBits(plan(0.6), 'cold-test')).toBeGreaterThan(
      0.6 * coreBits(plan(0.6, ['cold-test']), 'cold-test'),
    );
  });

  it('leaves the look its own worth', () => {
    expect(coreBits(plan(0.001), 'look')).toBeCloseTo(coreBits(plan(0.001, ['look']), 'look'), 9);
  });
});
