// The owner's page as plain data, before it becomes Markdown or HTML: every sentence and figure is decided here, once.

import { pointedAt, WORTH_NAMING } from '../diagnosis/next-steps.ts';
import { chanceWords, inSentence, reasonWords } from '../diagnosis/plain-words.ts';
import type { Grade, GradeEntry, Overall, Suspect, Verdict } from '../diagnosis/types.ts';
import type { Assembly } from '../rulebook/types.ts';
import { type BenchRecord, benchRecord } from './bench-record.ts';
import { doneWords } from './changes.ts';
import { askedFacts, type Fact, setFacts } from './facts.ts';
import type { ReportInput } from './input.ts';
import { type Measured, measuredOf } from './measured.ts';
import { effortWords, notProvenLines, ownersSteps, type StepLine, stepLine } from './owner-steps.ts';
import { ownersText, unitsInWords, type Word, wordsIn } from './owner-words.ts';
import { photosFor, type ShownPhoto } from './photos.ts';
import { translator } from './terms.ts';
import { dateWords, firstSentence, typedText } from './text.ts';

export interface GradeLine {
  readonly id: string;
  readonly title: string;
  /** What the part is, for an owner; empty for sections. */
  readonly gloss: string;
  readonly grade: Grade;
  readonly say: string;
}

export interface SuspectLine {
  readonly title: string;
  readonly chance: string;
  readonly because: string;
}

/** Everything that a report says, in order. Texts are plain: not yet escaped. */
export interface ReportContent {
  readonly language: 'en-US' | 'en-GB';
  readonly title: string;
  readonly date: string;
  /** Who asks what, above the verdict. */
  readonly asked: readonly Fact[];
  /** What the set is, below the judgement. */
  readonly facts: readonly Fact[];
  readonly trouble: string;
  readonly overall: { readonly id: Overall | 'none'; readonly words: string };
  /** The verdict's first sentence; the heading's words are not said again. */
  readonly lead: string;
  /** What else there is to weigh, a sentence each: chance, hours, money, what comes next. */
  readonly weigh: readonly string[];
  readonly core: readonly GradeLine[];
  readonly sections: readonly GradeLine[];
  readonly legend: string;
  readonly suspectsTitle: string;
  readonly suspects: readonly SuspectLine[];
  readonly conflicts: readonly string[];
  readonly measured: readonly Measured[];
  readonly measuredLeft: number;
  readonly coverage: string;
  readonly notProven: readonly string[];
  readonly wouldChangeMost: string;
  readonly steps: readonly StepLine[];
  /** Steps that come only once what is open was found out; empty where nothing has to be found out first. */
  readonly later: readonly StepLine[];
  /** Steps that an owner reads in other words, as the bench calls them: for the record. */
  readonly benchSteps: readonly StepLine[];
  readonly words: readonly Word[];
  /** What is renewed as a class: short on the owner's page, with parts and positions in the bench record. */
  readonly renew: readonly StepLine[];
  readonly effort: string;
  readonly disclaimer: string;
  readonly photos: readonly ShownPhoto[];
  readonly photosRefused: readonly string[];
  /** What was replaced, adjusted or cleaned already. */
  readonly done: readonly string[];
  readonly bench: BenchRecord;
}

const OVERALL_WORDS: Readonly<Record<Overall, string>> = {
  'worth-overhauling': 'Worth overhauling',
  'worth-with-reservations': 'Worth overhauling, with reservations',
  'not-worth': 'Not worth overhauling',
  'not-yet-known': 'Not yet known',
};

/** What the core parts are, for somebody who knows nothing of tubes. */
const OWNER_WORDS: Readonly<Record<string, string>> = {
  'picture-tube': 'the glass tube with the screen',
  flyback: 'the transformer that makes the picture tube’s high voltage',
  yoke: 'the coils round the neck of the picture tube that spread the picture',
  'power-transformer': 'the transformer that feeds the whole set',
};

const LEGEND =
  'Sound: proven under working conditions. Serviceable: works as far as it was tested. Doubtful: readings disagree or speak against it. Failed: the readings agree that it is bad. Not proven: not tested enough to say; it is not a good mark. A reading’s number is its place in the bench record.';

/** Said above the suspects. */
export const SUSPECTS_NOTE = 'In brackets: the chance that it is bad, as all readings together leave it.';

/** Said above the readings. */
export const GAUGE_NOTE = 'On the scale the box is where the reading should be, the pointer where it was.';

export const TREES_NOTE =
  'Read downwards: what is not right, and what can make it so. The chance is that this point is not right, or this part bad; causes under 1 in 10 are left out.';

