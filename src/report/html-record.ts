// The bench record as HTML: tables of readings, proofs, omissions, repairs and notes, and the fault trees.
import { ORDER_NOTE, OWNER_CONFLICTS, type ReportContent, TREES_NOTE } from './content.ts';
import type { Fact } from './facts.ts';
import type { Measured } from './measured.ts';
import { gauge } from './svg.ts';
import { escapeHtml, htmlText as h } from './text.ts';
import type { TreeLine } from './trees.ts';

/** Pairs of label and value, plain text. */
export function factList(pairs: readonly Fact[]): string {
  const rows = pairs.map(([label, value]) => `<div><dt>${h(label)}</dt><dd>${h(value)}</dd></div>`);
  return `<dl class="facts">${rows.join('')}</dl>`;
}

/** A table with a caption and column heads; cells are HTML already. It scrolls sideways on a narrow screen and can be reached by keyboard. */
export function table(
  caption: string,
  head: readonly string[],
  rows: readonly (readonly string[])[],
): string {
  if (rows.length === 0) return '';
  const heads = head.map((cell) => `<th scope="col">${h(cell)}</th>`).join('');
  const body = rows.map((cells) => `<tr>${cells.map((cell) => `<td>${cell}</td>`).join('')}</tr>`).join('');
  return `<div class="scroll" tabindex="0" role="region" aria-label="${escapeHtml(caption)}"><table><caption>${h(caption)}</caption><thead><tr>${heads}</tr></thead><tbody>${body}</tbody></table></div>`;
}

/** Everything below the owner's page, from a new sheet on. */
export function recordHtml(content: ReportContent): string {
  const { bench, benchSteps, renew, sections, photos, photosRefused, facts, conflicts } = content;
  const about: readonly Fact[] = [
    ...facts,
    ['Rule base', bench.rules],
    ['Minutes of checks', `${bench.minutes}`],
    ['Instruments', bench.instruments.join(', ')],
  ];
  return [
    '<section class="bench" aria-labelledby="bench"><h2 id="bench">Bench record</h2>',
    factList(about.filter(([, value]) => value !== '')),
    bench.readings.length > 0
      ? table(
          'All readings, in order',
          [
            'No.',
            'Time (UTC)',
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
      : '<p>No readings yet.</p>',
    table(
      'Power, proofs and links',
      ['Time (UTC)', 'What', 'Detail'],
      bench.power.map((e) => [time(e.at), h(e.what), h(e.detail)]),
    ),
    table(
      'Left out',
      ['Check', 'Reason', 'Note'],
      bench.skipped.map((e) => [e.title, e.reason, e.note].map(h)),
    ),
    table(
      'Readings corrected or taken back',
      ['No.', 'Reading', 'First typed', 'Now'],
      bench.corrections.map((e) => [`${e.seq}`, e.title, e.first, e.now].map(h)),
    ),
    conflicts.length > OWNER_CONFLICTS
      ? table(
          'Readings that do not fit',
          ['What does not fit'],
          conflicts.map((text) => [h(text)]),
        )
      : '',
    table(
      'Repairs, before and after',
      ['Time (UTC)', 'Part', 'Done', 'Found', 'Read before and after', 'Note'],
      bench.repairs.map((e) => [
        time(e.at),
        ...[e.part, e.action, e.found, e.effects.join('; '), e.note].map(h),
      ]),
    ),
    table(
      bench.tubesTitle,
      ['Place', 'Type', 'Heater', 'Base', 'Pins', 'Readings'],
      bench.tubes.map((e) => [e.role, e.type, e.heater, e.base, e.pins, e.results].map(h)),
    ),
    bench.tubesNote === '' ? '' : `<p class="quiet">${h(bench.tubesNote)}</p>`,
    table(
      'Notes',
      ['Time (UTC)', 'About', 'Note'],
      bench.notes.map((e) => [time(e.at), h(e.about), h(e.text)]),
    ),
    table(
      'Grades of the sections',
      ['Section', 'Grade', 'What it rests on'],
      sections.map((e) => [e.title, e.grade, e.say].map(h)),
    ),
    table(
      'Next steps at the bench',
      ['What', 'Part', 'Why', 'Effort'],
      benchSteps.map((e) => [`${e.kind}: ${e.action}`, e.part, e.why, e.effort].map(h)),
    ),
    table(
      'To renew',
      ['What', 'With', 'Where', 'Effort'],
      renew.map((e) => [e.action, e.part, e.why, e.effort].map(h)),
    ),
    table(
      'Parts to order',
      ['Group', 'Value and rating', 'How many', 'Where', 'Why', 'Safety class', 'Cost'],
      bench.order.map((e) =>
        [e.group, e.item, `${e.quantity}`, e.positions.join('; '), e.reason, e.safety, e.costWords].map(h),
      ),
    ),
    bench.order.length > 0 ? `<p class="quiet">${h(ORDER_NOTE)}</p>` : '',
    table(
      'Where the expected values come from',
      ['No.', 'Reading', 'Expected', 'From'],
      bench.readings
        .filter((e) => e.from !== '')
        .map((e) => [`${e.seq}`, e.title, e.expected, e.from].map(h)),
    ),
    photos.length + photosRefused.length > 0 ? '<h3>Photos</h3>' : '',
    photos.length > 0
      ? `<div class="photos">${photos.map((p) => `<figure><img src="${escapeHtml(p.uri)}" alt="${escapeHtml(`Photo: ${p.name}`)}"><figcaption>${h(p.name)}</figcaption></figure>`).join('')}</div>`
      : '',
    ...photosRefused.map((text) => `<p class="quiet">${h(text)}</p>`),
    bench.trees.length > 0 ? `<h3>Why: fault trees</h3><p class="quiet">${h(TREES_NOTE)}</p>` : '',
    ...bench.trees.map(tree),
    '</section>',
  ].join('\n');
}

/** A time on one line; its zone stands in the column's head. What is no time is broken like any text. */
function time(words: string): string {
  const text = words.replace(/ UTC$/, '');
  return text.length > 16 ? h(text) : `<span class="figure">${h(text)}</span>`;
}

function readingRow(entry: Measured): readonly string[] {
  return [
    `${entry.seq}`,
    time(entry.at),
    h(entry.title),
    h(entry.raw),
    h(entry.value),
    h(entry.expected),
    [entry.ratio?.toFixed(2) ?? '', entry.scale ? gauge(entry.scale) : ''].join(' ').trim(),
    h(entry.lineVolts),
    h(entry.instrument),
    h(entry.supply),
    [
      `<span class="${entry.standing}">${h(entry.say)}</span>`,
      entry.corrections.length > 0 ? `Corrected; first typed ${h(entry.corrections.join(', then '))}.` : '',
      entry.note === '' ? '' : `Note: ${h(entry.note)}`,
    ]
      .filter((text) => text !== '')
      .join(' '),
  ];
}

/** A fault tree as nested lists. */
function tree(lines: readonly TreeLine[]): string {
  let html = '';
  let depth = -1;
  for (const line of lines) {
    if (line.depth > depth) html += depth === -1 ? '<ul>' : '<ul>'.repeat(line.depth - depth);
    else html += `</li>${'</ul></li>'.repeat(depth - line.depth)}`;
    html += line.cleared
      ? `<li class="cleared">cleared: ${h(line.title)}`
      : `<li>${h(line.title)}: ${h(line.chance)}`;
    depth = line.depth;
  }
  return depth === -1 ? '' : `${html}</li>${'</ul></li>'.repeat(depth)}</ul>`;
}
