// Turns what was typed at a step into events, or says why not. Nothing is recorded here: the caller journals the events first.
import type { JudgedReading } from '../diagnosis/index.ts';
import { readWith } from '../rulebook/instruments.ts';
import { isLiveCheck } from '../rulebook/live.ts';
import type { Check, Rulebook } from '../rulebook/types.ts';
import { accept, followUps, type Gate, judgeGate } from '../safety/index.ts';
import {
  canUndo,
  formatValue,
  fromBase,
  NO_SOURCE,
  type ParsedReading,
  parseReading,
  type ReadingSpec,
  type ReadingValue,
  type SessionEvent,
  SIGNAL_SOURCE,
  type SkipReason,
} from '../session/index.ts';
import { LINE_VOLTS } from '../session/types.ts';
import { circumstancesOf } from './beliefs.ts';
import { tooEarlyFor, tooEarlyWords } from './bring-up-rows.ts';
import { expectedFor, METER_SPREAD } from './expected.ts';
import { judgeReading } from './judge.ts';
import { runMinutesLeft } from './run-time.ts';
import { slipAt } from './slips.ts';
import type { BringUpRow, Entry, Judgement, Step, WalkView } from './types.ts';

/** Circumstances of one entry that the card does not settle. */
export interface EntryOptions {
  readonly note?: string;
  readonly instrument?: string;
  readonly lineVolts?: number;
  /** The value meant, after an `ask`. */
  readonly force?: ReadingValue;
}

const YES = /^(y|yes|ok|done|1)?$/i;
/** Power comes on only by a plain Enter or a word: `1`, which takes the first answer of any question, may still be in the fingers. */
const ON = /^(y|yes|ok|done|on)?$/i;
/** A digit alone, as it takes an answer of a question: at a number gate it is asked with its unit. */
const BARE_DIGIT = /^\s*[1-9]\s*$/;
/** Said to go on past a core part that is lost. */
const GO = /^go( on)?$/i;
/** Division of the usual HV probe. */
const PROBE = 1000;
/** Times what a row of the bring-up table expects at the set, from which on it is asked whether the dial was read. Judgement. */
const OVER_ROW = 1.5;

const refused = (message: string, hint = ''): Entry => ({ kind: 'refused', message, hint });
const events = (list: readonly SessionEvent[], say = ''): Entry => ({ kind: 'events', events: list, say });

/** A sentence with its stop; a title that asks has one. */
const closed = (text: string): string => (/[.!?]$/.test(text) ? text : `${text}.`);

/** What a check expects to be typed; limits of plausibility go into the check's own unit. */
export function specOf(check: Check): ReadingSpec {
  return {
    kind: check.kind,
    quantity: check.quantity,
    unit: check.unit,
    options: check.options,
    ...(check.plausible
      ? {
          plausible: [
            fromBase(check.plausible[0], check.unit),
            fromBase(check.plausible[1], check.unit),
          ] as const,
        }
      : {}),
    ...(check.pairLabels ? { pairLabels: check.pairLabels } : {}),
  };
}

/** A parsed entry as an `Entry`, the value handed on if there is one. */
function withValue(parsed: ParsedReading, then: (value: ReadingValue) => Entry): Entry {
  if (parsed.ok === true) return then(parsed.value);
  if (parsed.ok === 'ask') return { kind: 'ask', message: parsed.message, alternatives: parsed.alternatives };
  return refused(parsed.message, parsed.hint ?? '');
}

function read(text: string, spec: ReadingSpec, options: EntryOptions): ParsedReading {
  return options.force ? { ok: true, value: options.force } : parseReading(text, spec);
}

/** What typing `text` at `step` amounts to. */
export function enterAt(view: WalkView, step: Step, text: string, now: Date, options: EntryOptions): Entry {
  switch (step.kind) {
    case 'gate': {
      const bare = options.force ? undefined : unitWanted(step.gate, text);
      const asked = bare ?? onProbe(view, step.gate, text, options);
      if (asked) return asked;
      return withValue(read(text, step.gate, options), (value) => {
        const list: SessionEvent[] = [
          ...linksOff(view, step.gate, value),
          { type: 'gate', gate: step.gate.id, raw: text, value },
          ...followUps(step.gate, value),
          ...noSignalYet(view, step.gate.id),
        ];
        return guarded(view, list, now, judgeGate(step.gate, value).say);
      });
    }
    case 'check':
      return withValue(read(text, specOf(step.check), options), (value) => {
        const slip = options.force ? undefined : slipAt(step.check, text, value, step.expected);
        if (slip) return slip;
        const left = runMinutesLeft(step.check, view.state, now);
        if (left > 0)
          return refused(
            `This run is not old enough: ${left} min more, then it is answered.`,
            'Leave it out with ^K, or go on with another check (^F).',
          );
        const list: SessionEvent[] = [readingEvent(view, step.check, text, value, options)];
        return guarded(view, list, now, '');
      });
    case 'power-up': {
      if (options.force || !ON.test(text.trim())) return powerUpVolts(view, step, text, now, options);
      const lineVolts = view.state.lineVolts > 0 ? view.state.lineVolts : (view.state.set?.lineVolts ?? 0);
      return guarded(
        view,
        [{ type: 'powered-up', to: step.to, lineVolts }],
        now,
        'Power on recorded. Hands out.',
      );
    }
    case 'power-off':
      return YES.test(text.trim())
        ? powerOffEntry(view, step.why)
        : refused('Press Enter when the plug is pulled.');
    case 'danger':
      return YES.test(text.trim()) ? powerOffEntry(view, step.why) : refused('Unplug now, then press Enter.');
    case 'configure':
      if (!YES.test(text.trim())) return refused('Press Enter when it is done, Esc to leave it.');
      return guarded(
        view,
        [{ type: 'configured', item: step.item, value: step.value }],
        now,
        `${step.title}: recorded.`,
      );
    case 'stop':
      if (step.lost === undefined) return refused('There is nothing to type here.');
      return GO.test(text.trim())
        ? events([{ type: 'went-on', assembly: step.lost.assembly }], 'Going on: what else is wrong.')
        : refused('Enter for the verdict, or type go and Enter to go on all the same.');
    case 'describe-set':
    case 'describe-bench':
      return refused('There is nothing to type here.');
  }
}

