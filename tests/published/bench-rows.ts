// Table of published figures: what, our value, the printed value, half of its last digit, and where it is printed.
import { describe, expect, it } from 'vitest';

/** Published value, half of its last printed digit (or what the source itself rounds), and where it is printed. */
export type Row = readonly [
  what: string,
  ours: () => number,
  published: number,
  tolerance: number,
  source: string,
];

/** One test a row, with the source in its name. */
export function publishedFigures(title: string, rows: readonly Row[]): void {
  describe(`published figures: ${title}`, () => {
    it.each(
      rows.map(([what, ours, published, tolerance, source]) => ({
        what,
        ours,
        published,
        tolerance,
        source,
      })),
    )('$what = $published ($source)', ({ ours, published, tolerance }) => {
      expect(Math.abs(ours() - published)).toBeLessThanOrEqual(tolerance);
    });
  });
}
