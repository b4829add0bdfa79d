// Whether a signal source may hang on the antenna terminals: on a hot chassis only after they were proven apart from the line, cold.
import type { Check } from '../rulebook/types.ts';
import type { ReadingValue, SessionState } from '../session/types.ts';
import { tripped } from './check-safety.ts';
import type { SafetyState } from './state.ts';

/** Checks that prove the antenna terminals apart from chassis and line: plain ohms, and at 500 V. */
const ANTENNA: readonly string[] = ['antenna-terminal-ohms', 'antenna-isolation-ohms'];
/** Readings after which no source and no antenna is connected. */
const LEAKS: readonly string[] = ['leaking', 'short'];
/** Blades to chassis: a chassis that reads connected is hot, whatever the set was described as; only an open one speaks for it. */
const BLADES = 'blade-chassis-ohms';
const CONNECTED = 'finite';
const APART = 'open';
/** The same at 500 V. */
const INSULATION = 'line-insulation';

/** What is known of the antenna terminals. */
export type Antenna =
  /**
   * `not-hot`: the chassis reads apart from the line; `tested`: the terminals were read; `untested`: what would tell was skipped, has no
   * instrument today or did not settle it: with a warning.
   */
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
    const refused = (missing: string, open: readonly string[] = []): Antenna => ({
      may: false,
      missing,
      open,
    });
    if (optionOf(last(BLADES)?.value) === CONNECTED)
      return refused('the chassis reads connected to the line: correct the family of the set first');
    const insulation = standings.find(({ check }) => check.id === INSULATION)?.check;
    const leak = last(INSULATION);
    if (insulation !== undefined && leak !== undefined && tripped(insulation, leak.value) !== undefined)
      return refused(`a chassis apart from the line: ${insulation.title} reads too low`);
    const blades = standings.find(({ check }) => check.id === BLADES);
    if (blades !== undefined && isOpen(blades.status))
      return refused(`first: ${blades.check.title}`, [BLADES]);
    // A kick of the meter is a capacitor from the line to the chassis; not read, it may be anything.
    return { may: true, known: optionOf(last(BLADES)?.value) === APART ? 'not-hot' : 'untested' };
  }
  const checks = standings
    .filter(({ check }) => readsAntenna(check))
    .map(({ check, status }) => {
      const reading = last(check.id);
      return {
        check,
        // A reading that a later repair has made stale leaves the check to be done again.
        fresh: status === 'done',
        open: isOpen(status),
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

const isOpen = (status: string): boolean => status === 'allowed' || status === 'locked';

function optionOf(value: ReadingValue | undefined): string | undefined {
  return value?.kind === 'choice' ? value.option : undefined;
}

/** Anything but one of the two harmless answers; what is no answer of the list is not trusted. */
function isBad(value: ReadingValue): boolean {
  const option = optionOf(value);
  return option === undefined || LEAKS.includes(option);
}
