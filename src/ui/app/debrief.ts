// The end of a rehearsal: what was wrong, what the walk found, minutes, and where time was lost.
import type { Key } from '../key-stream.ts';
import type { Command } from '../keys.ts';
import type { App } from './app.ts';
import { scrollMove } from './list-move.ts';
import type { Acts, DebriefScreen } from './model.ts';

/** Ends the rehearsal and looks back; `ended` says why, where an unsafe act ended it. */
export function openDebrief(app: App, ended = ''): Acts {
  app.whileSaying('Looking back over the walk ...', () => {
    const { live } = app.state;
    if (!live?.practice) return;
    const { lines } = live.practice.debrief(live.view);
    app.update({ stack: [{ kind: 'debrief', ended, lines, scroll: 0 }] });
    // Keys that were typed while this was worked out must not put it away unread.
    app.answeredAtOnce();
  });
}

export function keyDebrief(app: App, screen: DebriefScreen, _key: Key, command: Command | undefined): Acts {
  const scroll = scrollMove(command, screen.scroll);
  if (scroll !== undefined) return app.show({ ...screen, scroll });
  if ((command === 'take' || command === 'back') && !app.isHabit()) app.goHome();
}
