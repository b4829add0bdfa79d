// The rule pack against safety: every check of it can be taken in some state, none in two contradicting ones, and its stops stop.
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { loadRules } from '../../src/rulebook/index.ts';
import type { Check } from '../../src/rulebook/types.ts';
import { checkSafety, permits, safetyFacts, safetyOf } from '../../src/safety/index.ts';
import { ALL_INSTRUMENTS, Bench, makeCheck, number, ORDINARY, option, withFacts } from './bench-log.ts';

const { book } = loadRules(join(import.meta.dirname, '../../rules'));
const checks = book?.checks ?? [];

const BENCHES = {
  cold: new Bench(withFacts({ focus: 'low-v' })).cold(),
  limited: new Bench(withFacts({ focus: 'low-v' })).limited(),
  disabled: new Bench(withFacts({ focus: 'low-v' })).full(),
  enabled: enabled(),
  'disabled, lead': new Bench(withFacts({ focus: 'low-v' })).cold().configure('signal-lead', 'fitted').full(),
  'enabled, lead': enabled(true),
} as const;

function enabled(lead = false): Bench {
  const bench = new Bench(withFacts({ focus: 'low-v' }))
    .full()
    .off()
    .cold()
    .configure('horizontal', 'enabled');
  if (lead) bench.configure('signal-lead', 'fitted');
  return bench.answerAll('isolated-full').up('isolated-full').answerAll('isolated-full');
}

function where(check: Check): readonly string[] {
  return Object.entries(BENCHES)
    .filter(([, bench]) => permits(check, bench.state, check.config, new Set(check.after)).allowed)
    .map(([name]) => name);
}

/** What hands do in a set; "a tap that is too low" is none of it. */
const HANDS =
  /\b(lift|pull(?!-in)|unplug|take (it|the \w+|that|\w+ \w+) (off|out)|re-seal|wipe|move it|refit)\b/i;
/** Told to clean; a meter that reads clean is not. */
const TO_CLEAN = /: Clean\b|[.;,] clean (it|the)\b/i;
const SAID_DEAD = /proven dead|plug pulled|power off|off at once|^Off|unplug, discharge/i;
/** Looks through glass or in passing, and knobs that are turned from outside. */
const OUTSIDE = new Set(['power-tube-getters', 'picture-tube-brightener', 'cords-count']);

describe('the rule pack', () => {
  it('sends no hand into a set that is not proven dead: what is said of a look or a live reading says so', () => {
    const words = checks
      .filter((check) => ['any', 'S1', 'S2'].includes(check.state) && !OUTSIDE.has(check.id))
      .flatMap((check) => {
        const said = [...Object.values(check.meaning), ...check.options.flatMap(({ say }) => say ?? [])];
        return said.map((text) => `${check.id}: ${text}`);
      });
    const careless = words.filter(
      (text) => (HANDS.test(text) || TO_CLEAN.test(text)) && !SAID_DEAD.test(text),
    );
    expect(careless).toEqual([]);
  });

  it('says of every cold check that speaks of working voltage that it puts charge into the set', () => {
    const speaking = checks.filter(
      (check) =>
        check.state === 'S0' &&
        /leakage tester|test .* at working voltage|bench supply, both clips/i.test(
          [check.where, check.meter, ...check.how].join(' '),
        ),
    );
    expect(speaking.length).toBeGreaterThan(3);
    expect(speaking.filter((check) => !check.injects).map(({ id }) => id)).toEqual([]);
  });

  it('loads', () => {
    expect(checks.length).toBeGreaterThan(70);
  });

  it('has no check that can never be taken, and none that may be taken cold and live', () => {
    const wrong = checks.flatMap((check) => {
      const states = where(check);
      const live = states.some((name) => name !== 'cold');
      const fits =
        check.state === 'S1' || check.state === 'S2'
          ? live && !states.includes('cold')
          : states.length > 0 && !live;
      return fits
        ? []
        : [`${check.id} (${check.state}, ${JSON.stringify(check.config)}): ${states.join() || 'nowhere'}`];
    });
    expect(wrong).toEqual([]);
  });

  it('cannot make an instrument harmless that puts charge into the set', () => {
    for (const [need, charges] of [
      ['insulation-tester', true],
      ['capacitor-leakage-tester', true],
      ['picture-tube-tester', true],
      ['bench-hv-supply', true],
      // Defined in the pack as one of under 50 V.
      ['ring-tester', false],
      ['dmm', false],
    ] as const) {
      const check = makeCheck({ id: 'cold', state: 'S0', needs: [need], injects: false });
      expect(checkSafety([check]).injects('cold'), need).toBe(charges);
    }
    expect(book?.instruments.find(({ id }) => id === 'ring-tester')?.describe).toMatch(/less than 50 V/);
  });

  it('has stops that stop', () => {
    const rules = checkSafety(checks);
    const stopping = checks.filter(
      (check) => check.stop.length > 0 && (check.state === 'S1' || check.state === 'S2'),
    );
    expect(stopping.length).toBeGreaterThan(3);
    for (const check of stopping) {
      for (const rule of check.stop) {
        const value =
          rule.option !== undefined
            ? option(rule.option)
            : number(
                rule.above !== undefined
                  ? rule.above + Math.abs(rule.above) * 0.1 + 1e-6
                  : (rule.below ?? 0) - Math.abs(rule.below ?? 0) * 0.1 - 1e-6,
              );
        const bench = new Bench().full();
        bench.reading(check, value);
        const state = safetyOf(bench.log, ORDINARY, ALL_INSTRUMENTS, new Date(bench.now), rules);
        expect(state.forcedStop?.why, `${check.id} ${JSON.stringify(rule)}`).toBe('dangerous-reading');
      }
    }
  });

  it('names every fact by which safety tells sets apart', () => {
    const values = (id: string) =>
      book?.facts.find((fact) => fact.id === id)?.values.map((value) => value.id) ?? [];
    expect(values('hv')).toEqual(expect.arrayContaining(['flyback', 'rf', 'line']));
    expect(values('crt-construction')).toEqual(
      expect.arrayContaining(['glass-coated', 'glass-uncoated', 'metal-cone']),
    );
    expect(values('set-kind')).toEqual(expect.arrayContaining(['projection', 'electrostatic']));
    expect(values('focus')).toEqual(expect.arrayContaining(['low-v', 'high-v', 'auto']));
    for (const family of book?.families ?? []) {
      expect(['series', 'parallel'], family.id).toContain(family.facts.heaters);
      expect(family.facts.topology, family.id).toBeTruthy();
      const facts = safetyFacts(undefined, family);
      expect(facts.ratedVolts).toBeGreaterThan(90);
      expect(facts.ratedWatts).toBeGreaterThan(50);
    }
    expect(book?.families.filter((family) => family.facts.topology === 'half-wave').length).toBeGreaterThan(
      0,
    );
  });
});
