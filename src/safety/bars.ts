// What keeps a set off: cold readings that forbid power or the running horizontal stage, and a stop whose cause was not found.
import { isLiveCheck } from '../rulebook/live.ts';
import type { Check, StopRule } from '../rulebook/types.ts';
import type { RecordedEvent, SessionState } from '../session/types.ts';
import { tripRule } from './check-safety.ts';
import { NOT_FOUND } from './gates-before-power.ts';
import type { SafetyState } from './state.ts';

/** What may not be done, and why. */
export interface Bar {
  /** The check to be taken again; undefined where none lifts it. */
  readonly check: Check | undefined;
  /** All power, or only the running horizontal stage. */
  readonly from: 'power' | 'horizontal';
  /** Core assembly that is lost by what was seen: hands stay off it. */
  readonly condemns?: string;
  /** Why, and how it is lifted, in the technician's words. */
  readonly say: string;
}

/**
 * What the last readings of cold checks forbid: those beyond a stop limit of the rule pack. A reading that a repair has made stale forbids on,
 * until the check is taken again (but for what is read after a run): that a part is new proves nothing of the next one. So does one that was taken back, read or left out since.
 */
export function barsOf(
  state: Pick<SessionState, 'readings' | 'history'>,
  checks: readonly Check[],
  safety: Pick<SafetyState, 'unexplained' | 'disbelieved'>,
): readonly Bar[] {
  const last = new Map<string, Extract<RecordedEvent, { type: 'reading' }>>();
  // What was not read on a set proven dead lifts nothing.
  for (const event of state.history)
    if (event.type === 'reading' && !safety.disbelieved.has(event.seq)) last.set(event.check, event);
  const kept = new Map(state.readings.map((reading) => [reading.seq, reading]));
  const cold = checks.flatMap((check): Bar[] => {
    const event = check.stop.length === 0 || isLiveCheck(check) ? undefined : last.get(check.id);
    if (event === undefined) return [];
    const rule = tripRule(check, (kept.get(event.seq) ?? event).value);
    if (rule === undefined) return [];
    if (isAfterRun(check, checks) && renewedSince(state.history, check, event.seq)) return [];
    const back = kept.has(event.seq) ? '' : ' (it was taken back: that lifts nothing)';
    return [
      {
        check,
        from: fromOf(check, rule),
        ...(rule.condemns === undefined ? {} : { condemns: rule.condemns }),
        say: `${rule.say} Then "${check.title}" again${back}`,
      },
    ];
  });
  const cause = causeNotFound(state, safety);
  return cause === undefined ? cold : [cause, ...cold];
}

/** What can only be read after a run would forbid, for good, the run that it is read after: there a new part lifts it, and the next run shows. */
function isAfterRun({ after }: Check, checks: readonly Check[]): boolean {
  return checks.some((other) => after.includes(other.id) && isLiveCheck(other));
}

/** A part that the check reads was replaced after it was read; cleaned or adjusted, it is the old one. */
function renewedSince(history: SessionState['history'], check: Check, seq: number): boolean {
  const back = new Set(history.flatMap((event) => (event.type === 'undone' ? [event.target] : [])));
  return history.some(
    (event) =>
      event.type === 'repaired' &&
      event.action === 'replaced' &&
      event.seq > seq &&
      !back.has(event.seq) &&
      check.reads.some(({ part }) => part === event.part),
  );
}

function fromOf(check: Check, rule: StopRule): Bar['from'] {
  if (rule.from !== undefined) return rule.from;
  const guards = (step: string): boolean => check.before.some((each) => each.startsWith(step));
  return guards('horizontal') && !guards('power') ? 'horizontal' : 'power';
}

/** Something dangerous was read, and the answer to "cause found?" was no: nothing runs until a repair or a corrected reading. */
function causeNotFound(
  { history }: Pick<SessionState, 'history'>,
  { unexplained }: Pick<SafetyState, 'unexplained'>,
): Bar | undefined {
  if (unexplained === undefined) return undefined;
  const back = new Set(history.flatMap((event) => (event.type === 'undone' ? [event.target] : [])));
  const since = history.findLast(
    (event) =>
      !back.has(event.seq) &&
      (event.type === 'repaired' ||
        event.type === 'corrected' ||
        (event.type === 'gate' && event.gate === 'cause-found')),
  );
  const no = since?.type === 'gate' && since.value.kind === 'choice' && since.value.option === NOT_FOUND;
  return no
    ? {
        check: undefined,
        from: 'power',
        say: `${unexplained.say} Not run again before the cause is found: a repair recorded, or the reading corrected, brings the question back`,
      }
    : undefined;
}
