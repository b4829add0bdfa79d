// What to do next, in order: make it dead, confirm, decide about core parts, repair in the order that protects them, renew what has aged, finish.
import type { Part, Rulebook } from '../rulebook/types.ts';
import { agedPositions, caution, classReplacements, KIND_CAUTION } from './class-replacement.ts';
import {
  confirmations,
  isSettledByStop,
  openSignSteps,
  partOf,
  raisedBy,
  SURE_ENOUGH,
} from './confirming.ts';
import { BEARABLE, oddsMoved, partBad, RAISED } from './grades.ts';
import { firstPower, missingProofs, type StepsInput } from './missing-proof.ts';
import { checkTitle, inSentence, isLook, listWords, sentence, sentences } from './plain-words.ts';
import type { NextStep, Suspect } from './types.ts';

/** Suspects below this P(bad) are left to the next measurement. */
export const WORTH_NAMING = 0.15;
const NAMED_AT_MOST = 8;

/**
 * Order of repair by section: supply first, then drive and coupling before the output stage is enabled, then what it feeds.
 * A dead drive or a leaky coupling capacitor kills the output tube and the flyback in seconds. Common practice, no source.
 */
const REPAIR_ORDER: readonly string[] = [
  'line-input',
  'heaters',
  'b-plus',
  'wiring',
  'horizontal-oscillator',
  'horizontal-output',
  'damper-boost',
  'flyback',
  'high-voltage',
  'yoke',
  'gun-voltages',
  'video-output',
  'picture-tube',
  'vertical-oscillator',
  'vertical-output',
  'horizontal-afc',
  'sync',
  'video-detector',
  'agc',
  'picture-if',
  'tuner',
  'sound',
];

/** Steps in order, with the hours and cost that they add up to: jobs less likely than not count only with their probability at the upper end. */
export interface Steps {
  readonly steps: readonly NextStep[];
  readonly hours: readonly [number, number];
  readonly cost: readonly [number, number];
}

interface Weighted {
  readonly step: NextStep;
  /** P(the job is needed). */
  readonly likelihood: number;
}

/** The ordered list of next steps for a set as it is believed to be now. Costs are in the local currency that the rules were written for. */
export function nextSteps(input: StepsInput): Steps {
  const named = input.suspects
    .filter((suspect) => suspect.partProbability >= WORTH_NAMING && pointedAt(suspect))
    .slice(0, NAMED_AT_MOST);
  const repairs = repairSteps(named, input);
  const signs = openSignSteps(named, input);
  // What is likely is mended first: the sign may go with it. What may cost a core part is looked at before.
  const mended = named.some((suspect) => suspect.partProbability >= SURE_ENOUGH);
  const before = signs.filter(({ core }) => core || !mended);
  const after = signs.filter(({ core }) => !core && mended);
  const proofs = missingProofs(input);
  const cold = proofs.filter((proof) => proof.cold);
  const live = proofs.filter((proof) => !proof.cold);
  const renewals = classReplacements({ ...input, named: named.map((suspect) => suspect.part) });
  // What the verdict waits for is found out before the rest is renewed; what keeps such a run from killing a part is renewed before it.
  const waits = live.length > 0;
  const first = waits ? renewals.filter((step) => step.beforeRun) : renewals;
  const all: readonly Weighted[] = [
    certain(makeDead(input)),
    ...standingStops(input).map(certain),
    ...doubts(input).map(certain),
    ...confirmations(named, input).map(certain),
    ...before.map(({ step }) => certain(step)),
    ...outsideTheRules(named, input).map(certain),
    ...decisions(input).map(certain),
    // What needs no power is known before anything is bought.
    ...cold.map(({ step }) => certain(step)),
    ...repairs,
    ...after.map(({ step }) => certain(step)),
    ...first.map(certain),
    ...(repairs.length > 0 ? [certain(afterRepair(named, input))] : []),
    ...firstPower(input).map(certain),
    ...live.map(({ step }) => certain(step)),
    ...renewals.filter((step) => !first.includes(step)).map(certain),
    ...finish(input).map(certain),
  ];
  return {
    steps: all.map((entry) => entry.step),
    hours: total(all, (step) => step.hours),
    cost: total(all, (step) => step.cost),
  };
}

