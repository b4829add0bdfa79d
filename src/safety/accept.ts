// The last door before the journal: an event that is not allowed now is refused, with what is missing. Nothing gets by it.
import type { Check } from '../rulebook/types.ts';
import { canUndo, SIGNAL_SOURCE, safetyOfEvent } from '../session/fold.ts';
import type { ReadingValue, SessionEvent, SessionState } from '../session/types.ts';
import { antennaOf } from './antenna.ts';
import { barsOf } from './bars.ts';
import { bringUpWords } from './bring-up.ts';
import { type GateId, NOT_YET } from './gate.ts';
import { ANODE_WAIT_SECONDS } from './gates-cold.ts';
import { judgeGate } from './judge.ts';
import { anodeDue, DRIVE, isDriven, permitsHorizontal, permitsPlace, permitsPower } from './permit.ts';
import { lineWords } from './power.ts';
import { gatesById } from './proofs.ts';
import type { SafetyState } from './state.ts';

/** What is known when an event is offered; a walk view has it all. */
export interface AcceptView {
  readonly state: SessionState;
  readonly safety: SafetyState;
  /** Every check that applies to this set. `locked` = something that it waits for is missing. */
  readonly standings: readonly {
    readonly check: Check;
    readonly status: string;
    readonly missing: readonly string[];
  }[];
}

export type Acceptance =
  | { readonly ok: true }
  | { readonly ok: false; readonly why: string /** What to do first. */; readonly hint: string };

const OK: Acceptance = { ok: true };
const refuse = (why: string, missing: readonly string[] = []): Acceptance => ({
  ok: false,
  why,
  hint: missing.length === 0 ? '' : `Missing: ${missing.join('; ')}.`,
});

/**
 * May these events be recorded, one after the other, now? Power-off is always accepted. A reading is accepted only in the supply
 * state, configuration and order that its check asks; a live reading also for ten minutes after an orderly power-off.
 */
export function accept(
  events: SessionEvent | readonly SessionEvent[],
  view: AcceptView,
  now: Date,
): Acceptance {
  const list = 'type' in events ? [events] : events;
  let safety = view.safety.after(undefined, now);
  let config = view.state.config;
  let seq = view.state.lastSeq;
  const cold = safety.supply;
  for (const event of list) {
    const answer = acceptOne(event, {
      state: view.state,
      standings: view.standings,
      safety,
      config,
      supplyBefore: cold,
    });
    if (!answer.ok) return answer;
    seq += 1;
    for (const entry of safetyOfEvent({ ...event, seq, at: now.toISOString() }))
      safety = safety.after(entry, now);
    if (event.type === 'configured') config = { ...config, [event.item]: event.value };
  }
  return OK;
}

interface Moment extends AcceptView {
  readonly config: Readonly<Record<string, string>>;
  readonly supplyBefore: SafetyState['supply'];
}

function isLive(safety: SafetyState): boolean {
  return safety.supply === 'isolated-limited' || safety.supply === 'isolated-full';
}

function acceptOne(event: SessionEvent, moment: Moment): Acceptance {
  const { safety } = moment;
  switch (event.type) {
    case 'reading':
      return acceptReading(event, moment);
    case 'gate':
      return acceptGate(event.gate, event.value, safety);
    case 'powered-up':
      return acceptPower(event.to, event.lineVolts, moment);
    case 'line-volts':
      return acceptLine(event.lineVolts, safety);
    case 'configured':
      return acceptConfig(event.item, event.value, moment);
    case 'undone':
    case 'corrected':
      return acceptChange(event, moment);
    case 'set-described':
    case 'bench-described':
      return isLive(safety)
        ? refuse('Power off first: facts of the set and the bench are changed cold only.')
        : OK;
    case 'link-fitted':
      return isLive(safety) ? refuse('Never clip a link on a live set. Power off first.') : OK;
    case 'repaired':
      return isLive(safety) ? refuse('Power off first: nothing is repaired live.') : OK;
    default:
      return OK;
  }
}

function acceptReading(event: Extract<SessionEvent, { type: 'reading' }>, moment: Moment): Acceptance {
  const standing = moment.standings.find(({ check }) => check.id === event.check);
  if (standing === undefined) return refuse(`There is no check "${event.check}" for this set.`);
  const { check } = standing;
  const place = permitsPlace(check, moment.safety, moment.config);
  if (!place.allowed) {
    if (isHeld(check, moment)) return OK;
    return refuse(`"${check.title}" may not be taken now.`, place.missing);
  }
  return standing.status === 'locked' &&
    standing.missing.length > 0 &&
    moment.supplyBefore === moment.safety.supply
    ? refuse(`"${check.title}" may not be taken now.`, standing.missing)
    : OK;
}

