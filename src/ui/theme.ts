// Colours and symbols. Sixteen-colour names only, never white or black as text; on a light background other ones, since yellow, cyan and green fade there.
import type { SupplyState } from '../session/types.ts';
import { clean, type Span, type Tone } from './text.ts';

/** Select Graphic Rendition codes (ECMA-48, 5th ed. 1991, 8.3.117): attributes that stay without colour, and the colour. */
interface Look {
  readonly attributes: readonly number[];
  readonly colour?: number;
}

const [BOLD, FAINT, INVERSE] = [1, 2, 7] as const;
const [RED, GREEN, YELLOW, BLUE, MAGENTA, CYAN] = [31, 32, 33, 34, 35, 36] as const;

const LOOKS: Readonly<Record<Tone, Look>> = {
  plain: { attributes: [] },
  quiet: { attributes: [FAINT] },
  accent: { attributes: [], colour: CYAN },
  good: { attributes: [], colour: GREEN },
  watch: { attributes: [], colour: YELLOW },
  bad: { attributes: [BOLD], colour: RED },
  live: { attributes: [BOLD, INVERSE], colour: YELLOW },
  danger: { attributes: [BOLD, INVERSE], colour: RED },
  title: { attributes: [BOLD] },
};

/** Colours on a light background; `good` has none, its mark carries it. */
const ON_LIGHT: Readonly<Partial<Record<Tone, number | undefined>>> = {
  accent: BLUE,
  good: undefined,
  watch: MAGENTA,
  live: MAGENTA,
};

/** The colour of a tone, as a Select Graphic Rendition code; `undefined` for none. */
export function colourOf(tone: Tone, light: boolean): number | undefined {
  return light && tone in ON_LIGHT ? ON_LIGHT[tone] : LOOKS[tone].colour;
}

/** True if the terminal says that its background is light: `COLORFGBG` names text and background by their numbers of 16. */
export function isLightBackground(colorfgbg: string | undefined): boolean {
  const background = Number(colorfgbg?.split(';').at(-1) || Number.NaN);
  return background === 7 || (background >= 9 && background <= 15);
}

/** A span's text with its terminal attributes round it. */
export function painted(span: Span, colour: boolean, shown = span.text, light = false): string {
  // Rule packs come from anywhere: the last door before the terminal lets no control character through.
  const text = clean(shown);
  const look = LOOKS[span.tone ?? 'plain'];
  const codes = new Set(look.attributes);
  if (span.bold) codes.add(BOLD);
  if (span.inverse) codes.add(INVERSE);
  const hue = colour ? colourOf(span.tone ?? 'plain', light) : undefined;
  const all = [...codes, ...(hue === undefined ? [] : [hue])];
  return all.length === 0 || text === '' ? text : `\u001b[${all.join(';')}m${text}\u001b[0m`;
}

/** How a supply state is shown everywhere: word, symbol, tone. No state is ever called safe. */
export const SUPPLY: Readonly<
  Record<SupplyState, { readonly word: string; readonly symbol: string; readonly tone: Tone }>
> = {
  unknown: { word: 'SUPPLY NOT KNOWN', symbol: '?', tone: 'watch' },
  unplugged: { word: 'UNPLUGGED, NOT PROVEN', symbol: '○', tone: 'watch' },
  discharged: { word: 'DISCHARGE PROVEN', symbol: '◎', tone: 'good' },
  'isolated-limited': { word: 'LIVE ON THE LAMP', symbol: '◐', tone: 'live' },
  'isolated-full': { word: 'LIVE, FULL LINE', symbol: '●', tone: 'danger' },
};

/** What each check state asks of the supply, in words. */
export const NEEDS_STATE: Readonly<Record<string, string>> = {
  any: 'no contact with the set',
  SB: 'part on the bench, off the set',
  S0: 'set dead, discharge proven',
  S1: 'live on the lamp limiter',
  S2: 'live on full line',
};

export const STANDING_MARK: Readonly<
  Record<'good' | 'watch' | 'bad' | 'noted', { readonly mark: string; readonly tone: Tone }>
> = {
  good: { mark: '+', tone: 'good' },
  watch: { mark: '~', tone: 'watch' },
  bad: { mark: '✗', tone: 'bad' },
  noted: { mark: '·', tone: 'quiet' },
};

export const GRADE_MARK: Readonly<Record<string, { readonly mark: string; readonly tone: Tone }>> = {
  sound: { mark: '+', tone: 'good' },
  serviceable: { mark: '+', tone: 'good' },
  doubtful: { mark: '~', tone: 'watch' },
  failed: { mark: '✗', tone: 'bad' },
  'not proven': { mark: '?', tone: 'quiet' },
};
