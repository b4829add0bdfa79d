// The verdict: is the set worth overhauling, for what its owner wants of it, and what that answer rests on. Never a word about safety of use.
import type { Check, Rulebook, SetFacts } from '../rulebook/types.ts';
import { LONGEST_CONFIRMING } from './confirming.ts';
import { type GradeInput, gradeAssembly, missingProof, stillOpen } from './grades.ts';
import { doubtedChecks, undoubted } from './grades-doubt.ts';
import { canDo, hasFor, lacksLamp, wasLive } from './missing-proof.ts';
import { nextSteps, untilSettled, WORTH_NAMING } from './next-steps.ts';
import { checkTitle, inSentence, listWords } from './plain-words.ts';
import { recommend } from './recommendation.ts';
import { gradeSections } from './section-grades.ts';
import type { Belief, GradeEntry, Overall, Suspect, Verdict, VerdictContext, Weight } from './types.ts';

export interface VerdictInput {
  readonly rulebook: Rulebook;
  readonly set: SetFacts;
  readonly belief: Belief;
  /** Belief of the same set before any reading. */
  readonly priors: Belief;
  readonly suspects: readonly Suspect[];
  /** Readings that moved a part, as log-odds; asked for one or two parts of each core assembly and for suspects that are not explained yet. */
  readonly weightsOf: (part: string) => readonly Weight[];
  readonly context: VerdictContext;
  /** The checks that apply to this set, doable today or not. */
  readonly checks: readonly Check[];
}

/** Chance that a working replacement of a core part can be had in reasonable time. Judgement, no source. */
const OBTAINABLE: Readonly<Record<string, number>> = {
  flyback: 0.4,
  yoke: 0.5,
  'power-transformer': 0.9,
};
const OBTAINABLE_OTHERWISE = 0.4;
/** From here a failed core part is ordinary work, not the end: rewinders and near substitutes exist. */
export const REPLACEABLE = 0.8;
/** One set in twenty is beaten by something that nobody finds. Judgement, no source. */
const NEVER_FOUND = 0.05;

/**
 * Chance that a good picture tube of this registered type can be had, from its screen size (the leading number of a US type is the
 * diagonal in inches): 17, 19, 21 and 23 inch are still common, round and other sizes scarce. Judgement, no source.
 */
export function pictureTubeObtainable(type: string): number {
  const inches = Number(/^(\d{1,2})[A-Z]/.exec(type.toUpperCase())?.[1]);
  if (!Number.isFinite(inches)) return OBTAINABLE_OTHERWISE;
  return [17, 19, 21, 23].includes(inches) ? 0.6 : 0.25;
}

/** Chance that a working replacement of this core part can be had for this set. */
export function obtainable(assembly: string, set: SetFacts): number {
  if (assembly === 'picture-tube') return pictureTubeObtainable(set.pictureTube);
  return OBTAINABLE[assembly] ?? OBTAINABLE_OTHERWISE;
}

/** P(the set reaches a watchable picture with parts that can be had): every core part good or replaceable, everything else repairable. */
export function watchableChance(core: readonly GradeEntry[], set: SetFacts): number {
  return core.reduce(
    (chance, entry) => chance * (1 - entry.probabilityBad * (1 - obtainable(entry.id, set))),
    1 - NEVER_FOUND,
  );
}

