// Grades of the sections of the chassis: their parts that belong to no core assembly, and whether their signals were seen to be right.
import { isLiveCheck } from '../rulebook/live.ts';
import type { Part, Rulebook } from '../rulebook/types.ts';
import {
  byStrength,
  DOUBTFUL,
  FAILED,
  type GradeInput,
  halfCleared,
  isAged,
  modeRatios,
  oddsMoved,
  partBad,
  proofShare,
  RAISED,
  worstMode,
} from './grades.ts';
import { speaksAgainst } from './grades-doubt.ts';
import { PROOF_WANTED, sayGrade } from './grades-words.ts';
import { chanceWords, checkTitle, inSentence, listWords, sentence } from './plain-words.ts';
import type { Belief, Grade, GradeEntry, JudgedReading } from './types.ts';

/** The mode of what only has to be set right, by the id that the rules give it: nothing has failed. */
const MISSET = 'misset';

/** Readings that a grade names. */
const NAMED_CHECKS = 4;

/** These signals and everything downstream of them, within this set. */
function reach(from: readonly string[], rulebook: Rulebook, belief: Belief): ReadonlySet<string> {
  const reached = new Set(from);
  for (let size = -1; size !== reached.size; ) {
    size = reached.size;
    for (const signal of rulebook.signals) {
      if (belief.signals.has(signal.id) && signal.inputs.some((input) => reached.has(input.signal)))
        reached.add(signal.id);
    }
  }
  return reached;
}

/** Grades of all sections of this set, by their parts that belong to no core assembly, in the order of the rules. */
export function gradeSections(input: GradeInput): readonly GradeEntry[] {
  const core = new Set(input.rulebook.assemblies.filter((entry) => entry.core).map((entry) => entry.id));
  const graded: GradeEntry[] = [];
  for (const section of input.rulebook.sections) {
    const parts = input.rulebook.parts.filter(
      (part) =>
        part.section === section.id &&
        input.belief.parts.has(part.id) &&
        !(part.assembly !== undefined && core.has(part.assembly)),
    );
    // A core part's own section holds only its small fry here: the core part itself has its own grade.
    const title = core.has(section.id) ? `Round the ${inSentence(section.title)}` : section.title;
    if (parts.length > 0) graded.push(gradeSection({ id: section.id, title }, parts, input));
  }
  return graded;
}