/**
 * How many steps from the first one it takes to find out what the verdict waits for; 0 where it waits for nothing. Where a core part is
 * lost, that is decided on before anything is repaired or renewed, a proof of another part included.
 */
export function untilSettled(steps: readonly NextStep[]): number {
  const lost = steps.some(({ kind, settles }) => kind === 'decide' && settles);
  const work = steps.findIndex(({ kind }) => kind === 'repair' || kind === 'class-replacement');
  const before = lost && work >= 0 ? steps.slice(0, work) : steps;
  return before.findLastIndex((step) => step.settles === true) + 1;
}

/** Whether readings raised a suspect, as against a part that age alone makes likely: that one is renewed with its class. */
export function pointedAt({ partProbability, prior }: Pick<Suspect, 'partProbability' | 'prior'>): boolean {
  return oddsMoved(partProbability, prior) >= RAISED;
}

function certain(step: NextStep): Weighted {
  return { step, likelihood: 1 };
}

function total(
  steps: readonly Weighted[],
  of: (step: NextStep) => readonly [number, number],
): readonly [number, number] {
  let low = 0;
  let high = 0;
  for (const { step, likelihood } of steps) {
    const likely = likelihood >= 0.5;
    low += likely ? of(step)[0] : 0;
    high += of(step)[1] * (likely ? 1 : likelihood);
  }
  return [low, high];
}

function makeDead({ rulebook }: StepsInput): NextStep {
  return {
    kind: 'safety',
    action: 'Before any hand goes in: pull the plug, discharge, and prove it by a reading',
    part: '',
    why: 'Every filter capacitor across its own terminals and the picture-tube anode twice; a set that does not work is the one that stays charged.',
    caution: caution(rulebook, 'each-capacitor', 'anode', 'one-hand'),
    hours: [0.1, 0.2],
    cost: [0, 0],
  };
}

/** What readings forbade is said before all else: cold ones as the order that they gave, live ones together. */
function standingStops({ rulebook, context }: StepsInput): readonly NextStep[] {
  const step = (action: string, why: string): NextStep => ({
    kind: 'safety',
    action,
    part: '',
    why,
    caution: '',
    hours: [0, 0],
    cost: [0, 0],
  });
  const stops = context.stops ?? [];
  const live = stops.filter((stop) => stop.live);
  const titles = listWords(
    live.map(({ check }) => (check === '' ? 'the last run' : checkTitle(rulebook, check))),
  );
  return [
    ...stops
      .filter((stop) => !stop.live)
      .map(({ check, say }) =>
        step(say.replace(/\.$/, ''), `That is what was read: ${checkTitle(rulebook, check)}.`),
      ),
    ...(live.length > 0
      ? [
          step(
            `Do not run it again before the cause is found: ${titles} called for power off`,
            sentences(...live.map(({ say }) => say)),
          ),
        ]
      : []),
  ];
}

/** Readings to be taken again by hand: at most this many are named. */
const AGAIN_AT_MOST = 3;

/** What does not fit is settled before anything is replaced for its sake: instruments and return points first, then single readings. */
function doubts({ rulebook, context }: StepsInput): readonly NextStep[] {
  const step = (action: string, why: string, hours: readonly [number, number], plain?: string): NextStep => ({
    kind: 'measure',
    action,
    ...(plain === undefined ? {} : { plain }),
    settles: true,
    part: '',
    why,
    caution: '',
    hours,
    cost: [0, 0],
  });
  const conflicts = context.conflicts ?? [];
  const again = conflicts.filter((c) => c.prove === undefined && c.slip.kind !== 'none');
  const names = [
    ...new Set(
      again
        .flatMap((c) => c.readings ?? [c.seq])
        .flatMap((seq) => context.readings.find((r) => r.seq === seq)?.check.id ?? []),
    ),
  ];
  const shown = names.slice(0, AGAIN_AT_MOST);
  return [
    ...conflicts.flatMap((c) =>
      c.prove ? [step(c.prove, c.say.split(/(?<=[.!?]) /)[0] ?? '', [0.1, 0.3])] : [],
    ),
    ...(again[0] && shown.length > 0
      ? [
          step(
            takeAgain(rulebook, shown, names.length > shown.length),
            again[0].say,
            [0.05 * shown.length, 0.2 * shown.length],
            'Take again the readings that do not fit the rest',
          ),
        ]
      : []),
  ];
}

