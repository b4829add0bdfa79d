// A desk for tests of the last door: a session as the walk keeps it, with a clock, into which only accepted events get.
import { expect } from 'vitest';
import type { Check } from '../../src/rulebook/types.ts';
import {
  type AcceptView,
  accept,
  checkSafety,
  followUps,
  type GateId,
  gatesFor,
  passingAnswer,
  safetyOf,
  type Target,
} from '../../src/safety/index.ts';
import { foldAll, type RecordedEvent, type SessionEvent } from '../../src/session/index.ts';
import { ALL_INSTRUMENTS, CHECKS, number, ORDINARY } from './bench-log.ts';

const START = Date.parse('2026-03-01T09:00:00Z');
const CONTEXT = { lineVolts: 0, instrument: 'dmm', supply: 'unknown', config: {} } as const;
export const reading = (check: string, volts = 1): SessionEvent => ({
  type: 'reading',
  check,
  raw: String(volts),
  value: number(volts),
  context: CONTEXT,
});

/** A session as the walk keeps it: only accepted events get in. */
export class Desk {
  events: RecordedEvent[] = [];
  now = START;
  readonly checks: readonly Check[];
  /** Checks left out, or without an instrument today; a repair leaves a check to be done again. */
  readonly standing = new Map<string, string>();
  facts = ORDINARY;

  constructor(checks: readonly Check[] = Object.values(CHECKS)) {
    this.checks = checks;
  }

  get view(): AcceptView {
    const state = foldAll(this.events);
    const safety = safetyOf(
      state.safetyLog,
      this.facts,
      ALL_INSTRUMENTS,
      new Date(this.now),
      checkSafety(this.checks),
    );
    const done = new Set(state.readings.map(({ check }) => check));
    return {
      state,
      safety,
      standings: this.checks.map((check) => ({
        check,
        status: this.standing.get(check.id) ?? (done.has(check.id) ? 'done' : 'allowed'),
        missing: [],
      })),
    };
  }

  offer(...events: SessionEvent[]): string {
    const answer = accept(events, this.view, new Date(this.now));
    if (!answer.ok) return `${answer.why} ${answer.hint}`;
    for (const event of events) this.force(event);
    return 'ok';
  }

  /** As if written by hand. */
  force(event: SessionEvent): void {
    this.events = [
      ...this.events,
      { ...event, seq: this.events.length + 1, at: new Date(this.now).toISOString() },
    ];
  }

  wait(minutes: number): this {
    this.now += minutes * 60_000;
    return this;
  }

  gate(id: GateId): string {
    const gate = gatesFor(ORDINARY).find((each) => each.id === id);
    if (gate === undefined) throw new Error(id);
    const value = passingAnswer(gate);
    return this.offer({ type: 'gate', gate: id, raw: '', value }, ...followUps(gate, value));
  }

  to(target: Target): this {
    for (let guard = 0; guard < 60; guard++) {
      const { safety } = this.view;
      const [next] = safety.nextGates(target);
      if (next === undefined) return this;
      if (next.id === 'anode-second') this.wait(Math.ceil(safety.anodeWaitSeconds / 60));
      if (next.id === 'bring-up-finished') this.wait(Math.ceil((safety.bringUp?.seconds ?? 0) / 60));
      expect(this.gate(next.id), next.id).toBe('ok');
    }
    throw new Error('the gates never end');
  }

  on(to: 'isolated-limited' | 'isolated-full', lineVolts = 117): string {
    return this.offer({ type: 'powered-up', to, lineVolts });
  }

  full(): this {
    this.to('discharged').to('isolated-limited');
    expect(this.on('isolated-limited', 40)).toBe('ok');
    this.to('isolated-limited').to('isolated-full');
    expect(this.on('isolated-full')).toBe('ok');
    return this.to('isolated-full');
  }
}
