// Steps that would prove a core part not proven yet: the next rung of its evidence ladder, what that takes, and what the bench lacks for it.
import { lackingOf } from '../rulebook/instruments.ts';
import { isLiveCheck } from '../rulebook/live.ts';
import type { Check, Rulebook, SetFacts } from '../rulebook/types.ts';
import { caution } from './class-replacement.ts';
import { missingProof } from './grades.ts';
import { undoubted } from './grades-doubt.ts';
import { inSentence, listWords, sentences } from './plain-words.ts';
import type { Belief, GradeEntry, NextStep, Suspect, VerdictContext } from './types.ts';

export interface StepsInput {
  readonly rulebook: Rulebook;
  readonly set: SetFacts;
  readonly belief: Belief;
  readonly suspects: readonly Suspect[];
  readonly core: readonly GradeEntry[];
  readonly context: VerdictContext;
  /** The checks that apply to this set. */
  readonly checks: readonly Check[];
}

const NOT_BEFORE = 'Not before what forbids it to run is put right';

/** Whether the check wants something to run that may not run as things stand: live, or read right after a run. */
function isForbidden(check: Check, { off, stops = [] }: VerdictContext): boolean {
  const afterRun = check.after.length > 0;
  if (off?.power || stops.some(({ live }) => live)) return isLiveCheck(check) || afterRun;
  return off?.stage === true && (check.config.horizontal === 'enabled' || (afterRun && !isLiveCheck(check)));
}

/** Whether the bench of today has what the check takes: instruments at hand, and no live check in a cold-only session. */
export function hasFor(check: Check, context: VerdictContext): boolean {
  return (
    !(isLiveCheck(check) && context.coldOnly) &&
    lackingOf(check.needs, new Set(context.instruments)).length === 0
  );
}

/** Whether the check can be taken as things stand: the bench has what it takes, and nothing is run that may not run. */
export function canDo(check: Check, context: VerdictContext): boolean {
  return hasFor(check, context) && !isForbidden(check, context);
}

/** Whether any reading was taken with power on. */
export function wasLive(readings: VerdictContext['readings']): boolean {
  return readings.some(({ check }) => isLiveCheck(check));
}

/** Whether power could not come on for want of the lamp that it first comes on through: an isolation transformer alone is not enough. */
export function lacksLamp({ instruments, readings }: VerdictContext): boolean {
  return !wasLive(readings) && !instruments.includes('lamp-limiter');
}

/** A step that would prove a core part, and whether it needs no power: then it comes before any money is spent. */
export interface ProofStep {
  readonly step: NextStep;
  readonly cold: boolean;
}

/** One step for each core part that is not proven. */
export function missingProofs(input: StepsInput): readonly ProofStep[] {
  const steps: ProofStep[] = [];
  for (const entry of input.core.filter((grade) => grade.grade === 'not proven')) {
    const assembly = input.rulebook.assemblies.find((one) => one.id === entry.id);
    const missing = assembly && missingProof(assembly, undoubted(input.context), input.belief);
    if (!missing) continue;
    const applies = (ids: readonly string[]) =>
      input.checks.filter((check) => ids.includes(check.id) && !check.risky);
    const wanted = applies(missing.checks);
    const all = applies(missing.anyOf);
    const permitted = all.filter((check) => !isForbidden(check, input.context));
    // Of a set that never ran, what can be proven cold is proven cold, whatever takes a minute less live.
    const runs = wasLive(input.context.readings);
    const rank = (check: Check): number =>
      (canDo(check, input.context) ? 0 : 2) + (isLiveCheck(check) && !runs ? 1 : 0);
    const oneOf = (permitted.length > 0 ? permitted : all).toSorted(
      (a, b) => rank(a) - rank(b) || a.minutes - b.minutes,
    );
    if (wanted.length === 0 && oneOf.length === 0) continue;
    const first = oneOf[0];
    const chosen = [...wanted, ...(first ? [first] : [])];
    const names = [
      ...wanted.map((check) => inSentence(check.title)),
      ...(oneOf.length > 0
        ? [
            listWords(
              oneOf.map((check) => inSentence(check.title)),
              'or',
            ),
          ]
        : []),
    ];
    const minutes = chosen.reduce((sum, check) => sum + check.minutes, 0);
    steps.push({
      cold: !chosen.some(isLiveCheck),
      step: {
        kind: 'measure',
        action: `Prove the ${inSentence(entry.title)}: ${listWords(names)}`,
        plain: `Find out whether the ${inSentence(entry.title)} is good`,
        settles: true,
        part: entry.title,
        why: sentences(
          'Until then nobody can say what hours spent on the chassis would buy',
          chosen.some((check) => isForbidden(check, input.context)) ? NOT_BEFORE : '',
          lacking(chosen, input),
        ),
        caution: caution(input.rulebook, ...new Set(chosen.flatMap((check) => check.cautions))),
        hours: [minutes / 60, minutes / 30],
        cost: [0, 0],
      },
    });
  }
  return steps;
}

/** What every first live reading takes. */
const METER = 'dmm';

/** Of a set that was never powered for want of what that takes: bring it up. What is lost is decided on first. */
export function firstPower(input: StepsInput): readonly NextStep[] {
  const { context, core, rulebook } = input;
  if (wasLive(context.readings) || !(context.coldOnly || lacksLamp(context))) return [];
  if (core.some(({ grade }) => grade === 'failed')) return [];
  const first = input.checks
    .filter((check) => check.state === 'S1' && check.needs.includes(METER))
    .slice(0, 1);
  return [
    {
      kind: 'measure',
      action:
        'Bring it up behind an isolation transformer, through a lamp and a variable transformer, and read it live',
      part: '',
      why: sentences(
        'Voltages, drive, high voltage and picture are unknown until then',
        first.some((check) => isForbidden(check, context)) ? NOT_BEFORE : '',
        lacking(first, input),
      ),
      caution: caution(rulebook, 'eye-protection', 'unattended', 'one-hand'),
      hours: [1, 2],
      cost: [0, 0],
    },
  ];
}

/** What the bench lacks for these checks, in words; empty if nothing. */
function lacking(checks: readonly Check[], { rulebook, context }: StepsInput): string {
  const missing = new Set(
    lackingOf(
      checks.flatMap((check) => check.needs),
      new Set(context.instruments),
    ),
  );
  if (checks.some(isLiveCheck)) {
    if (context.coldOnly) missing.add('isolation-transformer');
    if (lacksLamp(context)) missing.add('lamp-limiter');
  }
  if (missing.size === 0) return '';
  const titles = [...missing].map((id) =>
    inSentence(rulebook.instruments.find((entry) => entry.id === id)?.title ?? id),
  );
  return `Needs what was not on the bench: ${listWords(titles)}`;
}
