// A hand-made rulebook of a few parts, beliefs to order, and a walk's view made of them. All of it invented for tests.
import type { Belief, JudgedReading, Plan, Suspect, VerdictContext } from '../../src/diagnosis/types.ts';
import { type VerdictInput, verdictOf } from '../../src/diagnosis/verdict.ts';
import type { ReportInput, ReportView } from '../../src/report/index.ts';
import type {
  Check,
  Fault,
  Part,
  PartKind,
  Read,
  Rulebook,
  SetFacts,
  Signal,
} from '../../src/rulebook/types.ts';
import { emptyState } from '../../src/session/index.ts';
import type { LoggedReading, ReadingValue, SessionState } from '../../src/session/types.ts';

const column = (p: number) => ({ none: p, recapped: p / 10, unknown: p / 2 });

function fault(id: string, p: number, effects: Fault['effects'] = {}): Fault {
  return { id, title: id.replaceAll('-', ' '), prior: column(p), factors: {}, effects, source: 'invented' };
}

function part(
  id: string,
  title: string,
  kind: string,
  faults: readonly Fault[],
  more: Partial<Part> = {},
): Part {
  const [section = ''] = id.split('.');
  return {
    id,
    section,
    title,
    kind,
    faults,
    remedy: {
      action: `Replace the ${title.toLowerCase()}`,
      parts: '',
      caution: '',
      hours: [0.5, 1],
      cost: [2, 10],
    },
    ...more,
  };
}

function signal(
  id: string,
  section: string,
  title: string,
  inputs: readonly string[],
  outcome = false,
): Signal {
  return {
    id,
    section,
    title,
    describe: title,
    outcome,
    shownBy: [],
    leak: { low: 0.002 },
    inputs: inputs.map((name) => ({ signal: name, rows: { absent: { absent: 0.98 }, low: { low: 0.8 } } })),
  };
}

type ReadOf = { readonly signal: string } | { readonly part: string };

function readOf(one: ReadOf): Read {
  const bands: Read['bands'] =
    'signal' in one
      ? { normal: [[0.8, 1.2]], low: [[0.2, 0.8]] }
      : { ok: [[0.8, 1.2]], leaky: [[0.05, 0.6]], weak: [[0.05, 0.6]] };
  return { ...one, scale: 'ratio', bands, table: {}, spread: 0.1 };
}

function check(id: string, title: string, of: readonly ReadOf[], more: Partial<Check> = {}): Check {
  return {
    id,
    section: 'flyback',
    title,
    phase: 'cold',
    state: 'S0',
    kind: 'number',
    quantity: 'dc-volts',
    unit: 'V',
    needs: ['dmm'],
    where: 'there',
    meter: 'volts',
    how: [],
    why: 'it tells',
    cautions: ['one-hand'],
    minutes: 5,
    access: 'back-off',
    injects: false,
    refits: false,
    reference: false,
    risky: false,
    config: {},
    shownBy: [],
    before: [],
    after: [],
    options: [],
    reads: of.map(readOf),
    meaning: {},
    stop: [],
    method: 'meter',
    sourceOhms: 0,
    source: 'invented',
    ...more,
  };
}

const kinds: readonly PartKind[] = [
  {
    id: 'unique',
    title: 'part of its own kind',
    aged: column(0),
    modes: {},
    replacement: 'see the remedy',
    source: 'invented',
  },
  {
    id: 'tube',
    title: 'receiving tube',
    aged: column(0.2),
    modes: {},
    replacement: 'same type',
    source: 'invented',
  },
  {
    id: 'electrolytic',
    title: 'electrolytic capacitor',
    aged: column(0.7),
    modes: {},
    replacement: 'electrolytic, 105 C',
    source: 'invented',
  },
  {
    id: 'paper-capacitor',
    title: 'paper capacitor',
    aged: column(0.9),
    modes: {},
    replacement: 'film capacitor',
    source: 'invented',
  },
  {
    id: 'paper-capacitor-grid',
    title: 'grid-coupling paper capacitor',
    aged: column(0.9),
    modes: {},
    replacement: 'film capacitor, 630 V',
    source: 'invented',
  },
  {
    id: 'control',
    title: 'control or switch',
    aged: column(0.6),
    modes: {},
    replacement: 'clean first',
    source: 'invented',
  },
];

