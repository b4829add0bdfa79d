// Notes of the walk: on disk as soon as they are written, about the check that they were written at.
import type { Check } from '../../rulebook/types.ts';
import type { Entry } from '../../walk/types.ts';
import { EMPTY_LINE } from '../line-edit.ts';
import type { WalkScreen } from './model.ts';

/** The line for a note, about a check or about nothing in particular. */
export function noting(screen: WalkScreen, check: string): WalkScreen {
  return { ...screen, mode: { kind: 'text', purpose: 'note', edit: EMPTY_LINE, check } };
}

/** An answer that says "note what", or "say where": it is asked at once, or it is lost. */
const WANTS_NOTE = /\((note what|say where)/;

export function wantsNote(check: Check, entry: Entry): boolean {
  const [event] = entry.kind === 'events' ? entry.events : [];
  if (event?.type !== 'reading' || event.value.kind !== 'choice') return false;
  const { option } = event.value;
  return check.options.some(({ id, title }) => id === option && WANTS_NOTE.test(title));
}
