// Colours and symbols. Sixteen-colour names only, never white or black as text, so that light and dark backgrounds both work.
import type { SupplyState } from '../session/types.ts';
import type { Span, Tone } from './text.ts';

export interface InkStyle {
  readonly color?: string;
  readonly dimColor?: boolean;
  readonly bold?: boolean;
  readonly inverse?: boolean;
}

const STYLES: Readonly<Record<Tone, InkStyle>> = {
  plain: {},
  quiet: { dimColor: true },
  accent: { color: 'cyan' },
  good: { color: 'green' },
  watch: { color: 'yellow' },
  bad: { color: 'red', bold: true },
  live: { color: 'yellow', bold: true, inverse: true },
  danger: { color: 'red', bold: true, inverse: true },
  title: { bold: true },
};

/** Terminal attributes of a span. */
export function styleOf(span: Span): InkStyle {
  return {
    ...STYLES[span.tone ?? 'plain'],
    ...(span.bold ? { bold: true } : {}),
    ...(span.inverse ? { inverse: true } : {}),
  };
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
