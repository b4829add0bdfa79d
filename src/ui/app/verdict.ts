// The verdict: overall word, grades with their evidence, next steps. Enter opens the evidence; the report is written from here.
import type { GradeEntry, NextStep, OpenSign, Verdict } from '../../diagnosis/types.ts';
import { checksSpeakingOf } from '../../rulebook/speaks.ts';
import type { Key } from '../key-stream.ts';
import type { Command } from '../keys.ts';
import type { App } from './app.ts';
import { listMove } from './list-move.ts';
import type { Acts, Behind, VerdictScreen } from './model.ts';
import { openRepair } from './repair.ts';
import { openSheet } from './walk.ts';

export type VerdictRow =
  | { readonly kind: 'head'; readonly id: string; readonly text: string }
  | { readonly kind: 'grade'; readonly id: string; readonly entry: GradeEntry }
  | { readonly kind: 'sign'; readonly id: string; readonly sign: OpenSign }
  | { readonly kind: 'step'; readonly id: string; readonly number: number; readonly step: NextStep }
  | { readonly kind: 'text'; readonly id: string; readonly text: string };

/** The state of the verdict in one line for the list of sessions: `picture tube serviceable, flyback not proven`. */
export function verdictLine(verdict: Verdict): string {
  return verdict.core.map((g) => `${g.title.toLowerCase()} ${g.grade}`).join(', ');
}

const PAGE = 8;
const MOST_SUSPECTS = 3;

export function openVerdict(app: App): Acts {
  if (!app.state.live?.view.verdict) return app.say('There is nothing to judge yet.', 'quiet');
  app.push({ kind: 'verdict', index: 0, open: [], evidence: {} });
}

/** Rows in order: core parts, signs that nothing found accounts for, next steps, sections, what was not proven. */
export function verdictRows(app: App): readonly VerdictRow[] {
  const view = app.state.live?.view;
  const verdict = view?.verdict;
  if (!verdict) return [];
  const signs = view.plan.stop?.openSigns ?? [];
  const head = (id: string, text: string): VerdictRow => ({ kind: 'head', id, text });
  return [
    head('core', 'Core parts'),
    ...verdict.core.map((entry): VerdictRow => ({ kind: 'grade', id: `core:${entry.id}`, entry })),
    ...(signs.length > 0 ? [head('signs', 'Not accounted for by anything found')] : []),
    ...signs.map((sign, n): VerdictRow => ({ kind: 'sign', id: `sign:${n}`, sign })),
    head('next', 'Next steps, in order'),
    ...verdict.nextSteps.map(
      (step, n): VerdictRow => ({ kind: 'step', id: `step:${n}`, number: n + 1, step }),
    ),
    head('sections', 'Sections'),
    ...verdict.sections.map((entry): VerdictRow => ({ kind: 'grade', id: `section:${entry.id}`, entry })),
    head('open', 'Not proven'),
    ...verdict.notProven.map((text, n): VerdictRow => ({ kind: 'text', id: `open:${n}`, text })),
  ];
}

export function keyVerdict(app: App, screen: VerdictScreen, _key: Key, command: Command | undefined): Acts {
  if (openSheet(app, command)) return;
  const rows = verdictRows(app);
  const row = rows[screen.index];
  const to = listMove(command, screen.index, rows.length, PAGE);
  if (to !== undefined) return app.show({ ...screen, index: to });
  const isOpen = row !== undefined && screen.open.includes(row.id);
  const set = (open: boolean): Acts => {
    if (!row || row.kind === 'head' || row.kind === 'text') return;
    if (!open) return app.show({ ...screen, open: screen.open.filter((o) => o !== row.id) });
    const evidence =
      row.kind === 'grade' ? { ...screen.evidence, [row.id]: evidenceFor(app, row.entry) } : screen.evidence;
    app.show({ ...screen, open: [...screen.open, row.id], evidence });
  };
  switch (command) {
    case 'take':
      return set(!isOpen);
    case 'open':
      return isOpen ? undefined : set(true);
    case 'close':
      return isOpen ? set(false) : undefined;
    case 'report':
      return writeReport(app);
    case 'repair':
      return openRepair(app, partOf(app, row));
    case 'back':
      return app.pop();
  }
}

/** The suspects behind a grade with the readings that moved each, and the readings that speak about its own parts. */
function evidenceFor(app: App, entry: GradeEntry): Behind {
  const { live } = app.state;
  if (!live) return { suspects: [], readings: [] };
  const parts = app.book.parts.filter((p) => p.assembly === entry.id || p.section === entry.id);
  const own = new Set(parts.map((p) => p.id));
  const speaks = new Set(checksSpeakingOf(app.book, parts).map((c) => c.id));
  return {
    suspects: live.view.suspects
      .filter((s) => own.has(s.part))
      .slice(0, MOST_SUSPECTS)
      .map((s) => ({
        title: s.title,
        probability: s.partProbability,
        weights: app.engine.explain(live.view, s.id),
      })),
    readings: live.view.state.readings
      .filter((r) => speaks.has(r.check))
      .map((r) => r.seq)
      .reverse(),
  };
}

/** The part that a row is about: the suspect that a next step names. */
function partOf(app: App, row: VerdictRow | undefined): string | undefined {
  if (row?.kind !== 'step' || row.step.part === '') return undefined;
  const { part } = row.step;
  const suspect = app.state.live?.view.suspects.find((s) => s.title === part);
  return suspect?.part ?? app.book.parts.find((p) => part.startsWith(p.title))?.id;
}

/** Writes owner's page and bench record, and says where. */
export function writeReport(app: App): Acts {
  const { live } = app.state;
  if (!live) return;
  if (live.practice)
    return app.say('A practice set gets no report: what is found is told at the end.', 'quiet');
  try {
    const { path, older } = app.ports.writeReport(live.view, live.session);
    app.say(
      `Report written, owner's page and bench record${older ? '; the older one stays beside it' : ''}: ${path}`,
      'good',
    );
  } catch (error) {
    app.say(error instanceof Error ? error.message : String(error), 'bad');
  }
}