/** A rulebook with four core parts and a chassis of six more; ladders after the usual evidence ladder of the trade. */
export const BOOK: Rulebook = {
  name: 'hand-made',
  version: '1.0.0',
  hash: 'abc123',
  phases: [{ id: 'cold', title: 'Cold' }],
  sections: [
    { id: 'b-plus', title: 'B+ supply', describe: '' },
    { id: 'horizontal-output', title: 'Horizontal output', describe: '' },
    { id: 'flyback', title: 'Flyback', describe: '' },
    { id: 'yoke', title: 'Deflection yoke', describe: '' },
    { id: 'picture-tube', title: 'Picture tube', describe: '' },
    { id: 'sound', title: 'Sound', describe: '' },
  ],
  families: [
    {
      id: 'series-halfwave',
      title: 'Series heaters, half-wave',
      describe: '',
      aliases: [],
      facts: { chassis: 'hot' },
      ratedVolts: 117,
      ratedWatts: 140,
      values: {},
      safety: [],
      source: 'invented',
    },
  ],
  kinds,
  facts: [],
  instruments: [
    { id: 'dmm', title: 'Digital multimeter', describe: '' },
    { id: 'ring-tester', title: 'Ring tester', describe: '' },
    { id: 'hv-probe', title: 'High-voltage probe', describe: '' },
    { id: 'isolation-transformer', title: 'Isolation transformer', describe: '' },
    { id: 'picture-tube-tester', title: 'Picture-tube tester', describe: '' },
  ],
  symptoms: [{ id: 'no-raster', title: 'No raster', reads: {} }],
  assemblies: [
    {
      id: 'picture-tube',
      title: 'Picture tube',
      core: true,
      blamedAfter: [],
      ceilings: [
        { grade: 'serviceable', checks: [], anyOf: ['picture-tube-emission', 'raster-brightness'] },
        { grade: 'sound', checks: ['anode-hv-dark', 'raster-brightness'], anyOf: [] },
      ],
      decision: 'Find another of the same type first.',
    },
    {
      id: 'flyback',
      title: 'Flyback',
      core: true,
      blamedAfter: [],
      ceilings: [
        { grade: 'serviceable', checks: [], anyOf: ['flyback-ring', 'anode-hv-dark'] },
        {
          grade: 'sound',
          checks: ['anode-hv-dark', 'horizontal-output-cathode-current', 'soak-60'],
          anyOf: [],
        },
      ],
      decision: 'A donor chassis with the same flyback number, or a rewind.',
    },
    {
      id: 'yoke',
      title: 'Deflection yoke',
      core: true,
      blamedAfter: [],
      ceilings: [
        { grade: 'serviceable', checks: [], anyOf: ['yoke-ring', 'raster-geometry'] },
        { grade: 'sound', checks: ['raster-geometry', 'soak-60'], anyOf: [] },
      ],
      decision: 'A donor of equal angle.',
    },
    {
      id: 'power-transformer',
      title: 'Power transformer',
      core: true,
      blamedAfter: [],
      ceilings: [{ grade: 'serviceable', checks: [], anyOf: ['b-plus-working'] }],
      decision: 'Rewinders exist.',
    },
  ],
  signals: [
    signal('b-plus-main', 'b-plus', 'B+ main', []),
    signal('output-bias', 'horizontal-output', 'Bias of the horizontal output tube', ['b-plus-main']),
    signal('anode-hv', 'flyback', 'Anode voltage', ['output-bias']),
    signal('raster-light', 'picture-tube', 'Light on the screen', ['anode-hv'], true),
    signal('sound', 'sound', 'Sound', ['b-plus-main'], true),
  ],
  parts: [
    part('b-plus.filter-capacitor', 'Input filter capacitor', 'electrolytic', [
      fault('low', 0.25, { 'b-plus-main': { low: 0.8 } }),
    ]),
    part(
      'b-plus.power-transformer',
      'Power transformer',
      'unique',
      [fault('shorted-turns', 0.04, { 'b-plus-main': { low: 0.8 } })],
      { assembly: 'power-transformer' },
    ),
    part('horizontal-output.grid-coupling-capacitor', 'Grid coupling capacitor', 'paper-capacitor-grid', [
      fault('leaky', 0.38, { 'output-bias': { low: 0.85 } }),
      fault('open', 0.03, { 'output-bias': { absent: 0.95 } }),
    ]),
    part('horizontal-output.tube', 'Horizontal output tube', 'tube', [
      fault('weak', 0.18, { 'anode-hv': { low: 0.5 } }),
    ]),
    part(
      'flyback.primary',
      'Flyback primary',
      'unique',
      [fault('shorted-turns', 0.05, { 'anode-hv': { absent: 0.9 } })],
      { assembly: 'flyback' },
    ),
    part(
      'flyback.hv-winding',
      'Flyback HV winding',
      'unique',
      [fault('open', 0.02, { 'anode-hv': { absent: 0.9 } })],
      { assembly: 'flyback' },
    ),
    part(
      'yoke.horizontal',
      'Yoke horizontal winding',
      'unique',
      [fault('shorted-turns', 0.03, { 'anode-hv': { low: 0.8 } })],
      { assembly: 'yoke' },
    ),
    part(
      'picture-tube.gun',
      'Picture-tube gun',
      'unique',
      [fault('weak', 0.25, { 'raster-light': { low: 0.8 } })],
      { assembly: 'picture-tube' },
    ),
    part(
      'picture-tube.heater-cathode',
      'Picture-tube heater-cathode insulation',
      'unique',
      [fault('leakage', 0.04, { 'raster-light': { high: 0.7 } })],
      { assembly: 'picture-tube' },
    ),
    part('sound.coupling-capacitor', 'Audio coupling capacitor', 'paper-capacitor', [
      fault('leaky', 0.3, { sound: { low: 0.6 } }),
    ]),
    part('sound.volume-control', 'Volume control', 'control', [fault('dirty', 0.2, { sound: { low: 0.3 } })]),
  ],
  checks: [
    check('b-plus-working', 'B+ at the output filter', [{ signal: 'b-plus-main' }], { state: 'S2' }),
    check(
      'horizontal-output-grid-drive',
      'Drive at the horizontal output grid',
      [{ signal: 'output-bias' }],
      { state: 'S2' },
    ),
    check(
      'grid-coupling-leakage',
      'Leakage of the grid coupling capacitor',
      [{ part: 'horizontal-output.grid-coupling-capacitor' }],
      { minutes: 8 },
    ),
    check(
      'horizontal-output-cathode-current',
      'Cathode current of the horizontal output tube',
      [{ part: 'horizontal-output.tube' }],
      { state: 'S2' },
    ),
    check('flyback-ring', 'Ring test of the flyback', [{ part: 'flyback.primary' }], {
      needs: ['ring-tester'],
    }),
    check('anode-hv-dark', 'Anode voltage, dark', [{ signal: 'anode-hv' }], {
      state: 'S2',
      needs: ['hv-probe'],
    }),
    check('yoke-ring', 'Ring test of the yoke', [{ part: 'yoke.horizontal' }], { needs: ['ring-tester'] }),
    check('raster-geometry', 'Shape of the raster', [{ part: 'yoke.horizontal' }], {
      state: 'S2',
      needs: [],
    }),
    check('picture-tube-emission', 'Emission on the tester', [{ part: 'picture-tube.gun' }], {
      needs: ['picture-tube-tester'],
      method: 'tester',
    }),
    check('raster-brightness', 'Brightness of the raster', [{ signal: 'raster-light' }], {
      state: 'S2',
      needs: [],
    }),
    check('soak-60', 'An hour of running, watched', [], { state: 'S2', minutes: 60, needs: [] }),
    check('sound-look', 'Sound by ear', [{ signal: 'sound' }], { state: 'S2', needs: [] }),
    check('restorer', 'Restoring the picture tube', [{ part: 'picture-tube.gun' }], { risky: true }),
  ],
  cautions: {
    'one-hand': 'One hand, no jewellery, someone within call.',
    anode: 'Never open the anode circuit live.',
    'each-capacitor': 'Measure across each capacitor’s own terminals.',
    'no-drive': 'Without drive the output tube dies in seconds.',
    'asbestos-pcb': 'Old capacitors may hold PCBs: gloves.',
    'hot-chassis': 'Treat the chassis as connected to the line.',
    'local-codes': 'Follow local electrical codes.',
    unattended: 'Never leave the set on test unattended.',
    implosion: 'Face shield, gloves.',
  },
  tubes: [],
  pictureTubes: [],
  glossary: [
    { us: 'horizontal output tube', uk: 'line output valve' },
    { us: 'anode voltage', uk: 'EHT' },
    { us: 'flyback', uk: 'line output transformer' },
    { us: 'picture tube', uk: 'picture tube' },
    { us: 'tube', uk: 'valve' },
    { us: 'plate', uk: 'anode' },
    { us: 'B+', uk: 'HT' },
  ],
};

