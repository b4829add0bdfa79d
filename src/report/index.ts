// Public face of reports: the write-up of a session as Markdown, HTML or JSON. Pure: text in, text out.
import { reportContent } from './content.ts';
import { renderHtml } from './html.ts';
import type { ReportInput, ReportPart } from './input.ts';
import { renderMarkdown } from './markdown.ts';
import { partsCsv } from './parts-list.ts';
import { resultOf } from './result.ts';

export type { ReportInput, ReportPart, ReportView } from './input.ts';
export type { OrderLine } from './parts-list.ts';
export { PHOTO_LIMITS, type Photo } from './photos.ts';
export { type Result, type ResultExtras, resultOf } from './result.ts';
export { type Terms, translator } from './terms.ts';

export type ReportFormat = 'md' | 'html' | 'json';

/** Renders the report of a session, finished or not, or one part of it (JSON is always whole). Text that somebody typed comes out inert in every format. */
export function renderReport(input: ReportInput, format: ReportFormat, only?: ReportPart): string {
  switch (format) {
    case 'json':
      return `${JSON.stringify(resultOf(input.view, { rules: input.session.rules }), null, 2)}\n`;
    case 'md':
      return renderMarkdown(reportContent(input), only);
    case 'html':
      return renderHtml(reportContent(input), only);
  }
}

/** The parts list of a session as CSV, for an order; only its head line while there is no verdict. */
export function renderPartsCsv(input: ReportInput): string {
  return partsCsv(reportContent(input).bench.order);
}
