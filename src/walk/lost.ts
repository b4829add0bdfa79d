// What must not run: after a cold reading that forbids it, or once a core part is as good as lost. Said by the rule base, kept to by what the
// walk itself offers.
import { type Belief, type JudgedReading, LOST, type StandingStop } from '../diagnosis/index.ts';
import { isLiveCheck } from '../rulebook/live.ts';
import type { Check, Rulebook } from '../rulebook/types.ts';
import { type Bar, type SafetyState, tripped } from '../safety/index.ts';

/** What the walk no longer offers. */
export interface KeptOff {
  /** No power at all. */
  readonly power: boolean;
  /** The horizontal stage stays disabled. */
  readonly stage: boolean;
  /** Cold readings that forbid it. A lost part is said by the end of the walk itself. */
  readonly bars: readonly Bar[];
}

export const NOTHING_OFF: KeptOff = { power: false, stage: false, bars: [] };

/** What cold readings (`bars`) and core parts that are as good as lost keep off. */
export function keptOff(book: Rulebook, belief: Belief, bars: readonly Bar[]): KeptOff {
  const lost = book.assemblies.filter((a) => a.core && (belief.assemblies.get(a.id) ?? 0) >= LOST);
  return {
    power: lost.some((a) => a.whileLost === 'cold') || bars.some(({ from }) => from === 'power'),
    stage: lost.some((a) => a.whileLost === 'stage-off') || bars.some(({ from }) => from === 'horizontal'),
    bars,
  };
}

/** Stop limits that the last reading of a check lies beyond, in the order of `checks`, and what stopped the last run without being a check. */
export function stopsStanding(
  checks: readonly Check[],
  readings: readonly JudgedReading[],
  dangers: SafetyState['dangers'],
): readonly StandingStop[] {
  const read = checks.flatMap((check) => {
    const last = readings.findLast((reading) => reading.check.id === check.id);
    const say = last && tripped(check, last.value);
    return say === undefined ? [] : [{ check: check.id, say, live: isLiveCheck(check) }];
  });
  // Those that were readings are among what was read.
  const others = dangers.filter(({ seq }) => seq === undefined);
  return [...others.map(({ say }) => ({ check: '', say, live: true })), ...read];
}

/** Whether the walk still offers a check; a technician may choose it all the same where the interlock lets it through. */
export function isKeptOff(check: Check, off: KeptOff): boolean {
  const live = isLiveCheck(check);
  return (off.power && live) || (off.stage && check.config.horizontal === 'enabled');
}
