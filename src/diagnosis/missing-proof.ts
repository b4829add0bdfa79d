// Steps that would prove a core part not proven yet: the next rung of its evidence ladder, what that takes, and what the bench lacks for it.
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

/** Whether the bench of today can take the check: instruments at hand, and no live check in a cold-only session. */
export function canDo(check: Check, context: VerdictContext): boolean {
  const live = check.state === 'S1' || check.state === 'S2';
  return !(live && context.coldOnly) && check.needs.every((id) => context.instruments.includes(id));
}

/** Whether power could not come on for want of the lamp that it first comes on through: an isolation transformer alone is not enough. */
export function lacksLamp({ instruments, readings }: VerdictContext): boolean {
  const wasLive = readings.some(({ check }) => check.state === 'S1' || check.state === 'S2');
  return !wasLive && !instruments.includes('lamp-limiter');
}

/** One step for each core part that is not proven. */
export function missingProofs(input: StepsInput): readonly NextStep[] {
  const steps: NextStep[] = [];
  for (const entry of input.core.filter((grade) => grade.grade === 'not proven')) {
    const assembly = input.rulebook.assemblies.find((one) => one.id === entry.id);
    const missing = assembly && missingProof(assembly, undoubted(input.context), input.belief);
    if (!missing) continue;
    const applies = (ids: readonly string[]) =>
      input.checks.filter((check) => ids.includes(check.id) && !check.risky);
    const wanted = applies(missing.checks);
    const oneOf = applies(missing.anyOf).toSorted(
      (a, b) => Number(canDo(b, input.context)) - Number(canDo(a, input.context)) || a.minutes - b.minutes,
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
      kind: 'measure',
      action: `Prove the ${inSentence(entry.title)}: ${listWords(names)}`,
      part: entry.title,
      why: sentences(
        'Until then nobody can say what hours spent on the chassis would buy',
        lacking(chosen, input),
      ),
      caution: caution(input.rulebook, ...new Set(chosen.flatMap((check) => check.cautions))),
      hours: [minutes / 60, minutes / 30],
      cost: [0, 0],
    });
  }
  return steps;
}

/** What the bench lacks for these checks, in words; empty if nothing. */
function lacking(checks: readonly Check[], { rulebook, context }: StepsInput): string {
  const missing = new Set(
    checks.flatMap((check) => check.needs).filter((id) => !context.instruments.includes(id)),
  );
  if (checks.some((check) => check.state === 'S1' || check.state === 'S2')) {
    if (context.coldOnly) missing.add('isolation-transformer');
    if (lacksLamp(context)) missing.add('lamp-limiter');
  }
  if (missing.size === 0) return '';
  const titles = [...missing].map((id) =>
    inSentence(rulebook.instruments.find((entry) => entry.id === id)?.title ?? id),
  );
  return `Needs what was not on the bench: ${listWords(titles)}`;
}
