// Stage volts on a supply that reads low (or high): a stage that falls in proportion to a low B+ is low because of it, not right in spite of it.
import { type Evidence, evidenceOf, type JudgedReading } from '../diagnosis/index.ts';
import { LIKELIHOOD_FLOOR } from '../diagnosis/likelihood.ts';
import { LEVELS, type Rulebook } from '../rulebook/types.ts';

/** The supply itself: what is read of it says how far it is off. */
const SUPPLY: readonly string[] = ['b-raw', 'b-main', 'b-loaded'];
/** Share of what is expected within which a supply counts as right. */
const RIGHT = [0.9, 1.12] as const;
/** A signal follows the supply if the chance to be low with it, along the way, is at least this. */
const FOLLOWS = 0.3;

const fedBefore = new WeakMap<Rulebook, ReadonlySet<string>>();

/** Signals that go low where B+ is low. */
function fedBySupply(book: Rulebook): ReadonlySet<string> {
  const known = fedBefore.get(book);
  if (known) return known;
  const chance = new Map(SUPPLY.map((id) => [id, 1]));
  // Inputs never form a circle: as many rounds as there are signals in the longest chain at most.
  for (let changed = true; changed; ) {
    changed = false;
    for (const { id, inputs } of book.signals)
      for (const { signal, rows } of inputs) {
        const here = (chance.get(signal) ?? 0) * (rows.low?.low ?? 0);
        if (here < FOLLOWS || here <= (chance.get(id) ?? 0)) continue;
        chance.set(id, here);
        changed = true;
      }
  }
  const fed = new Set([...chance.keys()].filter((id) => !SUPPLY.includes(id)));
  fedBefore.set(book, fed);
  return fed;
}

const shareOf = ({ value, expected }: JudgedReading): number | undefined =>
  value.kind === 'number' && expected && expected.value !== 0 ? value.value / expected.value : undefined;

/** How far the supply was off when last read, as a share of what is expected; undefined where it is right or not read. */
export function supplyShare(readings: readonly JudgedReading[]): number | undefined {
  const last = readings.findLast(
    (r) =>
      r.early === undefined &&
      r.check.reads.some(({ signal, scale }) => scale === 'ratio' && SUPPLY.includes(signal ?? '')),
  );
  const share = last && shareOf(last);
  return share === undefined || share <= 0 || (share >= RIGHT[0] && share <= RIGHT[1]) ? undefined : share;
}

const seenBefore = new WeakMap<JudgedReading, { share: number; evidence: readonly Evidence[] }>();

/**
 * `evidence` of `reading`, with the level that the supply's own state explains held at least as likely as the reading would be on a
 * right supply: at 75 % of B+ a plate at 75 % of its volts says nothing for a right supply.
 */
export function onSupply(
  book: Rulebook,
  reading: JudgedReading,
  evidence: readonly Evidence[],
  share: number,
): readonly Evidence[] {
  const { check, expected } = reading;
  const fed = fedBySupply(book);
  if (!expected || !check.reads.some((r) => r.scale === 'ratio' && fed.has(r.signal ?? ''))) return evidence;
  const known = seenBefore.get(reading);
  if (known?.share === share) return known.evidence;
  const there = evidenceOf({ ...reading, expected: { ...expected, value: expected.value * share } });
  const level = LEVELS.indexOf(share < 1 ? 'low' : 'high');
  const normal = LEVELS.indexOf('normal');
  const changed = evidence.map((e, n): Evidence => {
    const other = there[n];
    if (!other || !fed.has(e.variable.replace('signal:', ''))) return e;
    const own = e.likelihood.map((l) => l * (e.scale ?? 1));
    const explained = (other.likelihood[normal] ?? 0) * (other.scale ?? 1);
    if (explained <= (own[level] ?? 0)) return e;
    own[level] = explained;
    const best = Math.max(...own);
    return { ...e, scale: best, likelihood: own.map((l) => Math.max(l / best, LIKELIHOOD_FLOOR)) };
  });
  seenBefore.set(reading, { share, evidence: changed });
  return changed;
}
