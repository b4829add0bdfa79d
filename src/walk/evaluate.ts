// Walks a case without a screen: the same engine, answers from a case file or a simulated set instead of a technician.
import { isLiveCheck } from '../rulebook/live.ts';
import type { Check } from '../rulebook/types.ts';
import { passingAnswer } from '../safety/index.ts';
import {
  emptyState,
  fold,
  type RecordedEvent,
  type SessionEvent,
  type SessionState,
} from '../session/index.ts';
import type { Case, CaseAnswer } from './case-file.ts';
import type { Engine } from './engine.ts';
import type { Entry, Step, WalkView } from './types.ts';

/** What would be read at a check; `undefined` = it cannot be measured on this set. */
export type Answerer = (check: Check, view: WalkView) => string | undefined;

export interface WalkedCheck {
  readonly check: string;
  readonly answer: string;
  readonly minutes: number;
  readonly state: string;
}

export interface WalkResult {
  readonly view: WalkView;
  readonly asked: readonly WalkedCheck[];
  /** Checks that were asked for and could not be answered. */
  readonly unanswered: readonly string[];
  /** Bench minutes: checks, gates and changes of supply state. */
  readonly minutes: number;
  /** Why it ended. */
  readonly end: string;
  /** Answers that the program could not read, with its message. */
  readonly refused: readonly { readonly check: string; readonly message: string }[];
}

export interface WalkOptions {
  readonly startedAt?: Date;
  /** Ends after this many bench minutes. */
  readonly mostMinutes?: number;
  /** Goes on after the stop rule until nothing is left to ask. */
  readonly pastStop?: boolean;
  /** Goes on past a core part that is lost, as an owner may want it. */
  readonly goOn?: boolean;
  /** Picks the next check among those that may come now; the planner's own choice if left out. */
  readonly choose?: (view: WalkView) => string | undefined;
  /** Called after every reading. */
  readonly onReading?: (view: WalkView, minutes: number) => void;
  /** Goes on with the record of an earlier walk, after these events. */
  readonly after?: {
    readonly state: SessionState;
    readonly minutes: number;
    readonly events: readonly SessionEvent[];
  };
  /** Explain suspects and grades at the end (slower). */
  readonly explained?: boolean;
}

/** More steps than any walk needs: a rule pack that leads in circles must not hang. */
const MOST_STEPS = 1500;
/** Minutes charged for a power step (common practice, no source). */
const POWER_MINUTES = { 'power-up': 4, 'power-off': 3, configure: 3 } as const;

/** A session state that grows by events, with a clock that runs on bench minutes. */
class Bench {
  state: SessionState = emptyState();
  minutes = 0;
  readonly start: number;

  constructor(startedAt: Date) {
    this.start = startedAt.getTime();
  }

  get now(): Date {
    return new Date(this.start + Math.round(this.minutes * 60_000));
  }

  add(events: readonly SessionEvent[]): void {
    for (const event of events) {
      const recorded: RecordedEvent = { ...event, seq: this.state.lastSeq + 1, at: this.now.toISOString() };
      this.state = fold(this.state, recorded);
    }
  }
}

/** Describes set and bench of a case in a fresh record. */
function begin(one: Pick<Case, 'set' | 'instruments'>, options: WalkOptions): Bench {
  const record = new Bench(options.startedAt ?? new Date('2000-01-01T18:00:00Z'));
  if (options.after) {
    record.state = options.after.state;
    record.minutes = options.after.minutes;
    record.add(options.after.events);
    return record;
  }
  record.add([
    { type: 'set-described', set: one.set },
    { type: 'bench-described', instruments: one.instruments },
  ]);
  return record;
}

/** Applies every answer at once, gates and order aside: what the diagnosis makes of all the evidence. */
export function evaluateAll(engine: Engine, one: Case, options: WalkOptions = {}): WalkResult {
  const record = begin(one, options);
  const asked: WalkedCheck[] = [];
  const refused: { check: string; message: string }[] = [];
  for (const [id, answers] of one.answers) {
    const check = engine.book.checks.find((c) => c.id === id);
    if (!check) continue;
    for (const answer of answers) {
      const entry = typedAt(engine, record, check, answer);
      if (entry.kind !== 'events') {
        refused.push({ check: id, message: entry.message });
        continue;
      }
      record.add(entry.events);
      asked.push({ check: id, answer: answer.text, minutes: check.minutes, state: check.state });
    }
  }
  const view = engine.view(record.state, record.now, { trust: true, explained: options.explained ?? true });
  return { view, asked, unanswered: [], minutes: view.minutes, end: 'all answers applied', refused };
}

/** A typed answer as a reading event, in the context that its check asks for. */
function typedAt(engine: Engine, record: Bench, check: Check, answer: CaseAnswer): Entry {
  const live = isLiveCheck(check);
  const parsed = engine.parse(check, answer.text);
  if (!parsed.ok) return { kind: 'refused', message: parsed.message, hint: '' };
  return {
    kind: 'events',
    say: '',
    events: [
      {
        type: 'reading',
        check: check.id,
        raw: answer.text,
        value: parsed.value,
        context: {
          lineVolts: live ? (answer.lineVolts ?? record.state.set?.lineVolts ?? 0) : 0,
          instrument: answer.instrument || (check.needs[0] ?? 'dmm'),
          supply:
            check.state === 'S2' ? 'isolated-full' : check.state === 'S1' ? 'isolated-limited' : 'discharged',
          config: { ...check.config },
        },
        ...(answer.note ? { note: answer.note } : {}),
      },
    ],
  };
}

