// What to order: repairs and class replacements as one list, grouped the way a parts drawer is, with rating, safety class, positions and reason.
import { agedPositions, renewedParts } from '../diagnosis/class-replacement.ts';
import { spanWords } from '../diagnosis/plain-words.ts';
import type { Part, PartKind } from '../rulebook/types.ts';
import { cleanText } from '../session/index.ts';
import type { ReportInput } from './input.ts';

export interface OrderLine {
  readonly group: string;
  /** Value and rating, as the rules give them. */
  readonly item: string;
  readonly quantity: number;
  readonly positions: readonly string[];
  readonly reason: string;
  /** What must not be swapped for an ordinary part; empty where nothing special is asked. */
  readonly safety: string;
  /** Sum of the rules' brackets over the positions, local currency units. */
  readonly cost: readonly [number, number];
  readonly costWords: string;
}

const GROUPS = [
  'Safety-rated parts',
  'Film capacitors',
  'Electrolytic capacitors',
  'Mica and ceramic capacitors',
  'Resistors and controls',
  'Rectifiers and diodes',
  'Tubes',
  'Windings',
  'Other',
] as const;
type Group = (typeof GROUPS)[number];

const GROUP_OF: readonly (readonly [pattern: RegExp, group: Group])[] = [
  [/^(line-capacitor|line-cord|fuse|fusible-resistor|thermistor)$/, 'Safety-rated parts'],
  [/^(paper-|boost-)/, 'Film capacitors'],
  [/^(electrolytic|filter-can)/, 'Electrolytic capacitors'],
  [/^mica/, 'Mica and ceramic capacitors'],
  [/^(resistor|control|dropper|network)/, 'Resistors and controls'],
  [/^(selenium|silicon|diode)/, 'Rectifiers and diodes'],
  [/tube$/, 'Tubes'],
  [/^(winding|coil)/, 'Windings'],
];

/** Kinds in whose place no ordinary part may go. X and Y classes: IEC 60384-14, capacitors across and from the line. */
const SAFETY_CLASS: Readonly<Record<string, string>> = {
  'line-capacitor': 'X class across the line, Y class from line to chassis or antenna (IEC 60384-14)',
  'line-cord': 'local electrical code; strain relief',
  fuse: 'printed value and type, never larger',
  'fusible-resistor': 'fusible, flame-proof',
  'boost-capacitor': 'pulse type, 1 kV DC or more',
};

type Reason = 'repair' | 'if confirmed' | 'renew';
const REASON_WORDS: Readonly<Record<Reason, string>> = {
  repair: 'found bad',
  'if confirmed': 'only if confirmed',
  renew: 'aged as a class',
};

interface Wanted {
  readonly part: Part;
  readonly kind: PartKind | undefined;
  readonly reason: Reason;
}

/** The parts to order for this set. Empty without a verdict. */
export function partsList(input: ReportInput, say: (text: string) => string): readonly OrderLine[] {
  const lines = new Map<string, Wanted[]>();
  for (const wanted of wantedParts(input)) {
    const key = JSON.stringify([groupOf(wanted), itemOf(wanted), wanted.reason]);
    lines.set(key, [...(lines.get(key) ?? []), wanted]);
  }
  const order = (line: OrderLine) => GROUPS.findIndex((group) => say(group) === line.group);
  return [...lines.values()]
    .flatMap((own) => orderLine(own, say) ?? [])
    .toSorted((a, b) => order(a) - order(b));
}

function wantedParts({ view, rulebook }: ReportInput): readonly Wanted[] {
  const { verdict, belief, state } = view;
  if (!verdict || !belief) return [];
  const kinds = new Map(rulebook.kinds.map((kind) => [kind.id, kind]));
  const repairs = verdict.nextSteps
    .filter((step) => step.kind === 'repair')
    .flatMap((step): Wanted[] => {
      const part = rulebook.parts.find((one) => step.part.startsWith(`${one.title}: `));
      const reason = /^if confirmed/i.test(step.action) ? 'if confirmed' : 'repair';
      return part ? [{ part, kind: kinds.get(part.kind), reason }] : [];
    });
  const named = repairs.map(({ part }) => part.id);
  const aged = agedPositions({
    rulebook,
    belief,
    context: {
      restored: state.set?.restored ?? 'unknown',
      repairedParts: renewedParts(state.repairs, view.judged),
    },
    named,
  });
  // Independent mechanisms of one part (`filter capacitor, leakage`) are one part on the bench; what is cleaned is not bought.
  const titles = aged.map(({ part }) => part.title);
  const renewed = aged.filter(
    ({ part, kind }) =>
      !/^clean/i.test(kind.replacement) &&
      !titles.some((t) => t !== part.title && part.title.startsWith(`${t},`)),
  );
  return [...repairs, ...renewed.map(({ part, kind }): Wanted => ({ part, kind, reason: 'renew' }))];
}

function groupOf({ part }: Wanted): Group {
  return GROUP_OF.find(([pattern]) => pattern.test(part.kind))?.[1] ?? 'Other';
}

function itemOf({ part, kind }: Wanted): string {
  return part.remedy.parts || kind?.replacement || part.title;
}

function orderLine(own: readonly Wanted[], say: (text: string) => string): OrderLine | undefined {
  const [first] = own;
  if (!first) return undefined;
  const sum = (n: 0 | 1) =>
    Math.round(own.reduce((all, { part }) => all + part.remedy.cost[n], 0) * 100) / 100;
  const cost = [sum(0), sum(1)] as const;
  const check = first.reason === 'renew' && /^resistor/.test(first.part.kind);
  return {
    group: say(groupOf(first)),
    item: say(itemOf(first)),
    quantity: own.length,
    positions: own.map(({ part }) => say(part.title)),
    reason: `${REASON_WORDS[first.reason]}${check ? '; measure first, buy those that are off' : ''}`,
    safety: say(
      [...new Set(own.map(({ part }) => SAFETY_CLASS[part.kind] ?? ''))].filter(Boolean).join('; '),
    ),
    cost,
    costWords: cost[1] > 0 ? spanWords(cost) : '',
  };
}

const CSV_HEAD = [
  'group',
  'item',
  'quantity',
  'positions',
  'reason',
  'safety class',
  'cost least',
  'cost most',
];

/** The parts list as CSV (RFC 4180: comma, CRLF, quotes doubled). A cell that a spreadsheet would take for a formula is made text. */
export function partsCsv(lines: readonly OrderLine[]): string {
  const rows = lines.map((line) => [
    line.group,
    line.item,
    `${line.quantity}`,
    line.positions.join(' | '),
    line.reason,
    line.safety,
    `${line.cost[0]}`,
    `${line.cost[1]}`,
  ]);
  return [CSV_HEAD, ...rows].map((row) => `${row.map(cell).join(',')}\r\n`).join('');
}

/** First characters that make a spreadsheet compute a cell, also in their full-width forms (OWASP, CSV Injection). */
const FORMULA = /^\s*[=+\-@\uff1d\uff0b\uff0d\uff20]/;

function cell(text: string): string {
  const clean = cleanText(text);
  const inert = FORMULA.test(clean) ? `'${clean}` : clean;
  return /[",\r\n]/.test(inert) ? `"${inert.replaceAll('"', '""')}"` : inert;
}
