// Every check, as a tree by phase with its standing; typed words narrow it. Enter jumps to one that may be taken, or says what is missing.
import type { Check, Quantity, Rulebook } from '../../rulebook/types.ts';
import type { CheckStanding } from '../../walk/types.ts';
import type { Key } from '../key-stream.ts';
import type { Command } from '../keys.ts';
import { EMPTY_LINE, editLine } from '../line-edit.ts';
import type { App } from './app.ts';
import { listMove } from './list-move.ts';
import { type Acts, type BrowserScreen, FRESH_WALK } from './model.ts';
import { probedAtOnce } from './rehearsal.ts';
import { openSheet } from './walk.ts';

export type BrowserRow =
  | {
      readonly kind: 'phase';
      readonly id: string;
      readonly title: string;
      readonly done: number;
      readonly of: number;
      readonly open: boolean;
    }
  | { readonly kind: 'check'; readonly standing: CheckStanding };

const PAGE = 10;
/** What people call a quantity, beside the unit that the card has. */
const QUANTITY_WORDS: Partial<Record<Quantity, string>> = {
  'dc-volts': 'volts voltage dc',
  'ac-volts': 'volts voltage ac',
  'pp-volts': 'volts voltage peak waveform scope',
  'hv-volts': 'volts voltage high hv kv eht',
  ohms: 'ohms resistance',
  amps: 'current amps milliamps',
  watts: 'power watts',
  farads: 'capacitance farads',
  henries: 'inductance henries',
  hertz: 'frequency hertz',
  seconds: 'time seconds',
};
const PLURAL = /s$/;
/** In a rehearsal: a mark after the words probes at once, ready or not. */
const AT_ONCE = /!\s*$/;

export function openBrowser(app: App): Acts {
  const step = app.state.live?.view.step;
  const open = step?.kind === 'check' ? [step.check.phase] : [];
  app.push({ kind: 'browser', query: EMPTY_LINE, index: 0, open });
  if (app.state.live?.practice)
    app.say(
      'Rehearsal: Enter leads to a check through its proofs; with ! after the words you probe at once, ready or not.',
      'quiet',
    );
}

/** Rows as shown: phases with their checks, or, while words are typed, the checks that have them all. */
export function browserRows(app: App, screen: BrowserScreen): readonly BrowserRow[] {
  const standings = app.state.live?.view.standings ?? [];
  const words = screen.query.text.toLowerCase().replace(AT_ONCE, '').split(/\s+/).filter(Boolean);
  if (words.length > 0) {
    return standings
      .map((standing) => ({ standing, rank: rankOf(aboutOf(app.book, standing.check), standing, words) }))
      .filter(({ rank }) => rank > 0)
      .sort((a, b) => b.rank - a.rank)
      .map(({ standing }) => ({ kind: 'check', standing }));
  }
  return app.book.phases.flatMap((phase): BrowserRow[] => {
    const own = standings.filter((s) => s.check.phase === phase.id);
    if (own.length === 0) return [];
    const open = screen.open.includes(phase.id);
    const done = own.filter((s) => s.status === 'done').length;
    const head: BrowserRow = { kind: 'phase', id: phase.id, title: phase.title, done, of: own.length, open };
    return [head, ...(open ? own.map((standing): BrowserRow => ({ kind: 'check', standing })) : [])];
  });
}

/** How well a check fits the words: 3 = its title has them in this order, 2 = its title has them, 1 = they are somewhere about it, 0 = not. */
function rankOf(about: string, { check }: CheckStanding, words: readonly string[]): number {
  const title = check.title.toLowerCase();
  if (title.includes(words.join(' '))) return 3;
  if (words.every((w) => title.includes(w))) return 2;
  return words.every((w) => about.includes(w) || about.includes(w.replace(PLURAL, ''))) ? 1 : 0;
}

const known = new WeakMap<Check, string>();

/** All that a check may be looked for by: its texts, what it reads, what its quantity is called, and the other dialect's words for these. */
function aboutOf(book: Rulebook, check: Check): string {
  const before = known.get(check);
  if (before !== undefined) return before;
  const read = check.reads.flatMap((r) => [
    book.parts.find((p) => p.id === r.part)?.title ?? '',
    book.signals.find((s) => s.id === r.signal)?.title ?? '',
  ]);
  const own =
    `${check.id} ${check.title} ${check.where} ${check.section} ${QUANTITY_WORDS[check.quantity] ?? ''} ${read.join(' ')}`.toLowerCase();
  const other = book.glossary.flatMap(({ us, uk }) => [
    ...(own.includes(us.toLowerCase()) ? [uk] : []),
    ...(own.includes(uk.toLowerCase()) ? [us] : []),
  ]);
  const about = `${own} ${other.join(' ')}`.toLowerCase();
  known.set(check, about);
  return about;
}

export function keyBrowser(app: App, screen: BrowserScreen, key: Key, command: Command | undefined): Acts {
  if (openSheet(app, command)) return;
  const rows = browserRows(app, screen);
  const row = rows[screen.index];
  const move = (to: number): Acts =>
    app.show({ ...screen, index: Math.max(0, Math.min(rows.length - 1, to)) });
  const toggle = (id: string, open: boolean): Acts =>
    app.show({ ...screen, open: open ? [...screen.open, id] : screen.open.filter((o) => o !== id) });
  const to = listMove(command, screen.index, rows.length, PAGE);
  if (to !== undefined) return move(to);
  switch (command) {
    case 'clear':
      return app.show({ ...screen, query: EMPTY_LINE, index: 0 });
    case 'back':
      return screen.query.text === '' ? app.pop() : app.show({ ...screen, query: EMPTY_LINE, index: 0 });
    case 'open':
      return row?.kind === 'phase' && !row.open ? toggle(row.id, true) : undefined;
    case 'close': {
      if (row?.kind === 'phase') return row.open ? toggle(row.id, false) : undefined;
      const phase = row?.standing.check.phase;
      const head = rows.findIndex((r) => r.kind === 'phase' && r.id === phase);
      return head >= 0 ? move(head) : undefined;
    }
    case 'take':
      if (row?.kind === 'phase') return toggle(row.id, !row.open);
      if (row && AT_ONCE.test(screen.query.text) && probedAtOnce(app, row.standing.check.id)) return;
      return row && jump(app, row.standing);
  }
  const query = editLine(screen.query, key);
  if (query) app.show({ ...screen, query, index: 0 });
}

function jump(app: App, standing: CheckStanding): Acts {
  const { live } = app.state;
  if (!live) return;
  const step = app.engine.stepFor(live.view, standing.check.id);
  if ('missing' in step) return app.say(`Not now: ${step.missing.join('; ')}.`, 'watch');
  app.update({ stack: [{ ...FRESH_WALK, pinned: standing.check.id }], notice: undefined });
}
