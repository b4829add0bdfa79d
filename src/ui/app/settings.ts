// Settings: the name on reports, American or British terms, where sessions are kept. Enter keeps all of them.
import type { Key } from '../key-stream.ts';
import type { Command } from '../keys.ts';
import { EMPTY_LINE, editLine, lineOf } from '../line-edit.ts';
import type { App } from './app.ts';
import type { Acts, SettingsScreen } from './model.ts';

/** Settings in the order shown. */
export const SETTINGS = ['technician', 'terms', 'folder'] as const;

export function openSettings(app: App): Acts {
  const { technician, terms, sessionsFolder } = app.ports.readPreferences();
  app.push({
    kind: 'settings',
    index: 0,
    technician: lineOf(technician),
    terms,
    folder: lineOf(sessionsFolder),
  });
}

export function keySettings(app: App, screen: SettingsScreen, key: Key, command: Command | undefined): Acts {
  const move = (by: number): Acts =>
    app.show({ ...screen, index: Math.max(0, Math.min(SETTINGS.length - 1, screen.index + by)) });
  const setting = SETTINGS[screen.index];
  switch (command) {
    case 'up':
      return move(-1);
    case 'down':
      return move(1);
    case 'back':
      return app.pop();
    case 'take': {
      const change = {
        technician: screen.technician.text.trim(),
        terms: screen.terms,
        sessionsFolder: screen.folder.text.trim(),
      };
      app.pop();
      return app.keep(change, true)
        ? undefined
        : app.say('Kept. Terms and folder hold from the next start.', 'good');
    }
  }
  if (setting === 'terms') {
    const other = screen.terms === 'us' ? 'uk' : 'us';
    const turns = ['left', 'right', 'tab'].includes(key.name) || key.text === ' ';
    return turns ? app.show({ ...screen, terms: other }) : undefined;
  }
  const name = setting === 'folder' ? 'folder' : 'technician';
  const edit = command === 'clear' ? EMPTY_LINE : editLine(screen[name], key);
  return edit && app.show({ ...screen, [name]: edit });
}
