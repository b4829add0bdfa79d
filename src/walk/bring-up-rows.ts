// The table of a first power-up, from the family and label of the set and the lamp in series.
import { RECTIFIER_HOT_ABOVE, rectifierState } from '../bench/index.ts';
import type { Check } from '../rulebook/types.ts';
import { bringUpOf, bringUpWords, rectifierOf, type SafetyState } from '../safety/index.ts';
import type { Circumstances } from './expected.ts';
import type { BringUpRow, Step } from './types.ts';

/** The rows behind the lamp, or those of the full line after it; empty where the family's circuit is not one of the four that are solved. */
export function bringUpRows(
  { facts, lampWatts, fuseAmps }: SafetyState,
  to: 'lamp' | 'full-line',
): BringUpRow[] {
  const steps = bringUpOf(facts, lampWatts)?.steps ?? [];
  // What the fuse does not carry is no ceiling: the set is off before it is reached.
  const isFused = (amps: number): boolean => fuseAmps > 0 && amps > fuseAmps;
  return steps
    .filter(({ lampIn }) => lampWatts === 0 || lampIn === (to === 'lamp'))
    .map((s) => ({
      dialVolts: s.lineVolts,
      lineVolts: s.setVolts,
      holdSeconds: s.holdSeconds,
      currentCeilingAmps: isFused(s.currentCeilingAmps) ? fuseAmps : s.currentCeilingAmps,
      expectedBPlus:
        typeof s.expectedBPlus === 'string'
          ? s.expectedBPlus
          : `${Math.round(s.expectedBPlus.lowVolts)} to ${Math.round(s.expectedBPlus.highVolts)} V`,
      watch: [s.note, isFused(s.currentCeilingAmps) ? 'The bench fuse sets the most.' : '']
        .filter((words) => words !== '')
        .join(' '),
    }));
}

/** The question whether the bring-up is finished, with its table and what it still lacks. */
export function bringUpGate(gate: Step & { kind: 'gate' }, safety: SafetyState): Step {
  const missing = safety.bringUp && bringUpWords(safety.bringUp);
  return {
    ...gate,
    rows: bringUpRows(safety, 'lamp'),
    ...(missing === undefined ? {} : { lacking: missing }),
  };
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
