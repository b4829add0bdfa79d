// Next steps as the owner's page shows them: what is found out first and what waits for it, renewing as one step, each caution once, and what hours and money are sums of.
import { untilSettled } from '../diagnosis/next-steps.ts';
import { inSentence, listWords, spanWords } from '../diagnosis/plain-words.ts';
import type { NextStep, Verdict } from '../diagnosis/types.ts';

export interface StepLine {
  readonly kind: string;
  readonly action: string;
  readonly part: string;
  readonly why: string;
  readonly caution: string;
  /** `0.5 to 1 h, 5 to 10 in parts`; empty when neither is known. */
  readonly effort: string;
}

const KIND_WORDS: Readonly<Record<NextStep['kind'], string>> = {
  safety: 'First',
  measure: 'Measure',
  decide: 'Decide',
  repair: 'Repair',
  'class-replacement': 'Renew',
  finish: 'Finish',
};

const RENEW_IN_ORDER = 'In this order (the bench record has parts and places):';

/** One step in the words of the page. */
export function stepLine(step: NextStep, say: (text: string) => string): StepLine {
  const hours = step.hours[1] > 0.04 ? `${spanWords(step.hours)} h` : '';
  const cost = step.cost[1] >= 0.5 ? `${spanWords(step.cost)} in parts` : '';
  // `Part: what to fit` with an action that does not name the part: the part comes first, as an owner asks for it.
  const colon = step.kind === 'repair' ? step.part.indexOf(': ') : -1;
  const text = step.plain ?? step.action;
  const action = colon > 0 ? `${step.part.slice(0, colon)}: ${inSentence(step.action)}` : text;
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
export function notProvenLines(verdict: Verdict | undefined): readonly string[] {
  if (!verdict) return ['Everything: no verdict was drawn, so nothing counts as proven.'];
  return verdict.notProven.map((line) => {
    const entry = verdict.core.find((one) => line.startsWith(`${one.title}: ${one.say}`));
    if (!entry) return line;
    const rest = line.slice(`${entry.title}: ${entry.say}`.length).trim();
    return `${entry.title}: ${rest === '' ? 'see its grade above.' : rest}`;
  });
}

/** The steps as an owner reads them; each caution once. `later` is what waits until the others have told what is open. */
export function ownersSteps(
  steps: readonly NextStep[],
  say: (text: string) => string,
): { readonly first: readonly StepLine[]; readonly later: readonly StepLine[] } {
  const settled = untilSettled(steps);
  const rest = steps.slice(settled);
  const split = rest.some((step) => step.cost[1] >= 0.5) ? settled : 0;
  const first = oneStepEach(steps.slice(0, split), say);
  const all = cautionsOnce([...first, ...oneStepEach(steps.slice(split), say)]).map((line) =>
    line.kind === KIND_WORDS.measure ? { ...line, kind: 'Test' } : line,
  );
  return split === 0
    ? { first: all, later: [] }
    : { first: all.slice(0, first.length), later: all.slice(first.length) };
}

/** Renewing is one step, its list follows under it; steps that say the same to an owner are one. */
function oneStepEach(steps: readonly NextStep[], say: (text: string) => string): readonly StepLine[] {
  const renew = steps.filter((step) => step.kind === 'class-replacement');
  const [first] = renew;
  const sum = (of: 'hours' | 'cost', n: 0 | 1) => renew.reduce((all, step) => all + step[of][n], 0);
  return steps.flatMap((step) => {
    if (step.kind !== 'class-replacement') {
      const same = step.plain === undefined ? [step] : steps.filter(({ plain }) => plain === step.plain);
      return same[0] === step ? [stepLine(together(same), say)] : [];
    }
    if (step !== first) return [];
    const whole: NextStep = {
      kind: 'class-replacement',
      action:
        steps.some((step) => step.settles) && renew.every((step) => step.beforeRun)
          ? 'What must be new before the set runs again'
          : 'What decades of rest have aged, whether it upsets anything today or not',
      part: '',
      why: `${RENEW_IN_ORDER} ${renew.map((one) => inSentence(one.action).replace(', tested or not,', '')).join('; ')}.`,
      caution: [...new Set(renew.map((one) => one.caution))].join(' '),
      hours: [sum('hours', 0), sum('hours', 1)],
      cost: [sum('cost', 0), sum('cost', 1)],
    };
    return [stepLine(whole, say)];
  });
}

/** Steps with the same words for an owner as one: parts and reasons in a row, efforts added up. */
function together(steps: readonly [NextStep, ...NextStep[]] | readonly NextStep[]): NextStep {
  const each = (of: (step: NextStep) => string, between: string) =>
    [...new Set(steps.map(of).filter((text) => text !== ''))].join(between);
  const sum = (of: 'hours' | 'cost', n: 0 | 1) => steps.reduce((all, step) => all + step[of][n], 0);
  return {
    ...(steps[0] as NextStep),
    part: each((step) => step.part, '; '),
    why: each((step) => step.why, ' '),
    caution: each((step) => step.caution, ' '),
    hours: [sum('hours', 0), sum('hours', 1)],
    cost: [sum('cost', 0), sum('cost', 1)],
  };
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

/** What the sums are sums of, and what is not in them. */
export function effortWords(verdict: Verdict): string {
  return `Together about ${spanWords(verdict.hours)} hours of work and ${spanWords(verdict.cost)} in parts (local currency). These are rough figures from trade practice, job by job, and no quotation; a job that is less likely than not counts only with its chance, at the upper end. Not in them: ${listWords(leftOut(verdict))}.`;
}

function leftOut({ core, coldOnly, sections, nextSteps }: Verdict): readonly string[] {
  const doubtful = core
    .filter(({ grade }) => grade === 'doubtful' || grade === 'not proven')
    .map(({ title }) => `the ${inSentence(title)} should it prove bad`);
  const open = sections.some(({ grade }) => grade === 'not proven' || grade === 'doubtful');
  // With a repair in the list its step of re-measuring carries an allowance for faults behind it.
  const hidden = open && !nextSteps.some(({ kind }) => kind === 'repair');
  return [
    'the price of the hours',
    'the cabinet',
    ...doubtful,
    ...(coldOnly ? ['what only live readings can show'] : hidden ? ['faults in what was not tested'] : []),
  ];
}
