// Grades sections and core parts from belief and from what was really tested: `not proven` is a grade, nothing untested is called good.
import type { Assembly, Part, Rulebook } from '../rulebook/types.ts';
import { bearOn, openSignAgainst, speakingFor, speaksAgainst } from './grades-doubt.ts';
import { PROOF_WANTED, sayGrade } from './grades-words.ts';
import { chanceWords, checkTitle, inSentence, listWords } from './plain-words.ts';
import type {
  Belief,
  Grade,
  GradeEntry,
  JudgedReading,
  OpenSign,
  StandingStop,
  Suspect,
  Weight,
} from './types.ts';

/** From here up a part is called failed, from `DOUBTFUL` up doubtful. */
export const FAILED = 0.8;
export const DOUBTFUL = 0.2;
/** A mode counts as spoken against when its odds fell to this share of what they were before any reading. */
const SPOKEN_AGAINST = 0.2;
/**
 * For `serviceable` at least half must have been made clearly less likely. A tester's "good" is worth no more than odds of 4 to 1
 * (judgement), so it never speaks against a weak gun by the stricter measure, yet by common practice it makes a tube serviceable.
 */
const LESS_LIKELY = 0.5;
export const HALF = 0.5;
/** A signal or part believed right with at least this probability counts as normal. */
const NORMAL = 0.8;
/** A mode with a smaller prior does not exist for this set. */
const NEVER = 1e-9;
/** Odds must have risen by this much before readings are said to point at a part. */
export const RAISED = 1.2;

/**
 * Parts whose fault does not lose the core part that they belong to, nor lower it below `serviceable`: what is to be said of it, and whether
 * there is anything to repair. Heater-cathode leakage of a picture tube is worked round with an isolated low-capacitance heater supply; a burnt
 * spot of its screen can be lived with. Common practice, no source.
 */
export const BEARABLE: ReadonlyMap<string, { readonly say: string; readonly repair: boolean }> = new Map([
  [
    'picture-tube.heater-cathode',
    { say: 'an isolated, low-capacitance heater supply cures it', repair: true },
  ],
  ['picture-tube.screen', { say: 'it stays, and a picture can be watched all the same', repair: false }],
]);

/** What is plainly seen to be at its end is taken for bad at least so surely: eyes err too. Judgement, no source. */
const SEEN_BAD = 0.95;

export interface GradeInput {
  readonly rulebook: Rulebook;
  readonly belief: Belief;
  /** Belief of the same set before any reading. */
  readonly priors: Belief;
  readonly suspects: readonly Suspect[];
  readonly readings: readonly JudgedReading[];
  /** Checks of which every reading is more likely wrong than right: not among `readings`, and not quoted. */
  readonly doubted?: ReadonlySet<string>;
  readonly restored: 'none' | 'recapped' | 'unknown';
  readonly repairedParts: readonly string[];
  /** What nothing found accounts for, at the end of the walk. */
  readonly openSigns: readonly OpenSign[];
  /** What was seen that forbids more; some of it is the end of a core part. */
  readonly stops: readonly StandingStop[];
  /** The readings that moved a part, strongest first or not; may be slow, so it is asked for core parts only. */
  readonly weightsOf: (part: string) => readonly Weight[];
}

export interface ModeRatio {
  readonly part: string;
  readonly fault: string;
  readonly prior: number;
  readonly posterior: number;
  /** Posterior odds over prior odds against `ok`: below 1 = spoken against, about 1 = untouched (or masked). */
  readonly ratio: number;
}

/** Odds ratio of every mode of a part against `ok`. A fault that another fault hides stays at about 1, so explaining-away never counts as proof. */
export function modeRatios(part: string, belief: Belief, priors: Belief): readonly ModeRatio[] {
  const now = belief.parts.get(part);
  const before = priors.parts.get(part);
  if (!now || !before) return [];
  const okNow = now.ok ?? 0;
  const okBefore = before.ok ?? 0;
  return Object.entries(before)
    .filter(([fault, prior]) => fault !== 'ok' && prior > NEVER)
    .map(([fault, prior]) => {
      const posterior = now[fault] ?? 0;
      const ratio =
        posterior === 0
          ? 0
          : okNow === 0
            ? Number.POSITIVE_INFINITY
            : (posterior / okNow) * (okBefore / prior);
      return { part, fault, prior, posterior, ratio };
    });
}