function gradeSection(
  section: { readonly id: string; readonly title: string },
  parts: readonly Part[],
  input: GradeInput,
): GradeEntry {
  const { belief, priors, rulebook } = input;
  const modes = parts.flatMap((part) => modeRatios(part.id, belief, priors));
  const proof = proofShare(modes);
  const signals = rulebook.signals.filter(
    (signal) => signal.section === section.id && belief.signals.has(signal.id),
  );
  const own = new Set(parts.map((part) => part.id));
  const ownSignals = new Set(signals.map((signal) => signal.id));
  const reached = reach([...ownSignals], rulebook, belief);
  const bearing = input.readings.filter((reading) => bearsOn(reading, own, reached));
  const direct = bearing.filter((reading) => bearsOn(reading, own, ownSignals));
  const raised = parts.filter(
    (part) => oddsMoved(partBad(belief, part.id), partBad(priors, part.id)) >= RAISED,
  );
  const worst = worstMode(raised, belief);
  const bad = worst ? partBad(belief, worst.part.id) : 0;
  const unset = (part: Part): number => belief.parts.get(part.id)?.[MISSET] ?? 0;
  const misset =
    worst !== undefined &&
    unset(worst.part) >= FAILED &&
    raised.every((part) => partBad(belief, part.id) - unset(part) < DOUBTFUL);
  const suspect = input.suspects.find((entry) => entry.part === worst?.part.id);
  // Age alone makes some signals likely to be off, and so does what the owner says; only a bad reading of it, or of what it feeds, puts a section in doubt.
  const readWrong = (id: string): boolean => {
    const shows = reach([id], rulebook, belief);
    return input.readings.some((reading) =>
      speaksAgainst(reading, (variable) => shows.has(variable.slice('signal:'.length))),
    );
  };
  const upset = signals.find(
    ({ id, inputs }) =>
      probabilityAbnormal(belief, id) >= FAILED &&
      oddsMoved(probabilityAbnormal(belief, id), probabilityAbnormal(priors, id)) >= RAISED &&
      fedWell(inputs, section.id, input) &&
      readWrong(id),
  );
  const works = signals.every((signal) => 1 - probabilityAbnormal(belief, signal.id) >= PROOF_WANTED);

  // Measured twice off, a thing is not called good because others outvote it: they may be the ones that are wrong.
  const outvoted = outvotedReadings(direct, ownSignals);

  let grade: Grade;
  if (bearing.length === 0) grade = 'not proven';
  else if (bad >= FAILED && !misset) grade = 'failed';
  else if (bad >= DOUBTFUL || upset || outvoted.length > 0) grade = 'doubtful';
  else if (proof >= PROOF_WANTED && works)
    grade = parts.some((part) => isAged(part, input)) ? 'serviceable' : 'sound';
  // Working stages clear the faults that would stop them; the rest of what can fail there keeps the grade from `sound`.
  else if (works && halfCleared(modes)) grade = 'serviceable';
  else grade = 'not proven';

  // Looks and ohms prove nothing of what a section does when it runs.
  const ran = bearing.some((reading) => isLiveCheck(reading.check));
  if (grade === 'sound' && !ran) grade = 'serviceable';
  const because = byStrength(suspect?.because ?? []);
  const restsOn = [...new Set((direct.length > 0 ? direct : bearing).map((reading) => reading.check.id))];
  const say =
    bearing.length === 0
      ? 'Nothing that was read bears on it.'
      : grade === 'serviceable' && !ran
        ? `Nothing wrong that looks and cold readings can find (${listWords(restsOn.slice(0, NAMED_CHECKS).map((id) => checkTitle(rulebook, id)))}); it was not seen running.`
        : misset && worst
          ? `Nothing in it has failed: ${inSentence(worst.part.title)}, ${inSentence(worst.fault)} (${chanceWords(bad)}). Set right, it is read again.`
          : grade === 'doubtful' && bad < DOUBTFUL && upset
            ? `${upset.title} is probably not right, and nothing that feeds it was found wrong; which part of this section is at fault is not known yet.`
            : grade === 'doubtful' && bad < DOUBTFUL && outvoted.length > 0
              ? `${sentence(listWords(outvoted.map((id, n) => (n === 0 ? checkTitle(rulebook, id) : inSentence(checkTitle(rulebook, id))))))} read off, and other readings do not bear them out: measure them again, with another meter if there is one.`
              : sayGrade({ grade, bad, proof, because, restsOn, worst, rulebook });
  return {
    id: section.id,
    title: section.title,
    grade,
    core: false,
    probabilityBad: bad,
    proof,
    because,
    say,
  };
}

/** Least checks that must read off before the readings that outvote them prove nothing. */
const OUTVOTED_FROM = 2;

/** Checks whose measured value speaks against signals of the section itself; empty where fewer than two do. */
function outvotedReadings(direct: readonly JudgedReading[], own: ReadonlySet<string>): readonly string[] {
  const last = new Map(direct.map((reading) => [reading.check.id, reading]));
  const off = [...last.values()].filter(
    (reading) =>
      reading.value.kind === 'number' &&
      speaksAgainst(reading, (variable) => own.has(variable.slice('signal:'.length))),
  );
  return off.length < OUTVOTED_FROM ? [] : off.map(({ check }) => check.id);
}

/** P(a signal is not normal). */
function probabilityAbnormal(belief: Belief, signal: string): number {
  return 1 - (belief.signals.get(signal)?.normal ?? 1);
}

function fedWell(inputs: Rulebook['signals'][number]['inputs'], section: string, input: GradeInput): boolean {
  const home = new Map(input.rulebook.signals.map((signal) => [signal.id, signal.section]));
  return inputs
    .filter((entry) => home.get(entry.signal) !== section)
    .every((entry) => probabilityAbnormal(input.belief, entry.signal) < 0.5);
}

function bearsOn(reading: JudgedReading, parts: ReadonlySet<string>, signals: ReadonlySet<string>): boolean {
  return reading.check.reads.some(
    (read) =>
      (read.part !== undefined && parts.has(read.part)) ||
      (read.signal !== undefined && signals.has(read.signal)),
  );
}
