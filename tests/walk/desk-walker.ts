// Walks the real rule pack step by step as a technician would, with the answers of a test: for what is offered, refused and said on the way.
import { resolve } from 'node:path';
import { loadRules } from '../../src/rulebook/index.ts';
import type { Check, Rulebook, SetFacts } from '../../src/rulebook/types.ts';
import { passingAnswer } from '../../src/safety/index.ts';
import { emptyState, fold, type SessionEvent, type SessionState } from '../../src/session/index.ts';
import { asExpected } from '../../src/ui/app/as-expected.ts';
import { createEngine } from '../../src/walk/engine.ts';
import type { Step } from '../../src/walk/types.ts';

const loaded = loadRules(resolve(import.meta.dirname, '../../rules')).book;
if (!loaded) throw new Error('the rule pack does not load');
export const book: Rulebook = loaded;
export const engine = createEngine(book);

/** A set of a family with these facts, nothing else known of it. */
export function setOf(family: string, facts: Readonly<Record<string, string>> = {}): SetFacts {
  const fifty = book.families.find((one) => one.id === family)?.facts.mains === '50hz';
  const volts = fifty ? 240 : 117;
  return {
    name: 'Tarnhollow 1',
    owner: '',
    question: '',
    family,
    standard: fifty ? '405' : '525',
    lineVolts: volts,
    ratedVolts: volts,
    ratedWatts: 165,
    pictureTube: 'unknown',
    tubes: {},
    complaint: [],
    restored: 'none',
    storage: 'dry',
    facts,
    serviceData: {},
  };
}

/** What is typed at a check; undefined: as expected. */
type Answer = (check: Check) => string | undefined;

export class Walker {
  state: SessionState = emptyState();
  now = Date.parse('2026-03-01T09:00:00Z');
  /** Steps taken, oldest first: `check ID`, `gate ID`, the kind of any other step. */
  readonly taken: string[] = [];

  constructor(set: SetFacts, instruments: readonly string[] = book.instruments.map((i) => i.id)) {
    this.add({ type: 'set-described', set }, { type: 'bench-described', instruments });
  }

  get at(): Date {
    return new Date(this.now);
  }

  get view() {
    return engine.view(this.state, this.at);
  }

  add(...events: readonly SessionEvent[]): void {
    for (const event of events)
      this.state = fold(this.state, { ...event, seq: this.state.lastSeq + 1, at: this.at.toISOString() });
  }

  /** Takes one step; false where the walk is at an end. */
  take(step: Step, answer: Answer = () => undefined): boolean {
    if (step.kind === 'stop' || step.kind.startsWith('describe')) return false;
    if (step.kind === 'check') this.check(step, answer(step.check));
    else if (step.kind === 'gate') this.gate(step);
    else {
      this.now += 2 * 60_000;
      this.enter(step, 'yes');
      this.taken.push(step.kind);
    }
    return true;
  }

  /** The way to a check, and the check itself with `text`; why it cannot be taken, or undefined. */
  to(id: string, text?: string, most = 400): string | undefined {
    for (let n = 0; n < most; n += 1) {
      const step = engine.stepFor(this.view, id);
      if ('missing' in step) return step.missing.join('; ');
      const mine = step.kind === 'check' && step.check.id === id;
      if (!this.take(step, (check) => (check.id === id ? text : undefined))) return 'the walk has ended';
      if (mine) return undefined;
    }
    return 'never reached';
  }

  /** The walk's own way, until `until` says so or it ends. */
  walk(until: () => boolean = () => false, answer?: Answer, most = 500): this {
    for (let n = 0; n < most && !until(); n += 1) if (!this.take(this.view.step, answer)) break;
    return this;
  }

  private check(step: Extract<Step, { kind: 'check' }>, typed: string | undefined): void {
    const { check } = step;
    this.now += Math.min(check.minutes, check.minutes >= 45 ? 90 : 5) * 60_000;
    const force = typed === undefined ? asExpected(check, step.expected) : undefined;
    this.taken.push(`check ${check.id}`);
    if (typed === undefined && force === undefined) {
      this.add({ type: 'skipped', check: check.id, reason: 'cannot-reach' });
      return;
    }
    this.enter(step, typed ?? 'as expected', force);
  }

  private gate(step: Extract<Step, { kind: 'gate' }>): void {
    const { gate } = step;
    if (gate.id === 'anode-second') this.now += 5.2 * 60_000;
    if (gate.id === 'bring-up-finished') {
      this.add({ type: 'line-volts', lineVolts: this.state.set?.ratedVolts ?? 117 });
      this.now += ((this.view.safety.bringUp?.seconds ?? 0) + 6) * 1000;
    }
    this.now += gate.minutes * 60_000;
    this.taken.push(`gate ${gate.id}`);
    this.enter(step, 'passes', passingAnswer(gate));
  }

  /** Enters it; what is refused because a proof has lapsed meanwhile leaves the walk to ask for that first. */
  private enter(step: Step, text: string, force?: ReturnType<typeof passingAnswer>): void {
    const entry = engine.enter(this.view, step, text, this.at, force ? { force } : {});
    if (entry.kind === 'events') {
      this.add(...entry.events);
    } else if (entry.kind === 'ask' && entry.alternatives[0]) {
      this.enter(step, text, entry.alternatives[0].value);
    } else if (!/Still unplugged, still zero/.test(JSON.stringify(entry))) {
      throw new Error(`${this.taken.at(-1)} refuses ${text}: ${JSON.stringify(entry)}`);
    }
  }
}
