// Draws lines of spans with Ink: one row a line, nothing wraps, nothing moves. One text node a pane: the layout engine has little to do.
import { Text } from 'ink';
import { createContext, useContext } from 'react';
import type { Line } from '../text.ts';
import { type Paint, paintedLines } from './paint.ts';

export const PaintContext = createContext<Paint>({ ascii: false, colour: true });

/** Lines must not be wider than the pane: they are shown as they are. */
export function Lines({ lines }: { readonly lines: readonly Line[] }) {
  return <Text>{paintedLines(lines, useContext(PaintContext))}</Text>;
}
