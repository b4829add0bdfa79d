// The table of a first power-up on the lamp, from the family and label of the set.
import { type BringUpPlan, bringUpPlan, RECTIFIERS, TOPOLOGIES } from '../bench/index.ts';
import type { Circumstances } from './expected.ts';
import type { BringUpRow } from './types.ts';

/** The computed bring-up table; empty where the family's circuit is not one of the four that are solved. */
export function bringUpRows(at: Circumstances): BringUpRow[] {
  const topology = TOPOLOGIES.find((t) => t === at.facts.topology);
  if (!topology) return [];
  const rectifier =
    RECTIFIERS.find((r) => r === at.facts.rectifier) ??
    (topology === 'full-wave' ? 'tube-direct' : 'selenium');
  let plan: BringUpPlan;
  try {
    plan = bringUpPlan({
      topology,
      rectifier,
      lineVolts: at.set.lineVolts,
      ratedWatts: at.set.ratedWatts > 0 ? at.set.ratedWatts : at.family.ratedWatts,
    });
  } catch {
    // Label values outside what the plan covers: the walk goes on without a table rather than with a wrong one.
    return [];
  }
  return plan.steps.map((s) => ({
    lineVolts: s.lineVolts,
    holdSeconds: s.holdSeconds,
    currentCeilingAmps: s.currentCeilingAmps,
    expectedBPlus:
      typeof s.expectedBPlus === 'string'
        ? s.expectedBPlus
        : `${Math.round(s.expectedBPlus.lowVolts)} to ${Math.round(s.expectedBPlus.highVolts)} V`,
    watch: s.note,
  }));
}