/** All off, said and counted: the links that were noted as fitted are off with the rest. */
function linksOff(view: WalkView, gate: Gate, value: ReadingValue): SessionEvent[] {
  return gate.id === 'links-removed' && judgeGate(gate, value).pass
    ? view.safety.links.map((what) => ({ type: 'link-removed', what }))
    : [];
}

/** What a meter on the probe stands for that shows this; undefined where it shows nothing at all, or no volts. */
function timesProbe(value: ReadingValue): ReadingValue | undefined {
  switch (value.kind) {
    case 'number':
    case 'bound':
      return value.value === 0 ? undefined : { ...value, value: value.value * PROBE };
    case 'range':
      return { ...value, low: value.low * PROBE, high: value.high * PROBE };
    default:
      return undefined;
  }
}

/** A meter on a probe of 1000:1 shows volts for kilovolts: what is typed in volts where a probe is on the bench is asked about. */
function onProbe(view: WalkView, gate: Gate, text: string, options: EntryOptions): Entry | undefined {
  if (!gate.unitNeeded || options.force || !view.state.instruments.includes('hv-probe')) return undefined;
  const parsed = parseReading(text, gate);
  if (parsed.ok !== true || /k/i.test(text)) return undefined;
  const { value } = parsed;
  const probed = timesProbe(value);
  if (probed === undefined) return undefined;
  return {
    kind: 'ask',
    message: 'Read by the meter itself, or shown by a meter on the probe, 1000 to 1?',
    alternatives: [
      { label: `${formatValue(value)}, by the meter itself`, value },
      { label: `on the probe: ${formatValue(probed)}`, value: probed },
    ],
  };
}

/** Refuses a number at a gate that may be a slip of the fingers, or a probe taken for a meter. */
function unitWanted(gate: Gate, text: string): Entry | undefined {
  if (gate.kind !== 'number') return undefined;
  if (BARE_DIGIT.test(text))
    return refused(
      `With its unit: ${text.trim()}${gate.unit === 'ohm' ? ' ohm' : gate.unit}. A digit alone may be meant for another question.`,
    );
  return gate.unitNeeded && Number(text) !== 0 && !/[a-z]/i.test(text)
    ? refused(
        'With its unit: V for a meter, kV for the probe. A probe of 1000:1 that shows 0.3 V stands at 0.3 kV.',
      )
    : undefined;
}

/** With nothing earthed clipped on, no signal source is connected either: said once, so that nobody goes cold to say it. */
function noSignalYet(view: WalkView, gate: string): SessionEvent[] {
  return gate === 'nothing-earthed' && view.state.config.signal === undefined
    ? [{ type: 'configured', item: 'signal', value: 'none' }]
    : [];
}

/** Line volts typed at a power-up: what the meter shows at the set's plug. */
function powerUpVolts(
  view: WalkView,
  { to, rows }: Extract<Step, { kind: 'power-up' }>,
  text: string,
  now: Date,
  options: EntryOptions,
): Entry {
  const [least, most] = LINE_VOLTS;
  const spec: ReadingSpec = { kind: 'number', quantity: 'ac-volts', unit: 'V', plausible: LINE_VOLTS };
  return withValue(read(text, spec, options), (value) => {
    const dial = options.force || to !== 'isolated-limited' ? undefined : offTheDial(value, rows[0]);
    if (dial) return dial;
    return value.kind === 'number' && value.value >= least && value.value <= most
      ? guarded(
          view,
          [
            { type: 'line-volts', lineVolts: value.value },
            { type: 'powered-up', to, lineVolts: value.value },
          ],
          now,
          'Power on recorded. Hands out.',
        )
      : refused(`Type the volts at the set’s plug, ${least} to ${most} V.`);
  });
}

