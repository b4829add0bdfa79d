// A bench for tests: writes safety-log entries with a clock, answers gates, and offers a few checks of each kind.
import type { Check } from '../../src/rulebook/types.ts';
import {
  checkSafety,
  type Gate,
  type GateId,
  gatesFor,
  passingAnswer,
  type SafetyFacts,
  type SafetyState,
  safetyOf,
  type Target,
} from '../../src/safety/index.ts';
import type { ReadingValue, SafetyEntry } from '../../src/session/index.ts';

export const ALL_INSTRUMENTS = ['dmm', 'hv-probe', 'isolation-transformer', 'lamp-limiter', 'variac'];

/** A series half-wave-doubler set with a coated glass tube, flyback high voltage, 117 V, 165 W. */
export const ORDINARY: SafetyFacts = {
  family: 'series-doubler-halfwave',
  facts: {
    heaters: 'series',
    topology: 'doubler-half-wave',
    chassis: 'hot',
    hv: 'flyback',
    'crt-construction': 'glass-coated',
    focus: 'low-v',
  },
  ratedVolts: 117,
  ratedWatts: 165,
};

export function withFacts(facts: Readonly<Record<string, string>>, family = ORDINARY.family): SafetyFacts {
  return { ...ORDINARY, family, facts: { ...ORDINARY.facts, ...facts } };
}

/** A check with everything unremarkable but what is given. */
export function makeCheck(part: Partial<Check> & Pick<Check, 'id' | 'state'>): Check {
  return {
    section: 'b-plus',
    title: part.id,
    phase: 'cold',
    kind: 'number',
    quantity: 'dc-volts',
    unit: 'V',
    needs: ['dmm'],
    where: '',
    meter: '',
    how: [],
    why: '',
    cautions: [],
    minutes: 1,
    access: 'chassis-out',
    injects: false,
    refits: false,
    reference: false,
    risky: false,
    config: {},
    shownBy: [],
    before: [],
    after: [],
    options: [],
    reads: [],
    meaning: {},
    stop: [],
    method: 'meter',
    sourceOhms: 0,
    source: 'invented for tests',
    ...part,
  };
}

export const CHECKS = {
  look: makeCheck({ id: 'look', state: 'any' }),
  bench: makeCheck({ id: 'bench', state: 'SB' }),
  cold: makeCheck({ id: 'cold', state: 'S0', quantity: 'ohms', unit: 'ohm' }),
  leakage: makeCheck({ id: 'leakage', state: 'S0', injects: true }),
  neck: makeCheck({ id: 'neck', state: 'S0', section: 'picture-tube', access: 'tube-out' }),
  limited: makeCheck({ id: 'limited', state: 'S1' }),
  full: makeCheck({
    id: 'full',
    state: 'S2',
    stop: [
      { above: 400, say: 'Too high.' },
      { option: 'red', say: 'Red plate.' },
    ],
  }),
  drive: makeCheck({ id: 'horizontal-output-grid-drive', state: 'S2', config: { horizontal: 'disabled' } }),
  raster: makeCheck({ id: 'raster', state: 'S2', config: { horizontal: 'enabled' } }),
  picture: makeCheck({ id: 'picture', state: 'S2', config: { signal: 'applied' } }),
  antenna: makeCheck({ id: 'antenna-terminal-ohms', state: 'S0', section: 'line-input', access: 'back-off' }),
  anode: makeCheck({
    id: 'anode-hv-dark',
    state: 'S2',
    section: 'high-voltage',
    quantity: 'hv-volts',
    unit: 'kV',
    needs: ['hv-probe'],
    config: { horizontal: 'enabled' },
    stop: [{ above: 19_800, say: 'Anode above its limit.' }],
  }),
} as const;

export const RULES = checkSafety(Object.values(CHECKS));

export const number = (value: number, unit = 'V'): ReadingValue => ({
  kind: 'number',
  value,
  unit,
  unstable: false,
});
export const option = (id: string): ReadingValue => ({ kind: 'choice', option: id });

