// A part was replaced, adjusted or cleaned: one key for which, then what was found on the old one.
import type { Key } from '../key-stream.ts';
import type { Command } from '../keys.ts';
import { EMPTY_LINE, editLine } from '../line-edit.ts';
import type { App } from './app.ts';
import type { Acts, RepairScreen } from './model.ts';

/** What can be done to a part, in the order of the keys 1 to 3. */
export const REPAIR_ACTIONS = ['replaced', 'adjusted', 'cleaned'] as const;

/** Opens the question for a part of the rule base; says so if the row is no part. */
export function openRepair(app: App, partId: string | undefined): Acts {
  const part = app.book.parts.find((p) => p.id === partId);
  if (!part) return app.say('Mark a part first: only a part can be replaced, adjusted or cleaned.', 'watch');
  app.push({ kind: 'repair', part: part.id, title: part.title, action: undefined, edit: EMPTY_LINE });
}

export function keyRepair(app: App, screen: RepairScreen, key: Key, command: Command | undefined): Acts {
  if (command === 'back') {
    app.pop();
    return app.say('No repair is recorded.', 'watch');
  }
  if (!screen.action) {
    const action = key.name === 'char' ? REPAIR_ACTIONS[Number(key.text) - 1] : undefined;
    return action && app.show({ ...screen, action });
  }
  if (command === 'take') {
    const found = screen.edit.text.trim();
    const event = { type: 'repaired', part: screen.part, action: screen.action, found } as const;
    const dead = app.state.live?.view.safety.supply === 'discharged';
    if (!app.commit([event], `${screen.title}: ${screen.action}.`)) return;
    app.pop();
    if (!dead)
      return app.say(
        'Noted, although nothing here shows that the set was proven dead: prove it before hands go in again.',
        'watch',
      );
    return app.say('Noted. Beliefs behind this part start anew; what hangs on it is asked again.', 'good');
  }
  const edit = command === 'clear' ? EMPTY_LINE : editLine(screen.edit, key);
  return edit && app.show({ ...screen, edit });
}
