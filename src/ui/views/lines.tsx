// Draws lines of spans with Ink: one row a line, nothing wraps, nothing moves. One text node a pane: the layout engine has little to do.
import { Text } from 'ink';
import { createContext, useContext } from 'react';
import { type Line, toAscii } from '../text.ts';
import { painted } from '../theme.ts';

/** What the terminal is to get. */
export interface Paint {
  /** Nothing but ASCII. */
  readonly ascii: boolean;
  readonly colour: boolean;
  /** The background is light. */
  readonly light?: boolean;
}

export const PaintContext = createContext<Paint>({ ascii: false, colour: true });

/** Lines must not be wider than the pane: they are shown as they are. */
export function Lines({ lines }: { readonly lines: readonly Line[] }) {
  const { ascii, colour, light } = useContext(PaintContext);
  const text = lines
    .map(
      (line) => line.map((s) => painted(s, colour, ascii ? toAscii(s.text) : s.text, light)).join('') || ' ',
    )
    .join('\n');
  return <Text>{text}</Text>;
}