/** A live reading kept in the head and typed after power-off: judged as of the moment before the plug was pulled. */
function isHeld(check: Check, { safety, config }: Moment): boolean {
  const { held } = safety;
  if (held === undefined || (check.state !== 'S1' && check.state !== 'S2')) return false;
  const then: SafetyState = {
    ...safety,
    supply: held.supply,
    chassisProven: true,
    horizontal: held.horizontal,
  };
  return permitsPlace(check, then, config).allowed;
}

function acceptGate(id: string, value: ReadingValue, safety: SafetyState): Acceptance {
  const gate = gatesById(safety.facts).get(id);
  if (gate === undefined) return refuse(`There is no safety gate "${id}" for this set.`);
  const notFinished = safety.bringUp && bringUpWords(safety.bringUp);
  if (value.kind === 'choice' && value.option === NOT_YET)
    return refuse(notFinished ?? 'The time is up: say finished if nothing unusual was seen.');
  if (!judgeGate(gate, value).pass) return OK;
  if (isLive(safety) && ['cold', 'bench', 'before-power'].includes(gate.stage)) {
    return refuse('Power off and pull the plug first.');
  }
  if (gate.stage === 'live' && !isLive(safety)) return refuse('This is read on the live, isolated set only.');
  if (id === 'anode-second' && safety.anodeWaitSeconds > 0) {
    return refuse(
      `Wait ${safety.anodeWaitSeconds} s more: the second discharge counts ${ANODE_WAIT_SECONDS / 60} minutes after the first.`,
    );
  }
  if (id === 'links-removed' && safety.links.length > 0) {
    return refuse(
      'Links are still noted as fitted.',
      safety.links.map((what) => `off and ticked: ${what}`),
    );
  }
  if (id === 'bring-up-finished' && notFinished !== undefined) return refuse(notFinished);
  const entry = {
    type: 'gate',
    seq: 0,
    at: new Date(safety.now).toISOString(),
    gate: gate.id,
    value,
  } as const;
  const then = safety.after(entry, new Date(safety.now));
  const counted =
    gate.id === 'still-cold'
      ? then.supply === 'discharged'
      : gate.id === 'cause-found'
        ? then.unexplained === undefined
        : gate.id === 'why-off'
          ? !then.askWhyOff
          : then.proven.has(gate.id);
  // A reading that is a danger is no refusal: it goes into the record, and stops the run.
  return counted || (then.forcedStop !== undefined && safety.forcedStop === undefined)
    ? OK
    : refuse(`"${gate.title}" does not count yet.`, before(safety, gate.id));
}

/** Gates that come before this one on the way to a cold set. */
function before(safety: SafetyState, id: GateId): readonly string[] {
  return safety
    .nextGates('discharged')
    .filter((gate) => gate.id !== id)
    .map((gate) => gate.title)
    .slice(0, 3);
}

function acceptPower(
  to: 'isolated-limited' | 'isolated-full',
  lineVolts: number,
  moment: Moment,
): Acceptance {
  const { safety, standings, state } = moment;
  const settled = standings.filter(({ status }) => status !== 'locked' && status !== 'allowed');
  const antenna = antennaOf(state, safety, standings);
  if (safety.signalLead !== 'off' && !antenna.may)
    return refuse('No power with a signal source on these antenna terminals.', [
      'lead of the signal source off',
      antenna.missing,
    ]);
  const bars = barsOf(
    state,
    standings.map(({ check }) => check),
    safety,
  ).filter(({ from }) => from === 'power' || safety.horizontal === 'enabled');
  if (bars.length > 0)
    return refuse(
      'No power after what was read.',
      bars.map(({ say }) => say),
    );
  if (
    safety.horizontal === 'enabled' &&
    isDriven(safety.facts) &&
    !DRIVE.some((id) => driveStands(id, moment))
  )
    return refuse('No power with the horizontal stage enabled.', [
      'drive at the horizontal output grid, read and present: disable the stage and read it again',
    ]);
  const permit = permitsPower(to, safety, lineVolts, {
    checks: standings.map(({ check }) => check),
    settled: new Set(settled.map(({ check }) => check.id)),
  });
  return permit.allowed ? OK : refuse('No power yet.', permit.missing);
}

function acceptLine(lineVolts: number, safety: SafetyState): Acceptance {
  const words = lineWords(lineVolts, isLive(safety) && safety.horizontal === 'enabled', safety.facts);
  return words.length === 0 ? OK : refuse('Not at these line volts.', words);
}

