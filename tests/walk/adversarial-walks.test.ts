// Whole walks that go badly: no instruments, everything skipped, complaints and looks that contradict each other. They end, and say what is not known.
import { describe, expect, it } from 'vitest';
import { drawSet, type SimulatedSet, setFactsOf } from '../../src/practice/index.ts';
import { emptyState, fold, type SessionEvent, SKIP_REASONS } from '../../src/session/index.ts';
import type { WalkView } from '../../src/walk/types.ts';
import {
  BARE,
  book,
  endedByItself,
  engine,
  heldTrue,
  live,
  type WatchedWalk,
  WELL_EQUIPPED,
  watchedWalk,
} from './simulated-walk.ts';

/** Under this no true fault may fall, whatever goes wrong on the way. */
const KEPT = 0.01;

const draw = (family: string, fault: string): Promise<SimulatedSet> =>
  drawSet({ seed: 2, family, level: 'single', fault });
const HEIGHT = await draw('transformer', 'vertical-oscillator.height-control/open');
const HIGH_VOLTAGE = await draw('series-doubler-fullwave', 'high-voltage.rectifier/open-filament');
const CORD = await draw('series-halfwave', 'line-input.line-cord/open');
const CHOKE = await draw('series-doubler-halfwave', 'b-plus.filter-choke/open');

/** One of several walks, told by its title. */
type Told = readonly [title: string, set: SimulatedSet, walk: WatchedWalk];
const told = (sets: readonly SimulatedSet[], instruments: readonly string[]): Told[] =>
  sets.map((set) => [set.faults.join(), set, watchedWalk(set, { instruments })]);

const checkOf = new Map(book.checks.map((c) => [c.id, c]));
const verdictOf = ({ view }: WatchedWalk) => {
  if (!view.verdict) throw new Error('no verdict');
  return view.verdict;
};
const GOOD: readonly string[] = ['sound', 'serviceable'];

/** Core parts and sections called good although no reading was taken of them or of anything on the ladder of their proofs. */
function goodUntested(walk: WatchedWalk): string[] {
  const asked = walk.asked.flatMap((a) => checkOf.get(a.check) ?? []);
  const { core, sections } = verdictOf(walk);
  const core_ = core
    .filter((g) => GOOD.includes(g.grade))
    .filter(({ id }) => {
      const ladder = book.assemblies.find((a) => a.id === id)?.ceilings ?? [];
      return !asked.some((c) => ladder.some((rung) => [...rung.checks, ...rung.anyOf].includes(c.id)));
    });
  const rest = sections
    .filter((g) => GOOD.includes(g.grade))
    .filter(({ id }) => {
      const own = new Set([
        ...book.parts.filter((p) => p.section === id).map((p) => p.id),
        ...book.signals.filter((s) => s.section === id).map((s) => s.id),
      ]);
      for (const name of own)
        for (const s of book.signals) if (s.inputs.some((i) => i.signal === name)) own.add(s.id);
      return !asked.some((c) => c.reads.some((r) => own.has(r.part ?? r.signal ?? '')));
    });
  return [...core_, ...rest].map((g) => g.id);
}

function expectHonest(set: SimulatedSet, walk: WatchedWalk): void {
  expect(walk.wrong).toEqual([]);
  expect(endedByItself(walk), walk.end).toBe(true);
  expect(goodUntested(walk)).toEqual([]);
  expect(heldTrue(set, walk), set.faults.join()).toBeGreaterThanOrEqual(KEPT);
}

describe('a meter, a discharge stick, isolation and a lamp', () => {
  it.each(told([HEIGHT, HIGH_VOLTAGE], BARE))('lead to %s by what is there', (_title, set, walk) => {
    expectHonest(set, walk);
    expect(walk.asked.some((a) => a.state === 'S2')).toBe(true);
    expect(heldTrue(set, walk)).toBeGreaterThan(0.5);
  });
});

describe('nothing but a multimeter', () => {
  const walks = told([HEIGHT, HIGH_VOLTAGE, CORD, CHOKE], ['dmm']);

  it.each(walks)('stays cold on %s, and says so', (_title, set, walk) => {
    expectHonest(set, walk);
    expect(walk.steps).not.toContain('power-up');
    expect(walk.asked.filter((a) => a.state === 'S1' || a.state === 'S2')).toEqual([]);
    const verdict = verdictOf(walk);
    expect(verdict.coldOnly).toBe(true);
    expect(verdict.overall).toBe('not-yet-known');
    expect(verdict.recommendation).toMatch(/isolation transformer.*never powered.*cold tests alone/);
    expect(verdict.notProven[0]).toMatch(/^Nothing was tested live: no isolation transformer/);
    expect(verdict.nextSteps.some((s) => /not on the bench: .*isolation transformer/.test(s.why))).toBe(true);
  });

  it('finds what can be found cold', () => {
    for (const [, set, walk] of walks.slice(2))
      expect(heldTrue(set, walk), set.faults.join()).toBeGreaterThan(0.5);
  });
});

