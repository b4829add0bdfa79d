// The end of a rehearsal: what was wrong, what the walk found, minutes, and where time was lost.
import type { Key } from '../key-stream.ts';
import type { Command } from '../keys.ts';
import type { App } from './app.ts';
import type { Acts, DebriefScreen } from './model.ts';

/** Ends the rehearsal and looks back; `ended` says why, where an unsafe act ended it. */
export function openDebrief(app: App, ended = ''): Acts {
  app.whileSaying('Looking back over the walk ...', () => {
    const { live } = app.state;
    if (!live?.practice) return;
    const { lines } = live.practice.debrief(live.view);
    app.update({ stack: [{ kind: 'debrief', ended, lines }] });
  });
}

export function keyDebrief(app: App, _screen: DebriefScreen, _key: Key, command: Command | undefined): Acts {
  if (command === 'take' || command === 'back') app.goHome();
}