/** `Measure again: A and B; look again: C`: nothing is measured about a look. */
function takeAgain(rulebook: Rulebook, ids: readonly string[], more: boolean): string {
  const looks = new Set(rulebook.checks.filter(isLook).map((check) => check.id));
  const titles = (look: boolean) =>
    ids.filter((id) => looks.has(id) === look).map((id) => checkTitle(rulebook, id));
  const [measured, looked] = [titles(false), titles(true)];
  const others = more ? ['others that do not fit'] : [];
  return sentence(
    [
      measured.length > 0 ? `measure again: ${listWords([...measured, ...others])}` : '',
      looked.length > 0
        ? `look again: ${listWords(measured.length > 0 ? looked : [...looked, ...others])}`
        : '',
    ]
      .filter((text) => text !== '')
      .join('; '),
  );
}

/** Suspects that stand for a cause unknown to the rules: nothing to replace, something to look for. */
function outsideTheRules(named: readonly Suspect[], input: StepsInput): readonly NextStep[] {
  return named
    .filter((suspect) => !partOf(suspect, input))
    .map((suspect) => ({
      kind: 'measure' as const,
      action:
        'Look for what the rules do not know: wiring, solder joints, earlier repairs, parts of a wrong value',
      plain:
        'Look for a cause that is on no list: wiring, solder joints, earlier repairs, parts of a wrong value',
      part: suspect.title,
      why: 'The readings there fit none of the faults that the rules name.',
      caution: caution(input.rulebook, 'never-live'),
      hours: [0.5, 2] as const,
      cost: [0, 5] as const,
    }));
}

function decisions(input: StepsInput): readonly NextStep[] {
  const steps: NextStep[] = [];
  const lost = input.context.plan.stop?.lost;
  for (const entry of input.core.filter(({ grade, id }) => grade === 'failed' || id === lost)) {
    const assembly = input.rulebook.assemblies.find((one) => one.id === entry.id);
    const worst = input.rulebook.parts
      .filter(
        (part) => part.assembly === entry.id && input.belief.parts.has(part.id) && !BEARABLE.has(part.id),
      )
      .toSorted((a, b) => partBad(input.belief, b.id) - partBad(input.belief, a.id))[0];
    steps.push({
      kind: 'decide',
      action: `Decide with the owner before any hour goes into the chassis: the ${inSentence(entry.title)}`,
      plain: `Decide whether to go on: the ${inSentence(entry.title)}`,
      settles: true,
      part: entry.title,
      why: assembly?.decision ?? '',
      caution: sentences(
        worst?.remedy.caution ?? '',
        'Anything that can finish the part needs the owner’s consent first.',
        caution(input.rulebook, ...(entry.id === 'picture-tube' ? ['implosion', 'anode'] : [])),
      ),
      hours: worst?.remedy.hours ?? [1, 4],
      cost: worst?.remedy.cost ?? [0, 0],
    });
  }
  return steps;
}

function repairRank(part: Part): number {
  const at = REPAIR_ORDER.indexOf(part.section);
  return at === -1 ? REPAIR_ORDER.length : at;
}

function isCore(part: Part, rulebook: Rulebook): boolean {
  return (
    rulebook.assemblies.some((entry) => entry.core && entry.id === part.assembly) &&
    !BEARABLE.get(part.id)?.repair
  );
}

