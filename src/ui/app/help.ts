// Help for the screen below: scrolls, and goes away with Esc or Enter.
import type { Key } from '../key-stream.ts';
import type { Command } from '../keys.ts';
import type { App } from './app.ts';
import { scrollMove } from './list-move.ts';
import type { Acts, HelpScreen } from './model.ts';

export function keyHelp(app: App, screen: HelpScreen, _key: Key, command: Command | undefined): Acts {
  const scroll = scrollMove(command, screen.scroll);
  if (scroll !== undefined) return app.show({ ...screen, scroll });
  if (command === 'back' || command === 'take') app.pop();
}
