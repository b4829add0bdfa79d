// Unsafe acts at the practice bench: what a learner may try that would have hurt somebody or a part. Each ends the run and says why.
import type { Entry, Step, WalkView } from '../walk/types.ts';

/** Something done outside the step that is offered. */
export type Act =
  | { readonly kind: 'check'; readonly check: string }
  | { readonly kind: 'power-up'; readonly to: 'isolated-limited' | 'isolated-full' }
  | { readonly kind: 'configure'; readonly item: string }
  | { readonly kind: 'touch'; readonly what: string };

export interface Ending {
  /** What was tried. */
  readonly act: Act;
  /** Why the run ends, in the technician's words. */
  readonly say: string;
}

/** Proofs that are named one by one; more are counted. */
const NAMED_PROOFS = 4;
const named = (missing: readonly string[]): string => {
  const more = missing.length - NAMED_PROOFS;
  return missing.slice(0, NAMED_PROOFS).join('; ') + (more > 0 ? `; and ${more} more` : '');
};

/** Judges an act against what is proven; `undefined` = nothing wrong with it. */
export function unsafeAct(view: WalkView, act: Act): Ending | undefined {
  const stop = view.safety.forcedStop;
  if (stop) return { act, say: `The set had to be off at once: ${stop.say}` };
  const live = view.safety.supply === 'isolated-limited' || view.safety.supply === 'isolated-full';
  switch (act.kind) {
    case 'check': {
      const standing = view.standings.find((s) => s.check.id === act.check);
      if (standing?.status !== 'locked' || standing.check.state === 'any') return undefined;
      if (standing.check.state === 'SB') return undefined;
      const where = live ? 'with the set live' : 'without proof that it was dead';
      return { act, say: `"${standing.check.title}" ${where}. Missing: ${named(standing.missing)}.` };
    }
    case 'power-up': {
      const may = view.safety.mayGo(act.to);
      return may.ok
        ? undefined
        : { act, say: `Power before the set was ready for it. Missing: ${named(may.missing)}.` };
    }
    case 'configure':
      // A signal source is switched at its own output.
      return live && act.item !== 'signal'
        ? {
            act,
            say: `Changed with power on: ${act.item}. Parts, plugs and caps are changed unplugged and discharged only.`,
          }
        : undefined;
    case 'touch':
      return live || view.safety.supply === 'unknown'
        ? { act, say: `Hands on ${act.what} before it was unplugged and discharged.` }
        : undefined;
  }
}

/** An entry that the interlock refused at a live step is an attempt: as good as done at a real bench. */
export function unsafeEntry(view: WalkView, step: Step, entry: Entry): Ending | undefined {
  if (entry.kind !== 'refused') return undefined;
  if (step.kind === 'check') return unsafeAct(view, { kind: 'check', check: step.check.id });
  return step.kind === 'power-up' ? unsafeAct(view, { kind: 'power-up', to: step.to }) : undefined;
}
