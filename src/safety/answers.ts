// What an answer to a gate does to the proofs: where it counts, what it proves, what a bad one takes away.
import { WITHDRAWN } from '../session/fold.ts';
import type { ReadingValue, SafetyEntry } from '../session/types.ts';
import { bringUpLeft, bringUpWords } from './bring-up.ts';
import type { SafetyFacts } from './facts.ts';
import { type Gate, type GateId, NOT_YET } from './gate.ts';
import { ALARM, PUT_RIGHT } from './gates-before-power.ts';
import { ANODE_WAIT_SECONDS } from './gates-cold.ts';
import { EHT_LINK, judgeGate, meets } from './judge.ts';
import {
  anodeYoung,
  CHASSIS,
  COLD,
  chassisProven,
  coldComplete,
  endangered,
  gatesById,
  isCold,
  isLive,
  leadDoubted,
  type Machine,
  READY,
  stopped,
  without,
  withoutCold,
  withProof,
  zeroGates,
} from './proofs.ts';

/** The machine after an answer to a gate. */
export function answered(
  machine: Machine,
  entry: Extract<SafetyEntry, { type: 'gate' }>,
  at: number,
  facts: SafetyFacts,
): Machine {
  const gate = gatesById(facts).get(entry.gate);
  if (gate === undefined) return machine;
  if (entry.value.kind === 'choice' && entry.value.option === NOT_YET) return machine;
  const { pass } = judgeGate(gate, entry.value);
  const withdrawn = entry.value.kind === 'choice' && entry.value.option === WITHDRAWN;
  const high = entry.door === undefined && tooHighForLine(machine, gate, entry.value, facts);
  if (!pass || high)
    return refuted(
      machine,
      gate.id,
      withdrawn,
      pass ? `At ${machine.lineVolts} V of line its limit is lower in proportion. ` : '',
    );
  // What was finished by the proofs of its day stays finished.
  const held =
    gate.id !== 'bring-up-finished' ||
    entry.door !== undefined ||
    bringUpWords(bringUpLeft(machine, facts, at)) === undefined;
  if (!held || !counts(machine, gate.id, at, facts, entry.door !== undefined)) return machine;
  const next = proven(machine, gate.id, at, facts);
  // What an older file calls finished was not held by today's measure: the next bring-up is a whole one.
  if (gate.id === 'bring-up-finished') return entry.door === undefined ? { ...next, broughtUp: true } : next;
  // Taken out for full line, the lamp has to go back in before it limits anything.
  if (gate.id === 'lamp-bypassed') return without(next, ['lamp-choice']);
  if (CHASSIS.includes(gate.id) && entry.door === undefined)
    return { ...next, chassisRead: new Map([...next.chassisRead, [gate.id, entry.value]]) };
  // What was put right may be the supply: it comes up on the lamp once more.
  if (gate.id === 'cause-found' && entry.value.kind === 'choice' && entry.value.option === PUT_RIGHT)
    return without(next, ['bring-up-finished', 'lamp-bypassed']);
  if (entry.value.kind !== 'number') return next;
  if (gate.id === 'lamp-choice') return { ...next, lampWatts: entry.value.value };
  return gate.id === 'bench-fuse' ? { ...next, fuseAmps: entry.value.value } : next;
}

/** Share of full line below which a chassis reading is no smaller in proportion: meters read a few hundred millivolts of anything. */
const LEAST_SHARE = 0.12;

/** On a lowered line a chassis that hangs on it reads lower too: the limit goes down with the line. */
export function tooHighForLine(
  machine: Machine,
  gate: Gate,
  value: ReadingValue,
  facts: SafetyFacts,
): boolean {
  if (!CHASSIS.includes(gate.id) || gate.limit.kind !== 'below' || !isLive(machine)) return false;
  const share = Math.min(1, Math.max(LEAST_SHARE, machine.lineVolts / facts.ratedVolts));
  return !meets({ ...gate.limit, value: gate.limit.value * share }, value);
}

/**
 * A passing answer counts only in its place: dead readings between two meter proofs, the second anode reading 5 min after the first, hands at
 * the HV cage right after the anode was read (`older`: an entry of a file from before that was asked).
 */