/** Said above the grades of the chassis. */
export const REPAIRABLE = 'What fails here is a repair with parts that can be had, not the end of the set.';

export const ORDER_NOTE =
  'Values are read off the part or the service data; where the list says a rating, it is the least that will do. Costs are the rules’ rough brackets for all positions of a line, local currency. “Found bad” comes first; “aged as a class” is renewed whether it upsets anything today or not.';

export const DISCLAIMER =
  'This page is a record of readings and a judgement drawn from them on the day given. It is not a safety certificate and says nothing about whether the set may be used, left unattended or plugged in. Dangerous voltages stay in a set after it is unplugged. Work inside it, and its final test, belong to somebody qualified for it and to the rules that apply where it stands.';

/** Readings on the owner's page, and on one that is full of other matter; the bench record has them all. */
const OWNER_READINGS = 7;
const FEW_READINGS = 3;
/** Words of the trade explained there, likewise. */
const MOST_WORDS = 6;
const FEW_WORDS = 4;
/** Suspects, conflicts and steps from which a page of two sheets is full. */
const FULL_PAGE = 13;

/** Said above the steps that wait. */
export const LATER_TITLE = 'After that, and only if it still looks worth it';

/** Heading of the steps: what is open is found out first. */
export function stepsTitle({ later }: Pick<ReportContent, 'later'>): string {
  return later.length > 0 ? 'Next steps: find out first' : 'Next steps, in this order';
}

/** Contradictions on the owner's page. */
export const OWNER_CONFLICTS = 3;
export const MORE_CONFLICTS = 'More readings that do not fit are named in the bench record.';

const MOST_SUSPECTS = 5;

/** Puts together what the report says. Costs no more than one pass over the readings. */
export function reportContent(input: ReportInput): ReportContent {
  const { view, session, rulebook } = input;
  const terms = input.terms ?? 'us';
  const say = translator(rulebook.glossary, terms);
  const verdict = view.verdict;
  const measured = measuredOf(view, rulebook, say);
  const named = view.suspects
    .filter((suspect) => suspect.partProbability >= WORTH_NAMING && pointedAt(suspect))
    .slice(0, MOST_SUSPECTS);
  const owners = ownersText(rulebook, measured);
  const plain = (text: string) => say(owners(text));
  const all = verdict?.nextSteps ?? [];
  const { first, later } = ownersSteps(all, plain);
  const full =
    named.length + Math.min(view.conflicts.length, OWNER_CONFLICTS) + first.length + later.length > FULL_PAGE;
  const shown = forOwner(measured, verdict, rulebook.assemblies, full ? FEW_READINGS : OWNER_READINGS);
  const photos = photosFor(input.photos ?? [], typedText);
  const bench = benchRecord(input, measured, say);
  const recommendation = recommendationOf(verdict, plain);
  const page = {
    core: (verdict?.core ?? []).map((entry) => gradeLine(entry, plain)),
    sections: (verdict?.sections ?? []).map((entry) => gradeLine(entry, plain)),
    suspects: named.map((s) => suspectLine(s, input, measured, plain)),
    measured: shown.map((entry) => ({
      ...entry,
      value: unitsInWords(entry.value),
      expected: unitsInWords(entry.expected),
      say: unitsInWords(entry.say),
    })),
    notProven: notProvenLines(verdict).map(plain),
    steps: first,
    later,
  };
  return {
    ...page,
    language: terms === 'uk' ? 'en-GB' : 'en-US',
    title: typedText(view.state.set?.name ?? '') || typedText(session.name),
    date: dateWords(input.now),
    asked: askedFacts(input, say),
    facts: setFacts(input, say),
    trouble: say(view.trouble ?? ''),
    overall: verdict
      ? { id: verdict.overall, words: OVERALL_WORDS[verdict.overall] }
      : { id: 'none', words: 'No verdict yet' },
    ...recommendation,
    legend: LEGEND,
    // What is less likely than not is not `probably` wrong.
    suspectsTitle: named.some((s) => s.partProbability >= 0.5)
      ? 'What is probably wrong'
      : 'What may be wrong',
    conflicts: view.conflicts.map((conflict) => say(conflict.say)),
    measuredLeft: measured.length - shown.length,
    coverage: verdict
      ? `${Math.round(verdict.coverage * 100)} % of all tests that could have been made on this set here were made: those that tell most for their time.`
      : '',
    // Said above already where the walk could go on.
    wouldChangeMost: recommendation.weigh.some((text) => text.includes('would tell most'))
      ? ''
      : plain(verdict?.wouldChangeMost ?? ''),
    benchSteps: all
      .filter((step) => step.plain !== undefined)
      .map(({ plain: _, ...step }) => stepLine(step, say)),
    words: wordsIn(rulebook, ownersTexts(page), full ? FEW_WORDS : MOST_WORDS).map(([word, means]) => [
      say(word),
      say(means),
    ]),
    renew: all.filter((step) => step.kind === 'class-replacement').map((step) => stepLine(step, say)),
    effort: say(verdict ? effortWords(verdict) : ''),
    disclaimer: say(DISCLAIMER),
    photos: photos.shown,
    photosRefused: photos.refused,
    done: bench.repairs.map(doneWords),
    bench,
  };
}

