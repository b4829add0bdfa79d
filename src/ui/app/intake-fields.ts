// The questions of intake, in order, made from the rule base: what each asks, which answers it has, how an answer goes into the facts.
import { factsOf, holds } from '../../rulebook/facts.ts';
import { factsOfPictureTube, registeredType } from '../../rulebook/registered.ts';
import type { Rulebook, SetFacts } from '../../rulebook/types.ts';
import { parseReading } from '../../session/reading-syntax.ts';
import { clean } from '../text.ts';

export type Wish = 'watch' | 'display' | 'sell' | 'unknown';

export interface FieldOption {
  readonly id: string;
  readonly title: string;
  readonly describe: string;
}

export interface IntakeField {
  readonly id: string;
  readonly title: string;
  readonly ask: string;
  readonly kind: 'text' | 'number' | 'choice' | 'many';
  readonly options: readonly FieldOption[];
  /** Unit of a number, and the range that is taken. */
  readonly unit: string;
  readonly range: readonly [number, number];
}

/** What intake knows so far. */
export interface Draft {
  readonly facts: SetFacts;
  readonly wish: Wish;
  /** What the owner said of it in own words. */
  readonly said?: string;
}

const DONT_KNOW: FieldOption = { id: 'unknown', title: "don't know", describe: '' };
const option = (id: string, title: string, describe = ''): FieldOption => ({ id, title, describe });

const base = { options: [], unit: '', range: [0, 0] } as const;
const text = (id: string, title: string, ask: string): IntakeField => ({
  ...base,
  id,
  title,
  ask,
  kind: 'text',
});
const number = (
  id: string,
  title: string,
  ask: string,
  unit: string,
  range: readonly [number, number],
): IntakeField => ({ ...base, id, title, ask, kind: 'number', unit, range });
const choice = (id: string, title: string, ask: string, options: readonly FieldOption[]): IntakeField => ({
  ...base,
  id,
  title,
  ask,
  kind: 'choice',
  options,
});

/** A set of which nothing is known but the usual 525-line 117 V practice. */
export const UNKNOWN_SET: SetFacts = {
  name: '',
  owner: '',
  question: '',
  family: '',
  standard: '525',
  lineVolts: 117,
  ratedVolts: 117,
  ratedWatts: 0,
  pictureTube: 'unknown',
  tubes: {},
  complaint: [],
  restored: 'unknown',
  storage: 'unknown',
  facts: {},
  serviceData: {},
};

/** The fields that apply to the set as far as it is known. */
export function intakeFields(book: Rulebook, draft: SetFacts): readonly IntakeField[] {
  const family = book.families.find((f) => f.id === draft.family);
  const known = factsOf(book, draft);
  const facts = book.facts.filter((f) => !(family && f.id in family.facts) && holds(f.when, known));
  const roles = [...new Set(book.parts.flatMap((p) => (p.tube && holds(p.when, known) ? [p.tube] : [])))];
  return [
    text('name', 'Name', 'A name for this set, as you will look for it later.'),
    choice(
      'family',
      'Supply',
      'How are B+ and the heaters fed?',
      book.families.map((f) => option(f.id, f.title, f.describe)),
    ),
    text('owner', 'Owner', 'Whose set is it?'),
    text('question', 'Question', 'What does the owner want to know?'),
    choice('wish', 'Owner wants', 'What is the set for?', [
      DONT_KNOW,
      option('watch', 'to watch it'),
      option('display', 'to show it, working or not'),
      option('sell', 'to sell it'),
    ]),
    text(
      'said',
      'Owner says',
      'What the owner says of it, in own words; one line, for the record. Enter passes over it.',
    ),
    {
      ...base,
      id: 'complaint',
      title: 'Complaint',
      ask: 'What was seen or heard when it last ran?',
      kind: 'many',
      options: book.symptoms.map((s) => option(s.id, s.title)),
    },
    choice('restored', 'Earlier work', 'Has anyone replaced capacitors?', [
      DONT_KNOW,
      option('none', 'nothing replaced'),
      option('recapped', 'capacitors replaced'),
    ]),
    choice('storage', 'Storage', 'How was it stored?', [
      DONT_KNOW,
      option('dry', 'dry'),
      option('damp', 'damp: cellar, shed, garage'),
    ]),
    choice('standard', 'Standard', 'Which line standard?', [
      option('525', '525 lines'),
      option('625', '625 lines'),
      option('405', '405 lines'),
      option('dual', '405 and 625 lines'),
    ]),
    number('line-volts', 'Line today', 'Line voltage at the bench, as measured.', 'V', [80, 280]),
    number('rated-volts', 'Label volts', 'Line voltage on the label of the set.', 'V', [80, 280]),
    number(
      'rated-watts',
      'Label watts',
      'Input on the label of the set; 0 if it is not there or not read: then what is usual for such a set is taken.',
      'W',
      [0, 1000],
    ),
    text('picture-tube', 'Picture tube', 'Registered type of the picture tube, e.g. 21YP4A.'),
    ...facts.map((f) =>
      choice(`fact:${f.id}`, f.title, f.ask, [DONT_KNOW, ...f.values.map((v) => option(v.id, v.title))]),
    ),
    ...roles.map((role) =>
      text(
        `tube:${role}`,
        `Tube, ${role.replaceAll('-', ' ')}`,
        'Registered type of the tube in this place; empty if not known.',
      ),
    ),
  ];
}

