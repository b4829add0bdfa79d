// What was read while a set is brought up: line volts and line current of each step, kept in the record as notes.
import type { Live } from './model.ts';

export interface CurrentRead {
  readonly lineVolts: number;
  readonly amps: number;
  /** Ms since 1970. */
  readonly at: number;
}

const NOTE = /^Line current (\d+(?:\.\d+)?) A at (\d+(?:\.\d+)?) V\.$/;

/** The note that keeps a line current: people read it in the report, the screen reads it back. */
export function currentNote(lineVolts: number, amps: number): string {
  return `Line current ${amps} A at ${lineVolts} V.`;
}

/** Line currents read since the last power-up, oldest first. */
export function currentsOf(live: Live): readonly CurrentRead[] {
  const { history, notes } = live.view.state;
  const since = history.findLast((e) => e.type === 'powered-up')?.seq ?? 0;
  return notes.flatMap((note) => {
    const found = note.seq > since ? NOTE.exec(note.text) : null;
    return found ? [{ amps: Number(found[1]), lineVolts: Number(found[2]), at: Date.parse(note.at) }] : [];
  });
}

/** How the currents at the latest line voltage go. */
export function trendOf(reads: readonly CurrentRead[]): 'falling' | 'rising' | 'steady' | undefined {
  const last = reads.at(-1);
  const before = reads.at(-2);
  if (!last || !before || before.lineVolts !== last.lineVolts) return undefined;
  const change = last.amps / before.amps - 1;
  return change < -STEADY ? 'falling' : change > STEADY ? 'rising' : 'steady';
}

/** A change of the current under 3 % is within the reading of a meter. */
const STEADY = 0.03;

export interface Hold {
  readonly title: string;
  /** 0 to 1. */
  readonly done: number;
  readonly secondsLeft: number;
}

/** The hold that runs, or ended last in this power-up; `undefined` if none was started. */
export function holdOf(live: Live, now: number): Hold | undefined {
  const since = live.view.state.history.findLast((e) => e.type === 'powered-up')?.at ?? '';
  const timer = live.view.state.timers.findLast((t) => t.timer.startsWith('hold at') && t.startedAt >= since);
  if (!timer) return undefined;
  const gone = (now - Date.parse(timer.startedAt)) / 1000;
  return {
    title: timer.timer,
    done: Math.min(1, Math.max(0, gone / timer.seconds)),
    secondsLeft: Math.max(0, timer.seconds - gone),
  };
}
