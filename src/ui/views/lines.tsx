// Draws lines of spans with Ink: one row a line, nothing wraps, nothing moves.
import { Box, Text } from 'ink';
import { createContext, useContext } from 'react';
import type { Line } from '../text.ts';
import { toAscii } from '../text.ts';
import { styleOf } from '../theme.ts';

/** True where only ASCII may reach the terminal. */
export const AsciiContext = createContext(false);

export function Lines({ lines }: { readonly lines: readonly Line[] }) {
  const ascii = useContext(AsciiContext);
  return (
    <Box flexDirection="column">
      {lines.map((line, n) => (
        <Text key={n} wrap="truncate">
          {line.every((s) => s.text === '')
            ? ' '
            : line.map((s, k) => (
                <Text key={k} {...styleOf(s)}>
                  {ascii ? toAscii(s.text) : s.text}
                </Text>
              ))}
        </Text>
      ))}
    </Box>
  );
}
