// Rules that hang together too widely for an exact answer: the budget, and which parts to keep local.
import { tableSize } from './factor.ts';
import type { Draft } from './network-draft.ts';
import { NetworkError } from './network-error.ts';
import { planTrees, type TreePlan } from './network-trees.ts';

/** Most table entries that still give an answer within a key press. */
export const TABLE_BUDGET = 4e5;
/** How many parts the message names. */
const NAMED = 5;

/** The refusal, with the parts whose effects, kept to one signal each, would shrink the tables most. */
export function tooWide(draft: Draft, plan: TreePlan): NetworkError {
  const before = plan.elimination.entries;
  const savings = [...plan.partVariable.keys()]
    .map((id) => ({ id, saved: 1 - localised(draft, id).elimination.entries / before }))
    .sort((a, b) => b.saved - a.saved || reach(draft, b.id) - reach(draft, a.id) || a.id.localeCompare(b.id))
    .slice(0, NAMED);
  const names = savings.map(({ id, saved }) => {
    const percent = Math.round(100 * saved);
    return `${id} (acts on ${reach(draft, id)} signals${percent > 0 ? `, saves ${percent} %` : ''})`;
  });
  const largest = Math.max(...plan.elimination.cliques.map((c) => tableSize(plan.cards, c)));
  return new NetworkError(
    'too-wide',
    `the rules hang together too widely for an exact answer: about ${before.toExponential(0)} table entries before the impossible ones are left out (largest table ${largest.toExponential(0)}); at most ${TABLE_BUDGET.toExponential(0)} may remain. ` +
      `Keep the effects of these parts to neighbouring signals, or put a signal between: ${names.join('; ')}.`,
  );
}

const reach = (draft: Draft, id: string): number => draft.parts.get(id)?.signals.length ?? 0;

/** The plan if one part acted only on the first of its families. */
function localised(draft: Draft, id: string): TreePlan {
  const part = draft.parts.get(id);
  const first = part?.families[0];
  if (!part || first === undefined) return planTrees(draft.families, draft.parts, 1, 1);
  const families = draft.families.map((f, i) =>
    i === first ? f : { ...f, causes: f.causes.filter((c) => c.kind !== 'part' || c.id !== id) },
  );
  return planTrees(families, new Map(draft.parts).set(id, { ...part, families: [first] }), 1, 1);
}
