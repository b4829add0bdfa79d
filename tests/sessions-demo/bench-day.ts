// An evening at the bench by script: the walk asks, the script types what such a set would show, every event goes through a session journal with a clock of its own.
import type { Check, SetFacts } from '../../src/rulebook/types.ts';
import { type Gate, passingAnswer } from '../../src/safety/index.ts';
import type { Session, SessionEvent, SkipReason } from '../../src/session/index.ts';
import { formatValue, fromBase } from '../../src/session/index.ts';
import type { Engine } from '../../src/walk/engine.ts';
import { gateMinutes } from '../../src/walk/evaluate.ts';
import type { Entry, Step, WalkView } from '../../src/walk/types.ts';
import { healthyAnswer } from '../walk/bench-answers.ts';

/** What is typed at a check: one text, or one for each time that it comes up. */
export type Answer = string | readonly string[];

export type Repaired = Omit<Extract<SessionEvent, { type: 'repaired' }>, 'type'>;

export interface BenchDay {
  /** Name of the session and of its file. */
  readonly name: string;
  readonly set: SetFacts;
  readonly instruments: readonly string[];
  readonly wish: 'watch' | 'display' | 'sell' | 'unknown';
  /** ISO 8601. */
  readonly startedAt: string;
  /** What differs from a set in order, by check. */
  readonly answers: Readonly<Record<string, Answer>>;
  /** Answers to gates where the least that passes would look odd. */
  readonly gates: Readonly<Record<string, string>>;
  readonly skips: Readonly<Record<string, readonly [SkipReason, string]>>;
  /** Notes, each made right after a reading. */
  readonly notes: Readonly<Record<string, string>>;
  /** A slip of the hand, corrected at once: check -> what was typed first. */
  readonly slips: Readonly<Record<string, string>>;
  /** Repairs, each made right after the first reading of a check. */
  readonly repairs: Readonly<Record<string, Repaired>>;
  /** Ends the evening early: after a reading, or before the horizontal stage would be enabled. */
  readonly endsAfter?: string;
  readonly neverEnabled: boolean;
  /** Checks of the technician's own choice, taken when the walk has come that far, in this order. */
  readonly wanted: readonly string[];
  /** The technician calls the diagnosis done. */
  readonly finished: boolean;
  /** Readings after which the technician stops asking for more. */
  readonly mostReadings: number;
}

const MOST_STEPS = 600;
/** Seconds between two answers where a step has no minutes of its own. */
const PAUSE_SECONDS = 25;
/** The second discharge of the anode is due 5 min after the first; nobody stands there with a stopwatch. */
const ANODE_WAIT_MINUTES = 5.4;
const POWER_MINUTES = { 'power-up': 4, 'power-off': 1, configure: 3 } as const;

/** Plays the evening into `session`; returns what was asked, for the maker of the script to read. */
export function playBenchDay(
  engine: Engine,
  session: Session,
  day: BenchDay,
): { readonly log: readonly string[]; readonly end: string } {
  const log: string[] = [];
  const asked = new Map<string, number>();
  let clock = new Date(day.startedAt).getTime();
  const now = () => new Date(clock);
  const wait = (minutes: number) => {
    clock += Math.round(minutes * 60 + PAUSE_SECONDS) * 1000;
  };
  const add = (events: readonly SessionEvent[]) => {
    for (const event of events) {
      session.append(event, now());
      clock += 1000;
    }
  };
  add([{ type: 'set-described', set: day.set }]);
  wait(2);
  add([{ type: 'bench-described', instruments: day.instruments }]);
  wait(0);
  add([{ type: 'owner-wish', wish: day.wish }]);

  let readings = 0;
  let choosing = false;
  let running = '';
  const stepNow = (view: WalkView): Step => {
    if (!choosing || view.step.kind === 'danger') return view.step;
    const first = day.wanted.find((id) =>
      view.standings.some((s) => s.check.id === id && s.status !== 'done'),
    );
    if (first === undefined) return { kind: 'stop', title: '', say: 'all that was wanted is taken' };
    const way = engine.stepFor(view, first);
    if ('missing' in way) throw new Error(`${day.name}: ${first}: ${way.missing.join('; ')}`);
    return way;
  };
  for (let n = 0; n < MOST_STEPS; n += 1) {
    const stood = engine.view(session.state, now());
    const before = stepNow(stood);
    if (before.kind !== 'stop' && !(before.kind === 'check' && day.skips[before.check.id])) {
      // A long test that outlived the proofs is not run again: only the proofs are renewed before its reading is typed.
      wait(before.kind === 'check' && before.check.id === running ? 0 : minutesOf(before, stood));
      if (before.kind === 'check') running = before.check.id;
    }
    const view = engine.view(session.state, now());
    const step = stepNow(view);
    // A proof may have lapsed while the minutes of this step ran.
    if (keyOf(step) !== keyOf(before)) continue;
    const enough =
      day.neverEnabled && step.kind === 'configure' && step.item === 'horizontal' && step.value === 'enabled';
    if ((step.kind === 'stop' || enough) && !choosing) {
      choosing = true;
      continue;
    }
    if (step.kind === 'stop') {
      putAway(engine, session, day, add, wait, now);
      return { log, end: step.say };
    }
    if (step.kind === 'check') {
      const { check } = step;
      const skip = day.skips[check.id];
      if (skip) {
        add(eventsOf(engine.skip(view, check, ...skip), check.id));
        log.push(`skip ${check.id}`);
        continue;
      }
      const count = asked.get(check.id) ?? 0;
      asked.set(check.id, count + 1);
      const text = typed(day.answers[check.id], count) ?? inOrder(check, view);
      if (text === undefined) throw new Error(`${day.name}: no answer for ${check.id}`);
      const slip = day.slips[check.id];
      add(eventsOf(typing(engine, view, step, slip ?? text, now()), check.id));
      readings += 1;
      running = '';
      if (slip !== undefined) {
        const seq = session.state.readings.at(-1)?.seq ?? 0;
        add(eventsOf(engine.correct(engine.view(session.state, now()), seq, text), check.id));
      }
      const note = day.notes[check.id];
      if (note) add([{ type: 'note', text: note, check: check.id }]);
      log.push(
        `${check.state} ${check.id} [${check.kind === 'choice' ? check.options.map((o) => o.id).join('|') : check.unit}] ${step.expected ? `~${formatValue({ kind: 'number', value: Number(fromBase(step.expected.value, check.unit).toPrecision(3)), unit: check.unit, unstable: false })}` : ''} = ${text}`,
      );
      const repaired = count === 0 ? day.repairs[check.id] : undefined;
      if (repaired) {
        putAway(engine, session, { ...day, finished: false }, add, wait, now);
        wait(20);
        add([{ type: 'repaired', ...repaired }]);
      }
      if (readings >= day.mostReadings) choosing = true;
      if (check.id === day.endsAfter) {
        putAway(engine, session, day, add, wait, now);
        return { log, end: `after ${check.id}` };
      }
      continue;
    }
    if (step.kind === 'gate') {
      add(eventsOf(passing(engine, view, step, step.gate, day.gates[step.gate.id], now()), step.gate.id));
      log.push(`gate ${step.gate.id}`);
      continue;
    }
    if (step.kind === 'danger') {
      add(eventsOf(engine.enter(view, step, 'yes', now()), 'power off'));
      log.push(`danger ${step.why}`);
      continue;
    }
    if (step.kind === 'describe-set' || step.kind === 'describe-bench')
      throw new Error(`${day.name}: ${step.kind}`);
    add(eventsOf(engine.enter(view, step, 'yes', now()), step.kind));
    log.push(
      `${step.kind} ${step.kind === 'power-up' ? step.to : step.kind === 'configure' ? `${step.item} ${step.value}` : step.why}`,
    );
  }
  throw new Error(`${day.name}: the walk does not end; last: ${log.slice(-8).join(' / ')}`);
}

