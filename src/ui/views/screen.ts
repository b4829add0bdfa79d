// The whole screen as lines, a function of the app's state. No drawing: the first frame is written from this before Ink is loaded.
import type { App } from '../app/app.ts';
import { LEAST_COLUMNS, LEAST_ROWS } from '../app/model.ts';
import { BLANK, clean, cut, type Line, plain, tall, wrap } from '../text.ts';
import { debriefView } from './debrief.ts';
import { elsewhereView } from './elsewhere.ts';
import { framed } from './frame.ts';
import { homeView } from './home.ts';
import { intakeView } from './intake.ts';
import { benchView, browserView, helpView, listView, repairView, treeView } from './lists.ts';
import { logView } from './log.ts';
import { settingsView } from './settings.ts';
import { verdictView } from './verdict.ts';
import { walkView } from './walk.ts';

/** Every line of the screen on top. */
export function screenLines(app: App): Line[] {
  const { screen } = app;
  const { columns, rows } = app.state;
  if (app.isHidden()) {
    const state = app.state.live ? ` Supply: ${app.state.live.view.safety.supply}.` : '';
    const text = `The window is ${columns} x ${rows}. First Raster needs ${LEAST_COLUMNS} x ${LEAST_ROWS}: make it larger. Everything entered is saved.${state} ^X power off, ^C leave.`;
    return tall(
      wrap(text, Math.max(1, columns)).map((t) => plain(t)),
      rows,
    );
  }
  const { busy } = app.state;
  if (busy !== undefined) return framed(app, [BLANK, plain(cut(clean(busy), columns), 'title')]);
  switch (screen.kind) {
    case 'home':
      return homeView(app, screen);
    case 'bench':
      return benchView(app, screen);
    case 'walk':
      return walkView(app, screen);
    case 'list':
      return listView(app, screen);
    case 'browser':
      return browserView(app, screen);
    case 'tree':
      return treeView(app, screen);
    case 'log':
      return logView(app, screen);
    case 'verdict':
      return verdictView(app, screen);
    case 'help':
      return helpView(app, screen);
    case 'repair':
      return repairView(app, screen);
    case 'settings':
      return settingsView(app, screen);
    case 'debrief':
      return debriefView(app, screen);
    case 'elsewhere':
      return elsewhereView(app, screen);
    case 'intake':
      return intakeView(app, screen);
  }
}
