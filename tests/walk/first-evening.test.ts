// A first evening at the bench: what a technician meets who brings a set up slowly, has no signal source, and finds a part on the way.
import { describe, expect, it } from 'vitest';
import { drawSet, setFactsOf } from '../../src/practice/index.ts';
import type { SetFacts } from '../../src/rulebook/types.ts';
import { passingAnswer } from '../../src/safety/index.ts';
import { emptyState, fold, type SessionEvent, type SessionState } from '../../src/session/index.ts';
import { createEngine } from '../../src/walk/engine.ts';
import { evaluateWalk, gateMinutes } from '../../src/walk/evaluate.ts';
import type { Step, WalkView } from '../../src/walk/types.ts';
import { healthyAnswer } from './bench-answers.ts';
import { engine, WELL_EQUIPPED } from './simulated-walk.ts';

const FEEDS = ['crt-heater-volts', 'anode-hv-dark', 'gun-g2-volts', 'gun-bias-bright'];
const START = Date.parse('2026-03-01T18:00:00Z');

/** A session that is walked by hand: power-ups at chosen line volts, everything else as a healthy set answers. */
class Evening {
  state: SessionState = emptyState();
  minutes = 0;

  constructor(set: SetFacts) {
    this.add([
      { type: 'set-described', set },
      { type: 'bench-described', instruments: WELL_EQUIPPED },
    ]);
  }

  get now(): Date {
    return new Date(START + this.minutes * 60_000);
  }

  get view(): WalkView {
    return engine.view(this.state, this.now);
  }

  add(events: readonly SessionEvent[]): void {
    for (const event of events)
      this.state = fold(this.state, {
        ...event,
        seq: this.state.lastSeq + 1,
        at: this.now.toISOString(),
      });
  }

  type(text: string): string {
    const { view } = this;
    const entry = engine.enter(view, view.step, text, this.now);
    if (entry.kind === 'events') this.add(entry.events);
    return entry.kind;
  }

  /** Goes on until a step fits; `typed` may answer a step itself. */
  until(fits: (step: Step) => boolean, typed: (step: Step) => string | undefined = () => undefined): Step {
    for (let n = 0; n < 400; n += 1) {
      const { view } = this;
      const { step } = view;
      if (fits(step)) return step;
      this.minutes += step.kind === 'gate' ? gateMinutes(step, view) : 1;
      const own = typed(step);
      if (own !== undefined) {
        expect(this.type(own), own).toBe('events');
        continue;
      }
      if (step.kind === 'gate') {
        if (step.gate.id === 'bring-up-finished' && (view.safety.bringUp?.volts ?? 0) > 0)
          this.add([{ type: 'line-volts', lineVolts: view.safety.bringUp?.volts ?? 0 }]);
        const entry = engine.enter(this.view, step, 'as it passes', this.now, {
          force: passingAnswer(step.gate),
        });
        if (entry.kind !== 'events') throw new Error(`${step.gate.id}: ${entry.message}`);
        this.add(entry.events);
      } else if (step.kind === 'check') {
        const text = healthyAnswer(step.check, this.view);
        if (text === undefined || this.type(text) !== 'events')
          this.add([{ type: 'skipped', check: step.check.id, reason: 'cannot-reach' }]);
      } else if (step.kind === 'stop') throw new Error(step.say);
      else expect(this.type('yes'), step.kind).toBe('events');
    }
    throw new Error('it never comes');
  }
}

describe('a set with a tube rectifier on a low line', async () => {
  const set = {
    ...setFactsOf(await drawSet({ seed: 5, family: 'transformer', level: 'healthy' })),
    complaint: [],
  };
  const evening = new Evening(set);
  evening.until(
    (step) => step.kind === 'gate' && step.gate.id === 'bring-up-finished',
    (step) => (step.kind === 'power-up' ? '36' : undefined),
  );
  const jumped = () => {
    const step = engine.stepFor(evening.view, 'bring-up-b-plus');
    if ('missing' in step || step.kind !== 'check') throw new Error('no way to B+');
    return step;
  };

  it('goes through its table first, and is told to raise the line by whoever reaches for B+', () => {
    const { step } = evening.view;
    expect(step.kind === 'gate' && step.rows?.length).toBeGreaterThan(0);
    expect(evening.state.readings.some(({ check }) => check === 'bring-up-b-plus')).toBe(false);
    expect(jumped().why).toMatch(/Raise the line to 94 V or more first/);
    expect(evening.view.state.lineVolts).toBe(36);
  });

  it('condemns nobody for the volts that are not there yet, and asks again', () => {
    const before = evening.view.suspects.length;
    const early = engine.enter(evening.view, jumped(), '0', evening.now);
    if (early.kind === 'events') evening.add(early.events);
    const { view } = evening;
    expect(view.suspects.length).toBe(before);
    expect(engine.judge(view, view.state.lastSeq)).toMatchObject({
      standing: 'noted',
      say: expect.stringContaining('Too early'),
    });
    expect(view.standings.find((s) => s.check.id === 'bring-up-b-plus')?.status).toBe('allowed');
    // On the raised line the same reading tells something.
    evening.add([{ type: 'line-volts', lineVolts: 105 }]);
    const entry = engine.enter(evening.view, jumped(), '0', evening.now);
    if (entry.kind === 'events') evening.add(entry.events);
    expect(engine.judge(evening.view, evening.view.state.lastSeq)?.standing).toBe('bad');
  });
});