function acceptConfig(item: string, value: string, moment: Moment): Acceptance {
  const { safety, state, standings } = moment;
  if (item === 'signal') return acceptSource(value, moment);
  if (item === SIGNAL_SOURCE) return OK;
  if (isLive(safety))
    return refuse('Power off first: nothing is plugged, unplugged, clipped on or rewired live.');
  if (item === 'signal-lead' && value === 'off') {
    // Off at once, before anything is proven: only the plug must be out.
    return safety.supply === 'unknown'
      ? refuse('Pull the plug first.', safety.mayGo('unplugged').missing)
      : OK;
  }
  if (safety.supply !== 'discharged')
    return refuse('This is changed on a set proven dead only.', safety.mayGo('discharged').missing);
  if (item === 'signal-lead') {
    const antenna = antennaOf(state, safety, standings);
    return antenna.may ? OK : refuse('No signal source on these antenna terminals.', [antenna.missing]);
  }
  if (item !== 'horizontal') return OK;
  if (anodeDue(safety))
    return refuse('Hands go into the HV cage for this.', ['the anode, once more, before it is touched']);
  if (value !== 'enabled') return OK;
  const bars = barsOf(
    state,
    standings.map(({ check }) => check),
    safety,
  );
  if (bars.length > 0)
    return refuse(
      'The horizontal stage stays disabled after what was read.',
      bars.map(({ say }) => say),
    );
  const passed = new Set(DRIVE.filter((id) => driveStands(id, moment)));
  const settled = standings.filter(({ status }) => status !== 'locked' && status !== 'allowed');
  const permit = permitsHorizontal(safety, passed, {
    checks: standings.map(({ check }) => check),
    settled: new Set([...settled.map(({ check }) => check.id), ...DRIVE.filter(() => passed.size > 0)]),
  });
  return permit.allowed ? OK : refuse('The horizontal stage stays disabled.', permit.missing);
}

/** A source is switched at its own output, live too; on only where its lead went on cold, to terminals that may have it. */
function acceptSource(value: string, { safety, state, standings }: Moment): Acceptance {
  if (value !== 'applied') return OK;
  const antenna = antennaOf(state, safety, standings);
  if (!antenna.may) return refuse('No signal source on these antenna terminals.', [antenna.missing]);
  return safety.signalLead === 'fitted'
    ? OK
    : refuse('The lead of the signal source is not known to be on.', [
        'power off, proven dead, and the lead fitted cold',
      ]);
}

/** Least drive that lets the stage be enabled: V DC below zero at the grid, or V peak to peak. Half the usual 20 and 80; common practice, no source. */
const LEAST_DRIVE = { 'horizontal-output-grid-drive': 10, 'horizontal-output-drive-pp': 40 } as const;

/** Drive read, enough of it, and read since whatever was renewed that makes it. */
export function driveStands(id: (typeof DRIVE)[number], { state, safety, standings }: AcceptView): boolean {
  const fresh = standings.some(({ check, status }) => check.id === id && status === 'done');
  return fresh && driveSeen(id, state, safety);
}

/** Was enough drive read at this check, the last time that it was read in a state that the record bears out? */
export function driveSeen(
  id: (typeof DRIVE)[number],
  state: Pick<SessionState, 'readings'>,
  { disbelieved }: Pick<SafetyState, 'disbelieved'>,
): boolean {
  const value = state.readings.findLast(({ check, seq }) => check === id && !disbelieved.has(seq))?.value;
  if (value === undefined) return false;
  const sign = id === 'horizontal-output-grid-drive' ? -1 : 1;
  if (value.kind === 'number') return sign * value.value >= LEAST_DRIVE[id];
  if (value.kind === 'range') return Math.min(sign * value.low, sign * value.high) >= LEAST_DRIVE[id];
  return false;
}

/** What may be taken back or corrected: never power, never something that would make the record say a safer thing than was done. */
function acceptChange(
  event: Extract<SessionEvent, { type: 'undone' | 'corrected' }>,
  { state, safety }: Moment,
): Acceptance {
  const target = state.history.find((earlier) => earlier.seq === event.target);
  if (target === undefined) return refuse(`There is no entry ${event.target}.`);
  if (event.type === 'corrected') {
    if (target.type === 'gate') return refuse('Answer the gate again instead.');
    return target.type === 'reading' ? OK : refuse('Only readings can be corrected.');
  }
  if (!canUndo(target.type))
    return refuse('This happened and cannot be taken back; record what you did since instead.');
  if (isLive(safety) && ['configured', 'set-described', 'bench-described'].includes(target.type)) {
    return refuse('Power off first: this is changed cold only.');
  }
  return OK;
}
