// The rule pack and an engine on it, and a set's answers judged one by one, for the tests of the simulated sets.
import { type SimulatedSet, setFactsOf } from '../../src/practice/index.ts';
import { factsOf, holds } from '../../src/rulebook/facts.ts';
import { type Check, loadRules } from '../../src/rulebook/index.ts';
import { foldAll, type RecordedEvent } from '../../src/session/index.ts';
import { judgedReadings } from '../../src/walk/beliefs.ts';
import { createEngine } from '../../src/walk/engine.ts';
import { judgeReading } from '../../src/walk/judge.ts';
import type { Judgement } from '../../src/walk/types.ts';

const loaded = loadRules('rules').book;
if (!loaded) throw new Error('the rule pack has errors');
export const book = loaded;
export const engine = createEngine(book);

const AT = '2000-01-01T18:00:00.000Z';
const RUNNING = { horizontal: 'enabled', signal: 'applied' };

export interface Answered {
  readonly check: Check;
  readonly text: string;
  readonly judgement: Judgement;
}

/** Every answer of a set that its checks can take, judged alone. Throws when the program cannot read one. */
export function judgedAnswers(set: SimulatedSet): readonly Answered[] {
  const facts = setFactsOf(set);
  const known = factsOf(book, facts);
  const events: RecordedEvent[] = [
    { type: 'set-described', set: facts, seq: 1, at: AT },
    { type: 'bench-described', instruments: book.instruments.map((i) => i.id), seq: 2, at: AT },
  ];
  const texts = new Map<string, string>();
  for (const check of book.checks) {
    if (!holds(check.when, known)) continue;
    const text = set.answer(check, RUNNING);
    if (text === undefined) continue;
    const parsed = engine.parse(check, text);
    if (!parsed.ok) throw new Error(`${check.id}: "${text}": ${parsed.message}`);
    texts.set(check.id, text);
    events.push({
      type: 'reading',
      check: check.id,
      raw: text,
      value: parsed.value,
      context: {
        lineVolts: check.state === 'S1' || check.state === 'S2' ? facts.lineVolts : 0,
        instrument: check.needs[0] ?? 'dmm',
        supply:
          check.state === 'S2' ? 'isolated-full' : check.state === 'S1' ? 'isolated-limited' : 'discharged',
        config: { ...check.config },
      },
      seq: events.length + 1,
      at: AT,
    });
  }
  return judgedReadings(book, foldAll(events)).map((reading) => ({
    check: reading.check,
    text: texts.get(reading.check.id) ?? '',
    judgement: judgeReading(book, reading),
  }));
}
