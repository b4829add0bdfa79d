// Small hand-made rulebooks for tests of diagnosis: short builders, and one set with a supply, a drive chain and a tube.
// All numbers are invented; the shape (what feeds what) is common practice, no source.
import type { Candidate, Expected, JudgedReading } from '../../src/diagnosis/index.ts';
import type {
  Assembly,
  Check,
  EffectRow,
  Part,
  Read,
  Rulebook,
  SetFacts,
  Signal,
  SignalInput,
} from '../../src/rulebook/types.ts';
import type { ReadingValue } from '../../src/session/types.ts';

export function signal(
  id: string,
  inputs: Readonly<Record<string, SignalInput['rows']>> = {},
  rest: Partial<Signal> = {},
): Signal {
  return {
    id,
    section: 'tiny',
    title: id,
    describe: '',
    outcome: false,
    shownBy: [],
    inputs: Object.entries(inputs).map(([source, rows]) => ({ signal: source, rows })),
    leak: { low: 0.001, absent: 0.002 },
    ...rest,
  };
}

/** A part; each fault is [prior, effects]. */
export function part(
  id: string,
  faults: Readonly<Record<string, readonly [number, Readonly<Record<string, EffectRow>>]>>,
  rest: Partial<Part> = {},
): Part {
  return {
    id,
    section: 'tiny',
    title: id,
    kind: 'unique',
    remedy: { action: '', parts: '', caution: '', hours: [0, 1], cost: [0, 1] },
    faults: Object.entries(faults).map(([fault, [p, effects]]) => ({
      id: fault,
      title: fault,
      prior: { none: p, recapped: p / 5, unknown: p / 2 },
      factors: {},
      effects,
      source: 'invented',
    })),
    ...rest,
  };
}

export function check(id: string, reads: readonly Partial<Read>[], rest: Partial<Check> = {}): Check {
  return {
    id,
    section: 'tiny',
    title: id,
    phase: 'p',
    state: 'S2',
    kind: reads.some((r) => r.scale === 'choice') ? 'choice' : 'number',
    quantity: 'dc-volts',
    unit: 'V',
    needs: [],
    where: '',
    meter: '',
    how: [],
    why: '',
    cautions: [],
    minutes: 2,
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
    reads: reads.map((r) => ({ scale: 'ratio', bands: {}, table: {}, spread: 0.1, ...r })),
    meaning: {},
    stop: [],
    method: 'meter',
    sourceOhms: 0,
    source: 'invented',
    ...rest,
  };
}

/** Options of a choice, titled by their ids. */
export function options(...ids: readonly string[]): Check['options'] {
  return ids.map((id) => ({ id, title: id, say: '' }));
}

/** A choice between what is seen where all is right (first) and where it is not: `seen` has their chances by state, one row each. */
export function look(
  id: string,
  of: Pick<Partial<Read>, 'signal' | 'part'>,
  seen: Read['table'],
  rest: Partial<Check> = {},
): Check {
  const ids = Object.keys(Object.values(seen)[0] ?? {});
  return check(id, [{ ...of, scale: 'choice', table: seen }], { options: options(...ids), ...rest });
}

export function rulebook(content: Partial<Rulebook>): Rulebook {
  return {
    name: 'tiny',
    version: '1',
    hash: '',
    phases: [],
    sections: [],
    families: [],
    kinds: [],
    facts: [],
    instruments: [],
    symptoms: [],
    assemblies: [],
    signals: [],
    parts: [],
    checks: [],
    cautions: {},
    tubes: [],
    pictureTubes: [],
    glossary: [],
    ...content,
  };
}

export function facts(rest: Partial<SetFacts> = {}): SetFacts {
  return {
    name: 'Tarnhollow test set',
    owner: '',
    question: '',
    family: 'none',
    standard: '525',
    lineVolts: 117,
    ratedVolts: 117,
    ratedWatts: 150,
    pictureTube: 'unknown',
    tubes: {},
    complaint: [],
    restored: 'none',
    storage: 'unknown',
    facts: {},
    serviceData: {},
    ...rest,
  };
}

