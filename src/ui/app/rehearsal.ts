// A rehearsal's answers: what the simulated set shows at a check, and the proofs of discharge that need no hands on a set.
import type { Gate } from '../../safety/index.ts';
import { answerWords, passingAnswer } from '../../safety/judge.ts';
import type { ReadingValue } from '../../session/index.ts';
import { formatValue } from '../../session/units.ts';
import type { Step } from '../../walk/types.ts';
import type { App } from './app.ts';
import { openDebrief } from './debrief.ts';
import type { Live } from './model.ts';

/** What Enter on an empty line enters in a rehearsal, and how the card says it. */
export interface Simulated {
  /** '' = this set cannot answer: the check is skipped. */
  readonly text: string;
  readonly force: ReadingValue | undefined;
  readonly say: string;
}

/** What the simulated set offers at a step; `undefined` at a real bench, and at steps that are no reading. */
export function simulatedAt(app: App, live: Live, step: Step): Simulated | undefined {
  const { practice, view } = live;
  if (!practice) return undefined;
  if (step.kind === 'gate') {
    const force = zeroAnswer(step.gate);
    const said =
      force.kind === 'choice' ? titleOf(step.gate.options, force.option) : answerWords(step.gate, force);
    return { text: 'simulated', force, say: `Enter, simulated: ${said}` };
  }
  if (step.kind === 'power-up')
    return { text: 'yes', force: undefined, say: 'Enter, simulated: power is on' };
  if (step.kind !== 'check') return undefined;
  const text = practice.simulatedAnswer(step.check, view) ?? '';
  if (text === '') return { text, force: undefined, say: 'Enter: not to be had on this set, skip it' };
  const parsed = app.engine.parse(step.check, text);
  const shown = parsed.ok ? formatValue(parsed.value, step.check.options) : text;
  return { text, force: undefined, say: `Enter, simulated: ${shown}` };
}

/** A learner who reaches for a check without the way to it: an unsafe reach ends the run. False = nothing wrong with it. */
export function probedAtOnce(app: App, check: string): boolean {
  const { live } = app.state;
  const unsafe = live?.practice?.ask(live.view, { kind: 'check', check });
  if (unsafe) openDebrief(app, unsafe.say);
  return unsafe !== undefined;
}

const titleOf = (options: readonly { readonly id: string; readonly title: string }[], id: string): string =>
  options.find((o) => o.id === id)?.title ?? id;

/** The answer that passes a gate; a residual voltage or resistance is a plain zero. */
function zeroAnswer(gate: Gate): ReadingValue {
  const value = passingAnswer(gate);
  return gate.limit.kind === 'below' && value.kind === 'number' ? { ...value, value: 0 } : value;
}
