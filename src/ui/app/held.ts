// Readings still in the head when the power went off: shown as a list and taken as read before the plug was pulled, for as long as safety lets them.
import { isLiveCheck } from '../../rulebook/live.ts';
import type { CheckStanding, Step } from '../../walk/types.ts';
import { EMPTY_LINE, type LineEdit, lineOf } from '../line-edit.ts';
import type { App } from './app.ts';
import type { Acts, Live } from './model.ts';
import { currentStep } from './walk.ts';

/** Live checks that may be taken now, those already done as well. */
export function liveChecks(live: Live): readonly string[] {
  if (!live.view.safety.supply.startsWith('isolated')) return [];
  const wanted = live.view.safety.supply === 'isolated-limited' ? 'S1' : 'S2';
  return live.view.standings
    .filter(
      (s) =>
        isLiveCheck(s.check) && s.check.state === wanted && (s.status === 'allowed' || s.status === 'done'),
    )
    .map((s) => s.check.id);
}

interface Typed {
  readonly check: string;
  readonly text: string;
}

/** What is typed on the card of a live check just now; `undefined` if nothing is. */
export function typedLive(app: App): Typed | undefined {
  const { screen } = app;
  if (screen.kind !== 'walk') return undefined;
  const step = currentStep(app, screen);
  const text = screen.mode.kind === 'ask' ? screen.mode.text : screen.input.text;
  return step?.kind === 'check' && isLiveCheck(step.check) && text.trim() !== ''
    ? { check: step.check.id, text }
    : undefined;
}

/** True while readings of before the power-off may still be typed. */
export function mayHold(live: Live): boolean {
  return live.held.length > 0 && live.view.safety.held !== undefined;
}

/** Opens the list of what may have been read; with what was being typed already in the line. */
export function openHeld(app: App, typed?: Typed): Acts {
  const { live } = app.state;
  if (!live || !mayHold(live)) return app.say('There is no list at this step.', 'quiet');
  const input: LineEdit = typed ? lineOf(typed.text) : EMPTY_LINE;
  app.push({
    kind: 'list',
    held: true,
    group: '',
    checks: live.held,
    index: Math.max(0, live.held.indexOf(typed?.check ?? '')),
    input,
    asking: undefined,
  });
}

/** The card of a check as it was before the power went off. */
export function heldStep({ check, expected }: CheckStanding): Step {
  return { kind: 'check', check, pins: '', expected, why: '', planned: undefined, position: 0, of: 0 };
}