describe('at the power-up card', () => {
  it('a value that was asked about is taken as it was meant', async () => {
    const set = {
      ...setFactsOf(await drawSet({ seed: 5, family: 'transformer', level: 'healthy' })),
      complaint: [],
    };
    const evening = new Evening(set);
    evening.until((step) => step.kind === 'power-up');
    const { view } = evening;
    const asked = engine.enter(view, view.step, '-36', evening.now);
    expect(asked.kind).toBe('ask');
    const meant = asked.kind === 'ask' ? asked.alternatives[0]?.value : undefined;
    if (!meant) throw new Error('nothing to choose');
    const taken = engine.enter(view, view.step, '-36', evening.now, { force: meant });
    expect(taken).toMatchObject({
      kind: 'events',
      events: [
        { type: 'line-volts', lineVolts: 36 },
        { type: 'powered-up', lineVolts: 36 },
      ],
    });
    // The finger that has answered yes to everything switches nothing on.
    expect(engine.enter(view, view.step, '1', evening.now).kind).not.toBe('events');
  });
});

describe('a bench without a signal source', () => {
  it('says so once and is asked for no picture', async () => {
    const set = {
      ...setFactsOf(await drawSet({ seed: 5, family: 'series-doubler-halfwave', level: 'healthy' })),
      complaint: [],
    };
    const evening = new Evening(set);
    evening.until((step) => step.kind === 'configure' && step.item === 'signal-lead');
    const entry = engine.noSource();
    if (entry.kind !== 'events') throw new Error('refused');
    expect(engine.accept(evening.view, entry.events, evening.now).ok).toBe(true);
    evening.add(entry.events);
    const standing = () => evening.view.standings.find((s) => s.check.id === 'picture-look');
    expect(standing()).toMatchObject({
      status: 'no-instrument',
      missing: ['not on the bench today: a signal source'],
    });
    expect(evening.view.step).not.toMatchObject({ kind: 'configure', item: 'signal-lead' });
    // Another evening, another bench.
    evening.add([{ type: 'resumed' }]);
    expect(standing()?.status).not.toBe('no-instrument');
  });
});

describe('a check that is put off', () => {
  it('does not come straight back', async () => {
    const set = setFactsOf(await drawSet({ seed: 5, family: 'series-halfwave', level: 'healthy' }));
    const evening = new Evening({ ...set, complaint: [] });
    const seen = new Set<string>();
    for (let n = 0; n < 3; n += 1) {
      const step = evening.until((each) => each.kind === 'check');
      if (step.kind !== 'check') throw new Error('no check');
      expect(seen).not.toContain(step.check.id);
      seen.add(step.check.id);
      const entry = engine.skip(evening.view, step.check, 'later');
      if (entry.kind === 'events') evening.add(entry.events);
    }
  });
});

describe('a part that is found on the way', () => {
  it('is on the card of the next power-up, and a lost core part is not', async () => {
    const found = async (fault: string): Promise<string[]> => {
      const set = await drawSet({ seed: 91000, family: 'series-halfwave', level: 'single', fault });
      const cards: string[][] = [];
      evaluateWalk(
        engine,
        { set: setFactsOf(set), instruments: WELL_EQUIPPED },
        (check, now) => set.answer(check, now.state.config),
        {
          choose: (view) => {
            if (view.step.kind === 'power-up') cards.push([...view.step.found]);
            return undefined;
          },
        },
      );
      expect(cards[0] ?? []).toEqual([]);
      return cards.flat();
    };
    expect(await found('b-plus.filter-choke/open')).toContain('Filter choke or filter resistor');
    expect(await found('yoke.horizontal-winding/shorted-half')).toEqual([]);
  });
});

describe('a picture tube that looks weak on the running set', () => {
  it('is not called lost before what feeds it was read, where that can be', async () => {
    const set = await drawSet({
      seed: 91002,
      family: 'transformer',
      level: 'single',
      fault: 'picture-tube.gun/weak',
    });
    const instruments = WELL_EQUIPPED.filter((id) => id !== 'picture-tube-tester');
    // No cold test of the emission either.
    const cold = ['picture-tube-bench-emission', 'picture-tube-life', 'picture-tube-cutoff'];
    const readBy = (by: typeof engine): string[] => {
      const walk = evaluateWalk(by, { set: setFactsOf(set), instruments }, (check, now) =>
        cold.includes(check.id) ? undefined : set.answer(check, now.state.config),
      );
      expect(walk.view.belief?.parts.get('picture-tube.gun')?.ok).toBeLessThan(0.3);
      return walk.asked.map((a) => a.check).filter((id) => FEEDS.includes(id));
    };
    expect(readBy(engine).toSorted()).toEqual(FEEDS.toSorted());
    // Left to what tells most, it would have been blamed sooner.
    const hasty = createEngine({
      ...engine.book,
      assemblies: engine.book.assemblies.map((a) => ({ ...a, blamedAfter: [] })),
    });
    expect(readBy(hasty).length).toBeLessThan(FEEDS.length);
  });
});
