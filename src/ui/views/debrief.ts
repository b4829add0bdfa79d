// The debrief of a rehearsal: a few sentences, the hidden fault first.
import type { App } from '../app/app.ts';
import type { DebriefScreen } from '../app/model.ts';
import { BLANK, type Line, plain, wrap } from '../text.ts';
import { banner, framed } from './frame.ts';

const WIDEST = 100;

export function debriefView(app: App, screen: DebriefScreen): Line[] {
  const width = Math.min(app.state.columns - 1, WIDEST);
  const seed = app.state.live?.practice?.seed;
  const said = screen.lines.flatMap((text) => [...wrap(text, width).map((t) => plain(t)), BLANK]);
  return framed(app, [
    ...(screen.ended === '' ? [] : banner('THE RUN IS OVER', [screen.ended], app.state.columns, 'danger')),
    plain('Looking back', 'title'),
    BLANK,
    ...said,
    plain(`The same set again: first-raster practice --seed ${seed ?? ''}`, 'quiet'),
    plain('Enter: home', 'quiet'),
  ]);
}
