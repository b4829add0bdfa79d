// Cautions where they matter: no card of the rule pack sends a hand to a live chassis without saying what the chassis is.
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { isLiveCheck } from '../../src/rulebook/live.ts';
import { loadRules } from '../../src/rulebook/load.ts';

const { book } = loadRules(fileURLToPath(new URL('../../rules', import.meta.url)));
if (!book) throw new Error('the rule pack does not load');

describe('cautions of the rule pack', () => {
  it('every live check on a chassis out of its cabinet says that the chassis is the line, or what the isolation transformer leaves', () => {
    const out = book.checks.filter((check) => isLiveCheck(check) && check.access === 'chassis-out');
    expect(out.length).toBeGreaterThan(60);
    const bare = out.filter(
      ({ cautions }) => !cautions.includes('hot-chassis') && !cautions.includes('isolation-limits'),
    );
    expect(bare.map(({ id }) => id)).toEqual([]);
  });
});
