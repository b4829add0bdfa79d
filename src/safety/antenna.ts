// Whether a signal source may hang on the antenna terminals: on a hot chassis only after they were proven apart from the line, cold.
import type { Check } from '../rulebook/types.ts';
import type { ReadingValue, SessionState } from '../session/types.ts';
import type { SafetyState } from './state.ts';

/** Checks that prove the antenna terminals apart from chassis and line: plain ohms, and at 500 V. */
const ANTENNA: readonly string[] = ['antenna-terminal-ohms', 'antenna-isolation-ohms'];
/** Readings after which no source and no antenna is connected. */
const LEAKS: readonly string[] = ['leaking', 'short'];
/** Blades to chassis: a chassis that reads connected is hot, whatever the set was described as. */
const BLADES = 'blade-chassis-ohms';
const CONNECTED = 'finite';

/** What is known of the antenna terminals. */
export type Antenna =
  /** `tested`: read, or no hot chassis; `untested`: every check of it was skipped or has no instrument today: with a warning. */
  | { readonly may: true; readonly known: 'not-hot' | 'tested' | 'untested' }
  | {
      readonly may: false;
      /** What stands in the way, in the technician's words. */
      readonly missing: string;
      /** Checks that would settle it. */
      readonly open: readonly string[];
    };

/** Does this check read the antenna terminals, so that nothing may hang on them? */
export function readsAntenna(check: Pick<Check, 'id'>): boolean {
  return ANTENNA.includes(check.id);
}

interface Standing {
  readonly check: Check;
  readonly status: string;
}

/** May the lead of a signal source go to the antenna terminals? `standings` are those of every check that applies to the set. */
export function antennaOf(state: SessionState, safety: SafetyState, standings: readonly Standing[]): Antenna {
  const last = (id: string) =>
    state.readings.findLast((reading) => reading.check === id && !safety.disbelieved.has(reading.seq));
  const { chassis } = safety.facts.facts;
  if (chassis !== undefined && chassis !== 'unknown' && chassis !== 'hot') {
    return optionOf(last(BLADES)?.value) === CONNECTED
      ? {
          may: false,
          missing: 'the chassis reads connected to the line: correct the family of the set first',
          open: [],
        }
      : { may: true, known: 'not-hot' };
  }
  const checks = standings
    .filter(({ check }) => readsAntenna(check))
    .map(({ check, status }) => {
      const reading = last(check.id);
      return {
        check,
        // A reading that a later repair has made stale leaves the check to be done again.
        fresh: status === 'done',
        open: status === 'allowed' || status === 'locked',
        seq: reading?.seq ?? 0,
        bad: reading !== undefined && isBad(reading.value),
      };
    });
  const open = checks.filter((one) => one.open).map(({ check }) => check);
  const good = checks.filter((one) => one.fresh && !one.bad);
  // The last reading of each check counts: a bad one is cleared by the same check read again, or after a repair by either. Leaving
  // the check out clears nothing.
  const bad = checks.find((one) => one.bad && (one.fresh || !good.some(({ seq }) => seq > one.seq)));
  if (bad?.fresh)
    return {
      may: false,
      missing: 'antenna terminals that do not leak: both capacitors replaced, then read again',
      open: [],
    };
  if (bad !== undefined || open.length > 0 || checks.length === 0) {
    const words = open.map(({ title }) => `first: ${title}`).join('; ');
    return {
      may: false,
      missing: words || 'antenna terminals of this hot chassis proven apart from the line',
      open: open.map(({ id }) => id),
    };
  }
  return { may: true, known: good.length > 0 ? 'tested' : 'untested' };
}

function optionOf(value: ReadingValue | undefined): string | undefined {
  return value?.kind === 'choice' ? value.option : undefined;
}

/** Anything but one of the two harmless answers; what is no answer of the list is not trusted. */
function isBad(value: ReadingValue): boolean {
  const option = optionOf(value);
  return option === undefined || LEAKS.includes(option);
}
