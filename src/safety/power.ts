// What must be proven before power comes on, or before the line is raised.
import { isMetalCone, mayHaveCoating, type SafetyFacts } from './facts.ts';
import type { GateId } from './gate.ts';
import {
  AT_THE_ANODE,
  anodeYoung,
  BENCH,
  CHASSIS,
  coldGates,
  isCold,
  isLive,
  type Machine,
  ONE_POWER_UP,
} from './proofs.ts';

/** Share of the rated line below which horizontal oscillators may not start. Common practice, no source. */
export const FULL_LINE_SHARE = 0.9;
/** What hands at coating, cone or cap take at most: the anode is read again if its reading would lapse meanwhile. */
export const HANDS_MS = 4 * 60_000;
/** Ceiling on line volts: variable transformers go to 110 to 120 %, sets do not. */
export const LINE_CEILING_SHARE = 1.1;

/** What must be proven before power of this kind; ids of gates, or words for what is no gate. */
export function powerNeeds(
  machine: Machine,
  to: 'isolated-limited' | 'isolated-full',
  lineVolts: number | undefined,
  at: number,
  facts: SafetyFacts,
): { readonly gates: readonly GateId[]; readonly words: readonly string[] } {
  const gates: GateId[] = [];
  const words: string[] = [];
  const need = (ids: readonly GateId[]) => gates.push(...ids.filter((id) => !machine.proofs.has(id)));
  const live = isLive(machine);
  const enabled = machine.horizontal === 'enabled';
  if (live) need(CHASSIS);
  else if (!isCold(machine, facts, at)) {
    const open = coldGates(facts, machine.anodeRecheck).filter((id) => !machine.proofs.has(id));
    gates.push(...(open.length > 0 ? open : (['still-cold'] as const)));
  }
  if (!live && machine.askWhyOff) gates.push('why-off');
  if (!live && machine.dangers.length > 0) gates.push('cause-found');
  need(to === 'isolated-limited' ? BENCH : BENCH.filter((id) => id !== 'lamp-choice'));
  if (!live) {
    need(mayHaveCoating(facts) ? ['coating-ground'] : []);
    need(isMetalCone(facts) ? ['cone-insulation'] : []);
    need(ONE_POWER_UP);
  }
  if (to === 'isolated-full') need(['bring-up-finished', 'lamp-bypassed']);
  if (enabled && to === 'isolated-full') need(['stage-fuse']);
  else if (enabled) words.push('horizontal output stage disabled: on a slow ramp it would run without drive');
  else if (!machine.proofs.has('horizontal-disabled') || machine.horizontal !== 'disabled')
    gates.push('horizontal-disabled');
  if (!live && AT_THE_ANODE.some((id) => gates.includes(id)) && !anodeYoung(machine, at + HANDS_MS))
    gates.push('anode-third');
  if (machine.links.length > 0) words.push(...machine.links.map((what) => `off and ticked: ${what}`));
  if (machine.stop !== undefined) words.push('power off recorded: something dangerous was read');
  if (lineVolts !== undefined) words.push(...lineWords(lineVolts, enabled, facts));
  return { gates, words };
}

/** What is wrong with these line volts, in words. */
export function lineWords(
  lineVolts: number,
  horizontalEnabled: boolean,
  facts: SafetyFacts,
): readonly string[] {
  const share = lineVolts / facts.ratedVolts;
  if (!(lineVolts > 0) || !(share <= LINE_CEILING_SHARE)) {
    return [`line volts above 0 and not above ${Math.round(facts.ratedVolts * LINE_CEILING_SHARE)} V`];
  }
  return horizontalEnabled && share < FULL_LINE_SHARE
    ? [
        `${Math.ceil(facts.ratedVolts * FULL_LINE_SHARE)} V or more in one move: with the horizontal stage enabled it must have its drive at once`,
      ]
    : [];
}
