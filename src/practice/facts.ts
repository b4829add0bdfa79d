// A simulated set as the program knows a real one: what label, owner and a first look tell.
import type { SetFacts } from '../rulebook/types.ts';
import type { SimulatedSet } from './set.ts';

/** Invented maker of every simulated set. */
const MAKER = 'Tarnhollow';

/** Facts of the set for a session or a headless walk. The hidden faults are not among them. */
export function setFactsOf(set: SimulatedSet): SetFacts {
  return {
    name: `${MAKER} practice set ${set.seed}`,
    owner: 'practice (invented)',
    question: 'Can it be brought back?',
    family: set.family,
    standard: set.standard,
    lineVolts: set.lineVolts,
    ratedVolts: set.lineVolts,
    ratedWatts: 0,
    pictureTube: 'unknown',
    tubes: {},
    complaint: set.complaint,
    restored: set.condition === 'recapped' ? 'recapped' : 'none',
    storage: 'dry',
    facts: set.facts,
    serviceData: {},
  };
}