export const SET: SetFacts = {
  name: 'Tarnhollow 417 (invented)',
  owner: 'Marta',
  question: 'Is it worth it?',
  family: 'series-halfwave',
  standard: '525',
  lineVolts: 117,
  ratedVolts: 117,
  ratedWatts: 140,
  pictureTube: '21YP4A',
  tubes: { 'horizontal-output': '6DQ6A' },
  complaint: ['no-raster'],
  restored: 'none',
  storage: 'dry',
  facts: {},
  serviceData: {},
};

export const ALL_INSTRUMENTS = BOOK.instruments.map((entry) => entry.id);

/** Belief before any reading: the faults' own priors, signals mostly right. */
export function priorBelief(restored: 'none' | 'recapped' | 'unknown' = 'none'): Belief {
  const parts = new Map(
    BOOK.parts.map((entry) => {
      const faults = Object.fromEntries(entry.faults.map((one) => [one.id, one.prior[restored]]));
      const bad = Object.values(faults).reduce((a, b) => a + b, 0);
      return [entry.id, { ok: 1 - bad, ...faults }] as const;
    }),
  );
  return withAssemblies(parts, new Map(BOOK.signals.map((entry) => [entry.id, normal(0.7)])));
}

const normal = (p: number) => ({ normal: p, high: 0, low: 1 - p, absent: 0 });

