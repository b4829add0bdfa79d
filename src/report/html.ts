// The owner's page as HTML: one self-contained file with landmarks, headings and inline SVG, printable on one or two sheets.

import {
  GAUGE_NOTE,
  type GradeLine,
  LATER_TITLE,
  MORE_CONFLICTS,
  OWNER_CONFLICTS,
  REPAIRABLE,
  type ReportContent,
  SUSPECTS_NOTE,
  stepsTitle,
} from './content.ts';
import { factList, recordHtml, table } from './html-record.ts';
import type { ReportPart } from './input.ts';
import type { Measured } from './measured.ts';
import type { StepLine } from './owner-steps.ts';
import { STYLE } from './style.ts';
import { GRADE_MARK, gauge, sectionMap } from './svg.ts';
import { escapeHtml, firstSentence, htmlText as h } from './text.ts';

/** Renders a report; no script, no outside file, and a policy that forbids both should anything slip through. */
export function renderHtml(content: ReportContent, only?: ReportPart): string {
  const title = `${only === 'record' ? 'Bench record' : 'Condition report'}: ${content.title}`;
  return [
    '<!doctype html>',
    `<html lang="${content.language}">`,
    '<head>',
    '<meta charset="utf-8">',
    '<meta name="viewport" content="width=device-width, initial-scale=1">',
    `<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; img-src data:">`,
    `<title>${escapeHtml(title)}</title>`,
    `<style>${STYLE}</style>`,
    '</head>',
    '<body>',
    only === 'record' ? '' : '<a class="skip" href="#verdict">Skip to the verdict</a>',
    `<header><h1>${h(title)}</h1><p class="quiet">Written on ${h(content.date)}</p>${factList(content.asked)}</header>`,
    `<main>${only === 'record' ? '' : ownersPage(content)}${only === 'owner' ? '' : recordHtml(content)}</main>`,
    '</body>',
    '</html>',
    '',
  ].join('\n');
}

function ownersPage(content: ReportContent): string {
  return [
    content.trouble === '' ? '' : `<p class="caution"><strong>Take note:</strong> ${h(content.trouble)}</p>`,
    `<section class="verdict" id="verdict" aria-labelledby="verdict-title"><h2 id="verdict-title">${h(content.overall.words)}</h2><p><strong>${h(content.lead)}</strong></p>${content.weigh.length === 0 ? '' : list(content.weigh.map(h))}</section>`,
    section('core', 'The parts nobody makes any more', content.core.length > 0, () =>
      [
        `<ul class="core">${content.core.map(coreCard).join('')}</ul>`,
        `<p class="quiet">${h(content.legend)}</p>`,
      ].join(''),
    ),
    section('done', 'What was done already', content.done.length > 0, () => list(content.done.map(h))),
    section('wrong', content.suspectsTitle, content.suspects.length > 0, () =>
      [
        `<p class="quiet">${h(SUSPECTS_NOTE)}</p>`,
        list(
          content.suspects.map(
            (s) =>
              `<strong>${h(s.title)}</strong> (${h(s.chance)})${s.because === '' ? '' : `. ${h(s.because)}.`}`,
          ),
        ),
      ].join(''),
    ),
    section('conflicts', 'Readings that do not fit', content.conflicts.length > 0, () =>
      [
        list(content.conflicts.slice(0, OWNER_CONFLICTS).map(h)),
        content.conflicts.length > OWNER_CONFLICTS ? `<p class="quiet">${h(MORE_CONFLICTS)}</p>` : '',
      ].join(''),
    ),
    section('sections', 'The rest of the set', content.sections.length > 0, () =>
      [
        `<p class="quiet">${h(REPAIRABLE)}</p>`,
        `<div class="scroll" tabindex="0" role="region" aria-label="Map of the sections">${sectionMap(content.sections)}</div>`,
      ].join(''),
    ),
    section('measured', 'What was measured', content.measured.length > 0, () => measured(content)),
    section('not-proven', 'What was not proven', true, () => notProven(content)),
    section('steps', stepsTitle(content), content.steps.length > 0, () =>
      [
        `<ol class="steps">${content.steps.map(step).join('')}</ol>`,
        content.later.length > 0
          ? `<h3>${h(LATER_TITLE)}</h3><ol class="steps" start="${content.steps.length + 1}">${content.later.map(step).join('')}</ol>`
          : '',
        `<p class="quiet">${h(content.effort)}</p>`,
      ].join(''),
    ),
    section(
      'words',
      'Words on this page',
      content.words.length > 0,
      () =>
        `<p class="quiet">${content.words.map(([word, means]) => `<strong>${h(word)}</strong>: ${h(means)}`).join('; ')}</p>`,
    ),
    `<section class="disclaimer" aria-labelledby="disclaimer"><h2 id="disclaimer">Not a safety certificate</h2><p>${h(content.disclaimer)}</p></section>`,
  ].join('\n');
}

function section(id: string, title: string, shown: boolean, body: () => string): string {
  return shown ? `<section aria-labelledby="${id}"><h2 id="${id}">${h(title)}</h2>${body()}</section>` : '';
}

function list(items: readonly string[]): string {
  return `<ul>${items.map((item) => `<li>${item}</li>`).join('')}</ul>`;
}

function gradeWords(line: GradeLine): string {
  return `<span class="grade"><span aria-hidden="true">${GRADE_MARK[line.grade]} </span>${line.grade}</span>`;
}

function coreCard(line: GradeLine): string {
  const gloss = line.gloss === '' ? '' : `<span class="quiet">${h(line.gloss)}</span><br>`;
  return `<li class="${line.grade.replace(' ', '-')}"><b>${h(line.title)}</b>${gloss}${gradeWords(line)}<br>${h(line.say)}</li>`;
}

function measured(content: ReportContent): string {
  const row = (entry: Measured) => [
    `${entry.seq}`,
    h(entry.title),
    figure(entry.value),
    figure(entry.expected),
    entry.scale ? gauge(entry.scale) : '',
    `<span class="${entry.standing}">${h(firstSentence(entry.say))}</span>`,
  ];
  const left = content.measuredLeft;
  return [
    '<div class="measured">',
    table(
      'The readings that count most',
      ['No.', 'Reading', 'Measured', 'Should be', 'On a scale', 'Judgement'],
      content.measured.map(row),
    ),
    '</div>',
    `<p class="quiet">${h(GAUGE_NOTE)} ${left > 0 ? `${left} more ${left === 1 ? 'reading is' : 'readings are'} in the bench record. ` : ''}${h(content.coverage)}</p>`,
  ].join('');
}

/** A short figure stays on one line with its unit. */
function figure(text: string): string {
  return text.length > 18 ? h(text) : `<span class="figure">${h(text)}</span>`;
}

function notProven(content: ReportContent): string {
  return [
    content.notProven.length > 0
      ? list(content.notProven.map(h))
      : '<p>Nothing is left open by the grades above.</p>',
    content.wouldChangeMost === ''
      ? ''
      : `<p>What would change this verdict most: ${h(content.wouldChangeMost)}.</p>`,
  ].join('');
}

function step(entry: StepLine): string {
  return [
    `<li><strong>${h(entry.kind)}: ${h(entry.action)}.</strong> `,
    entry.part === '' ? '' : `Part: ${h(entry.part)}. `,
    h(entry.why),
    entry.effort === '' ? '' : ` <span class="quiet">${h(entry.effort)}</span>`,
    entry.caution === '' ? '' : `<p class="caution"><strong>Caution:</strong> ${h(entry.caution)}</p>`,
    '</li>',
  ].join('');
}
