// The debrief of a rehearsal: a few sentences, the hidden fault first.
import type { App } from '../app/app.ts';
import type { DebriefScreen } from '../app/model.ts';
import { BLANK, type Line, plain, wrap } from '../text.ts';
import { banner, bodyHeight, framed, scrolled } from './frame.ts';

const WIDEST = 100;

export function debriefView(app: App, screen: DebriefScreen): Line[] {
  const width = Math.min(app.state.columns - 1, WIDEST);
  const practice = app.state.live?.practice;
  const again = practice
    ? `first-raster practice --family ${practice.set.family} --level ${practice.level} --seed ${practice.seed}`
    : '';
  const said = screen.lines.flatMap((text) => [...wrap(text, width).map((t) => plain(t)), BLANK]);
  const lines = [
    ...(screen.ended === '' ? [] : banner('THE RUN IS OVER', [screen.ended], app.state.columns, 'danger')),
    plain('Looking back', 'title'),
    BLANK,
    ...said,
    ...(again === ''
      ? []
      : [plain('The same set again:', 'quiet'), ...wrap(again, width).map((t) => plain(t, 'quiet'))]),
    plain('Enter: home', 'quiet'),
  ];
  return framed(app, scrolled(lines, screen.scroll, bodyHeight(app)));
}
