// Healthy simulated sets against the "normal" bands of the rule pack: where they part, one of the two is wrong.
// Outside values behind the circuits: 0.3 A chains and their 5.5 kohm thermistors, B+ and ripple by family, 5U4 drop: see the circuits themselves.
import { afterAll, describe, expect, it } from 'vitest';
import { CIRCUIT_FAMILIES, drawSet } from '../../src/practice/index.ts';
import { judgedAnswers } from './rules.ts';

/** More draws for a long run: HEALTHY_DRAWS=60. */
const DRAWS = Number(process.env.HEALTHY_DRAWS ?? 12);
/** Share of live readings of a family that must be judged good, not only not bad. */
const GOOD = 0.95;
/** Looks go wrong now and then in a simulated hand as in a real one; a meter must agree in nearly every draw. */
const METER_GOOD = 0.9;

const report: string[] = [];
afterAll(() => {
  if (report.length > 0) console.log(report.join('\n'));
});

describe.each(CIRCUIT_FAMILIES)('healthy %s', (family) => {
  it(`reads normal in ${100 * GOOD} % of ${DRAWS} draws, and nobody complains`, async () => {
    const bad = new Map<string, string[]>();
    const count = new Map<string, number>();
    let live = 0;
    let wrong = 0;
    for (let seed = 1; seed <= DRAWS; seed += 1) {
      const set = await drawSet({ seed, family, level: 'healthy' });
      expect(set.complaint, `seed ${seed}`).toEqual([]);
      for (const { check, text, judgement } of judgedAnswers(set)) {
        if (check.state !== 'S1' && check.state !== 'S2') continue;
        live += 1;
        count.set(check.id, (count.get(check.id) ?? 0) + 1);
        if (judgement.standing !== 'good' && judgement.standing !== 'noted') wrong += 1;
        if (judgement.standing !== 'bad') continue;
        if (check.kind !== 'choice')
          bad.set(check.id, [...(bad.get(check.id) ?? []), `${text} is ${judgement.state}`]);
      }
    }
    for (const [id, list] of bad)
      report.push(`${family} ${id}: ${list.length}/${count.get(id)} ${list.slice(0, 3).join('; ')}`);
    expect(live).toBeGreaterThan(150 * DRAWS);
    expect(1 - wrong / live).toBeGreaterThanOrEqual(GOOD);
    const often = [...bad].filter(([id, list]) => list.length / (count.get(id) ?? 1) > 1 - METER_GOOD);
    expect(often.map(([id, list]) => `${id}: ${list.slice(0, 3).join('; ')}`)).toEqual([]);
  }, 600_000);
});