function withAssemblies(
  parts: ReadonlyMap<string, Readonly<Record<string, number>>>,
  signals: Belief['signals'],
): Belief {
  const assemblies = new Map(
    BOOK.assemblies.flatMap((assembly) => {
      const own = BOOK.parts.filter((entry) => entry.assembly === assembly.id && parts.has(entry.id));
      if (own.length === 0) return [];
      return [
        [assembly.id, 1 - own.reduce((good, entry) => good * (parts.get(entry.id)?.ok ?? 1), 1)] as const,
      ];
    }),
  );
  return { parts, signals, assemblies, logEvidence: 0 };
}

/** The prior belief with some parts' faults (`{part: {fault: p}}`) and signals (`{signal: P(normal)}`) put where a test wants them; `null` takes a part away. */
export function beliefWith(
  faults: Readonly<Record<string, Readonly<Record<string, number>> | null>> = {},
  signals: Readonly<Record<string, number>> = {},
): Belief {
  const before = priorBelief();
  const parts = new Map(before.parts);
  for (const [id, given] of Object.entries(faults)) {
    if (given === null) parts.delete(id);
    else {
      const states = { ...before.parts.get(id), ...given };
      const bad = Object.entries(states).reduce((sum, [state, p]) => sum + (state === 'ok' ? 0 : p), 0);
      parts.set(id, { ...states, ok: 1 - bad });
    }
  }
  return withAssemblies(
    parts,
    new Map([...before.signals, ...Object.entries(signals).map(([id, p]) => [id, normal(p)] as const)]),
  );
}

/** Live checks that prove the core parts. */
export const LIVE_PROOFS = [
  'anode-hv-dark',
  'raster-brightness',
  'horizontal-output-cathode-current',
  'raster-geometry',
  'soak-60',
  'b-plus-working',
];

