// A value printed in service data: for one check of this set it replaces what is usual for such sets.
import type { Step } from '../../walk/types.ts';
import { EMPTY_LINE } from '../line-edit.ts';
import type { App } from './app.ts';
import type { Acts, WalkScreen } from './model.ts';

export function openPrinted(app: App, screen: WalkScreen, step: Step): Acts {
  if (step.kind !== 'check' || step.check.kind !== 'number') {
    return app.say('Only a check that is read as a number has a printed value.', 'quiet');
  }
  app.show({ ...screen, mode: { kind: 'text', purpose: 'printed', edit: EMPTY_LINE, check: step.check.id } });
}

/** Takes a printed value as the engine understands it: `265`, `265 @ 120`, `265 @ 120 / 2M`; `-` forgets it. */
export function takePrinted(app: App, screen: WalkScreen, checkId: string, typed: string): Acts {
  const view = app.state.live?.view;
  const check = app.book.checks.find((c) => c.id === checkId);
  if (!view || !check) return;
  const entry = app.engine.printed(view, check, typed);
  if (entry.kind === 'ask') return app.say(entry.message, 'bad');
  if (entry.kind === 'refused') return app.say(`${entry.message} ${entry.hint}`.trim(), 'bad');
  if (app.commit(entry.events, entry.say)) app.show({ ...screen, mode: { kind: 'entry' } });
}
