// Help for the screen below: scrolls, and goes away with Esc or Enter.
import type { Key } from '../key-stream.ts';
import type { Command } from '../keys.ts';
import type { App } from './app.ts';
import type { Acts, HelpScreen } from './model.ts';

const PAGE = 12;

export function keyHelp(app: App, screen: HelpScreen, _key: Key, command: Command | undefined): Acts {
  const scroll = (by: number): Acts => app.show({ ...screen, scroll: Math.max(0, screen.scroll + by) });
  switch (command) {
    case 'up':
      return scroll(-1);
    case 'down':
      return scroll(1);
    case 'page-up':
      return scroll(-PAGE);
    case 'page-down':
      return scroll(PAGE);
    case 'back':
    case 'take':
      return app.pop();
  }
}
