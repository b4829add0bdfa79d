// What happened beside the walk: the bench was left, a plug or the anode lead was touched. What it proved is proven anew.
import type { Key } from '../key-stream.ts';
import type { Command } from '../keys.ts';
import { EMPTY_LINE } from '../line-edit.ts';
import type { App } from './app.ts';
import { type Acts, FRESH_WALK, TOUCHED_KEYS, type WalkScreen } from './model.ts';

export function openTouched(app: App, screen: WalkScreen): Acts {
  app.show({ ...screen, input: EMPTY_LINE, mode: { kind: 'touched' } });
}

export function keyTouched(app: App, screen: WalkScreen, key: Key, command: Command | undefined): Acts {
  if (command === 'back') return app.show({ ...screen, mode: { kind: 'entry' } });
  const choice = key.name === 'char' ? TOUCHED_KEYS[Number(key.text) - 1] : undefined;
  if (!choice) return;
  if (!app.commit([{ type: 'touched', what: choice.what }], choice.said)) return;
  app.show(FRESH_WALK);
  app.settle();
}