/** Grades, recommendation, next steps and what was not proven, from what is believed and what was read. */
export function verdictOf(input: VerdictInput): Verdict {
  const { rulebook, set, belief, context, checks } = input;
  const suspects = explained(input);
  const grading: GradeInput = {
    rulebook,
    belief,
    priors: input.priors,
    suspects,
    readings: undoubted(context),
    doubted: doubtedChecks(context),
    restored: context.restored,
    repairedParts: context.repairedParts,
    openSigns: context.plan.stop?.openSigns ?? [],
    stops: context.stops ?? [],
    weightsOf: input.weightsOf,
  };
  const core = rulebook.assemblies.flatMap((assembly) => {
    const entry = assembly.core ? gradeAssembly(assembly, grading) : undefined;
    return entry ? [entry] : [];
  });
  const sections = gradeSections(grading);
  const watchable = watchableChance(core, set);
  const { steps, hours, cost } = nextSteps({ rulebook, set, belief, suspects, core, context, checks });
  const overall = overallOf({ core, watchable, hours, set, context });
  const wouldChangeMost = changesMost(core, input);
  return {
    overall,
    recommendation: recommend({
      overall,
      core,
      watchable,
      hours,
      cost,
      settledFree: steps
        .slice(0, untilSettled(steps))
        .every((step) => step.kind === 'decide' || step.cost[1] < 0.5),
      set,
      context,
      wouldChangeMost,
    }),
    watchable,
    sections,
    core,
    hours,
    cost,
    notProven: notProvenList(core, sections, input, grading),
    nextSteps: steps,
    wouldChangeMost,
    coverage: coverageOf(checks, context),
    coldOnly: context.coldOnly,
  };
}

/** Suspects with the readings behind them: those worth naming are explained here if they were not yet. */
function explained({ suspects, weightsOf, rulebook }: VerdictInput): readonly Suspect[] {
  const known = new Set(rulebook.parts.map((part) => part.id));
  return suspects.map((suspect) =>
    suspect.because.length > 0 || suspect.partProbability < WORTH_NAMING || !known.has(suspect.part)
      ? suspect
      : { ...suspect, because: weightsOf(suspect.part) },
  );
}

interface OverallInput {
  readonly core: readonly GradeEntry[];
  readonly watchable: number;
  readonly hours: readonly [number, number];
  readonly set: SetFacts;
  readonly context: VerdictContext;
}

/** More hours than this (least estimate) and even a set with good core parts is a labour of love. Judgement, no source. */
const LABOUR_OF_LOVE = 30;

/** The one word for the owner. Core parts decide; the chassis only adds hours. */
export function overallOf({ core, watchable, hours, set, context }: OverallInput): Overall {
  const hard = core.filter((entry) => obtainable(entry.id, set) < REPLACEABLE);
  const graded = (grade: GradeEntry['grade']) => hard.filter((entry) => entry.grade === grade);
  if (graded('failed').length > 0) return watchable < 0.4 ? 'not-worth' : 'worth-with-reservations';
  // The tube and the flyback decide: with either unknown nobody can say what the hours would buy.
  if (graded('not proven').some((entry) => entry.id !== 'yoke')) return 'not-yet-known';
  if (graded('doubtful').length > 0) return watchable >= 0.6 ? 'worth-with-reservations' : 'not-yet-known';
  const clear =
    core.length > 0 &&
    core.every((entry) => entry.grade === 'sound' || entry.grade === 'serviceable') &&
    wasLive(context.readings) &&
    context.ownerWish !== 'sell' &&
    watchable >= 0.65 &&
    hours[0] < LABOUR_OF_LOVE;
  if (clear) return 'worth-overhauling';
  return core.length === 0 ? 'not-yet-known' : 'worth-with-reservations';
}

/** Share of the checks that apply and that the bench could do which were done; 0 when there was nothing to do. */
export function coverageOf(checks: readonly Check[], context: VerdictContext): number {
  const done = new Set(context.readings.map((reading) => reading.check.id));
  const notFitted = new Set(
    context.skipped.filter((entry) => entry.reason === 'not-fitted').map((entry) => entry.check),
  );
  const could = checks.filter(
    (check) => done.has(check.id) || (hasFor(check, context) && !check.risky && !notFitted.has(check.id)),
  );
  if (could.length === 0) return 0;
  return could.filter((check) => done.has(check.id)).length / could.length;
}

/** What cold or short tests cannot show, by core part. Common practice, no source. */
const CANNOT_SHOW: Readonly<Record<string, string>> = {
  'picture-tube': 'gas that shows only under high voltage, and how long the emission lasts',
  flyback: 'a breakdown of its insulation under high voltage and heat',
  yoke: 'a breakdown under the sweep pulse',
  'power-transformer': 'how it stands full load for an hour',
};

const SKIP_WORDS = {
  'no-instrument': 'no instrument for it',
  'cannot-reach': 'could not be reached',
  later: 'put off',
  'not-fitted': 'not fitted',
  other: 'left out',
} as const;

