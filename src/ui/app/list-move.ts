// Where the mark of a list, or the top of a page, goes for a key: one way for every list and page on the screens.
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

/** Lines that a page key moves a page of text. */
const TEXT_PAGE = 12;

/** The new first line of a page of text for a moving command, 0 or more; `undefined` for any other command. */
export function scrollMove(command: Command | undefined, scroll: number): number | undefined {
  // Where the text ends only its view knows: there is no key to the end.
  return command === 'last' ? undefined : listMove(command, scroll, Number.POSITIVE_INFINITY, TEXT_PAGE);
}
