// What a bring-up on the lamp must have behind it before full line: its steps held, and the line raised as far as the lamp lets it.
import {
  ArgumentError,
  type BringUpPlan,
  bringUpPlan,
  RECTIFIERS,
  type Rectifier,
  TOPOLOGIES,
} from '../bench/index.ts';
import type { SafetyFacts } from './facts.ts';
import type { Machine } from './proofs.ts';

/** Held at least so long on the lamp before each full line: a cold heater string flashes any lamp, it is judged after a minute. */
const LEAST_SECONDS = 60;
/** Where no table can be worked out: common practice, no source. */
const WITHOUT_TABLE_SECONDS = 300;
/** A row of the table counts as reached from this share of its volts on. Judgement. */
const ROW_SHARE = 0.8;
/** Share of the computed volts behind the lamp that must be reached: lamps and loads are not what a table takes them for. Judgement. */
const REACHED_SHARE = 0.5;

/** The rectifier of the set; what such supplies mostly have where nobody has looked. */
export function rectifierOf(facts: Readonly<Record<string, string>>): Rectifier {
  return (
    RECTIFIERS.find((r) => r === facts.rectifier) ??
    (facts.topology === 'full-wave' ? 'tube-direct' : 'selenium')
  );
}

type Known = Pick<SafetyFacts, 'facts' | 'ratedVolts' | 'ratedWatts' | 'recapped'>;

const worked = new WeakMap<Known, Map<number, BringUpPlan | undefined>>();

/**
 * The table of the first power-up behind a lamp of `lampWatts` (0: no lamp is known); undefined where it cannot be worked out.
 * Solved once for the same facts: the state of every moment asks for it.
 */
export function bringUpOf(known: Known, lampWatts: number): BringUpPlan | undefined {
  const plans = worked.get(known) ?? new Map<number, BringUpPlan | undefined>();
  worked.set(known, plans);
  if (!plans.has(lampWatts)) plans.set(lampWatts, solved(known, lampWatts));
  return plans.get(lampWatts);
}

function solved(
  { facts, ratedVolts, ratedWatts, recapped }: Known,
  lampWatts: number,
): BringUpPlan | undefined {
  const topology = TOPOLOGIES.find((t) => t === facts.topology);
  if (!topology) return undefined;
  try {
    return bringUpPlan({
      topology,
      rectifier: rectifierOf(facts),
      lineVolts: ratedVolts,
      ratedWatts,
      lamp: lampWatts,
      renewed: recapped ?? false,
    });
  } catch (error) {
    // Label values outside what the plan covers: the walk goes on without a table rather than with a wrong one.
    if (error instanceof ArgumentError) return undefined;
    throw error;
  }
}

/** What is still missing before a bring-up may be called finished. */
export interface BringUpLeft {
  /** Seconds still to be held on the lamp. */
  readonly seconds: number;
  /** Volts to be reached at the set, V rms; 0 where they are reached. */
  readonly volts: number;
}

/** What the bring-up that runs still lacks at `at` (ms since 1970). The whole table once, and again after a repair of the supply; then a minute. */
export function bringUpLeft(machine: Machine, facts: SafetyFacts, at: number): BringUpLeft {
  const steps = bringUpOf(facts, machine.lampWatts)?.steps.filter((step) => step.lampIn) ?? [];
  const table = steps.reduce((sum, step) => sum + step.holdSeconds, 0);
  const wanted = machine.broughtUp ? LEAST_SECONDS : table > 0 ? table : WITHOUT_TABLE_SECONDS;
  const held = machine.broughtUp || table === 0 ? onLampFor(machine, at) : heldByRows(machine, steps, at);
  const least = REACHED_SHARE * (steps.at(-1)?.setVolts ?? 0);
  return {
    seconds: Math.max(0, Math.ceil(wanted - held)),
    volts: machine.lineVolts >= least ? 0 : Math.ceil(least),
  };
}

/** Seconds on the lamp, whatever the volts. */
function onLampFor({ onLamp }: Machine, at: number): number {
  return onLamp?.[0] === undefined ? 0 : (at - onLamp[0].at) / 1000;
}

/**
 * Seconds on the lamp that count for the table: none below its first row, and no more at any row than that is to be held, but for the
 * highest one reached: how far a lamp lets a set rise nobody knows beforehand.
 */
function heldByRows({ onLamp = [] }: Machine, steps: BringUpPlan['steps'], at: number): number {
  const rowAt = (volts: number): number => steps.findLastIndex((step) => volts >= ROW_SHARE * step.setVolts);
  const top = Math.max(-1, ...onLamp.map(({ volts }) => rowAt(volts)));
  const seconds = steps.map(() => 0);
  onLamp.forEach(({ at: from, volts }, n) => {
    const row = rowAt(volts);
    if (row >= 0) seconds[row] = (seconds[row] ?? 0) + ((onLamp[n + 1]?.at ?? at) - from) / 1000;
  });
  return seconds.reduce(
    (sum, held, row) => sum + (row < top ? Math.min(held, steps[row]?.holdSeconds ?? 0) : held),
    0,
  );
}

/** The same in words; undefined where nothing is missing. */
export function bringUpWords({ seconds, volts }: BringUpLeft): string | undefined {
  const time = seconds > 90 ? `${Math.ceil(seconds / 60)} min` : `${seconds} s`;
  const said = [
    ...(volts > 0
      ? [`raise the line until ${volts} V or more stand at the set, and enter that with ^Y`]
      : []),
    ...(seconds > 0 ? [`${time} more on the lamp: each step of the table is held`] : []),
  ];
  return said.length === 0 ? undefined : `Not finished yet: ${said.join('; ')}.`;
}
