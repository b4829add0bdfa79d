// The order of next steps: dead first, confirm, decide, drive and coupling before what they can kill, then the class, then the finish.
import { describe, expect, it } from 'vitest';
import type { NextStep, Suspect } from '../../src/diagnosis/types.ts';
import { verdictOf } from '../../src/diagnosis/verdict.ts';
import { ALL_CLEAR, BOOK, beliefWith, context, input, priorBelief, SET, suspect } from '../report/fixture.ts';

const COUPLING = 'horizontal-output.grid-coupling-capacitor';
const two = ['grid-coupling-leakage', 'horizontal-output-grid-drive'];

function steps(
  suspects: readonly Suspect[],
  readings: readonly string[] = [],
  more = {},
): readonly NextStep[] {
  return verdictOf(input(priorBelief(), readings, { suspects, context: context(readings, more) })).nextSteps;
}

const at = (list: readonly NextStep[], wanted: RegExp) =>
  list.findIndex((step) => wanted.test(`${step.action} ${step.part}`));

describe('order of the steps', () => {
  it('begins with proof of discharge and ends with the finished-set test', () => {
    const list = steps([suspect(COUPLING, 'leaky', 0.9, two)]);
    expect(list[0]?.kind).toBe('safety');
    expect(list[0]?.caution).toContain('own terminals');
    expect(list.at(-1)?.kind).toBe('finish');
    expect(list.at(-1)?.caution).toContain('Follow local electrical codes');
  });

  it('repairs supply, drive and coupling before what hangs on them, whatever is likelier', () => {
    const list = steps([
      suspect('sound.coupling-capacitor', 'leaky', 0.99, ['sound-look', 'b-plus-working']),
      suspect('horizontal-output.tube', 'weak', 0.7, two),
      suspect(COUPLING, 'leaky', 0.9, two),
      suspect('b-plus.filter-capacitor', 'low', 0.65, two),
    ]).filter((step) => step.kind === 'repair');
    expect(list.map((step) => step.part)).toEqual([
      'Input filter capacitor',
      'Grid coupling capacitor',
      'Horizontal output tube',
      'Audio coupling capacitor',
    ]);
  });

  it('confirms a suspect that rests on one reading, with a check not yet taken that reads the part', () => {
    const list = steps(
      [suspect(COUPLING, 'leaky', 0.9, ['horizontal-output-grid-drive'])],
      ['horizontal-output-grid-drive'],
    );
    const confirm = list.find((step) => step.kind === 'measure');
    expect(confirm?.action).toBe('Confirm before replacing: leakage of the grid coupling capacitor');
    expect(confirm?.why).toContain('rests on one reading (drive at the horizontal output grid)');
    expect(at(list, /Confirm/)).toBeLessThan(at(list, /Replace the grid/));
  });

  it('takes the reading again where there is no other check', () => {
    const readings = BOOK.checks.map((check) => check.id);
    const list = steps([suspect(COUPLING, 'leaky', 0.9, ['grid-coupling-leakage'])], readings);
    expect(list.find((step) => step.kind === 'measure')?.action).toContain(
      'take leakage of the grid coupling capacitor again',
    );
  });

  it('looks again at what was a look, with no instrument', () => {
    const readings = BOOK.checks.map((check) => check.id);
    const looked = {
      ...BOOK,
      checks: BOOK.checks.map((check) =>
        check.id === 'grid-coupling-leakage' ? { ...check, kind: 'choice' as const, needs: [] } : check,
      ),
    };
    const list = verdictOf({
      ...input(priorBelief(), readings, {
        suspects: [suspect(COUPLING, 'leaky', 0.9, ['grid-coupling-leakage'])],
        context: context(readings),
      }),
      rulebook: looked,
    }).nextSteps;
    const actions = list.map((step) => step.action).join('\n');
    expect(actions).toContain('Confirm before replacing: look again: leakage of the grid coupling capacitor');
    expect(actions).not.toContain('another instrument');
  });

  it('does not send somebody to confirm what two readings agree on', () => {
    const list = steps([suspect(COUPLING, 'leaky', 0.9, two)], two);
    expect(list.some((step) => step.action.startsWith('Confirm'))).toBe(false);
  });

  it('only offers repair of an unsure suspect once confirmed', () => {
    const list = steps([suspect(COUPLING, 'leaky', 0.4, two)]);
    expect(list.find((step) => step.kind === 'repair')?.action).toBe(
      'If confirmed: replace the grid coupling capacitor',
    );
  });

  it('never offers a check that can finish the part as a confirmation', () => {
    const list = steps(
      [suspect('picture-tube.gun', 'weak', 0.7, ['picture-tube-emission'])],
      ['picture-tube-emission'],
    );
    expect(JSON.stringify(list)).not.toContain('Restoring');
  });

  it('puts a failed core part to the owner before any repair', () => {
    const belief = beliefWith({ 'flyback.primary': { 'shorted-turns': 0.95 } });
    const suspects = [
      suspect('flyback.primary', 'shorted-turns', 0.95, two),
      suspect(COUPLING, 'leaky', 0.9, two),
    ];
    const list = verdictOf(input(belief, two, { suspects })).nextSteps;
    expect(list.find((step) => step.kind === 'decide')?.why).toContain('donor chassis');
    expect(at(list, /Decide with the owner/)).toBeLessThan(at(list, /Replace the grid/));
    expect(list.some((step) => step.kind === 'repair' && step.part.includes('Flyback'))).toBe(false);
  });

  it('leaves a part that age alone makes likely to its class', () => {
    const list = steps([{ ...suspect('sound.volume-control', 'dirty', 0.5, []), prior: 0.5 }]);
    expect(list.some((step) => step.kind === 'repair')).toBe(false);
    expect(at(list, /Clean every control/)).toBeGreaterThan(0);
  });

  it('looks for what the rules do not know instead of replacing it', () => {
    const list = steps([
      { ...suspect('unmodelled', 'sound', 0.5, []), title: 'A cause that is not in the rules, at: Sound' },
    ]);
    expect(list.find((step) => step.part.includes('not in the rules'))?.kind).toBe('measure');
    expect(list.some((step) => step.kind === 'repair')).toBe(false);
  });

  it('warns of the fault behind the fault after each repair', () => {
    const list = steps([suspect(COUPLING, 'leaky', 0.9, two)]);
    const after = list[at(list, /After each repair/)];
    expect(after?.why).toContain('A second fault behind this one cannot be seen until it is repaired');
    expect(at(list, /After each repair/)).toBeGreaterThan(at(list, /Replace the grid/));
    expect(steps([]).some((step) => step.action.includes('After each repair'))).toBe(false);
  });
});

