// Faults that readings once spoke against: each must come first when every reading of the set is taken.
import { describe, expect, it } from 'vitest';
import { drawSet, partOf, type SimulatedSet, setFactsOf } from '../../src/practice/index.ts';
import { emptyState } from '../../src/session/index.ts';
import { walkSet } from '../../src/tools/bench/diagnosis.ts';
import { complaintsOf, downstreamOf } from '../../src/walk/beliefs.ts';
import { book, engine } from './rules.ts';

const RUNNING = { horizontal: 'enabled', signal: 'applied' };

/** The first set of the family, from seed 1, that can have the fault and shows it. */
async function setWith(family: string, fault: string): Promise<SimulatedSet> {
  for (let seed = 1; seed < 40; seed += 1) {
    const set = await drawSet({ seed, family, level: 'single', fault }).catch(() => undefined);
    if (set && set.complaint.length > 0) return set;
  }
  throw new Error(`${family} never shows ${fault}`);
}

const answer = (set: SimulatedSet, id: string): string => {
  const check = book.checks.find((c) => c.id === id);
  return (check && set.answer(check, RUNNING)) ?? '';
};

describe('every answer given', () => {
  // Common practice, no source: halves of an AFC that agree at next to nothing are no control, half a doubler is half the volts.
  it.each([
    ['transformer', 'horizontal-afc.reference-capacitor/open'],
    ['transformer', 'horizontal-afc.sync-capacitor/leaky'],
    ['transformer-doubler', 'b-plus.silicon-upper/open'],
    ['transformer-doubler', 'b-plus.silicon-lower/open'],
    ['series-doubler-halfwave', 'b-plus.doubler-rectifier-short/short'],
    ['autotransformer', 'b-plus.transformer-turns/shorted-turns'],
    ['transformer', 'heaters.heater-wiring/open'],
  ])('%s: %s comes first', { timeout: 60_000 }, async (family, fault) => {
    const set = await setWith(family, fault);
    const score = walkSet(engine, set, 'all');
    expect(score.ranks).toEqual([1]);
    expect(score.probabilities[0]).toBeGreaterThan(0.5);
  });
});

describe('a set', () => {
  it('without its AFC reference balances at next to nothing', async () => {
    const set = await setWith('transformer', 'horizontal-afc.reference-capacitor/open');
    const [one, other] = answer(set, 'afc-halves-live').split('/').map(Number.parseFloat);
    expect((one ?? 0) / (other ?? 1)).toBeCloseTo(1, 0);
    expect(Number.parseFloat(answer(set, 'afc-load-volts'))).toBeLessThan(2);
  });

  it('with half a doubler ripples at the line frequency, its dead half driven backwards by less than a volt or two', async () => {
    const set = await setWith('transformer-doubler', 'b-plus.silicon-lower/open');
    expect(answer(set, 'ripple-frequency')).not.toBe('twice');
    const [upper, lower] = answer(set, 'doubler-halves').split('/').map(Number.parseFloat);
    expect(upper).toBeGreaterThan(120);
    expect(lower).toBeLessThan(3);
  });
});

describe('what the owner complains of', () => {
  // Common practice, no source: slanting lines are lost blanking or a bias gone low; a dead tuner leaves a raster and nothing else.
  it.each([
    ['transformer-doubler', 'gun-voltages.blanking/open', 'retrace-lines'],
    ['series-doubler-halfwave', 'tuner.b-plus-feed/open', 'no-picture-no-sound'],
  ])('%s, %s: "%s" bears on it', { timeout: 60_000 }, async (family, fault, complaint) => {
    const set = await setWith(family, fault);
    expect(set.complaint).toContain(complaint);
    const part = book.parts.find((p) => p.id === partOf(fault));
    const [said] = complaintsOf(book, {
      ...emptyState(),
      set: { ...setFactsOf(set), complaint: [complaint] },
    });
    const upset = part ? downstreamOf(book, part) : new Set<string>();
    expect(said?.signals.filter((id) => upset.has(id))).not.toEqual([]);
  });
});
