// What follows from a view and is asked for on every frame: judgements of its readings, the way to a check. Kept as long as the view is.
import type { Judgement, Step, WalkView } from '../../walk/types.ts';
import type { App } from './app.ts';

interface Kept {
  readonly judgements: Map<number, Judgement | undefined>;
  readonly steps: Map<string, Step | { readonly missing: readonly string[] }>;
}

const kept = new WeakMap<WalkView, Kept>();

function keptFor(view: WalkView): Kept {
  const known = kept.get(view);
  if (known) return known;
  const fresh: Kept = { judgements: new Map(), steps: new Map() };
  kept.set(view, fresh);
  return fresh;
}

/** What is thought of a reading of the open session, by its sequence number. */
export function judged(app: App, seq: number): Judgement | undefined {
  const view = app.state.live?.view;
  if (!view) return undefined;
  const { judgements } = keptFor(view);
  if (!judgements.has(seq)) judgements.set(seq, app.engine.judge(view, seq));
  return judgements.get(seq);
}

/** The way to a check of the technician's own choice, or what stands in the way. */
export function stepTo(
  app: App,
  view: WalkView,
  check: string,
): Step | { readonly missing: readonly string[] } {
  const { steps } = keptFor(view);
  const known = steps.get(check) ?? app.engine.stepFor(view, check);
  steps.set(check, known);
  return known;
}