/** Every core part and the chassis cleared by readings. */
export const ALL_CLEAR = beliefWith(
  {
    'b-plus.filter-capacitor': { low: 0.01 },
    'b-plus.power-transformer': { 'shorted-turns': 0.002 },
    'horizontal-output.grid-coupling-capacitor': { leaky: 0.02, open: 0.001 },
    'horizontal-output.tube': { weak: 0.01 },
    'flyback.primary': { 'shorted-turns': 0.002 },
    'flyback.hv-winding': { open: 0.001 },
    'yoke.horizontal': { 'shorted-turns': 0.002 },
    'picture-tube.gun': { weak: 0.02 },
    'picture-tube.heater-cathode': { leakage: 0.002 },
    'sound.coupling-capacitor': { leaky: 0.02 },
    'sound.volume-control': { dirty: 0.02 },
  },
  { 'b-plus-main': 0.99, 'output-bias': 0.99, 'anode-hv': 0.99, 'raster-light': 0.99, sound: 0.99 },
);

/** A reading of one check, at its expected value. */
export function reading(id: string, seq = 1, value?: ReadingValue, expected = 100): JudgedReading {
  const found = BOOK.checks.find((entry) => entry.id === id);
  if (!found) throw new Error(`no check ${id}`);
  return {
    seq,
    check: found,
    value: value ?? { kind: 'number', value: 100, unit: 'V', unstable: false },
    expected: { value: expected, spread: 0.1, unit: 'V', reasons: ['invented'] },
    meterSpread: 0.01,
  };
}

export const NO_PLAN: Plan = { ranked: [], stop: undefined };

export function context(readings: readonly string[], more: Partial<VerdictContext> = {}): VerdictContext {
  return {
    readings: readings.map((id, n) => reading(id, n + 1)),
    skipped: [],
    instruments: ALL_INSTRUMENTS,
    restored: 'none',
    ownerWish: 'watch',
    coldOnly: false,
    repairedParts: [],
    plan: NO_PLAN,
    ...more,
  };
}

export function suspect(
  part: string,
  fault: string,
  probability: number,
  because: readonly string[],
): Suspect {
  const title = BOOK.parts.find((entry) => entry.id === part)?.title ?? part;
  return {
    id: `${part}/${fault}`,
    part,
    fault,
    title,
    partProbability: probability,
    probability,
    prior: 0.1,
    because: because.map((id, n) => ({ check: id, weight: 2 - n * 0.5 })),
  };
}

/** Input of a verdict on the hand-made set. */
export function input(
  belief: Belief,
  readings: readonly string[],
  more: Partial<VerdictInput> & { readonly context?: VerdictContext } = {},
): VerdictInput {
  return {
    rulebook: BOOK,
    set: SET,
    belief,
    priors: priorBelief(),
    suspects: [],
    weightsOf: () => [],
    context: context(readings),
    checks: BOOK.checks,
    ...more,
  };
}

const AT = '2031-05-01T19:20:00.000Z';

export function logged(
  id: string,
  seq: number,
  raw: string,
  value: ReadingValue,
  more: Partial<LoggedReading> = {},
): LoggedReading {
  return {
    seq,
    at: AT,
    check: id,
    raw,
    value,
    context: { lineVolts: 117, instrument: 'dmm', supply: 'isolated-full', config: {} },
    note: '',
    corrections: [],
    epoch: 0,
    ...more,
  };
}

export const volts = (value: number): ReadingValue => ({ kind: 'number', value, unit: 'V', unstable: false });

