// Grades, ceilings, recommendation: hand-made beliefs against what the evidence allows one to say. Ladder of evidence: common practice, no source.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ceilingOf, modeRatios, proofShare } from '../../src/diagnosis/grades.ts';
import type { Belief, Grade, Verdict } from '../../src/diagnosis/types.ts';
import { pictureTubeObtainable, verdictOf, watchableChance } from '../../src/diagnosis/verdict.ts';
import {
  ALL_CLEAR,
  BOOK,
  beliefWith,
  context,
  input,
  LIVE_PROOFS,
  NO_PLAN,
  priorBelief,
  reading,
  SET,
  suspect,
} from '../report/fixture.ts';
import { look } from './tiny-rules.ts';

function grade(verdict: Verdict, id: string): Grade | undefined {
  return verdict.core.find((entry) => entry.id === id)?.grade;
}

function section(verdict: Verdict, id: string) {
  return verdict.sections.find((entry) => entry.id === id);
}

/** A look at one thing, good or bad, as an answer to this check. */
function seen(
  id: string,
  of: { readonly signal: string } | { readonly part: string },
  answer: 'good' | 'bad',
) {
  const table: Readonly<Record<string, Readonly<Record<string, number>>>> =
    'signal' in of
      ? { normal: { good: 0.95, bad: 0.05 }, low: { good: 0.1, bad: 0.9 } }
      : { ok: { good: 0.95, bad: 0.05 }, 'shorted-turns': { good: 0.1, bad: 0.9 } };
  const own = reading(id);
  const check = {
    ...own.check,
    ...look(id, of, table, { state: own.check.state, title: own.check.title, method: id }),
  };
  return { ...own, check, value: { kind: 'choice' as const, option: answer } };
}

function allText(verdict: Verdict): string {
  return JSON.stringify(verdict);
}

describe('odds of a mode against ok', () => {
  it('is the ratio of the likelihoods: P(e|weak) / P(e|ok), whatever the prior', () => {
    // Bayes by hand: prior 0.25, likelihood 0.1 against 0.8: posterior 0.025 / (0.025 + 0.6) = 0.04.
    const belief = beliefWith({ 'picture-tube.gun': { weak: 0.04 } });
    expect(modeRatios('picture-tube.gun', belief, priorBelief())[0]?.ratio).toBeCloseTo(0.125, 9);
  });

  it('weighs modes by their priors', () => {
    const modes = [
      { part: 'a', fault: 'x', prior: 0.3, posterior: 0.03, ratio: 0.1 },
      { part: 'a', fault: 'y', prior: 0.1, posterior: 0.1, ratio: 1 },
    ];
    expect(proofShare(modes)).toBeCloseTo(0.75, 12);
    expect(proofShare([])).toBe(0);
  });
});

