// Facts about the set and the session as pairs of label and value: who asks what, and what the set is.
import { inSentence, listWords } from '../diagnosis/plain-words.ts';
import type { SetFacts } from '../rulebook/types.ts';
import { ownerSaid } from '../session/owner-said.ts';
import type { SessionState } from '../session/types.ts';
import type { ReportInput } from './input.ts';
import { timeWords, typedText } from './text.ts';

export type Fact = readonly [label: string, value: string];

const WISHES = { watch: 'to watch it', display: 'to display it', sell: 'to sell it', unknown: '' } as const;

/** Whose set it is, what was asked, and who answers: above the verdict. */
export function askedFacts(
  { view, technician, rulebook }: ReportInput,
  say: (text: string) => string,
): readonly Fact[] {
  const { set, ownerWish } = view.state;
  const complaint = (set?.complaint ?? []).map(
    (id) => rulebook.symptoms.find((s) => s.id === id)?.title ?? id,
  );
  return filled(
    [
      ['Owner', typedText(set?.owner ?? '')],
      ['Complaint', say(listWords(complaint.map(inSentence)))],
      ['You said', typedText(ownerSaid(view.state))],
      ['Question', typedText(set?.question ?? '')],
      ['Wish', WISHES[ownerWish]],
      ['Technician', typedText(technician ?? '')],
    ],
    say,
  );
}

/** What the set is and which session this is: below the judgement that it explains. */
export function setFacts(
  { view, session, rulebook }: ReportInput,
  say: (text: string) => string,
): readonly Fact[] {
  const { set, lastAt } = view.state;
  const family = rulebook.families.find((entry) => entry.id === set?.family);
  const begun = typedText(session.created).slice(0, 10);
  const last = timeWords(lastAt).slice(0, 10);
  return filled(
    [
      ['Supply', say(family?.title ?? set?.family ?? '')],
      ['Standard', set ? `${set.standard} lines` : ''],
      ['Picture tube', set?.pictureTube === 'unknown' ? 'type not known' : typedText(set?.pictureTube ?? '')],
      ['Line voltage', set ? lineWords(set, view.state) : ''],
      [
        'Session',
        `${typedText(session.name)}, begun ${begun}${lastAt === '' || last === begun ? '' : `, last entry ${last}`}`,
      ],
    ],
    say,
  );
}

/** What the line is taken for: what somebody measured, or the label alone. */
function lineWords(set: SetFacts, { lineVolts }: SessionState): string {
  const measured = lineVolts > 0 || set.lineVolts !== set.ratedVolts;
  const at = lineVolts > 0 ? lineVolts : set.lineVolts;
  return measured
    ? `${at} V at the set, ${set.ratedVolts} V by its label`
    : `${set.ratedVolts} V by its label`;
}

function filled(facts: readonly Fact[], say: (text: string) => string): readonly Fact[] {
  return facts.filter(([, value]) => value !== '').map(([label, value]) => [say(label), value]);
}
