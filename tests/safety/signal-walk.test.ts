// The walk on the real rules and a signal source: never to antenna terminals of a hot chassis that nobody proved, never on or off live.
import { resolve } from 'node:path';
import { describe, expect, it } from 'vitest';
import { loadRules } from '../../src/rulebook/index.ts';
import { passingAnswer } from '../../src/safety/index.ts';
import { foldAll, type RecordedEvent, type SessionEvent } from '../../src/session/index.ts';
import { createEngine } from '../../src/walk/engine.ts';
import { evaluateWalk, gateMinutes } from '../../src/walk/evaluate.ts';
import type { Step, WalkView } from '../../src/walk/types.ts';
import { healthyAnswer } from '../walk/bench-answers.ts';
import { BENCH, MERIDIAN } from '../walk/scenarios.ts';

const { book } = loadRules(resolve(import.meta.dirname, '../../rules'));
if (!book) throw new Error('rules do not load');
const engine = createEngine(book);
const OHMS = 'antenna-terminal-ohms';
const AT_500_V = 'antenna-isolation-ohms';
/** Full line and a signal, horizontal stage as it is. */
const LISTEN = 'sound-look';

/** A technician who wants one check, whatever the walk would ask, and answers all that comes before it as on a healthy set. */
class Technician {
  events: RecordedEvent[] = [];
  now = Date.parse('2026-03-01T09:00:00Z');

  constructor(instruments: readonly string[] = BENCH, family = MERIDIAN.family) {
    this.add(
      { type: 'set-described', set: { ...MERIDIAN, family } },
      { type: 'bench-described', instruments },
    );
  }

  add(...events: readonly SessionEvent[]): this {
    for (const event of events)
      this.events.push({ ...event, seq: this.events.length + 1, at: new Date(this.now).toISOString() });
    return this;
  }

  get view(): WalkView {
    return engine.view(foldAll(this.events), new Date(this.now));
  }

  /** Does what stands at `step`; refusals count as errors of the walk. */
  take(step: Step, answers: Readonly<Record<string, string>>): void {
    const { view } = this;
    this.now += step.kind === 'gate' ? Math.max(20_000, gateMinutes(step, view) * 60_000) : 20_000;
    const at = new Date(this.now);
    const check = step.kind === 'check' ? step.check : undefined;
    const text = check ? (answers[check.id] ?? healthyAnswer(check, view)) : 'yes';
    const entry =
      check && (text === undefined || text === 'skip')
        ? engine.skip(view, check, 'other')
        : engine.enter(view, step, text ?? '', at, {
            ...(step.kind === 'gate' ? { force: passingAnswer(step.gate) } : {}),
          });
    if (entry.kind !== 'events')
      throw new Error(`${step.kind} refused: ${entry.message} ${'hint' in entry ? entry.hint : ''}`);
    this.add(...entry.events);
  }

  /** Steps on the way to a check until one that fits; what is missing if there is no way. */
  toward(
    check: string,
    answers: Readonly<Record<string, string>>,
    until: (step: Step) => boolean,
  ): Step | { readonly missing: readonly string[] } {
    for (let n = 0; n < 120; n++) {
      const { view } = this;
      const step = engine.stepFor(view, check);
      if ('missing' in step || until(step)) return step;
      this.take(step, answers);
    }
    throw new Error('the way never ends');
  }

  seq(match: (event: RecordedEvent) => boolean): number {
    return this.events.findLast(match)?.seq ?? 0;
  }
}

const isLead = (step: Step) => step.kind === 'configure' && step.item === 'signal-lead';
const isThere = (step: Step) => step.kind === 'check' && step.check.id === LISTEN;
const words = (step: Step | { readonly missing: readonly string[] }) => JSON.stringify(step);

describe('on the way to a check with a signal', () => {
  it('the antenna terminals of a hot chassis are read first, and the lead step says why', () => {
    const one = new Technician();
    expect(words(one.toward(LISTEN, {}, isLead))).toContain(book.cautions['antenna-hot']);
    expect(one.view.safety.supply).toBe('discharged');
    expect(one.view.state.readings.map((r) => r.check)).toContain(OHMS);
    expect(isThere(one.toward(LISTEN, {}, isThere) as Step)).toBe(true);
    expect(one.view.state.config.signal).toBe('applied');
  });

  it.each(['leaking', 'short'])('a reading %s ends it, in words, for the walk as well', (what) => {
    const one = new Technician();
    expect(words(one.toward(LISTEN, { [OHMS]: what }, isLead))).toMatch(/missing.*do not leak/);
    expect(one.view.plan.ranked.filter((p) => p.check.config.signal === 'applied')).toEqual([]);
    expect(one.view.plan.ranked.length).toBeGreaterThan(0);
  });

  it('no bleeder is no leak', () => {
    const one = new Technician();
    expect(isLead(one.toward(LISTEN, { [OHMS]: 'open' }, isLead) as Step)).toBe(true);
    expect(one.view.plan.ranked.some((p) => p.check.config.signal === 'applied')).toBe(true);
  });

  it('left out or without an instrument, the step says that nothing was proven', () => {
    const skipped = new Technician();
    const bare = new Technician(BENCH.filter((id) => id !== 'dmm'));
    for (const one of [skipped, bare]) {
      const step = words(one.toward(LISTEN, { [OHMS]: 'skip' }, isLead));
      expect(step).toMatch(/NOT proven/);
      expect(step).toContain(book.cautions['antenna-hot']);
    }
  });

  it('a chassis with a power transformer has no such check, and no such caution', () => {
    const one = new Technician(BENCH, 'transformer');
    const step = words(one.toward(LISTEN, {}, isLead));
    expect(step).not.toContain(book.cautions['antenna-hot']);
    expect(step).toMatch(/isolation transformer/);
  });
});