/** The planner asks, the case answers, until the walk ends by itself or by `options`. */
export function evaluateWalk(
  engine: Engine,
  one: Pick<Case, 'set' | 'instruments'>,
  answer: Answerer,
  options: WalkOptions = {},
): WalkResult {
  const record = begin(one, options);
  const asked: WalkedCheck[] = [];
  const unanswered: string[] = [];
  const refused: { check: string; message: string }[] = [];
  let view = engine.view(record.state, record.now);
  let end = 'too many steps';
  let refusals = 0;
  for (let n = 0; n < MOST_STEPS; n += 1) {
    const step = chosenStep(engine, view, options);
    if (step.kind === 'stop' && step.lost !== undefined && options.goOn) {
      record.add([{ type: 'went-on', assembly: step.lost.assembly }]);
      view = engine.view(record.state, record.now);
      continue;
    }
    if (step.kind === 'stop' || step.kind === 'describe-set' || step.kind === 'describe-bench') {
      end = step.kind === 'stop' ? step.say : step.kind;
      break;
    }
    if (options.mostMinutes !== undefined && record.minutes >= options.mostMinutes) {
      end = 'out of time';
      break;
    }
    if (step.kind === 'check') {
      const { check } = step;
      const text = answer(check, view);
      // Measured first, typed then: a proof that has lapsed meanwhile is found out at the entry.
      record.minutes += text === undefined ? 0 : check.minutes;
      const entry: Entry =
        text === undefined
          ? engine.skip(view, check, 'cannot-reach')
          : settled(engine, view, step, text, record.now);
      if (entry.kind !== 'events') refused.push({ check: check.id, message: entry.message });
      const given = entry.kind === 'events' && text !== undefined;
      record.add(
        entry.kind === 'events'
          ? entry.events
          : [{ type: 'skipped', check: check.id, reason: 'other', note: entry.message }],
      );
      if (given) asked.push({ check: check.id, answer: text, minutes: check.minutes, state: check.state });
      else unanswered.push(check.id);
      view = engine.view(record.state, record.now);
      if (given) options.onReading?.(view, record.minutes);
      continue;
    }
    record.minutes +=
      step.kind === 'gate' ? gateMinutes(step, view) : step.kind === 'danger' ? 0 : POWER_MINUTES[step.kind];
    const entry =
      step.kind === 'gate'
        ? settledGate(engine, view, step, record.now)
        : engine.enter(view, step, 'yes', record.now);
    if (entry.kind === 'events') record.add(entry.events);
    refusals = entry.kind === 'events' ? 0 : refusals + 1;
    // A proof may have lapsed while the minutes of this step ran: look again, but not for ever.
    if (refusals > 3) {
      end = `stuck at ${step.kind}: ${entry.kind === 'events' ? '' : entry.message}`;
      break;
    }
    view = engine.view(record.state, record.now);
  }
  const last = engine.view(record.state, record.now, { explained: options.explained ?? false });
  return { view: last, asked, unanswered, minutes: Math.round(record.minutes * 10) / 10, end, refused };
}

function chosenStep(engine: Engine, view: WalkView, options: WalkOptions): Step {
  const own = options.choose?.(view);
  if (own !== undefined && view.step.kind !== 'gate' && view.step.kind !== 'danger') {
    const step = engine.stepFor(view, own);
    if (!('missing' in step)) return step;
  }
  if (view.step.kind === 'stop' && options.pastStop) {
    const next = view.plan.ranked[0];
    if (next) {
      const step = engine.stepFor(view, next.check.id);
      if (!('missing' in step)) return step;
    }
  }
  return view.step;
}

/** An `ask` is answered with what was typed: a case means what it says. */
function settled(
  engine: Engine,
  view: WalkView,
  step: Step & { kind: 'check' },
  text: string,
  now: Date,
): Entry {
  const entry = engine.enter(view, step, text, now);
  if (entry.kind !== 'ask') return entry;
  const typed = engine.parse(step.check, text);
  return typed.ok ? engine.enter(view, step, text, now, { force: typed.value }) : entry;
}

function settledGate(engine: Engine, view: WalkView, step: Step & { kind: 'gate' }, now: Date): Entry {
  return engine.enter(view, step, 'assumed', now, { force: passingAnswer(step.gate) });
}

/** The wait between two discharges of the anode, and the holds of the bring-up, run in the gate's own minutes. */
export function gateMinutes({ gate }: Step & { kind: 'gate' }, { safety }: WalkView): number {
  const wait =
    gate.id === 'anode-second'
      ? 5.1
      : gate.id === 'bring-up-finished'
        ? (safety.bringUp?.seconds ?? 0) / 60
        : 0;
  return Math.max(gate.minutes, wait);
}

/** The answers of a case file, in the order given, repeated readings one after the other. */
export function answersOf(one: Case): Answerer {
  const given = new Map<string, number>();
  return (check) => {
    const list = one.answers.get(check.id);
    if (!list || list.length === 0) return undefined;
    const n = given.get(check.id) ?? 0;
    given.set(check.id, n + 1);
    return list[Math.min(n, list.length - 1)]?.text;
  };
}
