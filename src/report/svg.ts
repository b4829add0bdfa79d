// Inline SVG for the report: a gauge for a reading, a map of the sections. Shape and words carry the meaning, never colour alone.
import type { Grade } from '../diagnosis/types.ts';
import type { GaugeScale } from './scale.ts';
import { escapeHtml } from './text.ts';

/** Mark of each grade, readable without colour. */
export const GRADE_MARK: Readonly<Record<Grade, string>> = {
  sound: '✓✓',
  serviceable: '✓',
  doubtful: '?!',
  failed: '✗',
  'not proven': '–',
};

const WIDTH = 120;
const HEIGHT = 18;
/** The gauge runs from a quarter of its reference to four times it, on a log scale; further for a band that is wider than that. */
const LEAST_SPAN = 4;
const MARGIN = 4;

/** A reading against its normal band. The table beside it gives the figures, so it is named for a screen reader in one phrase. */
export function gauge(scale: GaugeScale): string {
  const { at, low, high, ratio } = scale;
  const span = Math.log(Math.max(LEAST_SPAN, 2 * (high ?? 1), 2 / (low ?? 1)));
  const place = (value: number | undefined, open: number) => {
    if (value === undefined) return open;
    const part = value <= 0 ? 0 : (Math.log(value) + span) / (2 * span);
    return MARGIN + Math.min(1, Math.max(0, part)) * (WIDTH - 2 * MARGIN);
  };
  const left = place(low, MARGIN);
  const right = place(high, WIDTH - MARGIN);
  const hand = place(at, MARGIN);
  const middle = place(1, MARGIN);
  const f = (value: number) => value.toFixed(1);
  return [
    `<svg class="gauge" viewBox="0 0 ${WIDTH} ${HEIGHT}" width="${WIDTH}" height="${HEIGHT}" role="img" aria-label="${escapeHtml(gaugeWords(scale))}">`,
    `<line class="axis" x1="${MARGIN}" y1="13" x2="${WIDTH - MARGIN}" y2="13"/>`,
    `<rect class="band" x="${f(left)}" y="9" width="${f(Math.max(1, right - left))}" height="8"/>`,
    ratio === undefined ? '' : `<line class="tick" x1="${f(middle)}" y1="8" x2="${f(middle)}" y2="18"/>`,
    `<path class="hand" d="M${f(hand)} 12 l-4 -9 h8 z"/>`,
    '</svg>',
  ].join('');
}

/** `0.33 times the expected value, below its normal band`. */
export function gaugeWords({ at, low, high, ratio }: GaugeScale): string {
  const where =
    low !== undefined && at < low
      ? 'below its normal band'
      : high !== undefined && at > high
        ? 'above its normal band'
        : 'within its normal band';
  return ratio === undefined ? where : `${ratio.toFixed(2)} times the expected value, ${where}`;
}

export interface MapBlock {
  readonly title: string;
  readonly grade: Grade;
}

const COLUMNS = 6;
const BLOCK = { width: 136, height: 40, gap: 5 } as const;

/** A map of the sections in the order of the rules: each block has its title, its grade in words and a mark. */
export function sectionMap(blocks: readonly MapBlock[]): string {
  if (blocks.length === 0) return '';
  const rows = Math.ceil(blocks.length / COLUMNS);
  const width = COLUMNS * (BLOCK.width + BLOCK.gap) - BLOCK.gap;
  const height = rows * (BLOCK.height + BLOCK.gap) - BLOCK.gap;
  const summary = blocks.map((block) => `${block.title}: ${block.grade}`).join('; ');
  const cells = blocks.map((block, n) => {
    const x = (n % COLUMNS) * (BLOCK.width + BLOCK.gap);
    const y = Math.floor(n / COLUMNS) * (BLOCK.height + BLOCK.gap);
    const kind = block.grade.replace(' ', '-');
    return [
      `<g class="block ${kind}" transform="translate(${x} ${y})">`,
      `<rect x="1" y="1" width="${BLOCK.width - 2}" height="${BLOCK.height - 2}" rx="4"/>`,
      ...titleLines(block.title).map(
        (line, i) => `<text x="8" y="${13 + 10 * i}">${escapeHtml(line)}</text>`,
      ),
      `<text class="grade" x="8" y="${BLOCK.height - 6}">${GRADE_MARK[block.grade]} ${block.grade}</text>`,
      '</g>',
    ].join('');
  });
  return `<svg class="map" viewBox="0 0 ${width} ${height}" role="img" aria-label="${escapeHtml(`Sections: ${summary}`)}">${cells.join('')}</svg>`;
}

/** At most two lines of a title, broken at a blank, each short enough for its block. */
function titleLines(title: string): readonly string[] {
  const most = 20;
  if (title.length <= most) return [title];
  const at = title.lastIndexOf(' ', most);
  const first = at > 0 ? title.slice(0, at) : title.slice(0, most);
  const rest = title.slice(first.length).trim();
  return [first, rest.length > most ? `${rest.slice(0, most - 1)}…` : rest];
}