describe('an isolation transformer, but no lamp to bring the set up on', () => {
  const walk = watchedWalk(CHOKE, {
    instruments: ['dmm', 'hv-discharge-stick', 'isolation-transformer', 'bench-fuse'],
  });

  it('is no way to power: the walk ends cold and names the lamp', () => {
    expectHonest(CHOKE, walk);
    expect(walk.steps).not.toContain('power-up');
    expect(verdictOf(walk).overall).toBe('not-yet-known');
    expect(verdictOf(walk).notProven[0]).toMatch(/^Nothing was tested live: no series-lamp limiter/);
    expect(verdictOf(walk).nextSteps.some((s) => /not on the bench: .*lamp limiter/.test(s.why))).toBe(true);
  });
});

describe('a moving-coil meter alone', () => {
  it('reads ohms as any meter does, and the walk ends cold', () => {
    const walk = watchedWalk(CORD, { instruments: ['analog-meter'] });
    expectHonest(CORD, walk);
    const metered = walk.asked.filter(({ check }) => checkOf.get(check)?.needs.includes('dmm'));
    expect(metered.length).toBeGreaterThan(3);
    expect(walk.steps).not.toContain('power-up');
  });
});

describe('a discharge stick and no meter', () => {
  const walks = told([CORD, CHOKE], ['hv-discharge-stick']);

  it.each(walks)('is asked for nothing that it cannot do on %s', (_title, set, walk) => {
    expectHonest(set, walk);
    expect(verdictOf(walk).overall).toBe('not-yet-known');
    const wants = verdictOf(walk).nextSteps.map((s) => s.why);
    expect(wants.some((why) => /not on the bench: .*digital multimeter/.test(why))).toBe(true);
  });
});

describe('every check skipped', () => {
  const walks = SKIP_REASONS.map(
    (skip) => [skip, watchedWalk(HIGH_VOLTAGE, { skip, answer: () => undefined })] as const,
  );

  it.each(walks)('for the reason "%s": nothing is known, and that is said', (skip, walk) => {
    expectHonest(HIGH_VOLTAGE, walk);
    expect(walk.asked).toEqual([]);
    const verdict = verdictOf(walk);
    expect(verdict.overall).toBe('not-yet-known');
    expect([...verdict.core, ...verdict.sections].filter((g) => g.grade !== 'not proven')).toEqual([]);
    expect(verdict.coverage).toBe(0);
    expect(verdict.recommendation).toMatch(
      /^Not yet known: .*Spend nothing on the chassis.*Nothing has been read yet/,
    );
    if (skip !== 'not-fitted') expect(verdict.recommendation).toMatch(/\d+ checks on the way were left out/);
    expect(verdict.nextSteps[0]?.kind).toBe('safety');
    for (const part of verdict.core)
      expect(
        verdict.nextSteps.some(
          (s) => s.kind === 'measure' && s.action.startsWith('Prove the') && s.part === part.title,
        ),
        part.title,
      ).toBe(true);
    expect(verdict.nextSteps.filter((s) => s.kind === 'repair' || s.kind === 'class-replacement')).toEqual(
      [],
    );
  });
});

describe('every second check skipped', () => {
  let asked = 0;
  const walk = watchedWalk(HIGH_VOLTAGE, {
    answer: (_check, shown) => {
      asked += 1;
      return asked % 2 === 0 ? shown : undefined;
    },
  });

  it('still ends, with what is left open among the next steps', () => {
    expectHonest(HIGH_VOLTAGE, walk);
    const verdict = verdictOf(walk);
    expect(verdict.recommendation).toMatch(/\d+ checks on the way were left out/);
    const open = verdict.core.filter((g) => g.grade === 'not proven').map((g) => g.title);
    const steps = verdict.nextSteps.filter((s) => s.action.startsWith('Prove the')).map((s) => s.part);
    expect(steps).toEqual(open);
    // Which half was answered decides whether every core part was proven; only then is it worth anything.
    if (open.length > 0) expect(verdict.overall).not.toBe('worth-overhauling');
  });
});

const view = (
  set: SimulatedSet,
  complaint: readonly string[],
  looks: readonly (readonly [string, string])[],
): WalkView => {
  const events: SessionEvent[] = [
    { type: 'set-described', set: { ...setFactsOf(set), complaint } },
    { type: 'bench-described', instruments: WELL_EQUIPPED },
    ...looks.map(
      ([check, option]): SessionEvent => ({
        type: 'reading',
        check,
        raw: option,
        value: { kind: 'choice', option },
        context: {
          lineVolts: 117,
          instrument: '',
          supply: 'isolated-full',
          config: { horizontal: 'enabled' },
        },
      }),
    ),
  ];
  const now = new Date('2001-01-01T12:00:00Z');
  const state = events.reduce(
    (so, event) => fold(so, { ...event, seq: so.lastSeq + 1, at: now.toISOString() }),
    emptyState(),
  );
  return engine.view(state, now, { trust: true });
};

