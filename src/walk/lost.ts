// What must not run any more once a core part is as good as lost: said by the rule base, kept to by what the walk itself offers.
import { type Belief, LOST } from '../diagnosis/index.ts';
import type { Check, Rulebook } from '../rulebook/types.ts';

/** What the walk no longer offers. */
export interface KeptOff {
  /** No power at all. */
  readonly power: boolean;
  /** The horizontal stage stays disabled. */
  readonly stage: boolean;
}

export const NOTHING_OFF: KeptOff = { power: false, stage: false };

/** What the core parts that are as good as lost keep off. */
export function keptOff(book: Rulebook, belief: Belief): KeptOff {
  const lost = book.assemblies.filter((a) => a.core && (belief.assemblies.get(a.id) ?? 0) >= LOST);
  return {
    power: lost.some((a) => a.whileLost === 'cold'),
    stage: lost.some((a) => a.whileLost === 'stage-off'),
  };
}

/** Whether the walk still offers a check; a technician may choose it all the same where the interlock lets it through. */
export function isKeptOff(check: Check, off: KeptOff): boolean {
  const live = check.state === 'S1' || check.state === 'S2';
  return (off.power && live) || (off.stage && check.config.horizontal === 'enabled');
}
