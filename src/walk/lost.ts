// What must not run: after a cold reading that forbids it, or once a core part is as good as lost. Said by the rule base, kept to by what the
// walk itself offers.
import { type Belief, type JudgedReading, LOST, type StandingStop } from '../diagnosis/index.ts';
import { isLiveCheck } from '../rulebook/live.ts';
import type { Check, Rulebook } from '../rulebook/types.ts';
import { type Bar, type SafetyState, tripRule } from '../safety/index.ts';

/** What the walk no longer offers. */
export interface KeptOff {
  /** No power at all. */
  readonly power: boolean;
  /** The horizontal stage stays disabled. */
  readonly stage: boolean;
  /** Hands at the picture tube: its neck or seal is cracked. */
  readonly tube: boolean;
  /** Cold readings that forbid it. A lost part is said by the end of the walk itself. */
  readonly bars: readonly Bar[];
}

/** Assembly whose glass may implode. */
const PICTURE_TUBE = 'picture-tube';
/** Sections where hands go to its base, neck and yoke. */
const AT_TUBE: readonly string[] = ['picture-tube', 'gun-voltages', 'yoke'];

/** Hands or clips at the picture tube; a look from where one stands is none. */
function isAtTube({ section, access, cautions }: Check): boolean {
  return (
    AT_TUBE.includes(section) &&
    access !== 'outside' &&
    access !== 'off-set' &&
    !cautions.includes('look-only')
  );
}

export const NOTHING_OFF: KeptOff = { power: false, stage: false, tube: false, bars: [] };

/** What cold readings (`bars`) and core parts that are as good as lost keep off. */
export function keptOff(book: Rulebook, belief: Belief, bars: readonly Bar[]): KeptOff {
  const lost = book.assemblies.filter((a) => a.core && (belief.assemblies.get(a.id) ?? 0) >= LOST);
  return {
    power: lost.some((a) => a.whileLost === 'cold') || bars.some(({ from }) => from === 'power'),
    stage: lost.some((a) => a.whileLost === 'stage-off') || bars.some(({ from }) => from === 'horizontal'),
    tube: bars.some(({ condemns }) => condemns === PICTURE_TUBE),
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
    const rule = last && tripRule(check, last.value);
    if (rule === undefined) return [];
    const { say, condemns } = rule;
    return [
      { check: check.id, say, live: isLiveCheck(check), ...(condemns === undefined ? {} : { condemns }) },
    ];
  });
  // Those that were readings are among what was read.
  const others = dangers.filter(({ seq }) => seq === undefined);
  return [...others.map(({ say }) => ({ check: '', say, live: true })), ...read];
}

/** Whether the walk still offers a check; a technician may choose it all the same where the interlock lets it through. */
export function isKeptOff(check: Check, off: KeptOff): boolean {
  const live = isLiveCheck(check);
  return (
    (off.power && live) ||
    (off.stage && check.config.horizontal === 'enabled') ||
    (off.tube && isAtTube(check))
  );
}