/** Behind a lamp the set gets less than the dial shows: what is far more than the first row of the table may have been read off the dial. */
function offTheDial(value: ReadingValue, row: BringUpRow | undefined): Entry | undefined {
  if (value.kind !== 'number' || row === undefined || value.value <= OVER_ROW * row.lineVolts)
    return undefined;
  const atSet = Math.round(row.lineVolts);
  const own = formatValue(value);
  return {
    kind: 'ask',
    message: `Some ${atSet} V at the set are expected in this row. Is ${own} what a meter shows there? Esc, if it was read off the dial.`,
    alternatives: [{ label: `${own}, by a meter at the set's plug`, value }],
  };
}

/** Events only if safety accepts every one of them. */
function guarded(view: WalkView, list: readonly SessionEvent[], now: Date, say: string): Entry {
  const answer = accept(list, view, now);
  return answer.ok ? events(list, say) : refused(answer.why, answer.hint);
}

function readingEvent(
  view: WalkView,
  check: Check,
  raw: string,
  value: ReadingValue,
  options: EntryOptions,
): SessionEvent {
  const state = view.state;
  const live = isLiveCheck(check);
  const lineVolts = live
    ? (options.lineVolts ?? (state.lineVolts > 0 ? state.lineVolts : (state.set?.lineVolts ?? 0)))
    : 0;
  const instrument = options.instrument ?? readWith(check.needs, new Set(state.instruments));
  return {
    type: 'reading',
    check: check.id,
    raw,
    value,
    // A live reading typed after power-off was taken in the state just left.
    context: {
      lineVolts,
      instrument,
      supply: (live && view.safety.held?.supply) || view.safety.supply,
      config: { ...state.config },
    },
    ...(options.note ? { note: options.note } : {}),
  };
}

/** Judgement of what is being typed; `undefined` while it is not a reading yet. */
export function previewAt(book: Rulebook, view: WalkView, step: Step, text: string): Judgement | undefined {
  if (step.kind !== 'check' || text.trim() === '') return undefined;
  const parsed = parseReading(text, specOf(step.check));
  if (parsed.ok === false) return undefined;
  return judgeReading(book, judgedNow(book, view, step.check, parsed.value));
}

function judgedNow(book: Rulebook, view: WalkView, check: Check, value: ReadingValue): JudgedReading {
  const set = view.state.set;
  const instrument = readWith(check.needs, new Set(view.state.instruments)) || 'dmm';
  const line = view.state.lineVolts > 0 ? view.state.lineVolts : (set?.lineVolts ?? 0);
  const at = set ? circumstancesOf(book, set, line, instrument) : undefined;
  const least = at && isLiveCheck(check) ? tooEarlyFor(check, at) : undefined;
  return {
    seq: 0,
    check,
    value,
    expected: at ? expectedFor(check, at) : undefined,
    meterSpread: METER_SPREAD[instrument] ?? 0.02,
    ...(least === undefined ? {} : { early: tooEarlyWords(least) }),
  };
}

/** Leaves a check out, with one of the fixed reasons. */
export function skipCheck(view: WalkView, check: Check, reason: SkipReason, note?: string): Entry {
  if (view.state.skipped.some((s) => s.check === check.id && s.reason === reason))
    return refused(
      reason === 'later'
        ? 'Put off already, and it is due now: take it, or leave it out for another reason.'
        : 'Skipped already.',
    );
  return events(
    [{ type: 'skipped', check: check.id, reason, ...(note ? { note } : {}) }],
    closed(`Skipped: ${check.title}`),
  );
}

/** There is no signal source on the bench today. */
export function noSourceEntry(): Entry {
  return events(
    [{ type: 'configured', item: SIGNAL_SOURCE, value: NO_SOURCE }],
    'No signal source today: what needs one is left out. ^Z takes that back.',
  );
}

/** Power off: always accepted, from anywhere; out of turn it is asked afterwards why. */
export function powerOffEntry(_view: WalkView, why: string, outOfTurn = false): Entry {
  return events(
    [{ type: 'powered-off', why, ...(outOfTurn ? { outOfTurn: true as const } : {}) }],
    'Power off recorded. Treat everything as charged until it reads zero.',
  );
}

/** Takes back the last entry that can be taken back; power and safety losses stay. */
export function undoLast(view: WalkView): Entry {
  const undone = new Set(view.state.history.flatMap((e) => (e.type === 'undone' ? [e.target] : [])));
  const last = [...view.state.history].reverse().find((e) => canUndo(e.type) && !undone.has(e.seq));
  if (!last) return refused('Nothing to take back.');
  if (view.state.history.some((e) => e.seq > last.seq && e.type === 'powered-off'))
    return refused('Power off is not taken back. A reading before it is put right in the list of readings.');
  return events([{ type: 'undone', target: last.seq }], 'Taken back.');
}

/** Corrects a reading; the old value stays in the record. */
export function correctReading(book: Rulebook, view: WalkView, seq: number, text: string): Entry {
  const reading = view.state.readings.find((r) => r.seq === seq);
  const check = book.checks.find((c) => c.id === reading?.check);
  if (!reading || !check) return refused('This reading belongs to a check that the rule base no longer has.');
  return withValue(parseReading(text, specOf(check)), (value) =>
    events([{ type: 'corrected', target: seq, raw: text, value }], closed(`Corrected: ${check.title}`)),
  );
}
