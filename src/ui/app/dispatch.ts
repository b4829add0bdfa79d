// Which handler takes a key on which screen, and whether text is being typed there.
import type { Key } from '../key-stream.ts';
import type { Command } from '../keys.ts';
import { beginsAnew } from '../line-edit.ts';
import type { App } from './app.ts';
import { keyBench } from './bench.ts';
import { keyBrowser } from './browser.ts';
import { keyDebrief } from './debrief.ts';
import { keyHelp } from './help.ts';
import { keyHome } from './home.ts';
import { keyIntake } from './intake.ts';
import { keyList } from './list.ts';
import { keyLog } from './log.ts';
import type { Acts, Screen } from './model.ts';
import { keyRepair } from './repair.ts';
import { keyElsewhere } from './saving.ts';
import { keySettings } from './settings.ts';
import { keyTree } from './tree.ts';
import { keyVerdict } from './verdict.ts';
import { keyWalk } from './walk.ts';

/** Gives a key to the screen on top. */
export function toScreen(app: App, screen: Screen, key: Key, command: Command | undefined): Acts {
  switch (screen.kind) {
    case 'home':
      return keyHome(app, screen, key, command);
    case 'intake':
      return keyIntake(app, screen, key, command);
    case 'bench':
      return keyBench(app, screen, key, command);
    case 'walk':
      return keyWalk(app, screen, key, command);
    case 'list':
      return keyList(app, screen, key, command);
    case 'browser':
      return keyBrowser(app, screen, key, command);
    case 'tree':
      return keyTree(app, screen, key, command);
    case 'log':
      return keyLog(app, screen, key, command);
    case 'verdict':
      return keyVerdict(app, screen, key, command);
    case 'repair':
      return keyRepair(app, screen, key, command);
    case 'settings':
      return keySettings(app, screen, key, command);
    case 'debrief':
      return keyDebrief(app, screen, key, command);
    case 'elsewhere':
      return keyElsewhere(app, screen, key, command);
    case 'help':
      return keyHelp(app, screen, key, command);
  }
}

/** True while no text is being typed on the screen, so that keys which could be text are commands. */
export function inputIsEmpty(screen: Screen): boolean {
  switch (screen.kind) {
    case 'home':
    case 'browser':
      return screen.query.text === '';
    case 'log':
      return screen.query.text === '' && screen.editing === undefined;
    case 'walk':
      return beginsAnew(screen.input) && screen.mode.kind !== 'text';
    case 'list':
      return beginsAnew(screen.input);
    case 'intake':
    case 'repair':
    case 'elsewhere':
    case 'settings':
      return false;
    default:
      return true;
  }
}