function repairSteps(named: readonly Suspect[], input: StepsInput): readonly Weighted[] {
  return named
    .flatMap((suspect) => {
      const part = partOf(suspect, input);
      // Core parts are a decision for the owner, not a repair that is simply made.
      return part && !isCore(part, input.rulebook) ? [{ suspect, part }] : [];
    })
    .toSorted(
      (a, b) =>
        repairRank(a.part) - repairRank(b.part) || b.suspect.partProbability - a.suspect.partProbability,
    )
    .map(({ suspect, part }) => {
      const sure = suspect.partProbability >= SURE_ENOUGH || isSettledByStop(suspect, input);
      const raised = raisedBy(suspect).slice(0, 3);
      const names = listWords(raised.map((id) => checkTitle(input.rulebook, id)));
      const kindCaution = KIND_CAUTION[part.kind];
      return {
        likelihood: suspect.partProbability,
        step: {
          kind: 'repair' as const,
          action: sure ? part.remedy.action : `If confirmed: ${inSentence(part.remedy.action)}`,
          part: part.remedy.parts === '' ? suspect.title : `${part.title}: ${part.remedy.parts}`,
          why: names === '' ? 'The readings together point at it.' : `Pointed at by ${names}.`,
          caution: sentences(part.remedy.caution, kindCaution ? caution(input.rulebook, kindCaution) : ''),
          hours: part.remedy.hours,
          cost: part.remedy.cost,
        },
      };
    });
}

/** Re-measuring, with an allowance for what else may be bad: the posterior chance of every part neither named nor renewed times its remedy. */
function afterRepair(named: readonly Suspect[], input: StepsInput): NextStep {
  const own = named.map((suspect) => suspect.part);
  const renewed = agedPositions({ ...input, named: own }).map((position) => position.part.id);
  const taken = new Set([...own, ...renewed]);
  let hours = 0;
  let cost = 0;
  for (const part of input.rulebook.parts) {
    if (taken.has(part.id) || isCore(part, input.rulebook)) continue;
    const bad = partBad(input.belief, part.id);
    hours += bad * part.remedy.hours[1];
    cost += bad * part.remedy.cost[1];
  }
  return {
    kind: 'measure',
    action:
      'After each repair bring the set up again and re-measure, first what the repair should have put right',
    part: '',
    why: 'A second fault behind this one cannot be seen until it is repaired. The upper figure allows for such faults.',
    caution: caution(input.rulebook, 'eye-protection', 'unattended'),
    hours: [0.3, 0.5 + hours],
    cost: [0, cost],
  };
}

function finish({ rulebook, set, context }: StepsInput): readonly NextStep[] {
  const family = rulebook.families.find((entry) => entry.id === set.family);
  const steps: NextStep[] = [];
  if (context.ownerWish === 'watch' && set.standard !== '525') {
    steps.push({
      kind: 'decide',
      action: `Agree what will be watched on it: a ${set.standard === 'dual' ? '405/625' : set.standard}-line set needs a modulator or a standards converter`,
      part: '',
      why: 'No broadcast feeds it any more; the price of the converter is not in this estimate.',
      caution: family?.facts.chassis === 'hot' ? caution(rulebook, 'antenna-hot') : '',
      hours: [0, 0],
      cost: [0, 0],
    });
  }
  steps.push({
    kind: 'finish',
    action:
      'Before it goes home: back, knobs and insulators complete, then the exposed-metal leakage test of the closed cabinet by the finished-set procedure',
    part: 'Finished set',
    why: 'It is not part of this examination: a set that works can still put the line on a knob shaft, a screw or the antenna terminals.',
    caution: sentences(
      'The finished-set test is made by somebody qualified for it; no bare hand on the set until it is passed',
      caution(
        rulebook,
        'local-codes',
        'unattended',
        ...(family?.facts.chassis === 'hot' ? ['hot-chassis'] : []),
      ),
    ),
    hours: [0.3, 1],
    cost: [0, 0],
  });
  return steps;
}
