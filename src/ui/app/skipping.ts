// Passing a check over: the reason is one key, or a line of one's own.
import type { SkipReason } from '../../session/types.ts';
import type { Step } from '../../walk/types.ts';
import type { Key } from '../key-stream.ts';
import type { Command } from '../keys.ts';
import { EMPTY_LINE } from '../line-edit.ts';
import type { App } from './app.ts';
import { type Acts, FRESH_WALK, SKIP_KEYS, type WalkMode, type WalkScreen } from './model.ts';

/** The card after `settled` was answered or passed over: a check jumped to stays, unless it is that one. */
export function onWards({ screen }: App, settled: string): WalkScreen {
  const pinned = screen.kind === 'walk' ? screen.pinned : '';
  return { ...FRESH_WALK, pinned: pinned === settled ? '' : pinned };
}

/** Asks for the reason; the lead of a signal source is passed over by saying that there is no source. */
export function openSkip(app: App, screen: WalkScreen, step: Step): Acts {
  if (step.kind === 'configure' && step.item === 'signal-lead' && step.value === 'fitted') {
    app.take(app.engine.noSource());
    return;
  }
  if (step.kind !== 'check') return app.say('This step cannot be skipped.', 'watch');
  app.show({ ...screen, input: EMPTY_LINE, mode: { kind: 'skip', check: step.check.id } });
}

export function keySkip(
  app: App,
  screen: WalkScreen,
  mode: Extract<WalkMode, { kind: 'skip' }>,
  key: Key,
  command: Command | undefined,
): Acts {
  if (command === 'back') return app.show({ ...screen, mode: { kind: 'entry' } });
  const choice = key.name === 'char' ? SKIP_KEYS[Number(key.text) - 1] : undefined;
  if (!choice) return;
  if (choice.reason === 'other') {
    return app.show({
      ...screen,
      mode: { kind: 'text', purpose: 'skip-other', edit: EMPTY_LINE, check: mode.check },
    });
  }
  skip(app, mode.check, choice.reason);
}

/** Passes the check over for that reason, in the words of `note` where it is a reason of one's own. */
export function skip(app: App, id: string, reason: SkipReason, note?: string): Acts {
  const check = app.book.checks.find((c) => c.id === id);
  const { live } = app.state;
  if (!check || !live || !app.take(app.engine.skip(live.view, check, reason, note))) return;
  app.show(onWards(app, id));
  app.settle();
}
