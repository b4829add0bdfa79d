// The committed demonstration sessions: each opens, bears its own safety proofs out, replays, gives its verdict, and is marked as invented.
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { loadRules } from '../../src/rulebook/index.ts';
import { accept, checkSafety, passingAnswer, safetyFacts, safetyOf } from '../../src/safety/index.ts';
import {
  emptyState,
  fold,
  foldAll,
  openSession,
  type RecordedEvent,
  type SessionState,
} from '../../src/session/index.ts';
import { createEngine } from '../../src/walk/engine.ts';
import type { WalkView } from '../../src/walk/types.ts';

const FOLDER = join(import.meta.dirname, '../../sessions');
const NAMES = ['demo-meridian', 'demo-orchard', 'demo-harbour', 'demo-linden'];
const book = loadRules(join(import.meta.dirname, '../../rules')).book;
if (!book) throw new Error('the rule pack has errors');
const engine = createEngine(book);
const STOPS = checkSafety(book.checks);

const opened = (name: string) => openSession(FOLDER, name, { readOnly: true });
const viewOf = (state: SessionState) => engine.view(state, new Date(state.lastAt));

function gradesOf(view: WalkView): Readonly<Record<string, string>> {
  return Object.fromEntries((view.verdict?.core ?? []).map((entry) => [entry.id, entry.grade]));
}

function chanceOf(view: WalkView, part: string): number {
  return view.suspects.find((entry) => entry.part === part)?.partProbability ?? 0;
}

describe('the demonstration sessions', () => {
  it('are the four that are kept', () => {
    const files = readdirSync(FOLDER).filter((name) => /^demo-[a-z]+\.jsonl$/.test(name));
    expect(files.sort()).toEqual(NAMES.map((name) => `${name}.jsonl`).sort());
  });

  it.each(NAMES)('%s opens without notice and is not locked by being read', (name) => {
    const session = opened(name);
    expect(session.notices).toEqual([]);
    expect(session.header.name).toBe(name);
    expect(session.header.rules.hash).toMatch(/^[0-9a-f]{64}$/);
    expect(session.state.readings.length).toBeGreaterThan(30);
    expect(existsSync(join(FOLDER, `${name}.jsonl.lock`))).toBe(false);
    session.close();
  });

  it.each(NAMES)('%s folds event by event to the same state as at once', (name) => {
    const { state } = opened(name);
    expect(foldAll(state.history)).toEqual(state);
    expect(state.history.reduce(fold, emptyState())).toEqual(state);
  });

  it.each(NAMES)('%s holds typed values that its raw texts parse to', (name) => {
    const { state } = opened(name);
    const known = state.readings.filter((r) => book.checks.some((c) => c.id === r.check));
    expect(known.length).toBeGreaterThan(state.readings.length * 0.8);
    for (const reading of known) {
      const check = book.checks.find((c) => c.id === reading.check);
      const parsed = check && engine.parse(check, reading.raw);
      expect(parsed, `${reading.check}: ${reading.raw}`).toEqual({ ok: true, value: reading.value });
    }
  });

  it.each(NAMES)('%s passes its gates and powers up only where safety allows it', (name) => {
    const { history } = opened(name).state;
    let state = emptyState();
    let gates = 0;
    for (const event of history) {
      if (['gate', 'powered-up', 'configured', 'repaired', 'link-fitted'].includes(event.type)) {
        const family = book.families.find((f) => f.id === state.set?.family);
        const at = new Date(event.at);
        const facts = safetyFacts(state.set, family);
        const safety = safetyOf(state.safetyLog, facts, state.instruments, at, STOPS);
        expect(safety.forcedStop).toBeUndefined();
        // A signal source goes on where the antenna terminals were read: what was read is in the standings.
        const standings = ['configured', 'powered-up'].includes(event.type)
          ? engine.view(state, at).standings
          : [];
        expect(accept(eventOf(event), { state, safety, standings }, at), JSON.stringify(event)).toEqual({
          ok: true,
        });
        gates += 1;
      }
      state = fold(state, event);
    }
    expect(gates).toBeGreaterThan(8);
    expect([...viewOf(state).safety.disbelieved]).toEqual([]);
  });

  it.each(NAMES)('%s waits five minutes between the first and the second discharge of the anode', (name) => {
    let first = Number.NaN;
    let seconds = 0;
    for (const event of opened(name).state.history) {
      if (event.type !== 'gate') continue;
      if (event.gate === 'anode-first') first = Date.parse(event.at);
      if (event.gate !== 'anode-second') continue;
      expect(Date.parse(event.at) - first).toBeGreaterThanOrEqual(300_000);
      seconds += 1;
    }
    expect(seconds).toBeGreaterThan(0);
  });

  it.each(NAMES)('%s ends with the plug pulled, in order of time, within one evening', (name) => {
    const { state } = opened(name);
    const times = state.history.map((event) => Date.parse(event.at));
    expect(times).toEqual(times.toSorted((a, b) => a - b));
    expect((times.at(-1) ?? 0) - (times[0] ?? 0)).toBeLessThan(9 * 3_600_000);
    const power = state.history.findLast((e) => e.type === 'powered-up' || e.type === 'powered-off');
    expect(power?.type ?? 'powered-off').toBe('powered-off');
    expect(['unplugged', 'discharged', 'unknown']).toContain(viewOf(state).safety.supply);
    expect(state.lineVolts).toBe(0);
  });

  it.each(NAMES)(
    '%s is marked as invented and names no maker, model, person or shop of the world',
    (name) => {
      const { state } = opened(name);
      const set = state.set;
      expect(set?.name).toMatch(/^Tarnhollow (Meridian|Orchard|Harbour|Linden) \d\d \(invented set\)$/);
      expect(set?.owner).toMatch(/^[A-Z][a-z]+ \(invented owner\)$/);
      expect(set?.question).toMatch(/\(Invented for demonstration\.\)$/);
      const said = [
        set?.question ?? '',
        ...state.notes.map((note) => note.text),
        ...state.repairs.map((repair) => repair.found),
        ...state.skipped.map((skip) => skip.note),
      ].join(' ');
      // A name would stand inside a sentence with a capital letter; a unit may.
      const names = [...said.matchAll(/(?<=[a-z,;] )[A-Z][a-z]\w*/g)].map(([word]) => word);
      expect(names).toEqual([]);
    },
  );
});

