// The report as Markdown (CommonMark with tables): owner's page first, then the bench record.
import { inSentence } from '../diagnosis/plain-words.ts';
import {
  type GradeLine,
  LATER_TITLE,
  ORDER_NOTE,
  REPAIRABLE,
  type ReportContent,
  SUSPECTS_NOTE,
  stepsTitle,
  TREES_NOTE,
} from './content.ts';
import type { ReportPart } from './input.ts';
import type { Measured } from './measured.ts';
import type { StepLine } from './owner-steps.ts';
import { firstSentence, escapeMarkdown as md } from './text.ts';

/** Renders a report; every text in it is escaped, so nothing typed can become markup. */
export function renderMarkdown(content: ReportContent, only?: ReportPart): string {
  const blocks = [
    ...(only === 'record' ? recordHead(content) : ownersPage(content)),
    ...(only === 'owner' ? [] : record(content)),
  ].filter((block) => block !== '');
  return `${blocks.join('\n\n')}\n`;
}

function facts(pairs: ReportContent['facts']): string {
  return list(pairs.map(([label, value]) => `${md(label)}: ${md(value)}`));
}

/** A record on its own says whose set it is before it begins. */
function recordHead({ title, date, asked }: ReportContent): readonly string[] {
  return [`# ${md(title)}`, `Written on ${md(date)}`, facts(asked)];
}

function ownersPage(content: ReportContent): readonly string[] {
  return [
    `# Condition report: ${md(content.title)}`,
    `Written on ${md(content.date)}`,
    facts(content.asked),
    content.trouble === '' ? '' : `**Take note:** ${md(content.trouble)}`,
    `## Verdict: ${md(content.overall.words)}`,
    `**${md(content.lead)}**`,
    list(content.weigh.map(md)),
    content.core.length > 0 ? '## The parts nobody makes any more' : '',
    table(['Part', 'Grade', 'What it rests on'], content.core.map(gradeRow)),
    content.core.length > 0 ? `*${md(content.legend)}*` : '',
    content.done.length > 0 ? '## What was done already' : '',
    list(content.done.map(md)),
    content.suspects.length > 0 ? `## ${content.suspectsTitle}\n\n*${md(SUSPECTS_NOTE)}*` : '',
    list(
      content.suspects.map(
        (s) => `**${md(s.title)}** (${md(s.chance)})${s.because === '' ? '' : `. ${md(s.because)}.`}`,
      ),
    ),
    content.conflicts.length > 0 ? '## Readings that do not fit' : '',
    list(content.conflicts.map(md)),
    content.sections.length > 0 ? `## The rest of the set\n\n${REPAIRABLE}` : '',
    table(
      ['Section', 'Grade', 'What it rests on'],
      content.sections.filter((line) => line.grade !== 'not proven').map(gradeRow),
    ),
    notLookedInto(content.sections),
    content.measured.length > 0 ? '## What was measured' : '',
    table(['No.', 'Reading', 'Measured', 'Should be', 'Judgement'], content.measured.map(measuredRow)),
    content.measuredLeft > 0
      ? `${content.measuredLeft} more ${content.measuredLeft === 1 ? 'reading is' : 'readings are'} in the bench record. ${md(content.coverage)}`
      : md(content.coverage),
    '## What was not proven',
    content.notProven.length > 0
      ? list(content.notProven.map(md))
      : 'Nothing is left open by the grades above.',
    content.wouldChangeMost === ''
      ? ''
      : `What would change this verdict most: ${md(content.wouldChangeMost)}.`,
    content.steps.length > 0 ? `## ${stepsTitle(content)}` : '',
    content.steps.map((entry, index) => step(entry, index)).join('\n'),
    content.later.length > 0 ? `### ${LATER_TITLE}` : '',
    content.later.map((entry, index) => step(entry, content.steps.length + index)).join('\n'),
    md(content.effort),
    content.words.length > 0
      ? `**Words on this page.** ${content.words.map(([word, means]) => `*${md(word)}*: ${md(means)}`).join('; ')}.`
      : '',
    '## Not a safety certificate',
    md(content.disclaimer),
  ];
}

/** Sections of which too little was tested are named, not tabled: the list of what was tested says more. */
function notLookedInto(sections: readonly GradeLine[]): string {
  const open = sections.filter((line) => line.grade === 'not proven');
  if (open.length === 0) return '';
  return `Not proven, tested too little or not at all: ${open.map((line) => md(inSentence(line.title))).join(', ')}.`;
}

function gradeRow(line: GradeLine): readonly string[] {
  return [
    md(line.title) + (line.gloss === '' ? '' : `, ${md(line.gloss)}`),
    `**${line.grade}**`,
    md(line.say),
  ];
}

function measuredRow(entry: Measured): readonly string[] {
  return [`${entry.seq}`, md(entry.title), md(entry.value), md(entry.expected), md(firstSentence(entry.say))];
}

function step(entry: StepLine, index: number): string {
  const tail = [
    entry.part === '' ? '' : `Part: ${md(entry.part)}.`,
    md(entry.why),
    entry.caution === '' ? '' : `**Caution:** ${md(entry.caution)}`,
    entry.effort === '' ? '' : `*${md(entry.effort)}*`,
  ].filter((text) => text !== '');
  return `${index + 1}. **${md(entry.kind)}: ${md(entry.action)}.** ${tail.join(' ')}`;
}

