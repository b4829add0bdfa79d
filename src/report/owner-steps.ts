// Next steps as the owner's page shows them: renewing as one step, each caution once, and what hours and money are sums of.
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

const RENEW_IN_ORDER = 'In this order (parts and positions are in the bench record):';

/** One step in the words of the page. */
export function stepLine(step: NextStep, say: (text: string) => string): StepLine {
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
export function notProvenLines(verdict: Verdict | undefined): readonly string[] {
  if (!verdict) return ['Everything: no verdict was drawn, so nothing counts as proven.'];
  return verdict.notProven.map((line) => {
    const entry = verdict.core.find((one) => line.startsWith(`${one.title}: ${one.say}`));
    if (!entry) return line;
    const rest = line.slice(`${entry.title}: ${entry.say}`.length).trim();
    return `${entry.title}: ${rest === '' ? 'see its grade above.' : rest}`;
  });
}

/** The steps as an owner reads them: renewing is one step, its list follows under it; each caution once. */
export function ownersSteps(steps: readonly NextStep[], say: (text: string) => string): readonly StepLine[] {
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

/** What the sums are sums of, and what is not in them. */
export function effortWords(verdict: Verdict): string {
  return `Together about ${spanWords(verdict.hours)} bench hours and ${spanWords(verdict.cost)} in parts (local currency). The figures are sums of the rules’ rough brackets for each job, from trade practice and not from quotations; a job that is less likely than not counts only with its chance, at the upper end. Not in them: ${listWords(leftOut(verdict))}.`;
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
