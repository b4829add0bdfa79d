// What a check costs beside its own minutes: changing supply state or configuration, taking the set apart, and protective checks still open.
import type { Check } from '../rulebook/types.ts';
import type { SupplyState } from '../session/types.ts';

/** Minutes of one change on a real bench (common practice, no source): the sum of its gates, cool-down and warm-up included. */
const PROVE_DEAD = 14;
const GO_COLD = 3 + PROVE_DEAD;
const POWER_LIMITED = 9;
const POWER_FULL = 9;
const RECONFIGURE_COLD = 3;
/** Isolation proven, lamp and fuses fitted, before the first power of a session. */
const FIRST_POWER = 11;
/** Every capacitor and the anode read again, after a check that puts charge into a dead set. */
const PROVE_AGAIN = 6;
/** A signal source switched at its own output. */
const SWITCH_SOURCE = 1;

/** Minutes to open up a set that far, paid once. */
const ACCESS_MINUTES: Readonly<Record<Check['access'], number>> = {
  outside: 0,
  'back-off': 2,
  'off-set': 2,
  'chassis-out': 15,
  'board-lifted': 10,
  'tube-out': 25,
};

export interface Bench {
  readonly supply: SupplyState;
  readonly config: Readonly<Record<string, string>>;
  /** The lead of a signal source is on, so that the source needs only to be switched. */
  readonly leadFitted: boolean;
  /** Access levels reached by earlier checks. */
  readonly opened: ReadonlySet<Check['access']>;
  /** Minutes of protective checks still open before first limited power, full power, and enabling the horizontal stage. */
  readonly openMinutes: { readonly limited: number; readonly full: number; readonly horizontal: number };
  readonly poweredBefore: boolean;
}

/** Whether the set is powered. */
export function isLive(supply: SupplyState): boolean {
  return supply === 'isolated-limited' || supply === 'isolated-full';
}

/** Minutes from where the bench stands to where `check` may be taken (its own minutes not counted). */
export function changeMinutes(check: Check, bench: Bench): number {
  const live = isLive(bench.supply);
  let minutes = bench.opened.has(check.access) ? 0 : ACCESS_MINUTES[check.access];
  const { horizontal, signal } = check.config;
  const mustReconfigure = horizontal !== undefined && horizontal !== (bench.config.horizontal ?? 'disabled');
  const mustFit = signal === 'applied' && !bench.leadFitted;
  // The lead goes on at the same cold stop as the horizontal stage.
  if (mustReconfigure || mustFit) minutes += live ? GO_COLD + POWER_FULL : 0;
  if (mustReconfigure)
    minutes += RECONFIGURE_COLD + (horizontal === 'enabled' ? bench.openMinutes.horizontal : 0);
  if (mustFit) minutes += RECONFIGURE_COLD;
  if (signal !== undefined && signal !== (bench.config.signal ?? 'none')) minutes += SWITCH_SOURCE;
  if (check.state === 'any' || check.state === 'SB') return minutes + (live ? GO_COLD : 0);
  if (check.state === 'S0')
    return (
      minutes +
      (live ? GO_COLD : bench.supply === 'discharged' ? 0 : PROVE_DEAD) +
      (check.injects ? PROVE_AGAIN : 0)
    );
  const dead = bench.supply === 'discharged' || live ? 0 : PROVE_DEAD;
  const lamp = POWER_LIMITED + (bench.poweredBefore ? 0 : FIRST_POWER);
  if (check.state === 'S1') {
    if (bench.supply === 'isolated-limited') return minutes;
    return minutes + dead + lamp + (live ? GO_COLD : 0) + bench.openMinutes.limited;
  }
  if (bench.supply === 'isolated-full') return minutes;
  const first = bench.poweredBefore ? 0 : lamp;
  return minutes + dead + POWER_FULL + first + bench.openMinutes.limited + bench.openMinutes.full;
}
