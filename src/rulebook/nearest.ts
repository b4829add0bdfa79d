// What a mistyped word was probably meant to be, among those that are known.

/** The known id that differs least from a mistyped one, if it is near enough to be meant. */
export function nearest(id: string, known: Iterable<string>): string | undefined {
  let best: string | undefined;
  let least = Math.max(2, Math.floor(id.length / 4)) + 1;
  for (const candidate of known) {
    const distance = editDistance(id, candidate, least);
    if (distance < least) [best, least] = [candidate, distance];
  }
  return best;
}

function editDistance(a: string, b: string, limit: number): number {
  if (Math.abs(a.length - b.length) >= limit) return limit;
  let row = Array.from({ length: b.length + 1 }, (_, i) => i);
  for (let i = 1; i <= a.length; i += 1) {
    const next = [i];
    for (let j = 1; j <= b.length; j += 1) {
      next[j] = Math.min(
        (row[j] ?? 0) + 1,
        (next[j - 1] ?? 0) + 1,
        (row[j - 1] ?? 0) + (a[i - 1] === b[j - 1] ? 0 : 1),
      );
    }
    row = next;
  }
  return row[b.length] ?? limit;
}