/** Prior-weighted share of modes whose odds readings brought down to `to` or less, 0 to 1; 0 for nothing to prove. */
export function proofShare(modes: readonly ModeRatio[], to: number = SPOKEN_AGAINST): number {
  const all = modes.reduce((sum, mode) => sum + mode.prior, 0);
  if (all === 0) return 0;
  return modes.filter((mode) => mode.ratio <= to).reduce((sum, mode) => sum + mode.prior, 0) / all;
}

/** Whether at least half of what can fail was made clearly less likely by readings. */
export function halfCleared(modes: readonly ModeRatio[]): boolean {
  return proofShare(modes, LESS_LIKELY) >= HALF;
}

/** P(part bad); 0 for a part that this set does not have. */
export function partBad(belief: Belief, part: string): number {
  const states = belief.parts.get(part);
  return states ? Math.min(1, Math.max(0, 1 - (states.ok ?? 0))) : 0;
}

/** P(core part lost): that something in it is bad (`joint`), but no more than its parts `lasting`, blemishes left out, add up to. */
export function lostBy(joint: number, belief: Belief, lasting: readonly string[]): number {
  return Math.min(
    joint,
    lasting.reduce((sum, part) => sum + partBad(belief, part), 0),
  );
}

function odds(probability: number): number {
  return probability >= 1 ? Number.POSITIVE_INFINITY : probability / (1 - probability);
}

/** Odds of being bad now over odds before any reading; 1 when nothing was ever in doubt. */
export function oddsMoved(now: number, before: number): number {
  return before <= 0 ? (now > 0 ? Number.POSITIVE_INFINITY : 1) : odds(now) / odds(before);
}

/**
 * Whether what a check reads is believed normal (every signal normal, every part in order) and this reading does not say otherwise: a bad
 * reading that the others outvote proves nothing. A check that reads nothing in the model counts once done.
 */
function readsNormal(reading: JudgedReading, belief: Belief): boolean {
  return (
    reading.check.reads.every((read) => {
      if (read.signal !== undefined) return (belief.signals.get(read.signal)?.normal ?? 1) >= NORMAL;
      return read.part === undefined || 1 - partBad(belief, read.part) >= NORMAL || BEARABLE.has(read.part);
    }) && !speaksAgainst(reading, (variable) => !BEARABLE.has(variable.slice('part:'.length)))
  );
}

/** Checks that were read, and read normal. */
function passedChecks(readings: readonly JudgedReading[], belief: Belief): ReadonlySet<string> {
  return new Set(readings.filter((reading) => readsNormal(reading, belief)).map(({ check }) => check.id));
}

/** Best grade that the evidence ladder of an assembly allows, and the checks of the rungs that hold. */
export function ceilingOf(
  assembly: Assembly,
  readings: readonly JudgedReading[],
  belief: Belief,
): { readonly grade: 'not proven' | 'serviceable' | 'sound'; readonly restsOn: readonly string[] } {
  const passed = passedChecks(readings, belief);
  const held = assembly.ceilings.filter(
    (rung) =>
      rung.checks.every((id) => passed.has(id)) &&
      (rung.anyOf.length === 0 || rung.anyOf.some((id) => passed.has(id))),
  );
  const restsOn = [
    ...new Set(held.flatMap((rung) => [...rung.checks, ...rung.anyOf]).filter((id) => passed.has(id))),
  ];
  // An assembly with no ladder has no ceiling of its own: the belief alone decides.
  if (assembly.ceilings.length === 0 || held.some((rung) => rung.grade === 'sound'))
    return { grade: 'sound', restsOn };
  return { grade: held.length > 0 ? 'serviceable' : 'not proven', restsOn };
}

