// The whole screen as an Ink component that follows the app's state.
import { useSyncExternalStore } from 'react';
import type { App } from '../app/app.ts';
import { Answers } from './answers.tsx';
import { intakeParts } from './intake.ts';
import { Lines, PaintContext } from './lines.tsx';
import type { Paint } from './paint.ts';
import { screenLines } from './screen.ts';

export function Root({ app, paint }: { readonly app: App; readonly paint: Paint }) {
  useSyncExternalStore(
    (listener) => app.subscribe(listener),
    () => app.state,
  );
  const { screen } = app;
  const parts =
    screen.kind === 'intake' && !app.isHidden() && app.state.busy === undefined
      ? intakeParts(app, screen)
      : undefined;
  return (
    <PaintContext.Provider value={paint}>
      {parts && parts.answers.length > 0 ? <Answers parts={parts} /> : <Lines lines={screenLines(app)} />}
    </PaintContext.Provider>
  );
}
