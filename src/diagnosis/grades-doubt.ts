// What a grade may not rest on: a reading that is doubted itself, one reading alone where a part that nobody makes is called failed, or
// readings that leave a plain sign of its failure unaccounted for.
import type { Part, Rulebook } from '../rulebook/types.ts';
import { evidenceOf } from './likelihood.ts';
import type { Conflict, JudgedReading, OpenSign, SupposedCause, VerdictContext } from './types.ts';

/** From this chance on a reading is more likely wrong than right, and proves nothing. */
const DOUBTED = 0.5;
/** How much likelier a reading must be if the part is bad before it counts as speaking for that. */
const SPEAKS = 2;

/** Sequence numbers of readings that are more likely wrong than right; those that two opinions differ about are kept. */
export function doubtedReadings(conflicts: readonly Conflict[]): ReadonlySet<number> {
  return new Set(
    conflicts
      .filter(({ slip }) => slip.kind !== 'none' && slip.kind !== 'disagree' && slip.probability >= DOUBTED)
      .flatMap((c) => c.readings ?? [c.seq]),
  );
}

/** Readings that may prove something. */
export function undoubted({ readings, conflicts = [] }: VerdictContext): readonly JudgedReading[] {
  const doubted = doubtedReadings(conflicts);
  return doubted.size === 0 ? readings : readings.filter((r) => !doubted.has(r.seq));
}

/** Checks of which no reading may prove anything. */
export function doubtedChecks(context: VerdictContext): ReadonlySet<string> {
  const kept = new Set(undoubted(context).map(({ check }) => check.id));
  return new Set(context.readings.map(({ check }) => check.id).filter((id) => !kept.has(id)));
}

/** Whether a reading says by itself that something it reads is wrong; only variables that `counts` passes are looked at. */
export function speaksAgainst(reading: JudgedReading, counts: (variable: string) => boolean): boolean {
  return evidenceOf(reading).some(({ variable, likelihood }) => {
    const [right = 0, ...wrong] = likelihood;
    return counts(variable) && Math.max(0, ...wrong) > SPEAKS * right;
  });
}

/** Signals that these faults of a part upset, and all that those feed. */
function upsetBy(book: Rulebook, faults: Part['faults']): ReadonlySet<string> {
  const upset = new Set(faults.flatMap((f) => Object.keys(f.effects)));
  for (const id of upset)
    for (const signal of book.signals) if (signal.inputs.some((i) => i.signal === id)) upset.add(signal.id);
  return upset;
}

/** Whether any reading is of one of these parts, or of something that their faults upset. */
export function bearOn(book: Rulebook, parts: readonly Part[], readings: readonly JudgedReading[]): boolean {
  const reached = new Set(
    parts.flatMap((p) => [`part:${p.id}`, ...[...upsetBy(book, p.faults)].map((id) => `signal:${id}`)]),
  );
  return readings.some(({ check }) =>
    check.reads.some((r) => reached.has(r.part ? `part:${r.part}` : `signal:${r.signal ?? ''}`)),
  );
}

/** Checks whose reading speaks for this fault of a part: on the part itself, on what the fault upsets, or on what that feeds. */
export function speakingFor(
  book: Rulebook,
  part: Part,
  fault: string,
  readings: readonly JudgedReading[],
): ReadonlySet<string> {
  const upset = upsetBy(
    book,
    part.faults.filter((f) => f.id === fault),
  );
  const found = new Set<string>();
  for (const reading of readings)
    for (const { variable, likelihood, states } of evidenceOf(reading)) {
      const [right = 0, ...wrong] = likelihood;
      const against =
        variable === `part:${part.id}`
          ? (likelihood[(states ?? []).indexOf(fault)] ?? 0)
          : variable.startsWith('signal:') && upset.has(variable.slice(7))
            ? Math.max(...wrong)
            : 0;
      if (against > SPEAKS * right) found.add(reading.check.id);
    }
  return found;
}

/** The open sign that speaks most against an assembly of `parts`, with its likeliest cause there. */
export function openSignAgainst(
  parts: readonly Part[],
  signs: readonly OpenSign[],
): { readonly sign: OpenSign; readonly cause: SupposedCause } | undefined {
  const ids = new Set(parts.map((part) => part.id));
  return signs
    .flatMap((sign) => sign.causes.filter((cause) => ids.has(cause.part)).map((cause) => ({ sign, cause })))
    .sort((a, b) => b.cause.chance - a.cause.chance)[0];
}