function record(content: ReportContent): readonly string[] {
  const { bench, benchSteps, renew, photos, photosRefused, facts: set } = content;
  return [
    '---',
    '# Bench record',
    list([
      ...set.map(([label, value]) => `${md(label)}: ${md(value)}`),
      `Rule base: ${md(bench.rules)}`,
      `Minutes of checks: ${bench.minutes}`,
      ...(bench.instruments.length > 0 ? [`Instruments: ${md(bench.instruments.join(', '))}`] : []),
    ]),
    '## All readings, in order',
    bench.readings.length > 0
      ? table(
          [
            'No.',
            'Time',
            'Reading',
            'Typed',
            'Value',
            'Expected',
            'Ratio',
            bench.lineHead,
            'Instrument',
            'State',
            'Judgement and notes',
          ],
          bench.readings.map(readingRow),
        )
      : 'None yet.',
    ...derivations(bench.readings),
    bench.power.length > 0 ? '## Power, proofs and links' : '',
    table(
      ['Time', 'What', 'Detail'],
      bench.power.map((entry) => [entry.at, entry.what, entry.detail].map(md)),
    ),
    bench.skipped.length > 0 ? '## Left out' : '',
    table(
      ['Check', 'Reason', 'Note'],
      bench.skipped.map((entry) => [entry.title, entry.reason, entry.note].map(md)),
    ),
    bench.corrections.length > 0 ? '## Readings corrected or taken back' : '',
    table(
      ['No.', 'Reading', 'First typed', 'Now'],
      bench.corrections.map((entry) => [`${entry.seq}`, entry.title, entry.first, entry.now].map(md)),
    ),
    bench.repairs.length > 0 ? '## Repairs, before and after' : '',
    table(
      ['Time', 'Part', 'Done', 'Found', 'Read before and after', 'Note'],
      bench.repairs.map((entry) =>
        [entry.at, entry.part, entry.action, entry.found, entry.effects.join('; '), entry.note].map(md),
      ),
    ),
    bench.tubes.length > 0 ? `## ${bench.tubesTitle}` : '',
    table(
      ['Place', 'Type', 'Heater', 'Base', 'Pins', 'Readings'],
      bench.tubes.map((entry) =>
        [entry.role, entry.type, entry.heater, entry.base, entry.pins, entry.results].map(md),
      ),
    ),
    md(bench.tubesNote),
    benchSteps.length > 0 ? '## Next steps at the bench' : '',
    table(
      ['What', 'Part', 'Why', 'Effort'],
      benchSteps.map((entry) =>
        [`${entry.kind}: ${entry.action}`, entry.part, entry.why, entry.effort].map(md),
      ),
    ),
    renew.length > 0 ? '## To renew' : '',
    table(
      ['What', 'With', 'Where', 'Effort'],
      renew.map((entry) => [entry.action, entry.part, entry.why, entry.effort].map(md)),
    ),
    bench.order.length > 0 ? '## Parts to order' : '',
    table(
      ['Group', 'Value and rating', 'How many', 'Where', 'Why', 'Safety class', 'Cost'],
      bench.order.map((entry) =>
        [
          entry.group,
          entry.item,
          `${entry.quantity}`,
          entry.positions.join('; '),
          entry.reason,
          entry.safety,
          entry.costWords,
        ].map(md),
      ),
    ),
    bench.order.length > 0 ? md(ORDER_NOTE) : '',
    bench.notes.length > 0 ? '## Notes' : '',
    list(
      bench.notes.map(
        (note) => `${md(note.at)}: ${note.about === '' ? '' : `(${md(note.about)}) `}${md(note.text)}`,
      ),
    ),
    photos.length + photosRefused.length > 0 ? '## Photos' : '',
    list([...photos.map((photo) => `${md(photo.name)} (in the HTML report)`), ...photosRefused.map(md)]),
    bench.trees.length > 0 ? `## Why: fault trees\n\n*${md(TREES_NOTE)}*` : '',
    ...bench.trees.map((tree) =>
      tree
        .map((line) =>
          line.cleared
            ? `${'  '.repeat(line.depth)}- cleared: ${md(inSentence(line.title))}`
            : `${'  '.repeat(line.depth)}- ${md(line.title)}: ${md(line.chance)}`,
        )
        .join('\n'),
    ),
  ];
}

/** Where the expected values come from, one line for each that was worked out. */
function derivations(readings: readonly Measured[]): readonly string[] {
  const worked = readings.filter((entry) => entry.from !== '');
  if (worked.length === 0) return [];
  return [
    '## Where the expected values come from',
    table(
      ['No.', 'Reading', 'Expected', 'From'],
      worked.map((entry) => [`${entry.seq}`, entry.title, entry.expected, entry.from].map(md)),
    ),
  ];
}

function readingRow(entry: Measured): readonly string[] {
  const remarks = [
    entry.say,
    entry.corrections.length > 0 ? `Corrected; first typed ${entry.corrections.join(', then ')}.` : '',
    entry.note === '' ? '' : `Note: ${entry.note}`,
  ].filter((text) => text !== '');
  return [
    `${entry.seq}`,
    md(entry.at),
    md(entry.title),
    md(entry.raw),
    md(entry.value),
    md(entry.expected),
    entry.ratio === undefined ? '' : entry.ratio.toFixed(2),
    md(entry.lineVolts),
    md(entry.instrument),
    md(entry.supply),
    md(remarks.join(' ')),
  ];
}

function list(items: readonly string[]): string {
  return items.map((item) => `- ${item}`).join('\n');
}

function table(head: readonly string[], rows: readonly (readonly string[])[]): string {
  if (rows.length === 0) return '';
  const row = (cells: readonly string[]) =>
    `| ${cells.map((cell) => (cell === '' ? ' ' : cell)).join(' | ')} |`;
  return [row(head), row(head.map(() => '---')), ...rows.map(row)].join('\n');
}
