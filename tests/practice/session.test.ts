// A rehearsal from power cord to debrief: the set answers, unsafe acts end the run, the debrief tells what was hidden.
import { describe, expect, it } from 'vitest';
import { startPractice } from '../../src/practice/index.ts';
import { passingAnswer } from '../../src/safety/index.ts';
import { emptyState, fold, type SessionEvent, type SessionState } from '../../src/session/index.ts';
import { engine } from './rules.ts';

const START = Date.parse('2000-01-01T18:00:00Z');

/** A record in memory whose clock runs 20 s an entry, and on request. */
function record() {
  let state: SessionState = emptyState();
  let waited = 0;
  const now = (): Date => new Date(START + state.lastSeq * 20_000 + waited);
  return {
    add: (events: readonly SessionEvent[]): void => {
      for (const event of events)
        state = fold(state, { ...event, seq: state.lastSeq + 1, at: now().toISOString() });
    },
    view: () => engine.view(state, now()),
    now,
    wait: (seconds: number): void => {
      waited += 1000 * seconds;
    },
  };
}

describe('practice', () => {
  it('answers checks, keeps its fault hidden, and tells it at the end', async () => {
    const practice = await startPractice({
      engine,
      seed: 4,
      family: 'series-doubler-halfwave',
      level: 'single',
    });
    const bench = record();
    bench.add(practice.opening);
    expect(JSON.stringify(practice)).not.toMatch(/\/(high|open|leaky|weak|short)"/);
    let answered = 0;
    for (let n = 0; n < 40 && answered < 12; n += 1) {
      const view = bench.view();
      const { step } = view;
      if (step.kind === 'gate') {
        // Glass recovers charge: the second discharge counts five minutes after the first.
        if (step.gate.id === 'anode-second') bench.wait(310);
        const proof = engine.enter(view, step, 'assumed', bench.now(), { force: passingAnswer(step.gate) });
        expect(proof.kind, step.gate.id).toBe('events');
        if (proof.kind === 'events') bench.add(proof.events);
        continue;
      }
      if (step.kind !== 'check') break;
      const text = practice.simulatedAnswer(step.check, view);
      const entry =
        text === undefined
          ? engine.skip(view, step.check, 'cannot-reach')
          : engine.enter(view, step, text, bench.now());
      expect(entry.kind).toBe('events');
      if (entry.kind !== 'events') break;
      expect(practice.watch(view, step, entry)).toBeUndefined();
      bench.add(entry.events);
      if (text !== undefined) answered += 1;
    }
    expect(answered).toBeGreaterThan(4);
    const debrief = practice.debrief(bench.view());
    expect(debrief.faults).toHaveLength(1);
    expect(debrief.readings).toBe(answered);
    expect(debrief.minutes).toBeGreaterThan(0);
    expect(debrief.lines.join(' ')).toContain('What was wrong');
    // Every reading was one that the walk asked for: none of them is the learner's loss.
    expect(debrief.lost).toEqual([]);
    expect(debrief.lines.join(' ')).toContain('No minute was lost by your own choice');
    expect(practice.ending).toBeUndefined();
  }, 60_000);

  it('counts as lost what the learner chose and what told nothing, and nothing else', async () => {
    const practice = await startPractice({
      engine,
      seed: 4,
      family: 'series-doubler-halfwave',
      level: 'single',
    });
    const bench = record();
    bench.add(practice.opening);
    const secret = practice.debrief(bench.view()).faults[0]?.id ?? '';
    // Outside work that no gate keeps waiting, that the walk did not stand at, and that tells nothing of this fault.
    const take = (id: string) => {
      const view = bench.view();
      const step = engine.stepFor(view, id);
      if ('missing' in step || step.kind !== 'check') return false;
      const text = practice.simulatedAnswer(step.check, view);
      const entry = text === undefined ? undefined : engine.enter(view, step, text, bench.now());
      if (entry?.kind !== 'events') return false;
      bench.add(entry.events);
      return true;
    };
    for (let n = 0; n < 20; n += 1) {
      const view = bench.view();
      const { step } = view;
      if (step.kind !== 'gate') break;
      if (step.gate.id === 'anode-second') bench.wait(310);
      const proof = engine.enter(view, step, 'assumed', bench.now(), { force: passingAnswer(step.gate) });
      if (proof.kind === 'events') bench.add(proof.events);
    }
    const asked = bench.view().step;
    const own = engine.book.checks
      .filter(({ phase, before, group }) => phase !== 'intake' && before.length === 0 && group === undefined)
      .filter(({ id }) => asked.kind !== 'check' || asked.check.id !== id)
      .find(({ id }) => take(id));
    expect(own).toBeDefined();
    const told = engine
      .explain(bench.view(), secret)
      .some(({ check, weight }) => check === own?.id && Math.abs(weight) >= 0.15);
    const { lost, lines } = practice.debrief(bench.view());
    expect(lost.flatMap(({ checks }) => checks)).toEqual(told ? [] : [own?.title]);
    expect(told).toBe(false);
    expect(lines.join(' ')).toContain('of your own choice told nothing');
  }, 60_000);

  it('ends at power without proofs, at a live probe, and at hands on a set that is not discharged', async () => {
    const practice = await startPractice({ engine, seed: 5, family: 'transformer', level: 'single' });
    const bench = record();
    bench.add(practice.opening);
    const view = bench.view();
    const power = practice.ask(view, { kind: 'power-up', to: 'isolated-full' });
    expect(power?.say).toMatch(/Power before the set was ready/);
    const live = practice.ask(view, { kind: 'check', check: 'b-plus-working' });
    expect(live?.say).toMatch(/without proof/);
    const cold = practice.ask(view, { kind: 'check', check: 'b-plus-short' });
    expect(cold?.say).toMatch(/without proof/);
    expect(practice.ask(view, { kind: 'touch', what: 'the anode lead' })?.say).toMatch(
      /Hands on the anode lead/,
    );
    expect(practice.ask(view, { kind: 'check', check: 'smell-look' })).toBeUndefined();
    expect(practice.ending).toBe(power);
    expect(practice.debrief(view).unsafe).toHaveLength(4);
  }, 60_000);
});
