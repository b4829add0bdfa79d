// What the program permits after a record, held against the second set of rules (oracle.ts).
import { permits, permitsPower, safetyOf } from '../../src/safety/index.ts';
import type { SafetyEntry } from '../../src/session/index.ts';
import { ALL_INSTRUMENTS, CHECKS, ORDINARY, RULES } from './bench-log.ts';
import { Oracle } from './oracle.ts';

/** Gates that read a zero on the way to S0, for an ordinary set. */
export const ZEROS = ['anode-first', 'electrolytics', 'boost-capacitor', 'anode-second'];

/** What the program permits after this record that the second set of rules does not bear out; `count` hears of everything permitted. */
export function unproven(
  log: readonly SafetyEntry[],
  now: number,
  count: (what: string) => void,
): readonly string[] {
  const safety = safetyOf(log, ORDINARY, ALL_INSTRUMENTS, new Date(now), RULES);
  const oracle = new Oracle(log, now, ORDINARY);
  const problems: string[] = [];
  const blame = (what: string, why: string) => {
    if (why !== '') problems.push(`${what}: ${why}`);
  };
  for (const check of Object.values(CHECKS)) {
    if (!permits(check, safety, check.config, new Set()).allowed) continue;
    count(check.id);
    if (check.state === 'any' || check.state === 'SB')
      blame(check.id, oracle.unplugged() ? '' : 'not unplugged');
    else if (check.state === 'S0') {
      blame(check.id, oracle.notDead(ZEROS));
      if (check.id === CHECKS.neck.id) blame(check.id, oracle.notAtAnode());
    } else blame(check.id, oracle.notIsolated());
    if (check.id === CHECKS.antenna.id) blame(check.id, oracle.leadMayBeOn() ? 'a lead may be on' : '');
    if (check.state !== 'S2') continue;
    if (check.config.signal === 'applied')
      blame(check.id, oracle.leadFitted(ZEROS) ? '' : 'lead not fitted cold');
    blame(check.id, oracle.live() === 'isolated-full' ? '' : 'not at full line');
    if (check.config.horizontal !== undefined) {
      blame(check.id, oracle.horizontal() === check.config.horizontal ? '' : 'horizontal stage not so');
    }
  }
  for (const to of ['isolated-limited', 'isolated-full'] as const) {
    if (!permitsPower(to, safety, to === 'isolated-full' ? 117 : 40).allowed) continue;
    count(to);
    blame(to, oracle.live() === undefined ? oracle.notDead(ZEROS) : oracle.notIsolated());
    blame(to, oracle.live() === undefined ? oracle.notExplained() : '');
    blame(to, oracle.linkOn() ? 'a link is on' : '');
    if (to === 'isolated-full') blame(to, oracle.notBroughtUp());
    else blame(to, oracle.horizontal() === 'enabled' ? 'slow ramp with the horizontal stage enabled' : '');
  }
  return problems;
}
