// Renewing what has aged as a class: paper capacitors, electrolytics, line capacitors and the like, tested or not, killers of core parts first.
import type { Part, PartKind, Rulebook } from '../rulebook/types.ts';
import { inSentence, listWords } from './plain-words.ts';
import type { Belief, JudgedReading, NextStep, VerdictContext } from './types.ts';

/** Aged in at least this share of dormant sets: renewed as a class, tested or not. */
const CLASS_AGED = 0.5;
/** Positions named in one step. */
const POSITIONS = 5;
/** Many parts renewed in one sitting take this share of the hours that they take one by one. Judgement, no source. */
const BATCH = 0.4;
/** Contact cleaner and swabs. */
const CLEANER: readonly [number, number] = [5, 15];

/** Sections whose paper capacitors can destroy the output tube or the flyback: renewed before that stage is enabled. */
const KILLERS: ReadonlySet<string> = new Set([
  'horizontal-oscillator',
  'horizontal-afc',
  'horizontal-output',
  'damper-boost',
]);

/** Caution (by its id in the rules) that goes with renewing a kind of part. */
export const KIND_CAUTION: Readonly<Record<string, string>> = {
  'paper-capacitor': 'asbestos-pcb',
  'paper-capacitor-grid': 'asbestos-pcb',
  'boost-capacitor': 'asbestos-pcb',
  electrolytic: 'each-capacitor',
  'filter-can': 'each-capacitor',
  'line-capacitor': 'local-codes',
  'line-cord': 'local-codes',
  selenium: 'selenium',
};

/** Kinds renewed in one go, in the order in which it is done; kinds that none of them names follow one by one, cleaning comes last. */
const GROUPS = [
  'line',
  'killers',
  'electrolytic',
  'paper',
  'selenium',
  'other',
  'resistor',
  'clean',
] as const;
type Group = (typeof GROUPS)[number];

/** Renewed before the set is run for a proof: what can kill somebody or a part that nobody makes. Common practice, no source. */
const BEFORE_RUN: ReadonlySet<Group> = new Set(['line', 'killers']);

export interface ClassInput {
  readonly rulebook: Rulebook;
  readonly belief: Belief;
  readonly context: Pick<VerdictContext, 'restored' | 'repairedParts'>;
  /** Parts that have a repair step of their own. */
  readonly named: readonly string[];
}

interface Position {
  readonly part: Part;
  readonly kind: PartKind;
}

/** Texts of the cautions with these ids, joined; an id that the rules do not have adds nothing. */
export function caution(rulebook: Rulebook, ...ids: readonly string[]): string {
  return [...new Set(ids)]
    .map((id) => rulebook.cautions[id] ?? '')
    .filter((text) => text !== '')
    .join(' ');
}

/**
 * Parts that are new by now: repaired ones, and those that an answer says were renewed. Every answer that stands counts, also
 * one that a later repair made old: what was renewed stays renewed.
 */
export function renewedParts(
  repairs: readonly { readonly part: string }[],
  readings: readonly JudgedReading[],
): readonly string[] {
  const answered = readings.flatMap(({ check, value }) =>
    value.kind === 'choice' ? (check.options.find((one) => one.id === value.option)?.renewed ?? []) : [],
  );
  return [...new Set([...repairs.map((repair) => repair.part), ...answered])];
}

/** Parts of this set that are renewed as a class; none when it was recapped already. */
export function agedPositions(input: ClassInput): readonly Position[] {
  if (input.context.restored === 'recapped') return [];
  const taken = new Set([...input.named, ...input.context.repairedParts]);
  const kinds = new Map(
    input.rulebook.kinds.filter((kind) => kind.aged.none >= CLASS_AGED).map((kind) => [kind.id, kind]),
  );
  return input.rulebook.parts.flatMap((part) => {
    const kind = kinds.get(part.kind);
    return kind && input.belief.parts.has(part.id) && !taken.has(part.id) ? [{ part, kind }] : [];
  });
}

