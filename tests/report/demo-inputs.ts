// Reports of the demonstration sessions as of their last entry, as if their own rules were the ones at hand.
import { join } from 'node:path';
import type { ReportInput, Terms } from '../../src/report/index.ts';
import { loadRules } from '../../src/rulebook/index.ts';
import { openSession } from '../../src/session/index.ts';
import { readCase } from '../../src/walk/case-file.ts';
import { createEngine } from '../../src/walk/engine.ts';
import { evaluateAll } from '../../src/walk/evaluate.ts';

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

const MUCH_WRONG = `
case: invented set with much wrong
set: {family: series-doubler-halfwave, standard: "525", line_volts: 117, picture_tube: 21YP4A, horizontal_output: 6DQ6A, complaint: no-raster, restored: none}
instruments: [dmm, hv-probe, picture-tube-tester, tube-tester, isolation-transformer, variac, lamp-limiter, ring-tester]
answers:
  flyback-ring: "2"
  flyback-ring-hv: "1"
  yoke-ring: "10/10"
  picture-tube-heater-cathode: "0.2"
  surge-resistor-ohms: "900"
  horizontal-output-grid-drive: "-12"
  horizontal-output-coupling-lifted: "88"
  height-feed-ohms: "3.1M/1.5M"
  b-plus-working: "160"
  sound-look: good
`;

/** A set with a failed flyback, several repairs and readings that do not fit: the fullest page that a set is likely to get. */
export function muchWrong(): ReportInput {
  const { data } = readCase('much-wrong.yaml', MUCH_WRONG, book);
  if (!data) throw new Error('the case has errors');
  return {
    view: evaluateAll(engine, data, { explained: true }).view,
    session: {
      name: 'much-wrong',
      created: '2031-05-01T18:00:00Z',
      rules: { name: book.name, version: book.version, hash: book.hash },
    },
    technician: 'Elin',
    rulebook: book,
    now: new Date('2031-05-02T08:00:00Z'),
  };
}