describe('grades of core parts', () => {
  const cases: readonly (readonly [string, Belief, readonly string[], string, Grade])[] = [
    ['untested', priorBelief(), [], 'flyback', 'not proven'],
    ['untested, likely bad by age alone', priorBelief(), [], 'picture-tube', 'not proven'],
    ['cleared and run for an hour', ALL_CLEAR, LIVE_PROOFS, 'flyback', 'sound'],
    ['cleared by light on the screen at full voltage', ALL_CLEAR, LIVE_PROOFS, 'picture-tube', 'sound'],
    ['cleared, ring test only', ALL_CLEAR, ['flyback-ring'], 'flyback', 'serviceable'],
    ['cleared, tester only', ALL_CLEAR, ['picture-tube-emission'], 'picture-tube', 'serviceable'],
    [
      'cleared in belief but with no rung of the ladder held',
      ALL_CLEAR,
      ['horizontal-output-grid-drive'],
      'flyback',
      'not proven',
    ],
    [
      'the rarer of two modes spoken against',
      beliefWith({ 'flyback.hv-winding': { open: 0.0005 } }),
      ['flyback-ring'],
      'flyback',
      'not proven',
    ],
    [
      'pointed at',
      beliefWith({ 'flyback.primary': { 'shorted-turns': 0.5 } }),
      ['flyback-ring'],
      'flyback',
      'doubtful',
    ],
    [
      'condemned',
      beliefWith({ 'flyback.primary': { 'shorted-turns': 0.93 } }),
      ['flyback-ring'],
      'flyback',
      'failed',
    ],
  ];
  it.each(cases)('%s', (_, belief, readings, id, wanted) => {
    expect(grade(verdictOf(input(belief, readings)), id)).toBe(wanted);
  });

  it('takes a check that did not come out normal off the ladder', () => {
    const dim = beliefWith({ 'picture-tube.gun': { weak: 0.02 } }, { 'anode-hv': 0.2, 'raster-light': 0.2 });
    expect(grade(verdictOf(input(dim, ['anode-hv-dark', 'raster-brightness'])), 'picture-tube')).toBe(
      'not proven',
    );
  });

  it('does not take a bad reading that the others outvote for the proof that a part works', () => {
    const of = { part: 'flyback.primary' };
    const graded = (answer: 'good' | 'bad') =>
      verdictOf(
        input(ALL_CLEAR, [], { context: context([], { readings: [seen('flyback-ring', of, answer)] }) }),
      ).core.find((one) => one.id === 'flyback');
    expect(graded('good')?.grade).toBe('serviceable');
    expect(graded('bad')?.grade).toBe('not proven');
    expect(graded('bad')?.say).not.toMatch(/works as far as it was tested/i);
  });

  it('does not take a masked fault for a cleared one', () => {
    // Another fault explains everything: the odds of this one stay where they were.
    const masked = beliefWith({
      'flyback.hv-winding': { open: 0.02 },
      'flyback.primary': { 'shorted-turns': 0.05 },
    });
    const entry = verdictOf(input(masked, ['anode-hv-dark'])).core.find((one) => one.id === 'flyback');
    expect(entry?.probabilityBad).toBeLessThan(0.2);
    expect(entry?.proof).toBe(0);
    expect(entry?.grade).toBe('not proven');
  });

  it('keeps a picture tube with heater-cathode leakage serviceable and says what cures it', () => {
    const leaking = beliefWith(
      {
        'picture-tube.gun': { weak: 0.02 },
        'picture-tube.heater-cathode': { leakage: 0.97 },
      },
      { 'raster-light': 0.95, 'anode-hv': 0.99 },
    );
    const entry = verdictOf(input(leaking, ['picture-tube-emission', ...LIVE_PROOFS])).core.find(
      (one) => one.id === 'picture-tube',
    );
    expect(entry?.grade).toBe('serviceable');
    expect(entry?.say).toContain('isolated, low-capacitance heater supply');
  });

  it('leaves out core parts that the set does not have', () => {
    const belief = beliefWith({ 'b-plus.power-transformer': null });
    expect(verdictOf(input(belief, [])).core.map((entry) => entry.id)).toEqual([
      'picture-tube',
      'flyback',
      'yoke',
    ]);
  });

  it('names the readings behind a grade', () => {
    const verdict = verdictOf(
      input(beliefWith({ 'flyback.primary': { 'shorted-turns': 0.93 } }), ['flyback-ring'], {
        weightsOf: () => [{ check: 'flyback-ring', weight: 3 }],
      }),
    );
    const entry = verdict.core.find((one) => one.id === 'flyback');
    expect(entry?.say).toContain('ring test of the flyback');
    expect(entry?.because).toEqual([{ check: 'flyback-ring', weight: 3 }]);
  });
});