export function assembly(id: string, rest: Partial<Assembly> = {}): Assembly {
  return { id, title: id, core: true, ceilings: [], decision: '', blamedAfter: [], ...rest };
}

const STRONG: SignalInput['rows'] = {
  absent: { absent: 0.98 },
  low: { low: 0.8 },
  high: { high: 0.8 },
};
const VOLTS = { normal: [0.8, 1.25], low: [0.2, 0.8], high: [1.25, 2], absent: [0, 0.05] } as const;
const volts = (of: string, rest: Partial<Read> = {}): Partial<Read> => ({
  signal: of,
  bands: Object.fromEntries(Object.entries(VOLTS).map(([level, band]) => [level, [[band[0], band[1]]]])),
  ...rest,
});

/** Supply -> drive -> output current and pulse -> anode voltage -> light; a tube, a coupling capacitor, a flyback, a picture tube. */
export const TINY: Rulebook = rulebook({
  signals: [
    signal('supply', {}, { title: 'B+', leak: { high: 0.002, low: 0.002, absent: 0.002 } }),
    signal('drive', { supply: STRONG }, { title: 'Drive' }),
    signal(
      'bias',
      { drive: { absent: { low: 0.98 }, low: { low: 0.7 } } },
      { title: 'Grid bias', leak: { low: 0.002 } },
    ),
    signal(
      'current',
      { bias: { low: { high: 0.85 } }, load: { high: { high: 0.8 } }, supply: STRONG },
      { title: 'Output current', leak: { high: 0.002, low: 0.002 } },
    ),
    signal('load', {}, { title: 'Load on the output stage', leak: { high: 0.003 } }),
    signal('pulse', { drive: STRONG, load: { high: { low: 0.8 } } }, { title: 'Flyback pulse' }),
    signal('anode', { pulse: STRONG }, { title: 'Anode voltage' }),
    signal(
      'light',
      { anode: STRONG, emission: STRONG },
      { title: 'Light on the screen', outcome: true, leak: { low: 0.005, absent: 0.005 } },
    ),
    signal('emission', {}, { title: 'Emission' }),
  ],
  parts: [
    part(
      'rectifier',
      { weak: [0.1, { supply: { low: 0.9 } }], open: [0.03, { supply: { absent: 0.95 } }] },
      { title: 'Rectifier' },
    ),
    part('reservoir', { low: [0.2, { supply: { low: 0.8 } }] }, { title: 'Reservoir capacitor' }),
    part('oscillator', { dead: [0.05, { drive: { absent: 0.95 } }] }, { title: 'Oscillator tube' }),
    part(
      'coupling',
      { leaky: [0.2, { bias: { low: 0.9 } }], open: [0.02, { drive: { absent: 0.9 } }] },
      { title: 'Coupling capacitor' },
    ),
    part(
      'output-tube',
      {
        weak: [0.1, { current: { low: 0.8 }, pulse: { low: 0.7 } }],
        gassy: [0.05, { bias: { low: 0.6 } }],
      },
      { title: 'Output tube' },
    ),
    part(
      'flyback.turns',
      { shorted: [0.04, { load: { high: 0.95 } }] },
      { title: 'Flyback winding', assembly: 'flyback' },
    ),
    part(
      'flyback.insulation',
      { leaky: [0.03, { anode: { low: 0.7 }, load: { high: 0.5 } }] },
      { title: 'Flyback insulation', assembly: 'flyback' },
    ),
    part(
      'tube.gun',
      { weak: [0.2, { emission: { low: 0.9 } }], dead: [0.02, { emission: { absent: 0.95 } }] },
      { title: 'Gun', assembly: 'picture-tube' },
    ),
    part('knob', { broken: [0.1, {}] }, { title: 'Knob' }),
  ],
  assemblies: [
    assembly('flyback', {
      title: 'Flyback',
      ceilings: [{ grade: 'serviceable', checks: [], anyOf: ['ring'] }],
    }),
    assembly('picture-tube', {
      title: 'Picture tube',
      ceilings: [{ grade: 'serviceable', checks: ['anode-kv'], anyOf: ['gun-test'] }],
    }),
  ],
  checks: [
    check('supply-volts', [volts('supply')]),
    check('drive-volts', [volts('drive')]),
    check('bias-volts', [volts('bias')]),
    check('current-amps', [volts('current')], { quantity: 'amps', unit: 'A' }),
    check('anode-kv', [volts('anode')], { minutes: 5 }),
    check(
      'light-look',
      [
        {
          signal: 'light',
          scale: 'choice',
          table: {
            normal: { bright: 0.93, dim: 0.06, dark: 0.01 },
            low: { bright: 0.08, dim: 0.87, dark: 0.05 },
            absent: { bright: 0.01, dim: 0.04, dark: 0.95 },
          },
        },
      ],
      {
        minutes: 1,
        method: 'eye',
        options: ['bright', 'dim', 'dark'].map((id) => ({ id, title: id, say: '' })),
      },
    ),
    check(
      'gun-test',
      [
        {
          part: 'tube.gun',
          scale: 'bound',
          bands: { ok: [[60, null]], weak: [[15, 60]], dead: [[null, 15]] },
          spread: 0.2,
        },
      ],
      { quantity: 'percent', unit: '%', state: 'SB', method: 'tester' },
    ),
    check(
      'ring',
      [
        {
          part: 'flyback.turns',
          scale: 'bound',
          bands: { ok: [[8, null]], shorted: [[0.5, 6]] },
          spread: 0.15,
        },
      ],
      { quantity: 'count', unit: '', state: 'S0', method: 'ring' },
    ),
    check('coupling-leak', [
      {
        part: 'coupling',
        scale: 'bound',
        bands: { ok: [[20e6, null]], leaky: [[1e3, 10e6]] },
        spread: 0.3,
      },
    ]),
    check(
      'coupling-out',
      [
        {
          part: 'coupling',
          scale: 'bound',
          bands: { ok: [[50e6, null]], leaky: [[1e4, 20e6]] },
          spread: 0.3,
        },
      ],
      { method: 'leakage-tester', minutes: 10 },
    ),
    check(
      'oscillator-swap',
      [
        {
          part: 'oscillator',
          scale: 'bound',
          bands: { ok: [[60, null]], dead: [[null, 20]] },
          spread: 0.3,
        },
      ],
      { method: 'tester' },
    ),
  ],
});

