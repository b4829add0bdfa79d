// All safety gates of a set in the order in which they are asked. Limits without a named source are common practice of the trade.
import type { SafetyFacts } from './facts.ts';
import type { Gate } from './gate.ts';
import { beforePowerGates } from './gates-before-power.ts';
import { benchGates } from './gates-bench.ts';
import { coldGates } from './gates-cold.ts';
import { liveGates } from './gates-live.ts';

/** All gates that apply to this set, in the order in which they are asked. */
export function gatesFor(facts: SafetyFacts): readonly Gate[] {
  return [...coldGates(facts), ...benchGates(facts), ...beforePowerGates(facts), ...liveGates()];
}