describe('with the lead on', () => {
  const running = () => {
    const one = new Technician();
    one.toward(LISTEN, {}, isThere);
    return one;
  };

  it.each(['corrected', 'undone'] as const)(
    'a reading %s turns the walk to power off, source off, lead off',
    (change) => {
      const one = running();
      const target = one.seq((e) => e.type === 'reading' && e.check === OHMS);
      const entry = change === 'corrected' ? engine.correct(one.view, target, 'short') : undefined;
      one.add(...(entry?.kind === 'events' ? entry.events : [{ type: 'undone' as const, target }]));
      expect(one.view.step.kind).toBe('power-off');
      const off = engine.stepFor(one.view, LISTEN);
      expect('kind' in off && off.kind).toBe('power-off');
      const order: string[] = [];
      while (one.view.safety.signalLead !== 'off' && order.length < 9) {
        const { step } = one.view;
        order.push(step.kind === 'configure' ? `${step.item} ${step.value}` : step.kind);
        one.take(step, {});
      }
      expect(order).toEqual(['power-off', 'signal none', 'signal-lead off']);
      if (change === 'corrected') expect(words(engine.stepFor(one.view, LISTEN))).toMatch(/do not leak/);
      else expect(isThere(one.toward(LISTEN, {}, isThere) as Step)).toBe(true);
    },
  );

  it('the antenna terminals are read with nothing on them', () => {
    const one = running();
    one.add({ type: 'powered-off', why: '' });
    const step = one.toward(AT_500_V, {}, isLead);
    expect(words(step)).toMatch(/not on the bench/);
    const again = one.toward(OHMS, {}, (s) => isLead(s) || s.kind === 'check');
    expect(words(again)).toMatch(/"value":"off"/);
  });

  it('taken back, or after a resume, it is fitted again cold before a source is switched', () => {
    const undone = running();
    const lead = undone.seq((e) => e.type === 'configured' && e.item === 'signal-lead');
    undone.add({ type: 'powered-off', why: '' }, { type: 'undone', target: lead });
    const resumed = running();
    resumed.add({ type: 'resumed' });
    const old = new Technician();
    old.toward(LISTEN, {}, isLead);
    old.add({ type: 'configured', item: 'signal', value: 'applied' }, { type: 'resumed' });
    for (const one of [undone, resumed, old]) {
      const from = one.events.length;
      expect(isThere(one.toward(LISTEN, {}, isThere) as Step)).toBe(true);
      const after = one.events.slice(from).flatMap((e) => {
        if (e.type === 'configured' && e.item.startsWith('signal')) return [`${e.item} ${e.value}`];
        return e.type === 'powered-up' ? [e.to] : [];
      });
      const fitted = after.indexOf('signal-lead fitted');
      expect(fitted).toBeGreaterThanOrEqual(0);
      // Bring-up does not survive a resume: the lamp comes first again.
      const power = after.filter((what) => what.startsWith('isolated'));
      expect(power).toEqual(one === undone ? ['isolated-full'] : ['isolated-limited', 'isolated-full']);
      expect(after.indexOf(power[0] ?? '')).toBeGreaterThan(fitted);
      expect(after.indexOf('signal applied')).toBeGreaterThan(fitted);
    }
  });
});

describe('whole walks', () => {
  it.each(['leaking', 'bleeder'])('terminals that read %s', { timeout: 120_000 }, (what) => {
    const { view, refused } = evaluateWalk(
      engine,
      { set: MERIDIAN, instruments: BENCH },
      (check, at) => (check.id === OHMS ? what : healthyAnswer(check, at)),
      { mostMinutes: 400 },
    );
    expect(refused).toEqual([]);
    const said = view.state.history.filter((e) => e.type === 'configured' && e.item.startsWith('signal'));
    const on = said.filter((e) => e.type === 'configured' && ['fitted', 'applied'].includes(e.value));
    if (what === 'leaking') expect(on).toEqual([]);
    else expect(on.length).toBeGreaterThan(1);
  });
});
