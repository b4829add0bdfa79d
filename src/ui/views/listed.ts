// The frame of every list: what stands above it, the part round the marked line, what stands below.
import type { App } from '../app/app.ts';
import { BLANK, type Line, span, windowStart } from '../text.ts';
import { bodyHeight, framed } from './frame.ts';

/** The part of a long list round the marked line, with title above. */
export function listed(
  app: App,
  top: readonly Line[],
  lines: readonly Line[],
  index: number,
  below: readonly Line[] = [],
): Line[] {
  const room = Math.max(1, bodyHeight(app) - top.length - below.length);
  const from = windowStart(index, lines.length, room);
  const shown = lines.slice(from, from + room);
  const filler = Array.from({ length: Math.max(0, room - shown.length) }, () => BLANK);
  return framed(app, [...top, ...shown, ...(below.length > 0 ? filler : []), ...below]);
}

export const pointer = (marked: boolean) => span(marked ? '▸ ' : '  ', 'accent');