describe('nothing untested is called good', () => {
  it('whatever the priors are', () => {
    const p = fc.double({ min: 0, max: 0.9, noNaN: true });
    fc.assert(
      fc.property(fc.array(p, { minLength: BOOK.parts.length, maxLength: BOOK.parts.length }), (chances) => {
        const belief = beliefWith(
          Object.fromEntries(
            BOOK.parts.map((part, n) => [
              part.id,
              Object.fromEntries(part.faults.map((f) => [f.id, (chances[n] ?? 0) / part.faults.length])),
            ]),
          ),
        );
        const verdict = verdictOf(input(belief, [], { priors: belief }));
        for (const entry of [...verdict.core, ...verdict.sections]) expect(entry.grade).toBe('not proven');
        expect(verdict.overall).toBe('not-yet-known');
      }),
      { numRuns: 60 },
    );
  });

  it('grades a section by its own readings only', () => {
    const verdict = verdictOf(input(ALL_CLEAR, ['sound-look', 'flyback-ring']));
    expect(section(verdict, 'sound')?.grade).toBe('serviceable');
    expect(section(verdict, 'sound')?.say).toContain('sound by ear');
    // The ring test bears on the flyback alone; sound by ear hangs on the B+ supply.
    expect(section(verdict, 'horizontal-output')?.grade).toBe('not proven');
    expect(section(verdict, 'b-plus')?.grade).toBe('serviceable');
  });

  it('calls a section doubtful when its signal was read wrong and nothing that feeds it is', () => {
    const belief = beliefWith({}, { 'b-plus-main': 0.98, sound: 0.05 });
    const silent = seen('sound-look', { signal: 'sound' }, 'bad');
    const entry = section(
      verdictOf(input(belief, [], { context: context(['b-plus-working'], { readings: [silent] }) })),
      'sound',
    );
    expect(entry?.grade).toBe('doubtful');
    expect(entry?.say).toContain('nothing that feeds it was found wrong');
  });

  it('puts no section in doubt by what the owner said, without a bad reading', () => {
    const belief = beliefWith({}, { 'b-plus-main': 0.98, sound: 0.05 });
    const entry = section(verdictOf(input(belief, ['sound-look', 'b-plus-working'])), 'sound');
    expect(entry?.grade).toBe('not proven');
  });

  it('puts no section in doubt by age alone', () => {
    const belief = beliefWith({}, { 'b-plus-main': 0.98, sound: 0.05 });
    const entry = section(verdictOf(input(belief, ['sound-look'], { priors: belief })), 'sound');
    expect(entry?.grade).toBe('not proven');
  });

  it('lists what was not proven, with why a proof was left out', () => {
    const verdict = verdictOf(
      input(priorBelief(), [], {
        context: context([], {
          skipped: [{ seq: 1, check: 'flyback-ring', reason: 'no-instrument', note: '' }],
        }),
      }),
    );
    expect(verdict.notProven.find((line) => line.startsWith('Flyback'))).toContain(
      'ring test of the flyback (no instrument for it)',
    );
    expect(verdict.notProven.join(' ')).toContain('Not tested: B+ supply, horizontal output and sound');
  });

  it('says what cold tests cannot show', () => {
    const verdict = verdictOf(input(ALL_CLEAR, ['flyback-ring', 'yoke-ring', 'picture-tube-emission']));
    expect(verdict.notProven.join(' ')).toContain('a breakdown of its insulation under high voltage');
  });
});

