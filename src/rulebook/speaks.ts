// Which checks speak about some parts: of themselves, or through a signal of their own section that they upset.
import type { Check, Part, Rulebook } from './types.ts';

/** The checks of `book` that read one of `parts`, or a signal of its section that a fault of it upsets. */
export function checksSpeakingOf(book: Rulebook, parts: readonly Part[]): readonly Check[] {
  const ids = new Set(parts.map((part) => part.id));
  const sections = new Map(book.signals.map((signal) => [signal.id, signal.section]));
  const signals = new Set(
    parts.flatMap((part) =>
      part.faults
        .flatMap((fault) => Object.keys(fault.effects))
        .filter((id) => sections.get(id) === part.section),
    ),
  );
  return book.checks.filter((check) =>
    check.reads.some((read) => ids.has(read.part ?? '') || signals.has(read.signal ?? '')),
  );
}