describe('renewing as a class', () => {
  it('takes the capacitors that can kill the flyback first', () => {
    const list = steps([]).filter((step) => step.kind === 'class-replacement');
    expect(list[0]?.action).toContain('Before the horizontal output stage is enabled');
    expect(list[0]?.why).toContain('grid coupling capacitor');
    expect(list.map((step) => step.action).slice(1)).toEqual([
      'Replace, tested or not, every electrolytic capacitor',
      'Replace, tested or not, every paper capacitor',
      'Clean every control or switch',
    ]);
  });

  it('leaves out what has a repair step of its own or was replaced already', () => {
    const list = steps([suspect(COUPLING, 'leaky', 0.9, two)], [], {
      repairedParts: ['b-plus.filter-capacitor'],
    });
    const renewed = list
      .filter((step) => step.kind === 'class-replacement')
      .map((step) => step.why)
      .join(' ');
    expect(renewed).not.toContain('grid coupling');
    expect(renewed).not.toContain('input filter');
    expect(renewed).toContain('audio coupling');
  });

  it('asks nothing of a recapped set, and only original parts of an unknown one', () => {
    expect(steps([], [], { restored: 'recapped' }).some((step) => step.kind === 'class-replacement')).toBe(
      false,
    );
    expect(
      steps([], [], { restored: 'unknown' }).some((step) =>
        step.action.endsWith('where it is still original'),
      ),
    ).toBe(true);
  });
});

describe('proofs that are missing', () => {
  it('names the next rung and the instrument that it needs', () => {
    const list = steps([], [], { instruments: ['dmm'] });
    const proof = list[at(list, /Prove the flyback/)];
    expect(proof?.action).toContain('ring test of the flyback or anode voltage, dark');
    expect(proof?.why).toContain('Needs what was not on the bench: ring tester');
  });

  it('asks nothing more of a part that has been proven', () => {
    const done = BOOK.checks.map((check) => check.id);
    const list = verdictOf(input(ALL_CLEAR, done)).nextSteps;
    expect(list.some((step) => step.action.startsWith('Prove'))).toBe(false);
  });
});

describe('hours and cost', () => {
  it('are the sum of the steps, an unlikely job counting with its chance at the upper end only', () => {
    const sure = verdictOf(
      input(priorBelief(), two, { suspects: [suspect(COUPLING, 'leaky', 0.9, two)], context: context(two) }),
    );
    const sum = (n: 0 | 1) => sure.nextSteps.reduce((all, step) => all + step.hours[n], 0);
    expect(sure.hours[0]).toBeCloseTo(sum(0), 9);
    expect(sure.hours[1]).toBeCloseTo(sum(1), 9);

    const unsure = verdictOf(
      input(priorBelief(), two, { suspects: [suspect(COUPLING, 'leaky', 0.3, two)], context: context(two) }),
    );
    const repair = unsure.nextSteps.find((step) => step.kind === 'repair');
    const all = unsure.nextSteps.reduce((total, step) => total + step.hours[1], 0);
    expect(repair?.hours).toEqual([0.5, 1]);
    expect(unsure.hours[1]).toBeCloseTo(all - 0.7, 9);
  });

  it('never run backwards', () => {
    const verdict = verdictOf(
      input(priorBelief(), two, { suspects: [suspect(COUPLING, 'leaky', 0.5, two)] }),
    );
    for (const span of [
      verdict.hours,
      verdict.cost,
      ...verdict.nextSteps.flatMap((step) => [step.hours, step.cost]),
    ])
      expect(span[0]).toBeLessThanOrEqual(span[1]);
  });
});

describe('what the owner has to settle', () => {
  it('asks what will be watched where no broadcast fits', () => {
    const verdict = verdictOf(input(priorBelief(), [], { set: { ...SET, standard: '405' } }));
    expect(verdict.nextSteps.some((step) => step.action.includes('standards converter'))).toBe(true);
  });

  it('says that a hot chassis needs its knobs', () => {
    const last = verdictOf(input(priorBelief(), [])).nextSteps.at(-1);
    expect(last?.action).toContain('knobs');
    expect(last?.caution).toContain('connected to the line');
  });
});