function notProvenList(
  core: readonly GradeEntry[],
  sections: readonly GradeEntry[],
  { rulebook, context }: VerdictInput,
  grading: GradeInput,
): readonly string[] {
  const lines: string[] = [];
  if (context.coldOnly)
    lines.push(
      'Nothing was tested live: no isolation transformer was at hand. Voltages, drive, high voltage and picture are unknown.',
    );
  else if (lacksLamp(context))
    lines.push(
      'Nothing was tested live: no series-lamp limiter was at hand, and power first comes on through one. Voltages, drive, high voltage and picture are unknown.',
    );
  else if (context.readings.length > 0 && !wasLive(context.readings))
    lines.push('Nothing was tested live. Voltages, drive, high voltage and picture are unknown.');
  for (const entry of core) {
    if (entry.grade === 'not proven') {
      const ladder = rulebook.assemblies
        .find((one) => one.id === entry.id)
        ?.ceilings.flatMap((rung) => [...rung.checks, ...rung.anyOf]);
      const skipped = context.skipped
        .filter((skip) => ladder?.includes(skip.check))
        .map((skip) => `${checkTitle(rulebook, skip.check)} (${SKIP_WORDS[skip.reason]})`);
      const left = skipped.length > 0 ? ` Not taken: ${listWords([...new Set(skipped)])}.` : '';
      // What was not tried at all needs no list of what is open.
      const open = entry.proof > 0 ? ` ${stillOpen(entry.id, grading)}`.trimEnd() : '';
      lines.push(`${entry.title}: ${entry.say}${open}${left}`);
    } else if (entry.grade === 'serviceable' && CANNOT_SHOW[entry.id]) {
      const open = ` ${stillOpen(entry.id, grading)}`.trimEnd();
      lines.push(`${entry.title}: not shown by the tests made: ${CANNOT_SHOW[entry.id]}.${open}`);
    }
  }
  const open = sections.filter((entry) => entry.grade === 'not proven');
  const untouched = open.filter((entry) => entry.proof === 0).map((entry) => inSentence(entry.title));
  const partly = open.filter((entry) => entry.proof > 0).map((entry) => inSentence(entry.title));
  if (untouched.length > 0) lines.push(`Not tested: ${listWords(untouched)}.`);
  if (partly.length > 0) lines.push(`Tested only in part: ${listWords(partly)}.`);
  return lines;
}

/** The reading that would change the verdict most: what tells most about the core parts, else the next rung of the weakest core part. */
function changesMost(
  core: readonly GradeEntry[],
  { rulebook, context, belief }: VerdictInput,
): string | undefined {
  const best = context.plan.ranked
    .filter(({ check }) => canDo(check, context))
    .toSorted((a, b) => b.coreBits - a.coreBits || b.gainBits - a.gainBits)[0];
  if (best && best.coreBits >= 0.01)
    return `${inSentence(best.check.title)} (about ${Math.round(best.minutes)} min)`;
  const weakest =
    core.find((entry) => entry.grade === 'not proven') ?? core.find((entry) => entry.grade === 'doubtful');
  const assembly = rulebook.assemblies.find((one) => one.id === weakest?.id);
  const missing = assembly && missingProof(assembly, undoubted(context), belief);
  // A part in doubt is not run for an hour to see, and nothing is named that may not run or cannot be read on this bench.
  const fitting = (id: string): boolean => {
    const check = rulebook.checks.find((c) => c.id === id);
    if (!check || !canDo(check, context)) return false;
    return weakest?.grade !== 'doubtful' || check.minutes <= LONGEST_CONFIRMING;
  };
  const id = [...(missing?.checks ?? []), ...(missing?.anyOf ?? [])].find(fitting);
  if (weakest && id) {
    const [title, part] = [checkTitle(rulebook, id), inSentence(weakest.title)];
    return title.includes(part) ? title : `${title}, for the ${part}`;
  }
  return best ? `${inSentence(best.check.title)} (about ${Math.round(best.minutes)} min)` : undefined;
}