function groupOf({ part, kind }: Position): Group {
  if (/^clean/i.test(kind.replacement)) return 'clean';
  if (/^line-/.test(kind.id)) return 'line';
  if (/^(paper|boost)-capacitor/.test(kind.id)) return KILLERS.has(part.section) ? 'killers' : 'paper';
  if (kind.id === 'electrolytic' || kind.id === 'filter-can') return 'electrolytic';
  if (/^resistor/.test(kind.id)) return 'resistor';
  return kind.id === 'selenium' ? 'selenium' : 'other';
}

/** Class replacements of a set, in order; empty when it was recapped already. */
export function classReplacements(input: ClassInput): readonly NextStep[] {
  const positions = agedPositions(input);
  return GROUPS.flatMap((group) => {
    const own = positions.filter((position) => groupOf(position) === group);
    if (own.length === 0) return [];
    if (group !== 'other') return [classStep(group, own, input)];
    return [...new Set(own.map((position) => position.kind))].map((kind) =>
      classStep(
        group,
        own.filter((position) => position.kind === kind),
        input,
      ),
    );
  });
}

function classStep(group: Group, own: readonly Position[], input: ClassInput): NextStep {
  const kinds = [...new Set(own.map((position) => position.kind))];
  const titles = listWords(kinds.map((kind) => inSentence(kind.title)));
  const original = input.context.restored === 'unknown' ? ', where it is still original' : '';
  const least = Math.round(10 * Math.min(...kinds.map((kind) => kind.aged.none)));
  const most = Math.round(10 * Math.max(...kinds.map((kind) => kind.aged.none)));
  const aged = `Aged in about ${least === most ? most : `${least} to ${most}`} of 10 after decades of rest.`;
  return {
    kind: 'class-replacement',
    action:
      group === 'killers'
        ? `Before the horizontal output stage is enabled again: renew the capacitors that can kill the flyback${original}`
        : `${verbOf(group)} every ${titles}${original}`,
    ...(BEFORE_RUN.has(group) ? { beforeRun: true } : {}),
    part: group === 'clean' ? '' : [...new Set(kinds.map((kind) => kind.replacement))].join('; '),
    why: `${aged} Among them: ${namesOf(own.map((position) => position.part))}.`,
    caution: caution(
      input.rulebook,
      ...(group === 'killers' ? ['no-drive'] : []),
      ...kinds.flatMap((kind) => KIND_CAUTION[kind.id] ?? []),
    ),
    ...effort(group, own),
  };
}

/** Hours in one sitting and cost: cleaning costs a can of cleaner, and only the resistors that have drifted are bought. */
function effort(group: Group, own: readonly Position[]): Pick<NextStep, 'hours' | 'cost'> {
  const share = group === 'clean' ? BATCH / 2 : BATCH;
  const hours = (n: 0 | 1) => share * own.reduce((sum, { part }) => sum + part.remedy.hours[n], 0);
  const bought = ({ kind }: Position) => (group === 'resistor' ? kind.aged.none : 1);
  const cost = (n: 0 | 1) => own.reduce((sum, one) => sum + bought(one) * one.part.remedy.cost[n], 0);
  return { hours: [hours(0), hours(1)], cost: group === 'clean' ? CLEANER : [cost(0), cost(1)] };
}

function verbOf(group: Group): string {
  if (group === 'clean') return 'Clean';
  return group === 'resistor' ? 'Measure, and replace when more than 20 % off,' : 'Replace, tested or not,';
}

/** Names of some positions. Independent mechanisms of one part (`filter capacitor, leakage`) are one position on the bench. */
function namesOf(parts: readonly Part[]): string {
  const titles = parts.map((part) => part.title);
  const single = titles.filter(
    (title) => !titles.some((other) => other !== title && title.startsWith(`${other},`)),
  );
  const named = single.slice(0, POSITIONS).map(inSentence);
  const left = single.length - named.length;
  return listWords(left > 0 ? [...named, `${left} more that the rules name`] : named);
}
