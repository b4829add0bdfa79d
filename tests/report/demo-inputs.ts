// Reports of the demonstration sessions as of their last entry, as if their own rules were the ones at hand.
import { join } from 'node:path';
import type { ReportInput, Terms } from '../../src/report/index.ts';
import { loadRules } from '../../src/rulebook/index.ts';
import { openSession } from '../../src/session/index.ts';
import { createEngine } from '../../src/walk/engine.ts';

export const ROOT = join(import.meta.dirname, '../..');
export const DEMOS = ['demo-orchard', 'demo-harbour', 'demo-linden'];

const rules = loadRules(join(ROOT, 'rules')).book;
if (!rules) throw new Error('the rule pack has errors');
export const book = rules;
export const engine = createEngine(book);

const inputs = new Map<string, ReportInput>();

/** The report's input for one demonstration session. */
export function inputOf(name: string, terms: Terms = 'us'): ReportInput {
  const known = inputs.get(name);
  if (known) return { ...known, terms };
  const session = openSession(join(ROOT, 'sessions'), name, { readOnly: true });
  const now = new Date(session.state.lastAt);
  const view = engine.view(session.state, now, { explained: true });
  const wrong = book.signals.filter(
    (s) => s.outcome && 1 - (view.belief?.signals.get(s.id)?.normal ?? 1) >= 0.5,
  );
  const input: ReportInput = {
    view,
    session: { name, created: session.header.created, rules: session.header.rules },
    rulebook: { ...book, ...session.header.rules },
    now,
    faultTrees: wrong.slice(0, 4).flatMap((s) => engine.faultTree(view, s.id) ?? []),
  };
  inputs.set(name, input);
  return { ...input, terms };
}

/** The British set is written up in British terms. */
export const termsOf = (name: string): Terms => (name === 'demo-linden' ? 'uk' : 'us');