/** Minutes that a step takes at the bench. */
function minutesOf(step: Step, view: WalkView): number {
  switch (step.kind) {
    case 'check':
      return step.check.minutes;
    case 'gate':
      return step.gate.id === 'anode-second' ? ANODE_WAIT_MINUTES : gateMinutes(step, view);
    case 'power-up':
    case 'power-off':
    case 'configure':
      return POWER_MINUTES[step.kind];
    default:
      return 0;
  }
}

/** What tells one step from another. */
function keyOf(step: Step): string {
  return step.kind === 'check' ? step.check.id : step.kind === 'gate' ? step.gate.id : step.kind;
}

/** Whatever happened: the plug is pulled before anybody solders or goes home. */
function putAway(
  engine: Engine,
  session: Session,
  day: BenchDay,
  add: (events: readonly SessionEvent[]) => void,
  wait: (minutes: number) => void,
  now: () => Date,
): void {
  const view = engine.view(session.state, now());
  if (view.safety.supply === 'isolated-limited' || view.safety.supply === 'isolated-full') {
    wait(1);
    add(eventsOf(engine.powerOff(view, 'readings done, plug pulled'), 'power off'));
  }
  if (day.finished) add([{ type: 'finished' }]);
}

function typed(answer: Answer | undefined, count: number): string | undefined {
  if (answer === undefined || typeof answer === 'string') return answer;
  return answer[Math.min(count, answer.length - 1)];
}

/** Marked values that resistors of such sets have, ohm. */
const MARKED = [22e3, 47e3, 100e3, 150e3, 220e3, 470e3];

/** The reading of a set in order; a resistor against its marking is a few percent high, as old ones are. */
function inOrder(check: Check, view: WalkView): string | undefined {
  if (check.kind !== 'pair' || check.quantity !== 'ohms' || check.pairLabels?.[1] !== 'marked')
    return healthyAnswer(check, view);
  const n = [...check.id].reduce((sum, letter) => sum + letter.charCodeAt(0), 0);
  const marked = MARKED[n % MARKED.length] ?? 100e3;
  const measured = Number((marked * (1.02 + (n % 9) / 100)).toPrecision(3));
  return `${measured / 1000}k/${marked / 1000}k`;
}

/** A question (`did you mean`) is answered with what was typed. */
function typing(engine: Engine, view: WalkView, step: Step, text: string, now: Date): Entry {
  const entry = engine.enter(view, step, text, now);
  const meant = entry.kind === 'ask' ? entry.alternatives[0]?.value : undefined;
  return meant ? engine.enter(view, step, text, now, { force: meant }) : entry;
}

function passing(
  engine: Engine,
  view: WalkView,
  step: Step,
  gate: Gate,
  text: string | undefined,
  now: Date,
): Entry {
  if (text !== undefined) return typing(engine, view, step, text, now);
  const value = passingAnswer(gate);
  const words =
    value.kind === 'choice' ? String(gate.options.findIndex((o) => o.id === value.option) + 1) : undefined;
  if (words === undefined) throw new Error(`no answer given for gate ${gate.id} (${gate.limitText})`);
  return engine.enter(view, step, words, now);
}

function eventsOf(entry: Entry, what: string): readonly SessionEvent[] {
  if (entry.kind !== 'events')
    throw new Error(`${what}: ${entry.message} ${entry.kind === 'refused' ? entry.hint : ''}`);
  return entry.events;
}
