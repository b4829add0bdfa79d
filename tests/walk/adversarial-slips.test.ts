// One wrong reading in a whole walk on a circuit-simulated set: the walk still ends, the true fault stays possible, and the slip is called out.
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/diagnosis/junction-tree-order.ts';
import { CIRCUIT_FAMILIES, drawSet } from '../../src/practice/index.ts';
import { heldTrue, watchedWalk } from './simulated-walk.ts';
import { KINDS, type SlippedWalk, slippedWalk } from './slipped-walk.ts';

/** `SLIP_WALKS=120` walks as many. A walk takes two to three seconds. */
const WALKS = Number(process.env.SLIP_WALKS ?? 8);
/** `SLIP_START` draws other sets. */
const START = Number(process.env.SLIP_START ?? 400);

/** Under this the true fault may not fall. */
const KEPT = 0.01;
/** Share of the slips that is called out at least. */
const NOTICED = 0.8;

const walks: SlippedWalk[] = [];
for (let n = 0; n < WALKS; n += 1) {
  const family = CIRCUIT_FAMILIES[n % CIRCUIT_FAMILIES.length] ?? '';
  const set = await drawSet({ seed: START + n, family, level: 'single' });
  walks.push(slippedWalk(set, KINDS[n % KINDS.length] ?? 'x10', seededRandom(START + n)));
}

describe('a walk with one wrong reading that bears on the fault', () => {
  const slipped = walks.filter((w) => w.slip !== undefined);

  it('ends by itself, with the true fault still possible', () => {
    for (const w of slipped) expect(w.ended, w.said).toBe(true);
    for (const w of slipped) {
      if (w.held >= KEPT) continue;
      // Where all readings taken right leave the fault less likely than not, no one reading has ruled it out.
      const right = watchedWalk(w.set, {});
      expect(heldTrue(w.set, right), w.said).toBeLessThan(0.5);
    }
  });

  it('calls the slip out', () => {
    const noticed = slipped.filter((w) => w.slip?.noticed);
    const by = KINDS.map((kind) => {
      const own = slipped.filter((w) => w.slip?.kind === kind);
      return `${kind} ${own.filter((w) => w.slip?.noticed).length} of ${own.length}`;
    });
    console.info(
      `slips noticed: ${by.join(', ')}; asked about when typed ${slipped.filter((w) => w.slip?.asked).length}; least chance of the true fault ${Math.min(...slipped.map((w) => w.held)).toFixed(3)}`,
    );
    expect(slipped.length).toBeGreaterThan(0.7 * WALKS);
    const missed = slipped.filter((w) => !w.slip?.noticed).map((w) => w.said);
    expect(noticed.length / slipped.length, missed.join('\n')).toBeGreaterThanOrEqual(NOTICED);
  });
});
