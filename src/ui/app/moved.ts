// What an entry did to the suspects: before and after, largest change first.
import type { Live, Moved } from './model.ts';

const MOST_MOVED = 3;
/** Smaller changes of a suspect are not worth a word. */
const LEAST_MOVE = 0.02;

/** P(bad) of every suspect's part. */
export function partsBad(view: Live['view']): ReadonlyMap<string, number> {
  return new Map(view.suspects.map((s) => [s.part, s.partProbability]));
}

/** Suspects whose part moved most, largest move first. */
export function movedBetween(
  before: Live['view'],
  after: Live['view'],
  earlier: ReadonlyMap<string, number>,
): readonly Moved[] {
  const titles = new Map([...before.suspects, ...after.suspects].map((s) => [s.part, s.title]));
  const later = partsBad(after);
  const probability = (view: Live['view'], known: ReadonlyMap<string, number>, part: string): number => {
    const listed = known.get(part);
    if (listed !== undefined) return listed;
    const ok = view.belief?.parts.get(part)?.ok;
    return ok === undefined ? 0 : 1 - ok;
  };
  return [...titles]
    .map(([part, title]) => ({
      title,
      before: probability(before, earlier, part),
      after: probability(after, later, part),
    }))
    .filter((m) => Math.abs(m.after - m.before) >= LEAST_MOVE)
    .sort((a, b) => Math.abs(b.after - b.before) - Math.abs(a.after - a.before))
    .slice(0, MOST_MOVED);
}