/** What stands on the owner's page in the words of the trade. */
function ownersTexts(page: Pick<ReportContent, 'core' | 'suspects' | 'measured' | 'steps' | 'later'>) {
  return [
    ...page.core.map((line) => line.say),
    ...page.suspects.map((line) => line.title),
    ...page.measured.map((line) => `${line.title} ${line.say}`),
    ...[...page.steps, ...page.later].map((line) => `${line.action} ${line.part} ${line.why}`),
  ];
}

/** First sentence and rest of the recommendation, without the words that the heading says already. */
function recommendationOf(verdict: Verdict | undefined, say: (text: string) => string) {
  if (!verdict) return { lead: 'Too little is known of this set for a verdict.', weigh: [] };
  const letters = (text: string) => text.toLowerCase().replace(/[^a-z]/g, '');
  const text = verdict.recommendation;
  const colon = text.indexOf(': ');
  const said = colon > 0 && letters(text.slice(0, colon)) === letters(OVERALL_WORDS[verdict.overall]);
  const rest = said ? text.slice(colon + 2) : text;
  const whole = rest.charAt(0).toUpperCase() + rest.slice(1);
  const lead = firstSentence(whole);
  return {
    lead: say(lead),
    weigh: whole
      .slice(lead.length)
      .trim()
      .split(/(?<=[.!?])\s+(?=[A-Z])/)
      .filter((text) => text !== '')
      .map(say),
  };
}

function gradeLine(entry: GradeEntry, say: (text: string) => string): GradeLine {
  return {
    id: entry.id,
    title: say(entry.title),
    gloss: entry.core ? (OWNER_WORDS[entry.id] ?? '') : '',
    grade: entry.grade,
    say: say(entry.say),
  };
}

function suspectLine(
  suspect: Suspect,
  { rulebook }: ReportInput,
  measured: readonly Measured[],
  say: (text: string) => string,
): SuspectLine {
  const numbered = (id: string) => {
    const title = inSentence(rulebook.checks.find((check) => check.id === id)?.title ?? id);
    const seq = measured.findLast((entry) => entry.check === id)?.seq;
    return seq === undefined ? title : `reading ${seq}`;
  };
  const fault = rulebook.parts
    .find((part) => part.id === suspect.part)
    ?.faults.find((entry) => entry.id === suspect.fault)?.title;
  const title = fault && !suspect.title.includes(fault) ? `${suspect.title}: ${fault}` : suspect.title;
  return {
    title: say(title),
    chance: chanceWords(suspect.partProbability),
    // The renderers close the sentence.
    because: say(reasonWords(suspect.because, numbered).replace(/\.$/, '')),
  };
}

/** Readings that the verdict rests on and those out of order, in the order taken, as many as an owner's page holds. */
function forOwner(
  measured: readonly Measured[],
  verdict: Verdict | undefined,
  assemblies: readonly Assembly[],
  most: number,
): readonly Measured[] {
  const proofs = new Set(
    assemblies
      .filter((one) => one.core)
      .flatMap((one) => one.ceilings.flatMap((ladder) => [...ladder.checks, ...ladder.anyOf])),
  );
  const core = new Set(
    (verdict?.core ?? []).flatMap((entry) =>
      entry.because.filter((weight) => Math.abs(weight.weight) > 0.3).map((weight) => weight.check),
    ),
  );
  const rank = (entry: Measured) =>
    (entry.standing === 'bad' ? 4 : entry.standing === 'watch' && entry.figure ? 2 : 0) +
    // A figure says more than a look; a look that found nothing says least.
    (core.has(entry.check) ? (entry.figure ? 2 : 0.5) : 0) +
    (proofs.has(entry.check) ? 1.5 : 0) +
    (entry.figure ? 0.6 : 0) +
    (entry.ratio !== undefined ? 1 : 0);
  const chosen = new Set(
    measured
      .filter((entry) => entry.believed)
      .toSorted((a, b) => rank(b) - rank(a) || a.seq - b.seq)
      .slice(0, most),
  );
  return measured.filter((entry) => chosen.has(entry));
}