/** The checks of the next rung that are not done or not normal, in the order of the ladder; alternatives are given together. */
export function missingProof(
  assembly: Assembly,
  readings: readonly JudgedReading[],
  belief: Belief,
):
  | {
      readonly grade: 'serviceable' | 'sound';
      readonly checks: readonly string[];
      readonly anyOf: readonly string[];
    }
  | undefined {
  const now = ceilingOf(assembly, readings, belief);
  const wanted =
    now.grade === 'not proven' ? 'serviceable' : now.grade === 'serviceable' ? 'sound' : undefined;
  const rung = wanted && assembly.ceilings.find((entry) => entry.grade === wanted);
  if (!wanted || !rung) return undefined;
  const passed = passedChecks(readings, belief);
  return {
    grade: wanted,
    checks: rung.checks.filter((id) => !passed.has(id)),
    anyOf: rung.anyOf.some((id) => passed.has(id)) ? [] : rung.anyOf,
  };
}

export function byStrength(weights: readonly Weight[]): readonly Weight[] {
  return [...weights].sort((a, b) => Math.abs(b.weight) - Math.abs(a.weight));
}

/** Readings that moved any of the parts: for each check the strongest of its weights, strongest first. */
function weightsOver(parts: readonly string[], input: GradeInput): readonly Weight[] {
  const strongest = new Map<string, Weight>();
  for (const part of parts) {
    const known = input.suspects.find((suspect) => suspect.part === part)?.because;
    for (const weight of known ?? input.weightsOf(part)) {
      if (input.doubted?.has(weight.check)) continue;
      const held = strongest.get(weight.check);
      if (!held || Math.abs(weight.weight) > Math.abs(held.weight)) strongest.set(weight.check, weight);
    }
  }
  return byStrength([...strongest.values()]);
}

export function isAged(part: Part, input: GradeInput): boolean {
  if (input.repairedParts.includes(part.id)) return false;
  const kind = input.rulebook.kinds.find((entry) => entry.id === part.kind);
  return (kind?.aged[input.restored] ?? 0) >= 0.5;
}

export function worstMode(
  parts: readonly Part[],
  belief: Belief,
): { readonly part: Part; readonly id: string; readonly fault: string } | undefined {
  let worst: { part: Part; id: string; fault: string; probability: number } | undefined;
  for (const part of parts) {
    const bad = partBad(belief, part.id);
    if (worst && bad <= worst.probability) continue;
    const states = belief.parts.get(part.id) ?? {};
    const fault = part.faults.toSorted((a, b) => (states[b.id] ?? 0) - (states[a.id] ?? 0))[0];
    if (fault) worst = { part, id: fault.id, fault: fault.title, probability: bad };
  }
  return worst;
}

/** Grade by belief and proof alone, before any ceiling. */
function gradeByBelief(bad: number, before: number, modes: readonly ModeRatio[]): Grade {
  const pointedAt =
    oddsMoved(bad, before) >= RAISED ||
    modes.some((mode) => mode.ratio >= 2 && mode.posterior >= DOUBTFUL / 2);
  if (bad >= FAILED && pointedAt) return 'failed';
  if (bad >= DOUBTFUL) return pointedAt ? 'doubtful' : 'not proven';
  if (proofShare(modes) >= PROOF_WANTED) return 'sound';
  return halfCleared(modes) && !pointedAt ? 'serviceable' : 'not proven';
}

/** Up to three ways in which an assembly can fail that no reading made less likely, commonest first, as a sentence; empty when there are none. */
export function stillOpen(assembly: string, { rulebook, belief, priors }: GradeInput): string {
  const parts = rulebook.parts.filter((part) => part.assembly === assembly && !BEARABLE.has(part.id));
  const modes = parts.flatMap((part) => modeRatios(part.id, belief, priors));
  const open = modes.filter((mode) => mode.ratio > LESS_LIKELY).toSorted((a, b) => b.prior - a.prior);
  const names = open.slice(0, 3).map((mode) => {
    const part = parts.find((entry) => entry.id === mode.part);
    const fault = part?.faults.find((entry) => entry.id === mode.fault);
    return `${inSentence(part?.title ?? mode.part)} (${inSentence(fault?.title ?? mode.fault)})`;
  });
  if (names.length === 0) return '';
  return `Still open: ${listWords(open.length > names.length ? [...names, 'others'] : names)}.`;
}

