// What is said of a record that holds more than may be believed: readings without their proofs, and checks that the rule base does not have.
import type { Rulebook } from '../rulebook/types.ts';
import type { SafetyState } from '../safety/index.ts';
import type { SessionState } from '../session/index.ts';

/** Everything of it in one line; undefined where there is nothing to say. */
export function doubtOf(book: Rulebook, state: SessionState, safe: SafetyState): string | undefined {
  const said = [disbelief(book, state, safe), unknownChecks(book, state)].filter((t) => t !== undefined);
  return said.join(' ') || undefined;
}

/** Said when the record holds live readings that its own safety proofs do not bear out. */
function disbelief(book: Rulebook, state: SessionState, safe: SafetyState): string | undefined {
  const [first] = safe.disbelieved;
  if (!first) return undefined;
  const [seq, why] = first;
  const count = safe.disbelieved.size;
  const check = state.readings.find((r) => r.seq === seq)?.check;
  const title = book.checks.find((c) => c.id === check)?.title ?? check ?? `no. ${seq}`;
  return `${count} reading${count === 1 ? ' is' : 's are'} not believed${count === 1 ? '' : ', the first'}: ${title}, ${why}`;
}

/** Said when the record holds readings of checks that this rule base does not have (it changed since): kept, not judged. */
function unknownChecks(book: Rulebook, state: SessionState): string | undefined {
  const known = new Set(book.checks.map((c) => c.id));
  const lost = [...new Set(state.readings.map((r) => r.check).filter((id) => !known.has(id)))];
  if (lost.length === 0) return undefined;
  const named = lost.slice(0, 3).join(', ') + (lost.length > 3 ? ` and ${lost.length - 3} more` : '');
  return `The rule base has changed: readings of ${named} are kept in the record and no longer judged.`;
}