export function counts(machine: Machine, id: GateId, at: number, facts: SafetyFacts, older = false): boolean {
  const has = (...ids: readonly GateId[]) => ids.every((each) => machine.proofs.has(each));
  const live = isLive(machine);
  switch (id) {
    case 'plug-pulled':
      return !live;
    case 'eye-protection':
      return !live && has('plug-pulled');
    case 'eht-kind':
    case 'meter-before':
      return !live && has('plug-pulled', 'eye-protection');
    case 'anode-first':
    case 'electrolytics':
    case 'boost-capacitor':
    case 'hv-capacitor':
    case 'eht-link':
      return !live && has(...READY);
    case 'anode-second': {
      const first = machine.proofs.get('anode-first')?.at;
      return !live && has(...READY) && first !== undefined && at - first >= ANODE_WAIT_SECONDS * 1000;
    }
    case 'anode-third':
      return !live && has(...READY, 'anode-second');
    case 'meter-after':
      return !live && has(...READY, ...zeroGates(facts, machine.anodeRecheck));
    case 'still-cold':
      return coldComplete(machine, facts);
    case 'chassis-ac':
    case 'chassis-dc':
      return live;
    case 'bring-up-finished':
      return machine.supply === 'isolated-limited' && chassisProven(machine) && machine.stop === undefined;
    case 'lamp-bypassed':
      return has('bring-up-finished');
    case 'why-off':
      return !live && machine.askWhyOff;
    case 'cause-found':
      return !live && machine.dangers.length > 0;
    case 'isolation-poles':
    case 'isolation-ohms':
    case 'isolation-size':
    case 'lamp-choice':
    case 'bench-fuse':
      return !live;
    case 'horizontal-disabled':
    case 'coating-ground':
    case 'cone-insulation':
      return isCold(machine, facts, at) && (older || anodeYoung(machine, at));
    case 'stage-fuse':
    case 'all-plugged':
    case 'nothing-earthed':
      return isCold(machine, facts, at);
    case 'links-removed':
      return isCold(machine, facts, at) && machine.links.length === 0;
  }
}

function proven(machine: Machine, id: GateId, at: number, facts: SafetyFacts): Machine {
  if (id === 'still-cold') {
    const proofs = new Map(machine.proofs);
    // One reading renews the proof of S0; it does not make the anode's own reading younger.
    for (const id of [...zeroGates(facts, machine.anodeRecheck), 'meter-before'] as const) {
      const old = machine.proofs.get(id);
      proofs.set(id, { at, readAt: old?.readAt ?? old?.at ?? at });
    }
    return { ...machine, proofs };
  }
  if (id === 'cause-found') return { ...machine, dangers: [] };
  if (id === 'why-off') return { ...machine, askWhyOff: false };
  if (id === 'bring-up-finished') return withProof(machine, id, at);
  if (id === 'anode-third' || !machine.proofs.has(id)) {
    const next = withProof(machine, id, at);
    if (id === 'horizontal-disabled') return { ...next, horizontal: 'disabled' };
    if (id === 'eht-link') return linked(next);
    return id === 'plug-pulled' ? { ...next, supply: 'unplugged' } : next;
  }
  // Proven already: the older time stands, so that reading one thing again does not make the others younger.
  return id === 'eht-link' ? linked(machine) : machine;
}

function linked(machine: Machine): Machine {
  return { ...machine, links: [...machine.links.filter((what) => what !== EHT_LINK), EHT_LINK] };
}

/** `lower`: why a reading within the limit of full line is over it all the same. */
function refuted(machine: Machine, id: GateId, withdrawn: boolean, lower: string): Machine {
  switch (id) {
    case 'plug-pulled': {
      const lost = withoutCold(machine);
      return isLive(machine) ? lost : { ...lost, supply: 'unknown' };
    }
    case 'meter-before':
    case 'meter-after':
    case 'still-cold':
      return {
        ...without(
          machine,
          COLD.filter((each) => each !== 'plug-pulled' && each !== 'eye-protection'),
        ),
        anodeRecheck: false,
      };
    case 'anode-first':
    case 'anode-second':
    case 'anode-third':
      return without(machine, ['anode-first', 'anode-second', 'anode-third', 'meter-after']);
    case 'electrolytics':
    case 'boost-capacitor':
    case 'hv-capacitor':
    case 'eht-link':
      return without(machine, [id, 'meter-after']);
    case 'chassis-ac':
    case 'chassis-dc': {
      const bare = without(machine, CHASSIS);
      if (withdrawn || !isLive(machine)) return bare;
      const distrusted = without(bare, ['isolation-poles', 'isolation-ohms']);
      return stopped(
        distrusted,
        'chassis-hot',
        `The chassis is hot behind the isolation transformer. ${lower}UNPLUG NOW. Then prove the transformer again.`,
        { say: 'The chassis read hot behind the isolation transformer.' },
      );
    }
    case 'bring-up-finished': {
      const bare = { ...without(machine, [id]), broughtUp: false };
      const say = 'The bring-up was aborted.';
      // Said right after the plug was pulled, it was this run.
      if (!withdrawn && machine.held !== undefined) return { ...endangered(bare, { say }), askWhyOff: false };
      if (withdrawn || !isLive(machine)) return bare;
      return stopped(bare, 'bring-up-aborted', `${say} UNPLUG NOW, then find out why before any power.`, {
        say,
      });
    }
    case 'cause-found':
      // Taken back: what it was is in the record, that it was something is not forgotten.
      return withdrawn && machine.dangers.length === 0
        ? { ...machine, dangers: [{ say: 'Something dangerous was read when it last ran.' }] }
        : machine;
    case 'why-off':
      if (withdrawn || isLive(machine)) return { ...machine, askWhyOff: !isLive(machine) };
      return machine.askWhyOff ? { ...endangered(machine, { say: ALARM }), askWhyOff: false } : machine;
    case 'horizontal-disabled':
      return { ...without(machine, [id]), horizontal: isLive(machine) ? machine.horizontal : 'unknown' };
    case 'nothing-earthed':
      return leadDoubted(without(machine, [id]));
    default:
      return without(machine, [id]);
  }
}
