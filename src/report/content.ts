// The owner's page as plain data, before it becomes Markdown or HTML: every sentence and figure is decided here, once.

import { pointedAt, WORTH_NAMING } from '../diagnosis/next-steps.ts';
import { chanceWords, inSentence, listWords, sentence, spanWords } from '../diagnosis/plain-words.ts';
import type { Grade, GradeEntry, NextStep, Overall, Suspect, Verdict } from '../diagnosis/types.ts';
import type { Assembly } from '../rulebook/types.ts';
import { type BenchRecord, benchRecord } from './bench-record.ts';
import type { ReportInput } from './input.ts';
import { type Measured, measuredOf } from './measured.ts';
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

export interface StepLine {
  readonly kind: string;
  readonly action: string;
  readonly part: string;
  readonly why: string;
  readonly caution: string;
  /** `0.5 to 1 h, 5 to 10 in parts`; empty when neither is known. */
  readonly effort: string;
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
  readonly facts: readonly (readonly [label: string, value: string])[];
  readonly trouble: string;
  readonly overall: { readonly id: Overall | 'none'; readonly words: string };
  /** The verdict's first sentence; the heading's words are not said again. */
  readonly lead: string;
  /** What else there is to weigh: chance, hours, money, what comes next. */
  readonly recommendation: string;
  readonly core: readonly GradeLine[];
  readonly sections: readonly GradeLine[];
  readonly legend: string;
  readonly suspects: readonly SuspectLine[];
  readonly conflicts: readonly string[];
  readonly measured: readonly Measured[];
  readonly measuredLeft: number;
  readonly coverage: string;
  readonly notProven: readonly string[];
  readonly wouldChangeMost: string;
  readonly steps: readonly StepLine[];
  /** What is renewed as a class: short on the owner's page, with parts and positions in the bench record. */
  readonly renew: readonly StepLine[];
  readonly effort: string;
  readonly disclaimer: string;
  readonly photos: readonly ShownPhoto[];
  readonly photosRefused: readonly string[];
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

const KIND_WORDS: Readonly<Record<NextStep['kind'], string>> = {
  safety: 'First',
  measure: 'Measure',
  decide: 'Decide',
  repair: 'Repair',
  'class-replacement': 'Renew',
  finish: 'Finish',
};

const LEGEND =
  'Sound: proven under working conditions. Serviceable: works as far as it was tested. Doubtful: readings disagree or speak against it. Failed: the readings agree that it is bad. Not proven: not tested enough to say; it is not a good mark.';

/** Said above the grades of the chassis. */
export const REPAIRABLE = 'What fails here is a repair with parts that can be had, not the end of the set.';

export const TUBES_FROM_MEMORY =
  'Some figures in this table are from memory, not from a manual: check heater, base and pins in a tube manual before anything rests on them.';

export const ORDER_NOTE =
  'Values are read off the part or the service data; where the list says a rating, it is the least that will do. Costs are the rules’ rough brackets for all positions of a line, local currency. “Found bad” comes first; “aged as a class” is renewed whether it upsets anything today or not.';

export const DISCLAIMER =
  'This page is a record of readings and a judgement drawn from them on the day given. It is not a safety certificate and says nothing about whether the set may be used, left unattended or plugged in. High voltages stay in a set after it is unplugged. Work inside it, and its final test, belong to somebody qualified for it and to the rules that apply where it stands.';

const RENEW_IN_ORDER = 'In this order (parts and positions are in the bench record):';

/** Readings on the owner's page; the bench record has them all. */
const OWNER_READINGS = 7;

/** Puts together what the report says. Costs no more than one pass over the readings. */
export function reportContent(input: ReportInput): ReportContent {
  const { view, session, rulebook } = input;
  const terms = input.terms ?? 'us';
  const say = translator(rulebook.glossary, terms);
  const verdict = view.verdict;
  const measured = measuredOf(view, rulebook, say);
  const shown = forOwner(measured, verdict, rulebook.assemblies);
  const photos = photosFor(input.photos ?? [], typedText);
  return {
    language: terms === 'uk' ? 'en-GB' : 'en-US',
    title: typedText(view.state.set?.name ?? '') || typedText(session.name),
    date: dateWords(input.now),
    facts: factLines(input, say),
    trouble: say(view.trouble ?? ''),
    overall: verdict
      ? { id: verdict.overall, words: OVERALL_WORDS[verdict.overall] }
      : { id: 'none', words: 'No verdict yet' },
    ...recommendationOf(verdict, say),
    core: (verdict?.core ?? []).map((entry) => gradeLine(entry, say)),
    sections: (verdict?.sections ?? []).map((entry) => gradeLine(entry, say)),
    legend: LEGEND,
    suspects: view.suspects
      .filter((suspect) => suspect.partProbability >= WORTH_NAMING && pointedAt(suspect))
      .slice(0, 6)
      .map((s) => suspectLine(s, input, measured, say)),
    conflicts: view.conflicts.map((conflict) => say(conflict.say)),
    measured: shown,
    measuredLeft: measured.length - shown.length,
    coverage: verdict
      ? `Of all checks that the rules hold for this set and this bench, ${Math.round(verdict.coverage * 100)} % were done; the walk picks those that tell most.`
      : '',
    notProven: notProvenLines(verdict).map(say),
    wouldChangeMost: say(verdict?.wouldChangeMost ?? ''),
    steps: ownersSteps(verdict?.nextSteps ?? [], say),
    renew: (verdict?.nextSteps ?? [])
      .filter((step) => step.kind === 'class-replacement')
      .map((step) => stepLine(step, say)),
    effort: verdict ? totalWords(verdict) : '',
    disclaimer: say(DISCLAIMER),
    photos: photos.shown,
    photosRefused: photos.refused,
    bench: benchRecord(input, measured, say),
  };
}

/** First sentence and rest of the recommendation, without the words that the heading says already. */
function recommendationOf(verdict: Verdict | undefined, say: (text: string) => string) {
  if (!verdict) return { lead: 'Too little is known of this set for a verdict.', recommendation: '' };
  const letters = (text: string) => text.toLowerCase().replace(/[^a-z]/g, '');
  const text = verdict.recommendation;
  const colon = text.indexOf(': ');
  const said = colon > 0 && letters(text.slice(0, colon)) === letters(OVERALL_WORDS[verdict.overall]);
  const rest = said ? text.slice(colon + 2) : text;
  const whole = rest.charAt(0).toUpperCase() + rest.slice(1);
  const lead = firstSentence(whole);
  return { lead: say(lead), recommendation: say(whole.slice(lead.length).trim()) };
}

function factLines({ view, session, rulebook, technician }: ReportInput, say: (text: string) => string) {
  const { set } = view.state;
  const family = rulebook.families.find((entry) => entry.id === set?.family);
  const complaint = (set?.complaint ?? []).map(
    (id) => rulebook.symptoms.find((s) => s.id === id)?.title ?? id,
  );
  const wishes = {
    watch: 'to watch it',
    display: 'to display it',
    sell: 'to sell it',
    unknown: '',
  } as const;
  const lines: (readonly [string, string])[] = [
    ['Owner', typedText(set?.owner ?? '')],
    ['Question', typedText(set?.question ?? '')],
    ['Wish', wishes[view.state.ownerWish]],
    ['Complaint', say(listWords(complaint.map(inSentence)))],
    ['Supply', say(family?.title ?? set?.family ?? '')],
    ['Standard', set ? `${set.standard} lines` : ''],
    ['Picture tube', set?.pictureTube === 'unknown' ? 'type not known' : typedText(set?.pictureTube ?? '')],
    ['Line voltage', set ? `${set.lineVolts} V at the bench, ${set.ratedVolts} V on the label` : ''],
    ['Session', `${typedText(session.name)}, begun ${typedText(session.created).slice(0, 10)}`],
    ['Technician', typedText(technician ?? '')],
  ];
  return lines.filter(([, value]) => value !== '').map(([label, value]) => [say(label), value] as const);
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

function stepLine(step: NextStep, say: (text: string) => string): StepLine {
  const hours = step.hours[1] > 0.04 ? `${spanWords(step.hours)} h` : '';
  const cost = step.cost[1] >= 0.5 ? `${spanWords(step.cost)} in parts` : '';
  // `Part: what to fit` with an action that does not name the part: the part comes first, as an owner asks for it.
  const colon = step.kind === 'repair' ? step.part.indexOf(': ') : -1;
  const action = colon > 0 ? `${step.part.slice(0, colon)}: ${inSentence(step.action)}` : step.action;
  return {
    kind: KIND_WORDS[step.kind],
    action: say(action),
    part: say(colon > 0 ? step.part.slice(colon + 2) : step.part),
    why: say(step.why),
    caution: say(step.caution),
    effort: [hours, cost].filter((text) => text !== '').join(', '),
  };
}

/** What was not proven, without the sentences that the grades above say already. */
function notProvenLines(verdict: Verdict | undefined): readonly string[] {
  if (!verdict) return ['Everything: no verdict was drawn, so nothing counts as proven.'];
  return verdict.notProven.map((line) => {
    const entry = verdict.core.find((one) => line.startsWith(`${one.title}: ${one.say}`));
    if (!entry) return line;
    const rest = line.slice(`${entry.title}: ${entry.say}`.length).trim();
    return `${entry.title}: ${rest === '' ? 'see its grade above.' : rest}`;
  });
}

/** The steps as an owner reads them: renewing is one step, its list follows under it; each caution once. */
function ownersSteps(steps: readonly NextStep[], say: (text: string) => string): readonly StepLine[] {
  const renew = steps.filter((step) => step.kind === 'class-replacement');
  const [first] = renew;
  const sum = (of: 'hours' | 'cost', n: 0 | 1) => renew.reduce((all, step) => all + step[of][n], 0);
  const shown = steps.flatMap((step) => {
    if (step.kind !== 'class-replacement') return [stepLine(step, say)];
    if (step !== first) return [];
    const whole: NextStep = {
      kind: 'class-replacement',
      action: 'What decades of rest have aged, whether it upsets anything today or not',
      part: '',
      why: `${RENEW_IN_ORDER} ${renew.map((one) => inSentence(one.action).replace(', tested or not,', '')).join('; ')}.`,
      caution: [...new Set(renew.map((one) => one.caution))].join(' '),
      hours: [sum('hours', 0), sum('hours', 1)],
      cost: [sum('cost', 0), sum('cost', 1)],
    };
    return [stepLine(whole, say)];
  });
  return cautionsOnce(shown);
}

/** Each caution is shown with the first step that it belongs to: repeated on every line it would no longer be read. */
function cautionsOnce(steps: readonly StepLine[]): readonly StepLine[] {
  const shown = new Set<string>();
  return steps.map((step) => {
    const fresh = step.caution.split(/(?<=[.!?])\s+/).filter((text) => {
      const first = text !== '' && !shown.has(text);
      shown.add(text);
      return first;
    });
    return { ...step, caution: fresh.join(' ') };
  });
}

function totalWords(verdict: Verdict): string {
  return `Together about ${spanWords(verdict.hours)} bench hours and ${spanWords(verdict.cost)} in parts (local currency). The figures are sums of rough brackets for each job; a job that is less likely than not counts only with its chance, at the upper end. Chance of a watchable picture with parts that can be had: ${chanceWords(verdict.watchable)}.`;
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
    return seq === undefined ? title : `${title} (No. ${seq})`;
  };
  const name = (direction: 1 | -1) =>
    listWords(
      suspect.because
        .filter((entry) => entry.weight * direction > 0.3)
        .toSorted((a, b) => Math.abs(b.weight) - Math.abs(a.weight))
        .slice(0, 3)
        .map((entry) => numbered(entry.check)),
    );
  const raised = name(1);
  const lowered = name(-1);
  const fault = rulebook.parts
    .find((part) => part.id === suspect.part)
    ?.faults.find((entry) => entry.id === suspect.fault)?.title;
  const title = fault && !suspect.title.includes(fault) ? `${suspect.title}: ${fault}` : suspect.title;
  return {
    title: say(title),
    chance: chanceWords(suspect.partProbability),
    because: say(
      sentence(
        [raised && `speaking for it: ${raised}`, lowered && `speaking against it: ${lowered}`]
          .filter((text) => text !== '')
          .join('; '),
      ),
    ),
  };
}

/** Readings that the verdict rests on and those out of order, in the order taken, as many as an owner's page holds. */
function forOwner(
  measured: readonly Measured[],
  verdict: Verdict | undefined,
  assemblies: readonly Assembly[],
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
      .slice(0, OWNER_READINGS),
  );
  return measured.filter((entry) => chosen.has(entry));
}
