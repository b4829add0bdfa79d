// The report as Markdown (CommonMark with tables): owner's page first, then the bench record.
import { type GradeLine, REPAIRABLE, type ReportContent, type StepLine } from './content.ts';
import type { Measured } from './measured.ts';
import { firstSentence, escapeMarkdown as md } from './text.ts';

/** Renders a report; every text in it is escaped, so nothing typed can become markup. */
export function renderMarkdown(content: ReportContent): string {
  const blocks = [...ownersPage(content), ...record(content)].filter((block) => block !== '');
  return `${blocks.join('\n\n')}\n`;
}

function ownersPage(content: ReportContent): readonly string[] {
  return [
    `# Condition report: ${md(content.title)}`,
    `${md(content.date)}`,
    list(content.facts.map(([label, value]) => `${md(label)}: ${md(value)}`)),
    content.trouble === '' ? '' : `**Take note:** ${md(content.trouble)}`,
    `## Verdict: ${md(content.overall.words)}`,
    md(content.recommendation),
    content.core.length > 0 ? '## The parts nobody makes any more' : '',
    table(['Part', 'Grade', 'What it rests on'], content.core.map(gradeRow)),
    content.core.length > 0 ? `*${md(content.legend)}*` : '',
    content.suspects.length > 0 ? '## What is probably wrong' : '',
    list(
      content.suspects.map(
        (s) => `**${md(s.title)}** (${md(s.chance)})${s.because === '' ? '' : `. ${md(s.because)}.`}`,
      ),
    ),
    content.conflicts.length > 0 ? '## Readings that do not fit' : '',
    list(content.conflicts.map(md)),
    content.sections.length > 0 ? `## The rest of the set\n\n${REPAIRABLE}` : '',
    table(['Section', 'Grade', 'What it rests on'], content.sections.map(gradeRow)),
    content.measured.length > 0 ? '## What was measured' : '',
    table(['Reading', 'Measured', 'Should be', 'Judgement'], content.measured.map(measuredRow)),
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
    content.steps.length > 0 ? '## Next steps, in this order' : '',
    content.steps.map(step).join('\n'),
    md(content.effort),
    '## Not a safety certificate',
    md(content.disclaimer),
  ];
}

function gradeRow(line: GradeLine): readonly string[] {
  return [
    md(line.title) + (line.gloss === '' ? '' : `, ${md(line.gloss)}`),
    `**${line.grade}**`,
    md(line.say),
  ];
}

function measuredRow(entry: Measured): readonly string[] {
  return [md(entry.title), md(entry.value), md(entry.expected), md(firstSentence(entry.say))];
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

function record({ bench, renew }: ReportContent): readonly string[] {
  return [
    '---',
    '# Bench record',
    list([
      `Rule base: ${md(bench.rules)}`,
      `Minutes of checks: ${bench.minutes}`,
      ...(bench.instruments.length > 0 ? [`Instruments: ${md(bench.instruments.join(', '))}`] : []),
      ...(bench.tubes.length > 0
        ? [`Tubes: ${bench.tubes.map(([role, type]) => `${md(role)} ${md(type)}`).join(', ')}`]
        : []),
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
            'Line',
            'Instrument',
            'State',
            'Judgement and notes',
          ],
          bench.readings.map(readingRow),
        )
      : 'None yet.',
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
    bench.repairs.length > 0 ? '## Repairs' : '',
    table(
      ['Time', 'Part', 'Done', 'Found', 'Note'],
      bench.repairs.map((entry) => [entry.at, entry.part, entry.action, entry.found, entry.note].map(md)),
    ),
    renew.length > 0 ? '## To renew' : '',
    table(
      ['What', 'With', 'Where', 'Effort'],
      renew.map((entry) => [entry.action, entry.part, entry.why, entry.effort].map(md)),
    ),
    bench.notes.length > 0 ? '## Notes' : '',
    list(
      bench.notes.map(
        (note) => `${md(note.at)}: ${note.about === '' ? '' : `(${md(note.about)}) `}${md(note.text)}`,
      ),
    ),
    bench.trees.length > 0 ? '## Why: fault trees' : '',
    ...bench.trees.map((tree) =>
      tree
        .map(
          (line) =>
            `${'  '.repeat(line.depth)}- ${md(line.title)}: ${line.cleared ? 'cleared' : md(line.chance)}`,
        )
        .join('\n'),
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
