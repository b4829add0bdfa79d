// The countdown at a discharge proof: what would be left by now if the resistor is connected. Computed, never a proof.
import { dischargeTime, rebound, remainingVolts } from '../../bench/discharge.ts';
import type { Gate, GateId } from '../../safety/index.ts';
import type { App } from './app.ts';
import type { Acts, Live } from './model.ts';

/** Circuit of one discharge as the gate tells it to be done. Capacitances are the usual upper ends; common practice, no source. */
interface Circuit {
  readonly ohms: number;
  readonly farads: number;
  readonly holdSeconds: number;
  readonly from: 'b-plus' | 'boost' | 'anode' | 'anode-again';
  readonly words: string;
}

const STICK = { ohms: 100e6, holdSeconds: 15, words: '100 Mohm' } as const;
const CIRCUITS: Readonly<Partial<Record<GateId, Circuit>>> = {
  'anode-first': { ...STICK, farads: 2000e-12, from: 'anode' },
  'anode-second': { ...STICK, farads: 2000e-12, from: 'anode-again' },
  'anode-third': { ...STICK, farads: 2000e-12, from: 'anode-again' },
  'hv-capacitor': { ...STICK, farads: 500e-12, from: 'anode' },
  electrolytics: { ohms: 2200, farads: 150e-6, holdSeconds: 10, from: 'b-plus', words: '2.2 kohm' },
  'boost-capacitor': { ohms: 100e3, farads: 0.25e-6, holdSeconds: 5, from: 'boost', words: '100 kohm' },
};

/** Where neither a reading nor an expected value says more: upper ends of these sets. Common practice, no source. */
const FALLBACK = { bPlus: 400, boost: 800, anode: 20_000 } as const;
const TIMER = 'discharge: ';

export interface Discharge {
  readonly fromVolts: number;
  readonly ohms: number;
  readonly farads: number;
  readonly holdSeconds: number;
  readonly words: string;
  /** Seconds until it is under the limit of the proof. */
  readonly enoughSeconds: number;
  /** Seconds since the countdown was started; `undefined` if it was not. */
  readonly sinceSeconds: number | undefined;
  /** Volts left by then; the starting volts before. */
  readonly leftVolts: number;
}

/** What the set read on a line of checks lately, or is expected to read, V. */
function known(live: Live, checks: readonly string[], fallback: number): number {
  const own = live.view.standings.filter((s) => checks.includes(s.check.id));
  const read = live.view.state.readings.flatMap((r) =>
    checks.includes(r.check) && r.value.kind === 'number' ? [Math.abs(r.value.value)] : [],
  );
  const expected = own.flatMap((s) => (s.expected?.value === undefined ? [] : [Math.abs(s.expected.value)]));
  const most = Math.max(0, ...read, ...expected);
  return most > 0 ? most : fallback;
}

/** Boost volts that were read: the first of the pair, boost and B+. */
function boostRead(live: Live): readonly number[] {
  return live.view.state.readings.flatMap((r) =>
    r.check === 'boost-ratio' && r.value.kind === 'pair' ? [Math.abs(r.value.values[0])] : [],
  );
}

function startVolts(live: Live, from: Circuit['from'], farads: number): number {
  switch (from) {
    case 'b-plus':
      return known(live, ['b-plus-reservoir', 'b-plus-horizontal-off', 'b-plus-working'], FALLBACK.bPlus);
    case 'boost':
      return Math.max(FALLBACK.boost, ...boostRead(live));
    case 'anode':
      return live.view.safety.facts.anode?.warnAboveVolts ?? FALLBACK.anode;
    case 'anode-again':
      return rebound('picture-tube', startVolts(live, 'anode', farads), farads).volts;
  }
}

/** The discharge that a gate asks for, as it stands at `now` (ms since 1970); `undefined` if the gate is none. */
export function dischargeAt(live: Live, gate: Gate, now: number): Discharge | undefined {
  const circuit = CIRCUITS[gate.id];
  if (!circuit || gate.limit.kind !== 'below') return undefined;
  const { ohms, farads, holdSeconds, words } = circuit;
  const fromVolts = startVolts(live, circuit.from, farads);
  const decay = { capacitanceFarads: farads, ohms, fromVolts };
  const timer = live.view.state.timers.findLast((t) => t.timer === TIMER + gate.id);
  const answered = live.view.state.safetyLog.findLast((e) => e.type === 'gate' && e.gate === gate.id);
  const startedAt = timer ? Date.parse(timer.startedAt) : Number.NaN;
  const stands = startedAt > (answered ? Date.parse(answered.at) : 0);
  const sinceSeconds = stands ? Math.max(0, (now - startedAt) / 1000) : undefined;
  return {
    fromVolts,
    ohms,
    farads,
    holdSeconds,
    words,
    enoughSeconds: dischargeTime({ ...decay, toVolts: gate.limit.value }),
    sinceSeconds,
    leftVolts: sinceSeconds === undefined ? fromVolts : remainingVolts({ ...decay, seconds: sinceSeconds }),
  };
}

/** Title of a discharge timer for people, or the timer's own. */
export function timerTitle(timer: string): string {
  return timer.startsWith(TIMER) ? 'hold the resistor on' : timer;
}

/** Starts the countdown of a gate's discharge. */
export function startDischarge(app: App, gate: Gate): Acts {
  const { live } = app.state;
  const circuit = CIRCUITS[gate.id];
  if (!live || !circuit) return app.say('There is nothing to count down here.', 'quiet');
  app.commit(
    [{ type: 'timer-started', timer: TIMER + gate.id, seconds: circuit.holdSeconds }],
    `Countdown of ${circuit.holdSeconds} s. It proves nothing: read the meter at its end.`,
  );
}
