// Next steps that measure before anything is replaced: suspects that are not sure enough yet, and signs that nothing found accounts for.
import type { Check, Part } from '../rulebook/types.ts';
import { caution } from './class-replacement.ts';
import { COMPLAINT } from './infer.ts';
import { canDo, type StepsInput } from './missing-proof.ts';
import { chanceWords, inSentence, isLook, listWords, sentences } from './plain-words.ts';
import type { NextStep, OpenSign, SupposedCause, Suspect } from './types.ts';

/** Below this a suspect is confirmed by measuring before anything is replaced. */
export const SURE_ENOUGH = 0.6;
/** Nobody runs a part that is in doubt for longer than this to confirm it, minutes: it may be lost meanwhile. */
export const LONGEST_CONFIRMING = 30;
/** From this chance on a suspect is what a stop limit was read for. */
const FORBIDDEN_FROM = 0.3;
/** Causes of open signs that get a step of their own. */
const CAUSES_TRIED = 3;

/** Different checks that raised a suspect. */
export function raisedBy(suspect: Suspect): readonly string[] {
  return [...new Set(suspect.because.filter((entry) => entry.weight > 0.3).map((entry) => entry.check))];
}

/** Whether a reading that forbids power, or the running stage, is what raised a suspect: that needs no second look before it is put right. */
export function isSettledByStop(suspect: Suspect, { context }: StepsInput): boolean {
  const stops = new Set((context.stops ?? []).map(({ check }) => check));
  return raisedBy(suspect).some((check) => stops.has(check)) && suspect.partProbability >= FORBIDDEN_FROM;
}

/** What is measured before a suspect is replaced: where it is not sure enough, or rests on one reading. */
export function confirmations(named: readonly Suspect[], input: StepsInput): readonly NextStep[] {
  const steps: NextStep[] = [];
  const taken = new Set<string>();
  for (const suspect of named) {
    const raised = raisedBy(suspect);
    if (!partOf(suspect, input)) continue;
    // A suspect whose readings were not asked for is not taken to rest on one.
    const agreed = suspect.because.length === 0 || raised.length >= 2;
    if ((suspect.partProbability >= SURE_ENOUGH && agreed) || isSettledByStop(suspect, input)) continue;
    // What the owner said and nothing was read of waits for what is sure: the complaint may go with it.
    const hearsay = raised.length === 1 && raised[0] === COMPLAINT;
    if (hearsay && named.some((other) => other.partProbability >= SURE_ENOUGH)) continue;
    const check = confirmingCheck(suspect, input);
    const key = check?.id ?? suspect.part;
    if (taken.has(key)) continue;
    taken.add(key);
    const first = input.rulebook.checks.find((one) => one.id === raised[0]);
    const again = first ? inSentence(first.title) : undefined;
    const minutes = check?.minutes ?? 10;
    steps.push({
      kind: 'measure',
      action: check
        ? `Confirm before replacing: ${inSentence(check.title)}`
        : `Confirm before replacing: ${onceMore(first) ?? `measure the part itself, the ${inSentence(suspect.title)}`}`,
      plain:
        check === undefined && isLook(first)
          ? 'Before anything is bought for it, look again whether this is so'
          : 'Before anything is bought for it, find out by a test whether this is so',
      settles: isCorePart(partOf(suspect, input), input),
      part: suspect.title,
      why: hearsay
        ? 'So far it rests on what the owner said alone.'
        : raised.length === 1 && again
          ? `So far it rests on one reading (${again}).`
          : 'Likely enough to test, not likely enough to replace.',
      caution: check ? caution(input.rulebook, ...check.cautions) : '',
      hours: [minutes / 60, minutes / 30],
      cost: [0, 0],
    });
  }
  return steps;
}

/** How a reading that nothing else can confirm is taken again; undefined where there was none. */
function onceMore(check: Check | undefined): string | undefined {
  if (!check) return undefined;
  return isLook(check)
    ? `look again: ${inSentence(check.title)}`
    : `take ${inSentence(check.title)} again, with another instrument or method where there is one`;
}