/** The event as it was offered to the journal. */
function eventOf(event: RecordedEvent) {
  const { seq: _seq, at: _at, ...offered } = event;
  return offered;
}

describe('what each demonstration session shows', () => {
  it('meridian: stopped half-way, drive poor, the coupling capacitor first among the suspects but not yet proven', () => {
    const { state } = opened('demo-meridian');
    const view = viewOf(state);
    expect(state.finished).toBe(false);
    expect(view.suspects[0]?.id).toBe('horizontal-output.grid-coupling-capacitor/leaky');
    expect(chanceOf(view, 'horizontal-output.grid-coupling-capacitor')).toBeGreaterThan(0.25);
    expect(chanceOf(view, 'horizontal-output.grid-coupling-capacitor')).toBeLessThan(0.9);
    expect(view.verdict?.overall).toBe('not-yet-known');
    expect(view.plan.stop).toBeUndefined();
  });

  it('meridian: taken up again, the walk proves the set dead first and then lands on a check', () => {
    const before = opened('demo-meridian').state;
    const start = Date.parse(before.lastAt) + 24 * 3_600_000;
    let state = fold(before, {
      type: 'resumed',
      seq: before.lastSeq + 1,
      at: new Date(start).toISOString(),
    });
    let now = start;
    for (let n = 0; n < 20; n += 1) {
      const view = engine.view(state, new Date(now));
      if (n === 0) expect(view.safety.supply).toBe('unknown');
      if (view.step.kind === 'check') {
        expect(view.safety.supply).not.toBe('isolated-full');
        return;
      }
      if (view.step.kind !== 'gate') throw new Error(`lands on ${view.step.kind}`);
      now += view.step.gate.id === 'anode-second' ? 330_000 : 60_000;
      const later = engine.view(state, new Date(now));
      if (later.step.kind !== 'gate') continue;
      const { gate } = later.step;
      const entry = engine.enter(later, later.step, 'passed', new Date(now), { force: passingAnswer(gate) });
      if (entry.kind !== 'events') throw new Error(`${gate.id}: ${entry.message}`);
      for (const event of entry.events)
        state = fold(state, { ...event, seq: state.lastSeq + 1, at: new Date(now).toISOString() });
    }
    throw new Error('no check was reached');
  });

  it('orchard: restorable; both faults found, flyback and yoke cleared as far as cold tests go', () => {
    const { state } = opened('demo-orchard');
    const view = viewOf(state);
    expect(state.finished).toBe(true);
    expect(['worth-overhauling', 'worth-with-reservations']).toContain(view.verdict?.overall);
    expect(
      view.suspects
        .slice(0, 2)
        .map((entry) => entry.id)
        .sort(),
    ).toEqual(['horizontal-output.grid-coupling-capacitor/leaky', 'picture-tube.heater-cathode/leakage']);
    expect(gradesOf(view)).toMatchObject({ flyback: 'serviceable', yoke: 'serviceable' });
    expect(state.repairs.map((repair) => repair.part)).toContain('b-plus.surge-resistor');
    expect(state.readings.some((reading) => reading.corrections.length > 0)).toBe(true);
  });

  it('harbour: the flyback is in doubt, shorted turns named first, and the verdict says so', () => {
    const { state } = opened('demo-harbour');
    const view = viewOf(state);
    expect(state.finished).toBe(true);
    expect(gradesOf(view).flyback).toBe('doubtful');
    expect(view.suspects[0]?.part).toMatch(/^flyback\./);
    expect(view.suspects.slice(0, 3).map((entry) => entry.id)).toContain('flyback.hv-winding/shorted-turns');
    expect(['worth-with-reservations', 'not-yet-known']).toContain(view.verdict?.overall);
    expect(view.verdict?.recommendation).toMatch(/flyback is in doubt/);
  });

  it('linden: no isolation transformer, so nothing was ever powered and the verdict says cold only', () => {
    const { state } = opened('demo-linden');
    const view = viewOf(state);
    expect(state.instruments).not.toContain('isolation-transformer');
    expect(state.history.some((event) => event.type === 'powered-up')).toBe(false);
    expect(state.readings.every((reading) => reading.context.lineVolts === 0)).toBe(true);
    expect(view.safety.coldOnly).toBe(true);
    expect(view.verdict?.coldOnly).toBe(true);
  });
});

it('a session written under other rules still opens and is judged by the rules at hand', () => {
  const text = readFileSync(join(FOLDER, 'demo-orchard.jsonl'), 'utf8');
  expect(text).toContain('"name":"first-raster-rules"');
  const { state } = opened('demo-orchard');
  const foreign: RecordedEvent = {
    type: 'reading',
    check: 'check-of-other-rules',
    raw: '12',
    value: { kind: 'number', value: 12, unit: 'V', unstable: false },
    context: { lineVolts: 0, instrument: 'dmm', supply: 'discharged', config: {} },
    seq: state.lastSeq + 1,
    at: state.lastAt,
  };
  const view = viewOf(fold(state, foreign));
  expect(view.judged).toHaveLength(viewOf(state).judged.length);
  expect(view.trouble).toContain('check-of-other-rules');
});