const expected = (value: number): Expected => ({ value, spread: 0.05, unit: 'V', reasons: [] });

/** Nominal values of the tiny set's ratio checks. */
const NOMINAL: Readonly<Record<string, number>> = {
  'supply-volts': 260,
  'drive-volts': 100,
  'bias-volts': -35,
  'current-amps': 0.1,
  'anode-kv': 16000,
};

export function expectedOf(id: string): Expected | undefined {
  const value = NOMINAL[id];
  return value === undefined ? undefined : expected(value);
}

export function findCheck(book: Rulebook, id: string): Check {
  const found = book.checks.find((c) => c.id === id);
  if (!found) throw new Error(`no check ${id} in the test rulebook`);
  return found;
}

/** A reading of the tiny set: a number (in units of the check), an option, or a whole value. */
export function read(seq: number, id: string, value: number | string | ReadingValue): JudgedReading {
  const typed: ReadingValue =
    typeof value === 'number'
      ? { kind: 'number', value, unit: '', unstable: false }
      : typeof value === 'string'
        ? { kind: 'choice', option: value }
        : value;
  return { seq, check: findCheck(TINY, id), value: typed, expected: expectedOf(id), meterSpread: 0.01 };
}

/** All checks of the tiny set as candidates, but for those in `done`. */
export function candidates(done: readonly string[] = []): Candidate[] {
  return TINY.checks
    .map((c, order) => ({
      check: c,
      expected: expectedOf(c.id),
      changeMinutes: 0,
      order,
      protective: false,
    }))
    .filter((c) => !done.includes(c.check.id));
}