/** What cannot be true at once of one set at one time. */
const CANNOT: readonly (readonly string[])[] = [
  ['no-raster', 'dim'],
  ['no-sound', 'distorted-sound'],
  ['dead', 'arcing'],
  ['single-line', 'too-tall'],
  ['narrow', 'too-wide'],
  ['dead', 'hum', 'red-plate', 'no-raster', 'too-bright'],
];

describe('complaints that contradict each other', () => {
  it.each(CANNOT.map((said) => [said.join(' and '), said] as const))(
    '%s are all listened to, and rule nothing out',
    (_title, said) => {
      for (const id of said) expect(book.symptoms.map((s) => s.id)).toContain(id);
      for (const set of [HEIGHT, HIGH_VOLTAGE, CORD, CHOKE]) {
        const before = view(set, set.complaint, []);
        const after = view(set, [...set.complaint, ...said], []);
        expect(after.trouble).toBeUndefined();
        expect(after.verdict?.core.map((g) => g.grade).every((g) => g === 'not proven')).toBe(true);
        expect(heldTrue(set, { view: after })).toBeGreaterThan(heldTrue(set, { view: before }) / 20);
      }
    },
  );

  it('all of them at once leave a belief', () => {
    const after = view(
      CHOKE,
      book.symptoms.map((s) => s.id),
      [],
    );
    expect(after.trouble).toBeUndefined();
    for (const [, states] of after.belief?.parts ?? [])
      expect(Object.values(states).every((p) => Number.isFinite(p) && p >= 0)).toBe(true);
  });

  it('do not keep a whole walk from the true fault', () => {
    const walk = watchedWalk(HIGH_VOLTAGE, {
      instruments: BARE,
      complaint: [
        'dim',
        'too-bright',
        'single-line',
        'too-tall',
        'dead',
        'arcing',
        'no-sound',
        'distorted-sound',
      ],
    });
    expectHonest(HIGH_VOLTAGE, walk);
    expect(heldTrue(HIGH_VOLTAGE, walk)).toBeGreaterThan(0.5);
  });
});

describe('a complaint that the technician sees nothing of', () => {
  it('ends the walk with what is left to watch, not with a culprit of its own', () => {
    const walk = watchedWalk(HEIGHT, { instruments: BARE, complaint: ['no-raster', 'no-sound'] });
    expectHonest(HEIGHT, walk);
    expect(heldTrue(HEIGHT, walk)).toBeGreaterThan(0.5);
  });
});

describe('two looks at one thing that contradict each other', () => {
  const looks = book.checks.filter(
    (c) => (c.method === 'eye' || c.method === 'ear') && live(c) && c.kind === 'choice',
  );
  const extremes = looks.map((c) => [c.id, c.options[0]?.id ?? '', c.options.at(-1)?.id ?? ''] as const);

  it('one says no light and the next a good picture: both kept, called out, nothing impossible', () => {
    const v = view(HIGH_VOLTAGE, HIGH_VOLTAGE.complaint, [
      ['raster-height', 'no-raster'],
      ['picture-look', 'good'],
    ]);
    expect(v.trouble).toBeUndefined();
    expect(v.judged).toHaveLength(2);
    expect(heldTrue(HIGH_VOLTAGE, { view: v })).toBeGreaterThanOrEqual(KEPT);
    expect(v.conflicts.length).toBeGreaterThan(0);
  });

  it('every look taken twice, once at each end of its scale, is no impossible evidence', () => {
    expect(looks.length).toBeGreaterThan(15);
    const v = view(
      HIGH_VOLTAGE,
      HIGH_VOLTAGE.complaint,
      extremes.flatMap(
        ([id, a, b]) =>
          [
            [id, a],
            [id, b],
          ] as const,
      ),
    );
    expect(v.trouble).toBeUndefined();
    expect(v.belief).toBeDefined();
    expect(v.verdict?.core.filter((g) => g.grade === 'sound')).toEqual([]);
  });

  it('a whole walk in which every look at the picture says "good" ends, and keeps the fault that readings show', () => {
    const walk = watchedWalk(HIGH_VOLTAGE, {
      instruments: BARE,
      answer: (check, shown) => (shown !== undefined && check.id === 'picture-look' ? 'good' : shown),
    });
    expectHonest(HIGH_VOLTAGE, walk);
  });
});
