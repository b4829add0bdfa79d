// Events -> session state. Pure: no disk, no clock. What safety looks at (`safetyLog`) only ever grows:
// taking back an entry there adds a withdrawal, so that no undo can bring an earlier proof back to life.
import type { Door, LoggedReading, RecordedEvent, SafetyEntry, SessionEvent, SessionState } from './types.ts';

/** Choice value that stands for "this answer was taken back" in a safety log entry; proves nothing, for any gate. */
export const WITHDRAWN = 'withdrawn';

/** Event types that can be taken back. Power, links, touches and the like happened; they are answered by a new event. */
const UNDOABLE: ReadonlySet<SessionEvent['type']> = new Set([
  'set-described',
  'bench-described',
  'reading',
  'skipped',
  'corrected',
  'gate',
  'configured',
  'line-volts',
  'repaired',
  'note',
  'owner-wish',
  'went-on',
  'timer-started',
  'finished',
]);

/** True if an event of this type can be taken back by `undone`. */
export function canUndo(type: SessionEvent['type']): boolean {
  return UNDOABLE.has(type);
}

/** The state before anything happened. */
export function emptyState(): SessionState {
  return {
    set: undefined,
    instruments: [],
    readings: [],
    skipped: [],
    safetyLog: [],
    config: {},
    links: [],
    repairs: [],
    notes: [],
    lineVolts: 0,
    ownerWish: 'unknown',
    wentOn: [],
    timers: [],
    finished: false,
    lastSeq: 0,
    startedAt: '',
    lastAt: '',
    history: [],
  };
}

type Writable<T> = { -readonly [K in keyof T]: T[K] };
/** A state under construction; its lists are its own copies. */
interface Draft extends Omit<Writable<SessionState>, Lists> {
  readings: LoggedReading[];
  skipped: SessionState['skipped'][number][];
  safetyLog: SafetyEntry[];
  links: string[];
  repairs: SessionState['repairs'][number][];
  notes: SessionState['notes'][number][];
  timers: SessionState['timers'][number][];
  history: RecordedEvent[];
}
type Lists = 'readings' | 'skipped' | 'safetyLog' | 'links' | 'repairs' | 'notes' | 'timers' | 'history';

function draftOf(state: SessionState): Draft {
  return {
    ...state,
    readings: [...state.readings],
    skipped: [...state.skipped],
    safetyLog: [...state.safetyLog],
    links: [...state.links],
    repairs: [...state.repairs],
    notes: [...state.notes],
    timers: [...state.timers],
    history: [...state.history],
  };
}

/** The state after one more event. Events must come in order of their sequence numbers. */
export function fold(state: SessionState, event: RecordedEvent): SessionState {
  if (event.type === 'undone' || event.type === 'corrected') {
    const withEvent = [...state.history, event];
    const safetyLog = [...state.safetyLog, ...withdrawal(state.history, event)];
    return { ...replay(withEvent), safetyLog };
  }
  const draft = draftOf(state);
  record(draft, event);
  apply(draft, event, undefined);
  draft.safetyLog.push(...safetyOfEvent(event));
  return draft;
}

/** The state after all events; the same as folding them one by one, in linear time. */
export function foldAll(events: readonly RecordedEvent[]): SessionState {
  const safetyLog: SafetyEntry[] = [];
  for (const [index, event] of events.entries()) {
    const change = event.type === 'undone' || event.type === 'corrected';
    safetyLog.push(...(change ? withdrawal(events.slice(0, index), event) : safetyOfEvent(event)));
  }
  return { ...replay(events), safetyLog };
}

