// The whole screen as an Ink component that follows the app's state.
import { useSyncExternalStore } from 'react';
import type { App } from '../app/app.ts';
import { Lines, PaintContext } from './lines.tsx';
import type { Paint } from './paint.ts';
import { screenLines } from './screen.ts';

export function Root({ app, paint }: { readonly app: App; readonly paint: Paint }) {
  useSyncExternalStore(
    (listener) => app.subscribe(listener),
    () => app.state,
  );
  return (
    <PaintContext.Provider value={paint}>
      <Lines lines={screenLines(app)} />
    </PaintContext.Provider>
  );
}
