// Renewing what has aged as a class: paper capacitors, electrolytics, line capacitors and the like, tested or not, killers of core parts first.
import type { Part, PartKind, Rulebook } from '../rulebook/types.ts';
import { inSentence, listWords } from './plain-words.ts';
import type { Belief, NextStep, VerdictContext } from './types.ts';

/** Aged in at least this share of dormant sets: renewed as a class, tested or not. */
const CLASS_AGED = 0.5;
const POSITIONS = 6;

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
  'line-capacitor': 'local-codes',
  selenium: 'selenium',
};

export interface ClassInput {
  readonly rulebook: Rulebook;
  readonly belief: Belief;
  readonly context: Pick<VerdictContext, 'restored' | 'repairedParts'>;
  /** Parts that have a repair step of their own. */
  readonly named: readonly string[];
}

/** Texts of the cautions with these ids, joined; an id that the rules do not have adds nothing. */
export function caution(rulebook: Rulebook, ...ids: readonly string[]): string {
  return ids
    .map((id) => rulebook.cautions[id] ?? '')
    .filter((text) => text !== '')
    .join(' ');
}

/** Positions of aged kinds in this set that no repair step names already. */
function agedPositions(input: ClassInput): ReadonlyMap<PartKind, readonly Part[]> {
  const taken = new Set([...input.named, ...input.context.repairedParts]);
  const found = new Map<PartKind, readonly Part[]>();
  if (input.context.restored === 'recapped') return found;
  for (const kind of input.rulebook.kinds.filter((entry) => entry.aged.none >= CLASS_AGED)) {
    const parts = input.rulebook.parts.filter(
      (part) => part.kind === kind.id && input.belief.parts.has(part.id) && !taken.has(part.id),
    );
    if (parts.length > 0) found.set(kind, parts);
  }
  return found;
}

/** Class replacements of a set; none when it was recapped already. */
export function classReplacements(input: ClassInput): readonly NextStep[] {
  const aged = agedPositions(input);
  const killers: Part[] = [];
  const steps: NextStep[] = [];
  for (const [kind, parts] of aged) {
    const first = /capacitor/.test(kind.id) ? parts.filter((part) => KILLERS.has(part.section)) : [];
    killers.push(...first);
    const rest = parts.filter((part) => !first.includes(part));
    if (rest.length > 0) steps.push(classStep(kind, rest, input));
  }
  if (killers.length === 0) return steps;
  const kinds = [...aged.keys()].filter((kind) => killers.some((part) => part.kind === kind.id));
  const before: NextStep = {
    kind: 'class-replacement',
    action:
      'Before the horizontal output stage is enabled again: renew the capacitors that can kill the flyback',
    part: kinds.map((kind) => `${kind.title}: ${kind.replacement}`).join('; '),
    why: `Tested or not: ${positions(killers)}.`,
    caution: caution(input.rulebook, 'no-drive', 'asbestos-pcb'),
    ...sumRemedies(killers),
  };
  return [before, ...steps];
}

function classStep(kind: PartKind, parts: readonly Part[], input: ClassInput): NextStep {
  const original = input.context.restored === 'unknown' ? ', where it is still original' : '';
  const cleaned = /^clean/i.test(kind.replacement);
  const verb = cleaned
    ? 'Clean'
    : /^resistor/.test(kind.id)
      ? 'Measure, and replace beyond 20 %'
      : 'Replace as a class';
  const kindCaution = KIND_CAUTION[kind.id];
  return {
    kind: 'class-replacement',
    action: `${verb}: every ${inSentence(kind.title)}${original}`,
    part: cleaned ? '' : kind.replacement,
    why: `Aged in about ${Math.round(kind.aged.none * 10)} of 10 after decades of rest, whether it upsets anything today or not. Among them: ${positions(parts)}.`,
    caution: kindCaution ? caution(input.rulebook, kindCaution) : '',
    ...sumRemedies(parts),
  };
}

/** Names of up to six positions; the rules do not know every capacitor of a set anyway. */
function positions(parts: readonly Part[]): string {
  const named = parts.slice(0, POSITIONS).map((part) => inSentence(part.title));
  const left = parts.length - named.length;
  return listWords(left > 0 ? [...named, `${left} more that the rules name`] : named);
}

function sumRemedies(parts: readonly Part[]): Pick<NextStep, 'hours' | 'cost'> {
  const sum = (of: (part: Part) => number) => parts.reduce((all, part) => all + of(part), 0);
  return {
    hours: [sum((part) => part.remedy.hours[0]), sum((part) => part.remedy.hours[1])],
    cost: [sum((part) => part.remedy.cost[0]), sum((part) => part.remedy.cost[1])],
  };
}