describe('overall verdict', () => {
  it('is worth overhauling when every core part is good', () => {
    const verdict = verdictOf(input(ALL_CLEAR, LIVE_PROOFS));
    expect(verdict.overall).toBe('worth-overhauling');
    expect(verdict.watchable).toBeGreaterThan(0.9);
  });

  it('keeps a reservation, and says so, while nothing was read with power on', () => {
    const cold = ['flyback-ring', 'yoke-ring', 'picture-tube-emission', 'power-transformer-ohms'].filter(
      (id) => BOOK.checks.some((check) => check.id === id && check.state === 'S0'),
    );
    const verdict = verdictOf(input(ALL_CLEAR, cold));
    expect(verdict.overall).not.toBe('worth-overhauling');
    expect(verdict.recommendation).toContain('The set was not powered');
    expect(verdict.notProven[0]).toContain('Nothing was tested live');
  });

  it('names what is in doubt beside what is not proven, and asks the owner about a part that the walk stopped for', () => {
    const torn = beliefWith({ 'flyback.primary': { 'shorted-turns': 0.5 } });
    const stop = {
      reason: 'core-failed' as const,
      say: 'The flyback is lost.',
      lost: 'flyback',
      openSigns: [],
    };
    const verdict = verdictOf(
      input(torn, [], { context: context(['flyback-ring'], { plan: { ...NO_PLAN, stop } }) }),
    );
    expect(grade(verdict, 'flyback')).toBe('doubtful');
    expect(verdict.recommendation).toMatch(/flyback is in doubt, and .*picture tube.* not been proven/);
    expect(verdict.nextSteps.some((s) => s.kind === 'decide' && /flyback/i.test(s.action))).toBe(true);
  });

  it('is not known while the flyback is not proven', () => {
    expect(verdictOf(input(ALL_CLEAR, ['picture-tube-emission'])).overall).toBe('not-yet-known');
  });

  it('is not worth it with a failed flyback', () => {
    const verdict = verdictOf(
      input(beliefWith({ 'flyback.primary': { 'shorted-turns': 0.97 } }), ['flyback-ring']),
    );
    expect(verdict.overall).toBe('not-worth');
    expect(verdict.recommendation).toContain('the flyback has failed');
  });

  it('hangs a failed picture tube on finding another, where its type is still common', () => {
    const failed = { ...Object.fromEntries(ALL_CLEAR.parts), 'picture-tube.gun': { weak: 0.95 } };
    const belief = beliefWith(failed, { 'anode-hv': 0.99, 'b-plus-main': 0.99 });
    const readings = ['picture-tube-emission', 'anode-hv-dark', 'yoke-ring'];
    expect(verdictOf(input(belief, readings)).overall).toBe('worth-with-reservations');
    expect(verdictOf(input(belief, readings)).recommendation).toContain('21YP4A');
    const scarce = verdictOf(input(belief, readings, { set: { ...SET, pictureTube: '12LP4' } }));
    expect(scarce.overall).toBe('not-worth');
  });

  it('takes a failed power transformer for ordinary work', () => {
    const belief = beliefWith({
      ...Object.fromEntries(ALL_CLEAR.parts),
      'b-plus.power-transformer': { 'shorted-turns': 0.95 },
    });
    const verdict = verdictOf(
      input(belief, [...LIVE_PROOFS, 'flyback-ring', 'picture-tube-emission', 'yoke-ring']),
    );
    expect(grade(verdict, 'power-transformer')).toBe('failed');
    expect(['worth-with-reservations', 'not-yet-known']).toContain(verdict.overall);
  });

  it.each([
    ['watch', ALL_CLEAR, 'Worth overhauling:'],
    ['display', ALL_CLEAR, 'static display'],
    ['sell', ALL_CLEAR, 'offering it as it is'],
    ['watch', beliefWith({ 'flyback.primary': { 'shorted-turns': 0.97 } }), 'donor for another set'],
    ['display', beliefWith({ 'flyback.primary': { 'shorted-turns': 0.97 } }), 'leave it unplugged'],
    ['sell', beliefWith({ 'flyback.primary': { 'shorted-turns': 0.97 } }), 'Sell it as it is'],
  ] as const)('speaks to the wish to %s', (ownerWish, belief, wanted) => {
    const verdict = verdictOf(input(belief, LIVE_PROOFS, { context: context(LIVE_PROOFS, { ownerWish }) }));
    expect(verdict.recommendation).toContain(wanted);
  });

  it('says so when nothing could be tested live', () => {
    const cold = ['picture-tube-emission', 'flyback-ring', 'yoke-ring'];
    const verdict = verdictOf(
      input(ALL_CLEAR, cold, {
        context: context(cold, {
          coldOnly: true,
          instruments: ['dmm', 'ring-tester', 'picture-tube-tester'],
        }),
      }),
    );
    expect(verdict.coldOnly).toBe(true);
    expect(verdict.overall).not.toBe('worth-overhauling');
    expect(verdict.recommendation).toContain('No isolation transformer was at hand');
    expect(verdict.notProven[0]).toContain('Nothing was tested live');
  });

  it('gives the stop-loss: spent, next certainty, and whether it is likely to change anything', () => {
    const ranked = [
      {
        check: BOOK.checks[5] ?? expect.fail('no check'),
        score: 1,
        gainBits: 0.5,
        coreBits: 0.4,
        minutes: 12,
        leads: false,
        awaited: false,
        why: '',
      },
    ];
    const verdict = verdictOf(
      input(priorBelief(), ['flyback-ring'], {
        context: context(['flyback-ring'], { plan: { ...NO_PLAN, ranked } }),
      }),
    );
    expect(verdict.wouldChangeMost).toBe('anode voltage, dark (about 12 min)');
    expect(verdict.recommendation).toContain(
      'Spent so far: 1 reading, about 5 min. The test that would tell most: anode voltage, dark (about 12 min); its result could well change this verdict.',
    );
  });

  it('never calls a set safe', () => {
    for (const ownerWish of ['watch', 'display', 'sell', 'unknown'] as const) {
      for (const belief of [
        ALL_CLEAR,
        priorBelief(),
        beliefWith({ 'flyback.primary': { 'shorted-turns': 0.97 } }),
      ]) {
        const verdict = verdictOf(
          input(belief, LIVE_PROOFS, { context: context(LIVE_PROOFS, { ownerWish }) }),
        );
        expect(allText(verdict)).not.toMatch(/\bsafe\b/i);
      }
    }
  });
});