function lower(a: Grade, b: Grade): Grade {
  const order: readonly Grade[] = ['not proven', 'serviceable', 'sound'];
  return order.indexOf(a) <= order.indexOf(b) ? a : b;
}

/** Grade of one assembly (the core parts are assemblies) with the ceiling of its evidence ladder; `undefined` for one that this set does not have. */
export function gradeAssembly(assembly: Assembly, input: GradeInput): GradeEntry | undefined {
  const { belief, priors, rulebook, readings } = input;
  const parts = rulebook.parts.filter((part) => part.assembly === assembly.id && belief.parts.has(part.id));
  if (parts.length === 0) return undefined;
  const bearable = parts.filter((part) => BEARABLE.has(part.id));
  const lasting = parts.filter((part) => !BEARABLE.has(part.id));
  const joint = belief.assemblies.get(assembly.id);
  // A heater transformer has a winding like it, and is none that the set stands or falls with.
  if (joint === undefined) return undefined;
  const jointBefore = priors.assemblies.get(assembly.id);
  const ids = lasting.map((part) => part.id);
  const bad = lostBy(joint, belief, ids);
  const before = lostBy(jointBefore ?? 1, priors, ids);
  const modes = lasting.flatMap((part) => modeRatios(part.id, belief, priors));
  const proof = proofShare(modes);
  const ceiling = ceilingOf(assembly, readings, belief);
  const leaking = bearable.filter((part) => partBad(belief, part.id) >= 0.5);

  let grade = gradeByBelief(bad, before, modes);
  const worst = worstMode(lasting, belief);
  // One look is no death sentence for a part that nobody makes any more.
  const spoke = worst ? speakingFor(rulebook, worst.part, worst.id, readings) : undefined;
  const [only, second] = spoke ?? [];
  const alone = grade === 'failed' && only !== undefined && second === undefined;
  if (alone) grade = 'doubtful';
  // What the owner says raises a suspicion; only a reading puts a part in doubt.
  if (grade === 'doubtful' && !bearOn(rulebook, lasting, readings)) grade = 'not proven';
  if (grade === 'sound' || grade === 'serviceable') {
    grade = lower(grade, ceiling.grade);
    if (grade === 'sound' && (leaking.length > 0 || lasting.some((part) => isAged(part, input))))
      grade = 'serviceable';
  }
  // Nor is a part called good whose failure would be behind something that the owner or the technician plainly noticed.
  const noticed = openSignAgainst(lasting, input.openSigns);
  const unanswered =
    (grade === 'sound' || grade === 'serviceable') && noticed && noticed.cause.chance >= DOUBTFUL
      ? noticed
      : undefined;
  if (unanswered) grade = 'doubtful';
  // A cracked neck is the end of a tube that still lights its heater.
  const end = input.stops.find((stop) => stop.condemns === assembly.id);
  if (end) grade = 'failed';

  const asked = new Set([worst?.part.id, ...leaking.map((part) => part.id)].filter((id) => id !== undefined));
  const because = weightsOver([...asked], input);
  const say = [
    end
      ? `${checkTitle(rulebook, end.check)}: ${inSentence(end.say)}`
      : unanswered
        ? `Nothing found accounts for this: ${inSentence(unanswered.sign.title)}. If it is real, the likeliest cause here is ${inSentence(unanswered.cause.title)} (${chanceWords(unanswered.cause.ifReal)}), although the readings spoke for the part.`
        : sayGrade({ grade, bad, proof, because, restsOn: ceiling.restsOn, worst, rulebook }),
    ...(alone && !end
      ? [
          `That rests on one reading (${checkTitle(rulebook, only)}): a second, independent one before it is given up.`,
        ]
      : []),
    ...leaking.map(
      (part) =>
        `${part.title}: ${part.faults[0]?.title ?? 'bad'} (${chanceWords(partBad(belief, part.id))}); ${BEARABLE.get(part.id)?.say}.`,
    ),
  ].join(' ');
  return {
    id: assembly.id,
    title: assembly.title,
    grade,
    core: assembly.core,
    probabilityBad: end ? Math.max(bad, SEEN_BAD) : unanswered ? Math.max(bad, unanswered.cause.chance) : bad,
    proof,
    because,
    say,
  };
}
