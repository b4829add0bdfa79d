// Judgements of the readings in a view, kept as long as the view is: every frame asks for the same ones again.
import type { Judgement, WalkView } from '../../walk/types.ts';
import type { App } from './app.ts';

const known = new WeakMap<WalkView, Map<number, Judgement | undefined>>();

/** What is thought of a reading of the open session, by its sequence number. */
export function judged(app: App, seq: number): Judgement | undefined {
  const view = app.state.live?.view;
  if (!view) return undefined;
  let own = known.get(view);
  if (!own) {
    own = new Map();
    known.set(view, own);
  }
  if (!own.has(seq)) own.set(seq, app.engine.judge(view, seq));
  return own.get(seq);
}