/** Everything but the safety log, with undone events left out and corrected readings in their last form. */
function replay(events: readonly RecordedEvent[]): SessionState {
  const types = new Map(events.map((event) => [event.seq, event.type]));
  const undone = new Set<number>();
  for (const event of events) {
    const type = event.type === 'undone' ? types.get(event.target) : undefined;
    if (event.type === 'undone' && type !== undefined && event.target < event.seq && canUndo(type)) {
      undone.add(event.target);
    }
  }
  const corrections = new Map<number, Extract<RecordedEvent, { type: 'corrected' }>[]>();
  for (const event of events) {
    if (event.type !== 'corrected' || undone.has(event.seq) || event.target >= event.seq) continue;
    corrections.set(event.target, [...(corrections.get(event.target) ?? []), event]);
  }
  const draft = draftOf(emptyState());
  for (const event of events) {
    record(draft, event);
    if (event.type === 'configured' && undone.has(event.seq)) {
      // The item is then not known, rather than what it was before: nobody says what the set looks like now.
      const { [event.item]: _, ...rest } = draft.config;
      draft.config = rest;
    } else if (!undone.has(event.seq)) {
      apply(draft, event, corrections.get(event.seq));
    }
  }
  return draft;
}

function record(draft: Draft, event: RecordedEvent): void {
  draft.history.push(event);
  draft.lastSeq = event.seq;
  draft.lastAt = event.at;
  if (draft.startedAt === '') draft.startedAt = event.at;
}

function apply(
  draft: Draft,
  event: RecordedEvent,
  corrections: readonly Extract<RecordedEvent, { type: 'corrected' }>[] | undefined,
): void {
  const { seq, at } = event;
  switch (event.type) {
    case 'set-described':
      draft.set = event.set;
      return;
    case 'bench-described':
      draft.instruments = event.instruments;
      draft.config = withoutSourceWord(draft.config);
      return;
    case 'reading': {
      const last = corrections?.at(-1);
      draft.readings.push({
        seq,
        at,
        check: event.check,
        raw: last?.raw ?? event.raw,
        value: last?.value ?? event.value,
        context: event.context,
        note: event.note ?? '',
        corrections:
          corrections === undefined ? [] : [event.raw, ...corrections.slice(0, -1).map((c) => c.raw)],
        epoch: 0,
      });
      draft.skipped = draft.skipped.filter((skip) => skip.check !== event.check);
      draft.finished = false;
      return;
    }
    case 'skipped':
      draft.skipped = draft.skipped.filter((skip) => skip.check !== event.check);
      draft.skipped.push({ seq, check: event.check, reason: event.reason, note: event.note ?? '' });
      return;
    case 'powered-up':
      draft.lineVolts = event.lineVolts;
      draft.finished = false;
      return;
    case 'powered-off':
      draft.lineVolts = 0;
      return;
    case 'line-volts':
      draft.lineVolts = event.lineVolts;
      return;
    case 'configured':
      draft.config = { ...draft.config, [event.item]: event.value };
      return;
    case 'link-fitted':
      draft.links = [...draft.links.filter((what) => what !== event.what), event.what];
      return;
    case 'link-removed':
      draft.links = draft.links.filter((what) => what !== event.what);
      return;
    case 'repaired': {
      const { part, action, found } = event;
      draft.repairs.push({ seq, at, part, action, found, note: event.note ?? '' });
      draft.finished = false;
      return;
    }
    case 'note':
      draft.notes.push({ seq, at, text: event.text, check: event.check ?? '' });
      return;
    case 'owner-wish':
      draft.ownerWish = event.wish;
      return;
    case 'went-on':
      draft.wentOn = [...draft.wentOn, event.assembly];
      draft.finished = false;
      return;
    case 'timer-started':
      draft.timers.push({ timer: event.timer, startedAt: at, seconds: event.seconds });
      return;
    case 'finished':
      draft.finished = true;
      return;
    case 'corrected':
    case 'undone':
    case 'gate':
    case 'touched':
    case 'resumed':
      draft.config = withoutSourceWord(draft.config);
      return;
  }
}

/** Configuration item and value by which somebody says that there is no signal source on the bench; it holds until the bench is another. */
export const SIGNAL_SOURCE = 'signal-source';
export const NO_SOURCE = 'none';