/** What a field holds now: option ids for choices (joined by commas for several), text otherwise. */
export function fieldValue(field: IntakeField, { facts, wish, said }: Draft): string {
  const [kind, key = ''] = field.id.split(':');
  switch (kind) {
    case 'fact':
      return facts.facts[key] ?? 'unknown';
    case 'tube':
      return facts.tubes[key] ?? '';
    case 'wish':
      return wish;
    case 'said':
      return said ?? '';
    case 'complaint':
      return facts.complaint.join(',');
    case 'line-volts':
      return String(facts.lineVolts);
    case 'rated-volts':
      return String(facts.ratedVolts);
    case 'rated-watts':
      return String(facts.ratedWatts);
    case 'picture-tube':
      return facts.pictureTube === 'unknown' ? '' : facts.pictureTube;
    case 'family':
      return facts.family;
    case 'standard':
      return facts.standard;
    case 'restored':
      return facts.restored;
    case 'storage':
      return facts.storage;
    case 'name':
      return facts.name;
    case 'owner':
      return facts.owner;
    default:
      return facts.question;
  }
}

/** The value in words, for the list of fields. */
export function fieldWords(field: IntakeField, draft: Draft): string {
  const value = fieldValue(field, draft);
  if (field.kind === 'many') {
    const chosen = value === '' ? [] : value.split(',');
    return chosen.map((id) => field.options.find((o) => o.id === id)?.title ?? id).join('; ');
  }
  if (field.kind === 'choice') return field.options.find((o) => o.id === value)?.title ?? '';
  if (field.id === 'rated-watts' && value === '0') return 'not on the label';
  return field.unit === '' || value === '' ? value : `${value} ${field.unit}`;
}

/** Volts or watts as typed, in any spelling that a reading takes; NaN if it is none, or could be two. */
export function numberTyped(typed: string, unit: string): number {
  const quantity = unit === 'W' ? 'watts' : 'ac-volts';
  const parsed = parseReading(typed, { kind: 'number', quantity, unit });
  return parsed.ok === true && parsed.value.kind === 'number' ? parsed.value.value : Number.NaN;
}

export type Answered =
  | { readonly ok: true; readonly draft: Draft }
  | { readonly ok: false; readonly message: string };

/** The draft with an answer put in, or why it cannot be. Numbers take a decimal comma and their own unit. */
export function answer(book: Rulebook, field: IntakeField, typed: string, draft: Draft): Answered {
  const value = clean(typed).trim();
  const { facts } = draft;
  const put = (change: Partial<SetFacts>): Answered => ({
    ok: true,
    draft: { ...draft, facts: { ...facts, ...change } },
  });
  if (field.kind === 'number') {
    const volts = numberTyped(value, field.unit);
    const [least, most] = field.range;
    if (value === '' || !Number.isFinite(volts) || volts < least || volts > most) {
      return {
        ok: false,
        message: `${field.title}: a number from ${least} to ${most} ${field.unit}, e.g. 117.`,
      };
    }
    if (field.id === 'line-volts') return put({ lineVolts: volts });
    return put(field.id === 'rated-volts' ? { ratedVolts: volts } : { ratedWatts: volts });
  }
  const [kind, key = ''] = field.id.split(':');
  switch (kind) {
    case 'fact':
      return put({ facts: { ...facts.facts, [key]: value } });
    case 'tube': {
      const { [key]: _gone, ...others } = facts.tubes;
      const type = registeredType(book.tubes, value)?.type ?? value.toUpperCase();
      return put({ tubes: value === '' ? others : { ...others, [key]: type } });
    }
    case 'wish': {
      const wish = (['watch', 'display', 'sell'] as const).find((w) => w === value) ?? 'unknown';
      return { ok: true, draft: { ...draft, wish } };
    }
    case 'said':
      return { ok: true, draft: { ...draft, said: value } };
    case 'family': {
      const family = book.families.find((f) => f.id === value);
      if (!family) return { ok: false, message: 'Choose the kind of supply: the walk depends on it.' };
      const before = book.families.find((f) => f.id === facts.family);
      // What the family chosen before put there goes with it; what was typed stays.
      const own = (now: number, put: number | undefined, instead: number): number =>
        before === undefined || now === put ? instead : now;
      return put({
        family: family.id,
        ratedVolts: own(facts.ratedVolts, before?.ratedVolts, family.ratedVolts),
        lineVolts: own(facts.lineVolts, before?.ratedVolts, family.ratedVolts),
      });
    }
    case 'standard':
      return put({ standard: (['525', '625', '405', 'dual'] as const).find((s) => s === value) ?? '525' });
    case 'restored':
      return put({ restored: (['none', 'recapped'] as const).find((r) => r === value) ?? 'unknown' });
    case 'storage':
      return put({ storage: (['dry', 'damp'] as const).find((s) => s === value) ?? 'unknown' });
    case 'complaint':
      return put({ complaint: value === '' ? [] : value.split(',') });
    case 'picture-tube': {
      const tube = registeredType(book.pictureTubes, value);
      const typed = value === '' ? 'unknown' : value.toUpperCase();
      if (!tube) return put({ pictureTube: typed });
      // What was looked at and answered stays.
      const looked = Object.entries(facts.facts).filter(([, answered]) => answered !== 'unknown');
      return put({
        pictureTube: tube.type,
        facts: { ...facts.facts, ...factsOfPictureTube(tube), ...Object.fromEntries(looked) },
      });
    }
    case 'name':
      return put({ name: value });
    case 'owner':
      return put({ owner: value });
    default:
      return put({ question: value });
  }
}