/** The part of a suspect; undefined for a cause that is not in the rules. */
export function partOf(suspect: Pick<Suspect, 'part'>, input: StepsInput): Part | undefined {
  return input.rulebook.parts.find((entry) => entry.id === suspect.part);
}

function isCorePart(part: Part | undefined, { rulebook }: StepsInput): boolean {
  return rulebook.assemblies.some((one) => one.core && one.id === part?.assembly);
}

/** A check not yet done that bears on the suspect: what the planner ranks first, then one that reads the part, then one on a signal that it upsets. */
function confirmingCheck(suspect: Pick<Suspect, 'part'>, input: StepsInput): Check | undefined {
  const part = partOf(suspect, input);
  const upsets = new Set(part?.faults.flatMap((fault) => Object.keys(fault.effects)) ?? []);
  const readsPart = (check: Check) => check.reads.some((read) => read.part === suspect.part);
  const readsSignal = (check: Check) =>
    check.reads.some((read) => read.signal !== undefined && upsets.has(read.signal));
  const done = new Set(input.context.readings.map((reading) => reading.check.id));
  const left = (check: Check) => !done.has(check.id) && check.minutes <= LONGEST_CONFIRMING;
  const open = input.checks.filter((check) => left(check) && !check.risky && canDo(check, input.context));
  const ranked = input.context.plan.ranked.map((entry) => entry.check).filter(left);
  return ranked.find(readsPart) ?? open.find(readsPart) ?? ranked.find(readsSignal) ?? open.find(readsSignal);
}

/** What is to be tried for a sign, and whether a part that nobody makes any more is behind it: that is asked before money goes into the rest. */
export interface OpenSignStep {
  readonly step: NextStep;
  readonly core: boolean;
}

/** What to try for the signs that nothing found accounts for: a check of the likeliest causes, or their renewal on suspicion. */
export function openSignSteps(named: readonly Suspect[], input: StepsInput): readonly OpenSignStep[] {
  const signs = input.context.plan.stop?.openSigns ?? [];
  const known = new Set(named.map((suspect) => suspect.part));
  const causes = new Map<string, { readonly cause: SupposedCause; readonly signs: OpenSign[] }>();
  for (const sign of signs)
    for (const cause of sign.causes) {
      if (known.has(cause.part)) continue;
      const held = causes.get(cause.part);
      causes.set(cause.part, {
        cause: held && held.cause.ifReal > cause.ifReal ? held.cause : cause,
        signs: [...(held?.signs ?? []), sign],
      });
    }
  const asked = new Set<string>();
  return [...causes.values()]
    .toSorted((a, b) => b.cause.ifReal - a.cause.ifReal)
    .slice(0, CAUSES_TRIED)
    .flatMap(({ cause, signs: of }) => {
      const part = partOf(cause, input);
      const check = confirmingCheck(cause, input);
      // One check that bears on two causes is one step.
      if (!part || (check && asked.has(check.id))) return [];
      if (check) asked.add(check.id);
      const minutes = check?.minutes ?? 15;
      const what = listWords(of.map((sign) => inSentence(sign.title)));
      const core = isCorePart(part, input);
      const step = {
        kind: 'measure' as const,
        settles: core,
        action: check
          ? `${check.title}, for: ${what}`
          : `When it shows itself, read again what bears on the ${inSentence(part.title)}, for: ${what}`,
        plain: `Look for what causes this: ${what}`,
        part: cause.title,
        why: sentences(
          `Nothing found accounts for it; if it is real, the chance that this is behind it is ${chanceWords(cause.ifReal)}`,
          check ? '' : `Then: ${inSentence(part.remedy.action)}`,
        ),
        caution: check
          ? caution(input.rulebook, ...check.cautions)
          : sentences(part.remedy.caution, caution(input.rulebook, 'unattended', 'one-hand', 'never-live')),
        hours: [minutes / 60, minutes / 30] as const,
        cost: [0, 0] as const,
      };
      return [{ step, core }];
    });
}
