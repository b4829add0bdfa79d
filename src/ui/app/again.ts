// Why a proof that was given before is asked again, in a few words: a technician who sees no reason for it stops believing in it.
import type { Check } from '../../rulebook/types.ts';
import type { Gate, GateId } from '../../safety/index.ts';
import type { SafetyEntry } from '../../session/types.ts';

/** Proofs that charge put in by a check undoes. */
const CHARGE: readonly GateId[] = [
  'electrolytics',
  'boost-capacitor',
  'hv-capacitor',
  'anode-third',
  'meter-after',
];
/** Proofs that say how a set was left before power; hands in it since undo them. */
const AS_LEFT: readonly GateId[] = [
  'all-plugged',
  'nothing-earthed',
  'links-removed',
  'coating-ground',
  'cone-insulation',
];
/** From this age on it is its age that undid a proof, ms. */
const OLD_MS = 30 * 60_000;

const TOUCHED = {
  'anode-lead': 'the anode lead was touched',
  plug: 'the plug was touched',
  'left-bench': 'the bench was left',
  injected: 'a check put charge in',
} as const;

function undoneBy(entry: SafetyEntry, gate: Gate, checks: readonly Check[]): string {
  switch (entry.type) {
    case 'resumed':
      return 'the program was opened anew';
    case 'powered-up':
      return 'powered since';
    case 'powered-off':
      return 'switched off since';
    case 'touched':
      return TOUCHED[entry.what];
    case 'repaired':
      return 'a part was repaired since';
    case 'described':
      return 'the facts of the set were changed';
    case 'configured':
      return entry.item === 'horizontal' && gate.id === 'horizontal-disabled' ? 'the stage was enabled' : '';
    case 'link-fitted':
      return gate.id === 'links-removed' ? 'a link was fitted' : '';
    case 'check': {
      const check = checks.find((c) => c.id === entry.check);
      if (check?.state !== 'S0') return '';
      if (check.injects && CHARGE.includes(gate.id)) return 'a check put charge in';
      return AS_LEFT.includes(gate.id) ? 'hands in the set since' : '';
    }
    default:
      return '';
  }
}

/**
 * What has undone a proof since it was last given; '' if it never was, or if the answer before this one simply did not pass.
 * `now`: ms since 1970.
 */
export function askedAgain(
  gate: Gate,
  log: readonly SafetyEntry[],
  checks: readonly Check[],
  now: number,
): string {
  const last = log.findLastIndex((entry) => entry.type === 'gate' && entry.gate === gate.id);
  const given = log[last];
  if (!given) return '';
  const reasons = log.slice(last + 1).map((entry) => undoneBy(entry, gate, checks));
  const why = reasons.findLast((reason) => reason !== '');
  if (why !== undefined) return why;
  return now - Date.parse(given.at) >= OLD_MS ? 'its proof is too old' : '';
}
