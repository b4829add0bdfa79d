// Whole cases on the real rules, and what the verdict may and may not say of them. The sets are invented; what a reading means is common practice, no source.
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { loadRules } from '../../src/rulebook/index.ts';
import { type Case, readCase } from '../../src/walk/case-file.ts';
import { createEngine } from '../../src/walk/engine.ts';
import { answersOf, evaluateAll, evaluateWalk, type WalkResult } from '../../src/walk/evaluate.ts';

const { book } = loadRules(join(import.meta.dirname, '../../rules'));
if (!book) throw new Error('the rule pack does not load');
const engine = createEngine(book);

function caseOf(set: string, answers: string): Case {
  const text = `case: invented\nset: {${set}}\nanswers: {${answers}}\n`;
  const { data, problems } = readCase('invented.yaml', text, book as NonNullable<typeof book>);
  if (!data) throw new Error(problems.map((p) => p.message).join('\n'));
  return data;
}

function withVerdict({ view, refused }: WalkResult) {
  expect(refused).toEqual([]);
  if (!view.verdict) throw new Error('no verdict');
  return { ...view, verdict: view.verdict };
}

/** Every answer of a case taken, and the view then. */
const view = (set: string, answers: string) =>
  withVerdict(evaluateAll(engine, caseOf(set, answers), { explained: true }));

/** The case walked on a bench that has nothing else to read, and the view at the end of the walk. */
const walked = (set: string, answers: string) => {
  const one = caseOf(set, answers);
  return withVerdict(evaluateWalk(engine, one, answersOf(one)));
};

const core = (at: ReturnType<typeof view>, id: string) => at.verdict.core.find((c) => c.id === id);
const actions = (at: ReturnType<typeof view>) => at.verdict.nextSteps.map((s) => `${s.kind}: ${s.action}`);

describe('one reading, one fault', () => {
  it('does not call a shorted boost capacitor misread because nothing beside it reads so low', () => {
    const at = view(
      'family: transformer, restored: none, complaint: no-raster',
      'boost-capacitor-ohms: "20 ohm", boost-capacitor-leak: "20 ohm", flyback-ring: "17"',
    );
    expect(at.suspects[0]?.id).toBe('damper-boost.boost-capacitor/short');
    expect(at.conflicts).toEqual([]);
    expect(actions(at)[1]).toMatch(/^safety: .*horizontal stage stays disabled/);
  });

  it('lets the open heater of the picture tube account for the open string', () => {
    const at = view(
      'family: series-doubler-halfwave, complaint: dead, restored: recapped',
      'picture-tube-heater-ohms: ol, heater-string-ohms: ol, plug-ohms: ol',
    );
    expect(at.suspects[0]?.part).toMatch(/^picture-tube\.heater/);
    expect(at.conflicts.map((c) => c.check)).toEqual([]);
  });

  it('finds a dried reservoir behind halved B+, and doubts no meter for it', () => {
    const at = view(
      'family: series-halfwave, restored: none',
      'bring-up-b-plus: "82", b-plus-horizontal-off: "81", reservoir-capacitance: "12.6uF 150uF", reservoir-esr: "8.3"',
    );
    expect(at.suspects[0]?.id).toBe('b-plus.reservoir/low');
    expect(at.suspects[0]?.partProbability).toBeGreaterThan(0.9);
    expect(at.conflicts.filter((c) => c.prove !== undefined)).toEqual([]);
  });
});

describe('what a verdict may not say', () => {
  it('that a supply works which read low twice, however many stages read as on a right one', () => {
    const stages =
      'horizontal-output-grid-drive: "-40", vertical-output-plate: "290", video-output-plate: "160", gun-g2-volts: "400"';
    const bPlus = (volts: number) =>
      view(
        'family: transformer, restored: recapped',
        `b-plus-horizontal-off: "${volts}", b-plus-working: "${Math.round(0.88 * volts)}", ${stages}`,
      ).verdict.sections.find(({ id }) => id === 'b-plus');
    expect(['doubtful', 'failed']).toContain(bPlus(245)?.grade);
    expect(bPlus(245)?.say).toMatch(/Filtered B\+|filtered B\+|B\+ working/);
    expect(['doubtful', 'failed']).not.toContain(bPlus(325)?.grade);
  });

  it('gives no flyback up for one cold count whose own check did not measure', () => {
    const at = view(
      'family: transformer, restored: recapped',
      'flyback-ring: "3", flyback-ring-selfcheck: no-effect, yoke-ring: "14 14", cord-look: sound',
    );
    expect(core(at, 'flyback')?.grade).not.toBe('failed');
    expect(at.verdict.overall).not.toBe('not-worth');
  });

  it('sends nobody to stand by a set that was never powered, or whose tube glows red', () => {
    const at = walked(
      'family: transformer, restored: recapped, complaint: red-plate',
      'flyback-ring-selfcheck: kills, flyback-ring: "17", yoke-ring: "14 14", picture-tube-emission: good',
    );
    expect(at.plan.stop).toBeDefined();
    expect(at.plan.stop?.say).not.toMatch(/while it runs|run again/);
    expect(at.verdict.recommendation).toContain('The set was not powered');
    // It was switched on all the same, and nothing was typed.
    expect(at.verdict.recommendation).toContain('not powered for any reading');
  });

  it('invents no sign that nobody saw', () => {
    const at = walked(
      'family: transformer, restored: none',
      'picture-tube-heater-ohms: "2.1", b-plus-short: "22k", flyback-primary-ohms: "22"',
    );
    expect(at.plan.stop?.openSigns).toEqual([]);
  });
});

describe('what is said first', () => {
  it('a perished cord is replaced, not confirmed by power', () => {
    const at = view(
      'family: transformer, restored: recapped',
      'cord-look: perished, flyback-ring: "18", flyback-ring-selfcheck: kills',
    );
    expect(actions(at)[1]).toBe('safety: No power on this cord: replace it first');
    expect(actions(at).filter((a) => /confirm/i.test(a))).toEqual([]);
    expect(actions(at).some((a) => /^repair: Replace the cord/.test(a))).toBe(true);
  });

  it('a cracked neck: not run, and no hands on it', () => {
    const at = view(
      'family: transformer, restored: none',
      'picture-tube-neck: cracked, picture-tube-getter: silver, cord-look: sound',
    );
    expect(actions(at)[1]).toMatch(/^safety: .*cracked neck/);
    expect(actions(at).filter((a) => /anode voltage|one hour of running|boost and B\+/.test(a))).toEqual([]);
  });

  it('an anode voltage over the limit: not run again before its cause is found', () => {
    const at = view(
      'family: transformer, restored: recapped, picture_tube: 21AMP4A',
      'cord-look: sound, b-plus-short: "60k", b-plus-horizontal-off: "360", horizontal-output-grid-drive: "-42", b-plus-working: "340", raster-brightness: full, raster-width: full, anode-hv-dark: "24", flyback-ring-selfcheck: kills, flyback-ring: "18"',
    );
    expect(actions(at)[1]).toMatch(/^safety: Do not run it again before the cause is found: anode voltage/);
  });

  it('what is proven cold comes before the capacitors are bought', () => {
    const list = actions(
      view('family: transformer, restored: none', 'transformer-primary-ohms: "3", b-plus-short: "60k"'),
    );
    const proof = list.findIndex((a) => /^measure: Prove the flyback/.test(a));
    const renewal = list.findIndex((a) => /^class-replacement: .*electrolytic/.test(a));
    expect(proof).toBeGreaterThan(0);
    expect(renewal).toBeGreaterThan(proof);
  });
});