describe('whatever is believed', () => {
  const order: readonly Grade[] = ['not proven', 'serviceable', 'sound'];
  const chance = fc.double({ min: 0, max: 1, noNaN: true });
  const believed = fc
    .tuple(
      fc.array(chance, { minLength: BOOK.parts.length, maxLength: BOOK.parts.length }),
      fc.array(chance, { minLength: 5, maxLength: 5 }),
    )
    .map(([parts, signals]) =>
      beliefWith(
        Object.fromEntries(
          BOOK.parts.map((part, n) => [
            part.id,
            Object.fromEntries(part.faults.map((f) => [f.id, (parts[n] ?? 0) / part.faults.length])),
          ]),
        ),
        Object.fromEntries(BOOK.signals.map((signal, n) => [signal.id, signals[n] ?? 1])),
      ),
    );

  it('no grade passes its ladder, no figure leaves its range, and failed core parts are put to the owner', () => {
    fc.assert(
      fc.property(believed, fc.subarray(BOOK.checks.map((check) => check.id)), (belief, readings) => {
        const verdict = verdictOf(input(belief, readings));
        for (const entry of verdict.core) {
          const assembly = BOOK.assemblies.find((one) => one.id === entry.id);
          if (!assembly) throw new Error(entry.id);
          const best = ceilingOf(assembly, context(readings).readings, belief).grade;
          if (order.includes(entry.grade))
            expect(order.indexOf(entry.grade)).toBeLessThanOrEqual(order.indexOf(best));
          expect(entry.say).not.toMatch(/undefined|NaN|Infinity|\(\)/);
        }
        for (const figure of [verdict.watchable, verdict.coverage]) {
          expect(figure).toBeGreaterThanOrEqual(0);
          expect(figure).toBeLessThanOrEqual(1);
        }
        for (const span of [verdict.hours, verdict.cost]) expect(span[0]).toBeLessThanOrEqual(span[1]);
        const failed = verdict.core.filter((entry) => entry.grade === 'failed').length;
        expect(
          verdict.nextSteps.filter((step) => step.action.startsWith('Decide with the owner before')).length,
        ).toBe(failed);
        if (verdict.overall === 'worth-overhauling') expect(failed).toBe(0);
        expect(verdict.recommendation).not.toMatch(/undefined|NaN/);
      }),
      { numRuns: 300 },
    );
  });
});

describe('coverage and chances', () => {
  it('counts the checks that the bench could do', () => {
    const some = context(['flyback-ring', 'yoke-ring'], {
      coldOnly: true,
      instruments: ['dmm', 'ring-tester'],
    });
    // Cold with meter and ring tester: the two ring tests and the capacitor's leakage; restoring is never counted.
    expect(verdictOf(input(priorBelief(), [], { context: some })).coverage).toBeCloseTo(2 / 3, 12);
    expect(verdictOf(input(priorBelief(), [], { checks: [] })).coverage).toBe(0);
  });

  it('knows common screen sizes from scarce ones', () => {
    expect(pictureTubeObtainable('21YP4A')).toBeGreaterThan(pictureTubeObtainable('12LP4'));
    expect(pictureTubeObtainable('unknown')).toBeGreaterThan(0);
  });

  it('multiplies the chances of the core parts', () => {
    const entry = (id: string, probabilityBad: number) => ({
      id,
      title: id,
      grade: 'doubtful' as const,
      core: true,
      probabilityBad,
      proof: 0,
      because: [],
      say: '',
    });
    // 0.95 found x (1 - 0.5 x 0.6) for the flyback x (1 - 0.5 x 0.1) for the transformer.
    expect(watchableChance([entry('flyback', 0.5), entry('power-transformer', 0.5)], SET)).toBeCloseTo(
      0.95 * 0.7 * 0.95,
      12,
    );
  });

  it('asks for the readings behind a suspect that has none yet', () => {
    const bare = { ...suspect('flyback.primary', 'shorted-turns', 0.93, []), because: [] };
    const asked: string[] = [];
    verdictOf(
      input(beliefWith({ 'flyback.primary': { 'shorted-turns': 0.93 } }), ['flyback-ring'], {
        suspects: [bare],
        weightsOf: (part) => {
          asked.push(part);
          return [{ check: 'flyback-ring', weight: 3 }];
        },
      }),
    );
    expect(asked).toContain('flyback.primary');
  });
});