/** A failing answer to a gate. */
export function failingAnswer(gate: Gate): ReadingValue {
  if (gate.limit.kind === 'options')
    return option(gate.options.find((each) => each.id !== passingOption(gate))?.id ?? 'no');
  const unit = 'unit' in passingAnswer(gate) ? (passingAnswer(gate) as { unit: string }).unit : '';
  if (gate.limit.kind === 'below') return number(gate.limit.value * 5, unit);
  return number(gate.limit.kind === 'above' ? gate.limit.value / 5 : gate.limit.high * 5, unit);
}

function passingOption(gate: Gate): string {
  const answer = passingAnswer(gate);
  return answer.kind === 'choice' ? answer.option : '';
}

/** A growing safety log with its own clock. */
export class Bench {
  readonly log: SafetyEntry[] = [];
  readonly facts: SafetyFacts;
  readonly instruments: readonly string[];
  config: Record<string, string> = {};
  now: number;

  constructor(facts: SafetyFacts = ORDINARY, instruments: readonly string[] = ALL_INSTRUMENTS) {
    this.facts = facts;
    this.instruments = instruments;
    this.now = Date.parse('2026-03-01T09:00:00Z');
  }

  get state(): SafetyState {
    return safetyOf(this.log, this.facts, this.instruments, new Date(this.now), RULES);
  }

  add(
    entry: SafetyEntry extends infer E ? (E extends SafetyEntry ? Omit<E, 'seq' | 'at'> : never) : never,
  ): this {
    const at = new Date(this.now).toISOString();
    this.log.push({ ...entry, seq: this.log.length + 1, at } as SafetyEntry);
    return this;
  }

  wait(minutes: number): this {
    this.now += minutes * 60_000;
    return this;
  }

  gate(id: GateId, value?: ReadingValue): this {
    const gate = gatesFor(this.facts).find((each) => each.id === id);
    if (gate === undefined) throw new Error(`no gate ${id} for this set`);
    return this.add({ type: 'gate', gate: id, value: value ?? passingAnswer(gate) });
  }

  fail(id: GateId): this {
    const gate = gatesFor(this.facts).find((each) => each.id === id);
    return this.gate(id, gate === undefined ? option('no') : failingAnswer(gate));
  }

  /** Answers whatever the program asks next on the way to a state, waiting where it must. */
  answerAll(target: Target): this {
    for (let guard = 0; guard < 60; guard++) {
      const [next] = this.state.nextGates(target);
      if (next === undefined) return this;
      if (next.id === 'anode-second') this.wait(Math.ceil(this.state.anodeWaitSeconds / 60));
      if (next.id === 'bring-up-finished') this.wait(Math.ceil((this.state.bringUp?.seconds ?? 0) / 60));
      this.gate(next.id);
      if (next.id === 'horizontal-disabled') this.configure('horizontal', 'disabled');
      for (const what of this.state.links)
        if (target !== 'discharged') this.add({ type: 'link-removed', what });
    }
    throw new Error(`the gates to ${target} never end`);
  }

  /** Answers what is asked on the way to the lamp, but one gate. */
  answerAllBut(left: GateId): this {
    for (const next of this.state.nextGates('isolated-limited')) {
      if (next.id !== left) this.gate(next.id);
    }
    return this;
  }

  configure(item: string, value: string): this {
    this.config = { ...this.config, [item]: value };
    return this.add({ type: 'configured', item, value });
  }

  cold(): this {
    return this.answerAll('discharged');
  }

  up(to: 'isolated-limited' | 'isolated-full', lineVolts = to === 'isolated-limited' ? 40 : 117): this {
    return this.add({ type: 'powered-up', to, lineVolts });
  }

  off(): this {
    return this.add({ type: 'powered-off', why: 'test' });
  }

  /** On the lamp with the chassis proven. */
  limited(): this {
    return this.cold().answerAll('isolated-limited').up('isolated-limited').answerAll('isolated-limited');
  }

  /** Full line, horizontal disabled, chassis proven. */
  full(): this {
    return this.limited().answerAll('isolated-full').up('isolated-full').answerAll('isolated-full');
  }

  reading(check: Check, value: ReadingValue = number(1)): this {
    return this.add({ type: 'check', check: check.id, value });
  }
}
