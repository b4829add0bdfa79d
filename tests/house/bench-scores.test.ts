// The benchmark's own arithmetic: shares, times that were never reached, calibration, and how batches are put in order.
import { describe, expect, it } from 'vitest';
import type { Plan, PlannedCheck } from '../../src/diagnosis/index.ts';
import { batched, batchWorth } from '../../src/tools/bench/batch.ts';
import type { WalkScore } from '../../src/tools/bench/diagnosis.ts';
import {
  calibrate,
  compare,
  isMiss,
  quantile,
  summarise,
  summariseRepairs,
} from '../../src/tools/bench/scores.ts';
import { check } from '../diagnosis/tiny-rules.ts';

function score(ranks: readonly number[], rest: Partial<WalkScore> = {}): WalkScore {
  return {
    set: { seed: 1, family: 'f', level: 'single', faults: ranks.map((_, i) => `p${i}/x`), complaint: [] },
    planner: 'planner',
    minutes: 100,
    readings: 20,
    ranks,
    told: ranks.map(() => false),
    masked: ranks.map(() => false),
    stopFree: false,
    isolatedAfter: undefined,
    stated: [],
    leader: '',
    leaderProbability: 0,
    probabilities: [],
    end: '',
    reason: 'isolated',
    against: [],
    unanswered: [],
    refused: [],
    ...rest,
  };
}

describe('sums of many walks', () => {
  it('count places from 1, 0 as none, and give each fault its room of n + 2', () => {
    const s = summarise([score([1]), score([3]), score([4]), score([0])]);
    expect(s.first).toBe(0.25);
    expect(s.firstThree).toBe(0.5);
    expect(s.within).toBe(0.5);
    expect(summarise([score([1, 4])]).allWithin).toBe(1);
    expect(summarise([score([1, 5])]).allWithin).toBe(0);
    expect(isMiss([1, 4])).toBe(false);
    expect(isMiss([0])).toBe(true);
  });

  it('count a part that the end names as the cause of an open sign apart from its place', () => {
    const s = summarise([score([1]), score([0], { told: [true] }), score([0]), score([2], { told: [true] })]);
    expect(s.within).toBe(0.5);
    expect(s.told).toBe(0.75);
  });

  it('leave what is hidden out of the share of what shows', () => {
    const s = summarise([score([1, 0], { masked: [false, true] }), score([1, 0])]);
    expect(s.masked).toBe(1);
    expect(s.shownWithin).toBeCloseTo(2 / 3);
    expect(s.within).toBe(0.5);
  });

  it('take a walk that never got there as longer than any', () => {
    const at = (isolatedAfter: number | undefined): WalkScore =>
      score([1], { stopFree: true, isolatedAfter });
    expect(summarise([at(10), at(20), at(undefined)])).toMatchObject({ isolatedAfter: 20, stopFree: 3 });
    expect(summarise([at(10), at(undefined), at(undefined)]).isolatedAfter).toBeUndefined();
    expect(summarise([at(10), at(undefined), score([1])]).isolated).toBe(0.5);
  });

  it('set orders beside each other by when the truth was in front', () => {
    const at = (isolatedAfter: number | undefined, minutes: number): WalkScore =>
      score([1], { stopFree: true, isolatedAfter, minutes });
    expect(compare([at(50, 100), at(130, 300), at(undefined, 500), score([1])], 600)).toEqual({
      walks: 3,
      isolated: 2 / 3,
      by: [1 / 3, 1 / 3, 2 / 3],
      median: 130,
      mean: 260,
      stopped: 300,
    });
  });

  it('state chances beside what was so', () => {
    const stated = [0.8, 0.8, 0.8, 0.8, 0.95].map((p, i) => ({ p, bad: i !== 0 }));
    const bin = calibrate([score([1], { stated })]).bins.find((b) => b.from === 0.7);
    expect(bin).toMatchObject({ count: 4, true: 0.75 });
    expect(bin?.stated).toBeCloseTo(0.8);
    expect(quantile([3, 1, 2], 0.5)).toBe(2);
  });
});

describe('batches', () => {
  const planned = (
    id: string,
    value: number,
    minutes: number,
    rest: Partial<PlannedCheck> = {},
  ): PlannedCheck => ({
    check: check(id, [], { state: rest.check?.state ?? 'S2', minutes: 2 }),
    score: value / minutes,
    gainBits: value,
    coreBits: 0,
    minutes,
    leads: false,
    awaited: false,
    why: '',
    ...(rest.leads ? { leads: true } : {}),
  });

  it('pay for the way there once', () => {
    // Two checks of 2 minutes and 1 bit behind 20 minutes of change: 2 bits for 24 minutes, not 1 for 22.
    expect(batchWorth([planned('a', 1, 22), planned('b', 1, 22)])).toBeCloseTo(2 / 24);
  });

  it('go where many checks wait rather than to the single one that scores best, and keep what must come first', () => {
    const cold = { check: check('x', [], { state: 'S0' }) };
    const guard = planned('guard', 0.1, 2, { leads: true });
    const here = planned('here', 0.2, 2, cold);
    const away = Array.from({ length: 8 }, (_, n) => planned(`away-${n}`, 0.6, 12));
    const plan: Plan = { ranked: [guard, here, ...away], stop: undefined };
    expect(batched(plan).ranked.map((p) => p.check.id)).toEqual([
      'guard',
      ...away.map((p) => p.check.id),
      'here',
    ]);
    expect(batched({ ranked: [], stop: undefined }).ranked).toEqual([]);
  });
});

describe('repairs', () => {
  it('counts apart what was left and troubles nobody', () => {
    const one = { faults: 2, wrong: 0, minutes: 100, end: 'nothing-found' };
    const sums = summariseRepairs([
      { ...one, repaired: 1, left: ['sync.plate-resistor'], quiet: 1 },
      { ...one, repaired: 1, left: ['tuner.contacts'], quiet: 0 },
    ]);
    expect(sums.repaired).toBe(0.5);
    expect(sums.noticed).toBeCloseTo(2 / 3);
    expect(sums.all).toBe(0);
  });
});
