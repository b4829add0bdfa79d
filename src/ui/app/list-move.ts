// Where the mark of a list goes for a key: one way for every list on the screens.
import type { Command } from '../keys.ts';

/** The new index for a moving command, kept inside `length` rows; `undefined` for any other command. `page` rows a page key. */
export function listMove(
  command: Command | undefined,
  index: number,
  length: number,
  page: number,
): number | undefined {
  const to = {
    up: index - 1,
    down: index + 1,
    'page-up': index - page,
    'page-down': index + page,
    first: 0,
    last: length - 1,
  } as const;
  if (command === undefined || !(command in to)) return undefined;
  return Math.max(0, Math.min(length - 1, to[command as keyof typeof to]));
}
