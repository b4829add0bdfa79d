// The table of a first power-up on the lamp, from the family and label of the set.
import {
  type BringUpPlan,
  bringUpPlan,
  RECTIFIER_HOT_ABOVE,
  RECTIFIERS,
  type Rectifier,
  rectifierState,
  TOPOLOGIES,
} from '../bench/index.ts';
import type { Check } from '../rulebook/types.ts';
import type { Circumstances } from './expected.ts';
import type { BringUpRow } from './types.ts';

/** The computed bring-up table; empty where the family's circuit is not one of the four that are solved. */
export function bringUpRows(at: Circumstances): BringUpRow[] {
  const topology = TOPOLOGIES.find((t) => t === at.facts.topology);
  if (!topology) return [];
  const rectifier = rectifierOf(at.facts);
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

/** The rectifier of the set; what such supplies mostly have where nobody has looked. */
function rectifierOf(facts: Circumstances['facts']): Rectifier {
  return (
    RECTIFIERS.find((r) => r === facts.rectifier) ??
    (facts.topology === 'full-wave' ? 'tube-direct' : 'selenium')
  );
}

/** Line volts from which B+ may be judged on the way up, where it may not yet: a tube rectifier gives nothing on a low line, and that is right. */
export function tooEarlyFor(check: Check, at: Circumstances): number | undefined {
  const readsSupply =
    check.state === 'S1' && check.expect?.from === 'formula' && check.expect.formula.startsWith('b-plus');
  if (!readsSupply || rectifierState(rectifierOf(at.facts), at.lineVolts / at.set.lineVolts) === 'conducts')
    return undefined;
  return Math.ceil(RECTIFIER_HOT_ABOVE * at.set.lineVolts);
}

/** Said of a reading of B+ on a line too low for its rectifier. */
export const tooEarlyWords = (least: number): string =>
  `Too early: a tube rectifier gives nothing below ${least} V at the plug, and that is right. Raise the line (^Y), then read it again.`;
