// The card: labelled blocks of text in a fixed order, each cut to its share of the height; Page Down shows the rest.
import { BLANK, cut, ends, type Line, plain, span, type Tone, wrap } from '../text.ts';

export interface Block {
  readonly label: string;
  readonly paragraphs: readonly string[];
  readonly tone?: Tone;
  /** Lines that it gets at least. */
  readonly least: number;
  /** Who gets spare lines first: low number first. */
  readonly rank: number;
}

/** Least lines of a block that is not to be cut while anything else can be. */
export const WHOLE = 9;

const LABEL = 9;

function linesOf(block: Block, width: number): string[] {
  return block.paragraphs.flatMap((p) => wrap(p, width - LABEL));
}

/** Lines that all the blocks take when nothing is cut. */
export function linesNeeded(list: readonly Block[], width: number): number {
  return list.flatMap((b) => (b.paragraphs.some((p) => p !== '') ? linesOf(b, width) : [])).length;
}

/** Draws the blocks in `height` lines. With `scroll` > 0 the whole text is shown from that line on. */
export function blocks(list: readonly Block[], width: number, height: number, scroll: number): Line[] {
  const shown = list.filter((b) => b.paragraphs.some((p) => p !== ''));
  const texts = shown.map((b) => linesOf(b, width));
  const draw = (block: Block, lines: readonly string[]): Line[] =>
    lines.map(
      (text, n): Line => [
        span((n === 0 ? block.label : '').padEnd(LABEL), block.tone === undefined ? 'accent' : block.tone),
        span(text, block.tone ?? 'plain'),
      ],
    );
  const total = texts.reduce((sum, t) => sum + t.length, 0);
  if (scroll > 0 && total > height) {
    const all = shown.flatMap((b, n) => draw(b, texts[n] ?? []));
    const from = Math.min(scroll, Math.max(0, all.length - height + 1));
    const rest = all.slice(from, from + height - 1);
    const more = from + height - 1 < all.length;
    return [...rest, plain(more ? 'PgDn more, PgUp back' : 'PgUp back', 'quiet')];
  }
  const cutShort = total > height;
  const share = shown.map(() => 0);
  let spare = height - (cutShort ? 1 : 0);
  const order = [...shown.keys()].sort((a, b) => (shown[a]?.rank ?? 0) - (shown[b]?.rank ?? 0));
  const give = (n: number, upTo: number): void => {
    const extra = Math.max(0, Math.min(spare, Math.min(upTo, texts[n]?.length ?? 0) - (share[n] ?? 0)));
    share[n] = (share[n] ?? 0) + extra;
    spare -= extra;
  };
  for (const n of order) give(n, shown[n]?.least ?? 0);
  for (const n of order) give(n, Number.POSITIVE_INFINITY);
  const lines = shown.flatMap((b, n) => {
    const own = texts[n] ?? [];
    const some = own.slice(0, share[n]);
    const last = some.length - 1;
    if (some.length < own.length && last >= 0) some[last] = `${some[last]} …`;
    return draw(b, some);
  });
  return cutShort ? [...lines.slice(0, height - 1), plain('PgDn: the rest of this card', 'watch')] : lines;
}

/** Blank lines so that what follows stands at the bottom. */
export function padTo(lines: readonly Line[], height: number): Line[] {
  return [
    ...lines.slice(0, height),
    ...Array.from({ length: Math.max(0, height - lines.length) }, () => BLANK),
  ];
}

/** Height of a card where the screen has room for more. */
export const CARD_LINES = 16;

/** The two lines over a card: where in the walk it stands, and its title. */
export function head(left: string, right: string, title: string, width: number): Line[] {
  return [ends([span(left, 'quiet')], [span(right, 'quiet')], width), plain(cut(title, width), 'title')];
}