function withoutSourceWord({
  [SIGNAL_SOURCE]: _gone,
  ...rest
}: SessionState['config']): SessionState['config'] {
  return rest;
}

const doorOf = ({ door }: { readonly door?: Door }): { readonly door?: Door } =>
  door === undefined ? {} : { door };

/** What one event says to safety, as an entry of the safety log. */
export function safetyOfEvent(event: RecordedEvent): readonly SafetyEntry[] {
  const { seq, at } = event;
  switch (event.type) {
    case 'set-described':
      return [{ type: 'described', seq, at, set: event.set }];
    case 'gate':
      return [{ type: 'gate', seq, at, gate: event.gate, value: event.value, ...doorOf(event) }];
    case 'powered-up':
      return [{ type: 'powered-up', seq, at, to: event.to, lineVolts: event.lineVolts, ...doorOf(event) }];
    case 'powered-off':
      return [
        {
          type: 'powered-off',
          seq,
          at,
          why: event.why,
          ...(event.outOfTurn === undefined ? {} : { outOfTurn: event.outOfTurn }),
        },
      ];
    case 'bench-described':
      return [{ type: 'bench', seq, at, instruments: event.instruments }];
    case 'touched':
      return [{ type: 'touched', seq, at, what: event.what }];
    case 'configured':
      return [{ type: 'configured', seq, at, item: event.item, value: event.value }];
    case 'link-fitted':
    case 'link-removed':
      return [{ type: event.type, seq, at, what: event.what }];
    case 'reading':
      return [{ type: 'check', seq, at, check: event.check, value: event.value, ...doorOf(event) }];
    case 'resumed':
      return [{ type: 'resumed', seq, at }];
    case 'line-volts':
      return [{ type: 'line-volts', seq, at, lineVolts: event.lineVolts }];
    case 'repaired':
      return [{ type: 'repaired', seq, at, part: event.part }];
    default:
      return [];
  }
}

/**
 * What taking back or correcting an event says to safety: a gate's proof is gone (it must be answered again),
 * a configuration is unknown, a corrected reading is judged anew. Nothing is ever taken out of the log.
 */
function withdrawal(
  history: readonly RecordedEvent[],
  event: Extract<RecordedEvent, { type: 'undone' | 'corrected' }>,
): readonly SafetyEntry[] {
  const target = history.findLast((earlier) => earlier.seq === event.target);
  if (target === undefined) return [];
  const { seq, at } = event;
  if (target.type === 'gate') {
    return [{ type: 'gate', seq, at, gate: target.gate, value: { kind: 'choice', option: WITHDRAWN } }];
  }
  if (target.type === 'line-volts' && event.type === 'undone') {
    const { lineVolts } = replay([...history, event]);
    return [{ type: 'line-volts', seq, at, lineVolts, takesBack: target.seq }];
  }
  if (target.type === 'configured' && event.type === 'undone') {
    return [{ type: 'configured', seq, at, item: target.item, value: WITHDRAWN }];
  }
  if (target.type === 'bench-described' && event.type === 'undone') {
    return [{ type: 'bench', seq, at, instruments: replay([...history, event]).instruments }];
  }
  if (target.type === 'set-described' && event.type === 'undone') {
    const { set } = replay([...history, event]);
    return set === undefined ? [] : [{ type: 'described', seq, at, set }];
  }
  if (target.type === 'reading' && event.type === 'corrected') {
    return [{ type: 'check', seq, at, check: target.check, value: event.value, corrects: target.seq }];
  }
  if (target.type === 'corrected' && event.type === 'undone') {
    // What was read before the correction is in the record again: judged as it was.
    const again = replay([...history, event]).readings.find((reading) => reading.seq === target.target);
    return again === undefined
      ? []
      : [{ type: 'check', seq, at, check: again.check, value: again.value, corrects: again.seq }];
  }
  return [];
}
