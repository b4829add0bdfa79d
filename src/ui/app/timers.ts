// Timers of the bench: holds of the bring-up, the wait before the second discharge, minutes of one's own. They are in the record, so they survive a resume.
import { parseReading } from '../../session/reading-syntax.ts';
import type { BringUpRow, Step } from '../../walk/types.ts';
import { lineOf } from '../line-edit.ts';
import type { App } from './app.ts';
import { dischargeAt, startDischarge, timerTitle } from './discharge.ts';
import type { Acts, Live, WalkScreen } from './model.ts';

/** How often the clock of the screen moves, ms. */
export const TICK_MS = 1000;
const LONGEST_MINUTES = 180;
const USUAL_MINUTES = 5;
/** A line voltage this near to a row of the table is that row, V. */
const LINE_SLACK = 3;

export interface Countdown {
  readonly title: string;
  readonly seconds: number;
}

/** Everything that runs down at `now` (ms since 1970), the next to end first; finished ones are left out. */
export function countdowns(live: Live, now: number): readonly Countdown[] {
  const { safety, state } = live.view;
  const since = Math.max(0, (now - live.viewedAt) / 1000);
  const fromSafety: Countdown[] = [
    { title: 'second anode discharge', seconds: safety.anodeWaitSeconds - since },
    { title: 'bring-up on the lamp', seconds: (safety.bringUp?.seconds ?? 0) - since },
    { title: 'wait before restart', seconds: safety.restartWaitSeconds - since },
  ];
  // A hold belongs to its power-up: with the plug out it is over.
  const offAt = state.history.findLast((e) => e.type === 'powered-off')?.at ?? '';
  const own = state.timers
    .filter((t) => !t.timer.startsWith('hold at') || t.startedAt > offAt)
    .map((t) => ({
      title: timerTitle(t.timer),
      seconds: (Date.parse(t.startedAt) - now) / 1000 + t.seconds,
    }));
  return [...fromSafety, ...own].filter((c) => c.seconds > 0).sort((a, b) => a.seconds - b.seconds);
}

/** What to say if something ran out between two times; '' if nothing did. */
export function ringing(live: Live, from: number, to: number): string {
  const before = countdowns(live, from);
  const left = new Set(countdowns(live, to).map((c) => c.title));
  return before
    .filter((c) => !left.has(c.title))
    .map((c) => `Time: ${c.title}.`)
    .join(' ');
}

/** `252` -> `4:12`. */
export function clockWords(seconds: number): string {
  const whole = Math.ceil(seconds);
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, '0')}`;
}

/** The bring-up table in force: that of a power-up step, else the one before. */
export function ladderOf(step: Step, before: readonly BringUpRow[]): readonly BringUpRow[] {
  return step.kind === 'power-up' ? step.rows : before;
}

/** The row of the table that comes after the line voltage of now. */
export function nextRow(live: Live): BringUpRow | undefined {
  return live.ladder.find((r) => r.lineVolts > live.view.state.lineVolts + LINE_SLACK);
}

/** The row of the table that a line voltage has reached; `undefined` below the first. */
const reached = (live: Live, lineVolts: number): BringUpRow | undefined =>
  live.ladder.findLast((r) => r.lineVolts <= lineVolts + LINE_SLACK);

/** Most amperes of the table at a line voltage, A: those of the row reached; `undefined` if the table has none there. */
export function ceilingAt(live: Live, lineVolts: number): number | undefined {
  return reached(live, lineVolts)?.currentCeilingAmps;
}

/** Hold of the row just reached, s; 0 if no further row is. */
export function holdAt(live: Live, lineVolts: number): number {
  const row = reached(live, lineVolts);
  return row === reached(live, live.view.state.lineVolts) ? 0 : (row?.holdSeconds ?? 0);
}

/** At a discharge, starts its countdown; else opens the line for the minutes, with the hold of the table's next row already in it. */
export function openTimer(app: App, screen: WalkScreen, step: Step): Acts {
  const { live } = app.state;
  if (step.kind === 'gate' && live && dischargeAt(live, step.gate, 0)) return startDischarge(app, step.gate);
  const hold = live && nextRow(live)?.holdSeconds;
  const minutes = hold === undefined ? USUAL_MINUTES : hold / 60;
  const mode = { kind: 'text', purpose: 'timer', edit: lineOf(String(minutes)), check: '' } as const;
  app.show({ ...screen, mode });
}

/** Starts a timer of the minutes typed. */
export function startTimer(app: App, screen: WalkScreen, typed: string): Acts {
  const parsed = parseReading(typed, { kind: 'number', quantity: 'seconds', unit: 'min' });
  const minutes = parsed.ok === true && parsed.value.kind === 'number' ? parsed.value.value / 60 : Number.NaN;
  if (!(minutes > 0) || minutes > LONGEST_MINUTES) {
    return app.say(`Minutes: more than 0, at most ${LONGEST_MINUTES}.`, 'bad');
  }
  const timer = `${minutes} min`;
  if (app.commit([{ type: 'timer-started', timer, seconds: Math.round(minutes * 60) }], `Timer: ${timer}.`)) {
    app.show({ ...screen, mode: { kind: 'entry' } });
  }
}
