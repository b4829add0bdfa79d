// What the owner said of the set in own words: a note of the record under a name of its own, the last one counts.
import type { SessionEvent, SessionState } from './types.ts';

/** What such a note is about, in place of a check. */
export const OWNER_SAID = 'owner-said';

/** The owner's own words; empty where none were kept. */
export function ownerSaid({ notes }: Pick<SessionState, 'notes'>): string {
  return notes.findLast((note) => note.check === OWNER_SAID)?.text ?? '';
}

/** The event that keeps these words; none where they are kept already. */
export function saying(
  text: string,
  state: Pick<SessionState, 'notes'> | undefined,
): readonly SessionEvent[] {
  return text === (state ? ownerSaid(state) : '') ? [] : [{ type: 'note', text, check: OWNER_SAID }];
}
