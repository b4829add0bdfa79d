// What must not be left behind: core parts and looks that can still be asked where the bench stands, and proofs without which no walk ends.
import type { PlannedCheck } from '../diagnosis/index.ts';
import type { Check } from '../rulebook/types.ts';
import { isLive } from './costs.ts';
import type { StepInput } from './step.ts';

/** What a check must be able to tell about a core part to be taken before the bench leaves its state, bits and bits a minute ... */
const LAST_CALL_BITS = 0.01;
const LAST_CALL_RATE = 0.004;
/** ... and the minutes that it may cost. */
const LAST_CALL_MINUTES = 15;
/** Minutes that a look may cost which the walk waits for anyway. */
const LOOK_MINUTES = 4;
/** Where the bench stands for a check. */
const PLACE = {
  any: 'cold',
  SB: 'cold',
  S0: 'cold',
  S1: 'isolated-limited',
  S2: 'isolated-full',
} as const;

/**
 * What must not be left behind: before the bench changes its state for the best check, the core parts are asked whatever can be
 * asked of them where it stands, what is seen or heard is looked at, and what the end of the walk waits for is taken. Coming back for it
 * would cost a discharge and a bring-up.
 */
export function lastCall(
  { safety, standings, state, plan }: StepInput,
  best: PlannedCheck,
): PlannedCheck | undefined {
  const here = isLive(safety.supply) ? safety.supply : 'cold';
  const horizontal = best.check.config.horizontal ?? state.config.horizontal;
  if (PLACE[best.check.state] === here && horizontal === state.config.horizontal) return undefined;
  const now = new Set(standings.filter((s) => s.status === 'allowed').map((s) => s.check.id));
  return plan.ranked.find(
    (p) =>
      now.has(p.check.id) &&
      // What is read on the lamp may be read at full line, but the walk would go down for it.
      PLACE[p.check.state] === here &&
      !p.check.risky &&
      (((tellsOfCore(p) || p.leads) && p.minutes <= LAST_CALL_MINUTES) ||
        (p.awaited && p.minutes <= LOOK_MINUTES)),
  );
}

function tellsOfCore({ coreBits, minutes }: PlannedCheck): boolean {
  return coreBits >= LAST_CALL_BITS && coreBits >= LAST_CALL_RATE * minutes;
}

/** The quickest doable check that would lift a core part from `not proven`: no walk ends while one is left undone. */
export function coreProof({ book, verdict, standings, doable }: StepInput): Check | undefined {
  const wanted = new Set(
    (verdict()?.core ?? [])
      .filter((entry) => entry.grade === 'not proven')
      .flatMap((entry) => book.assemblies.find((a) => a.id === entry.id)?.ceilings ?? [])
      .filter((ceiling) => ceiling.grade === 'serviceable')
      .flatMap(({ checks, anyOf }) => [...checks, ...anyOf]),
  );
  return standings
    .map((s) => s.check)
    .filter((check) => wanted.has(check.id) && doable.has(check.id))
    .toSorted((a, b) => (doable.get(a.id) ?? 0) - (doable.get(b.id) ?? 0))[0];
}
