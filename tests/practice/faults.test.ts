// Simulated faults: known to the trade's list, worth a complaint, readable by the program, and drawn the same from the same number.
import { describe, expect, it } from 'vitest';
import { drawValues } from '../../src/practice/circuits/component.ts';
import { designOf } from '../../src/practice/circuits/design.ts';
import { faultsFor } from '../../src/practice/circuits/fault-list.ts';
import { partsList } from '../../src/practice/circuits/parts-list.ts';
import { CIRCUIT_FAMILIES, drawSet } from '../../src/practice/index.ts';
import { chanceOf } from '../../src/practice/random.ts';
import { ANSWERS } from '../../src/practice/readings/index.ts';
import { book, judgedAnswers } from './rules.ts';

const known = new Set(book.parts.flatMap((p) => p.faults.map((f) => `${p.id}/${f.id}`)));

describe('the list of simulated faults', () => {
  it.each(CIRCUIT_FAMILIES)('names faults and components that exist: %s', (family) => {
    for (const stacked of [false, true]) {
      const design = designOf(family, { stacked });
      const values = drawValues(partsList(design), 1, 'recapped');
      const faults = faultsFor(design);
      expect(faults.length).toBeGreaterThan(200);
      expect(faults.filter((f) => !known.has(f.id)).map((f) => f.id)).toEqual([]);
      expect(new Set(faults.map((f) => f.id)).size).toBe(faults.length);
      for (const fault of faults) {
        const change = fault.change(values, chanceOf(7), design);
        for (const [name, value] of Object.entries(change)) {
          expect(values[name], `${fault.id}: ${name}`).toBeDefined();
          expect(value, `${fault.id}: ${name}`).not.toBe(values[name]);
        }
      }
    }
  });

  it('covers every part of the set', () => {
    const sections = new Set(faultsFor(designOf('series-doubler-halfwave')).map((f) => f.id.split('.')[0]));
    for (const section of [
      'b-plus',
      'heaters',
      'horizontal-output',
      'damper-boost',
      'flyback',
      'yoke',
      'high-voltage',
      'picture-tube',
      'gun-voltages',
      'vertical-output',
      'video-output',
      'sound',
      'sync',
      'agc',
      'picture-if',
      'tuner',
    ])
      expect(sections, section).toContain(section);
  });
});

describe('answers', () => {
  it('are known checks, and more than three hundred of them', () => {
    const checks = new Set(book.checks.map((c) => c.id));
    expect(Object.keys(ANSWERS).filter((id) => !checks.has(id))).toEqual([]);
    expect(Object.keys(ANSWERS).length).toBeGreaterThan(300);
  });

  it('can be typed: every one is understood, whatever is wrong', async () => {
    for (const fault of [
      'heaters.string-heater/open',
      'b-plus.line-bypass/short',
      'flyback.primary/shorted-turns',
      'picture-tube.grid-cathode/short',
      'yoke.vertical-winding/open',
      'horizontal-oscillator.tube/dead',
      'high-voltage.rectifier/open-filament',
      'sound.output-transformer/open',
    ]) {
      const set = await drawSet({ seed: 3, family: 'series-doubler-halfwave', level: 'single', fault });
      expect(set.faults).toEqual([fault]);
      expect(set.complaint.length, fault).toBeGreaterThan(0);
      expect(judgedAnswers(set).length, fault).toBeGreaterThan(250);
    }
  }, 60_000);

  it('come out the same from the same number, and otherwise from another', async () => {
    const texts = async (seed: number): Promise<string> => {
      const set = await drawSet({ seed, family: 'transformer', level: 'double' });
      return `${set.faults.join()} ${judgedAnswers(set)
        .map((a) => a.text)
        .join()}`;
    };
    const first = await texts(11);
    expect(await texts(11)).toBe(first);
    expect(await texts(12)).not.toBe(first);
  }, 60_000);

  it('are each in a mixed set by their own chance, and without chances it is refused', async () => {
    const from = { seed: 5, family: 'transformer', level: 'mixed' } as const;
    const certain = new Map([
      ['b-plus.filter-leakage/leaky', 1],
      ['flyback.primary/shorted-turns', 1],
      ['sound.output-tube/weak', 0],
    ]);
    expect((await drawSet({ ...from, weights: certain })).faults).toEqual([
      'b-plus.filter-leakage/leaky',
      'flyback.primary/shorted-turns',
    ]);
    expect((await drawSet({ ...from, weights: new Map() })).faults).toEqual([]);
    await expect(drawSet(from)).rejects.toThrow(/chance of each fault/);
  }, 60_000);

  it('take well under a second a set once the simulator is loaded', async () => {
    const times: number[] = [];
    for (let seed = 20; seed < 27; seed += 1) {
      const start = performance.now();
      await drawSet({ seed, family: 'series-halfwave', level: 'healthy' });
      times.push((performance.now() - start) / 3);
    }
    times.sort((a, b) => a - b);
    // Three configurations a set; half a second each is the budget.
    expect(times[3]).toBeLessThan(500);
  }, 60_000);
});

describe('a family or a fault that is not there', () => {
  it('is said so', async () => {
    await expect(drawSet({ seed: 1, family: 'nothing', level: 'single' })).rejects.toThrow(/no circuit/);
    await expect(
      drawSet({ seed: 1, family: 'transformer', level: 'single', fault: 'heaters.ballast/open' }),
    ).rejects.toThrow(/no simulated fault/);
  });
});