/** A view of the hand-made set: a leaky coupling capacitor found, flyback and yoke rung good, picture tube on the tester. */
export function demoView(state: Partial<SessionState> = {}): ReportView {
  const readings = [
    logged('picture-tube-emission', 3, '92', volts(92), {
      context: { lineVolts: 0, instrument: 'picture-tube-tester', supply: 'discharged', config: {} },
    }),
    logged('flyback-ring', 4, '98', volts(98), {
      context: { lineVolts: 0, instrument: 'ring-tester', supply: 'discharged', config: {} },
    }),
    logged('yoke-ring', 5, '101', volts(101), {
      context: { lineVolts: 0, instrument: 'ring-tester', supply: 'discharged', config: {} },
    }),
    logged('b-plus-working', 7, '131', volts(131), { note: 'steady' }),
    logged('horizontal-output-grid-drive', 8, '-21', volts(-21), { corrections: ['-210'] }),
    logged('grid-coupling-leakage', 9, '20', volts(20)),
  ];
  const expected: Readonly<Record<string, number>> = {
    'b-plus-working': 130,
    'horizontal-output-grid-drive': -42,
    'grid-coupling-leakage': 100,
  };
  const judged = readings.map((entry) =>
    reading(entry.check, entry.seq, entry.value, expected[entry.check] ?? 100),
  );
  const belief = beliefWith(
    {
      'b-plus.filter-capacitor': { low: 0.03 },
      'horizontal-output.grid-coupling-capacitor': { leaky: 0.95, open: 0.001 },
      'flyback.primary': { 'shorted-turns': 0.002 },
      'flyback.hv-winding': { open: 0.001 },
      'yoke.horizontal': { 'shorted-turns': 0.002 },
      'picture-tube.gun': { weak: 0.03 },
      'b-plus.power-transformer': null,
    },
    { 'b-plus-main': 0.98, 'output-bias': 0.04, 'anode-hv': 0.3, 'raster-light': 0.3 },
  );
  const suspects = [
    suspect('horizontal-output.grid-coupling-capacitor', 'leaky', 0.95, [
      'grid-coupling-leakage',
      'horizontal-output-grid-drive',
    ]),
  ];
  const plan: Plan = {
    ranked: [],
    stop: { reason: 'isolated', say: 'Isolated: one suspect explains what was read', openSigns: [] },
  };
  const full: SessionState = {
    ...emptyState(),
    set: SET,
    instruments: ALL_INSTRUMENTS,
    readings,
    skipped: [{ seq: 6, check: 'anode-hv-dark', reason: 'no-instrument', note: 'probe lent out' }],
    safetyLog: [
      { type: 'gate', seq: 1, at: AT, gate: 'capacitors-discharged', value: volts(0.4) },
      { type: 'powered-up', seq: 6, at: AT, to: 'isolated-limited', lineVolts: 60 },
      { type: 'powered-off', seq: 10, at: AT, why: 'end of the evening' },
    ],
    notes: [{ seq: 11, at: AT, text: 'Smells of wax near the flyback.', check: 'flyback-ring' }],
    ownerWish: 'watch',
    ...state,
  };
  const verdict = verdictOf(
    input(belief, [], {
      priors: beliefWith({ 'b-plus.power-transformer': null }),
      suspects,
      weightsOf: (id) =>
        id.startsWith('flyback')
          ? [{ check: 'flyback-ring', weight: -2.5 }]
          : id.startsWith('yoke')
            ? [{ check: 'yoke-ring', weight: -2.2 }]
            : [{ check: 'picture-tube-emission', weight: -1.4 }],
      context: { ...context([]), readings: judged, skipped: full.skipped, plan, ownerWish: full.ownerWish },
    }),
  );
  return {
    state: full,
    safety: { unproven: new Set() },
    standings: BOOK.checks.map((entry) => ({
      check: entry,
      status: 'done',
      missing: [],
      gates: [],
      expected: undefined,
    })),
    judged,
    belief,
    suspects,
    conflicts: [
      {
        seq: 4,
        check: 'flyback-ring',
        surprise: 0.004,
        slip: { kind: 'none', probability: 0.1 },
        say: 'The ring test of the flyback does not fit the rest: take it again.',
      },
    ],
    plan,
    verdict,
    minutes: 33,
    trouble: undefined,
  };
}

export function demoInput(view: ReportView = demoView(), more: Partial<ReportInput> = {}): ReportInput {
  return {
    view,
    session: {
      name: 'tarnhollow-417',
      created: AT,
      rules: { name: 'hand-made', version: '1.0.0', hash: 'abc123' },
    },
    technician: 'Ines',
    rulebook: BOOK,
    now: new Date('2031-05-02T08:00:00Z'),
    ...more,
  };
}
