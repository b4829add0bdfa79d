// Checks of one posture as one list: rows filled in any order, `.` = as expected, `-` = skipped for now, no card between.
import { isLiveCheck } from '../../rulebook/live.ts';
import type { CheckStanding, Step } from '../../walk/types.ts';
import type { Key } from '../key-stream.ts';
import type { Command } from '../keys.ts';
import { beginsAnew, EMPTY_LINE, editLine, toReplace } from '../line-edit.ts';
import type { EntryOptions } from '../ports.ts';
import type { App } from './app.ts';
import { asExpected } from './as-expected.ts';
import { heldStep, openHeld } from './held.ts';
import { type Acts, FRESH_WALK, type ListScreen } from './model.ts';
import { askKey, openSheet } from './walk.ts';

/** Opens the list of the step's group, at its check. */
export function openList(app: App, step: Step): Acts {
  const { live } = app.state;
  if (!live || step.kind !== 'check') return openHeld(app);
  const { group } = step.check;
  const cold = !isLiveCheck(step.check);
  const checks = live.view.standings
    .filter((s) => s.check.group === group && s.status !== 'no-instrument' && s.status !== 'locked')
    .map((s) => s.check.id);
  if (group === undefined || !cold || checks.length < 2)
    return app.say('This check stands alone: no list.', 'quiet');
  app.push({
    kind: 'list',
    held: false,
    group,
    checks,
    index: Math.max(0, checks.indexOf(step.check.id)),
    input: EMPTY_LINE,
    asking: undefined,
  });
}

/** Standing of each row, in the list's order. */
export function listRows(app: App, screen: ListScreen): readonly CheckStanding[] {
  const standings = new Map(app.state.live?.view.standings.map((s) => [s.check.id, s]));
  return screen.checks.flatMap((id) => standings.get(id) ?? []);
}

export function keyList(app: App, screen: ListScreen, key: Key, command: Command | undefined): Acts {
  const rows = listRows(app, screen);
  if (screen.asking) {
    const { moved, chosen, left } = askKey(screen.asking, key, command);
    if (left) return app.show({ ...screen, asking: undefined });
    if (chosen) return give(app, screen, screen.asking.text, { force: chosen.value });
    return app.show({ ...screen, asking: { ...screen.asking, index: moved } });
  }
  if (openSheet(app, command)) return;
  const move = (by: number): Acts =>
    app.show({
      ...screen,
      index: Math.max(0, Math.min(rows.length - 1, screen.index + by)),
      input: EMPTY_LINE,
    });
  switch (command) {
    case 'up':
      return move(-1);
    case 'down':
      return move(1);
    case 'list':
      return backToCard(app);
    case 'back':
      return screen.input.text === '' ? backToCard(app) : app.show({ ...screen, input: EMPTY_LINE });
    case 'clear':
      return app.show({ ...screen, input: EMPTY_LINE });
    case 'skip':
      return pass(app, screen);
    case 'expected':
      return expected(app, screen);
    case 'take': {
      const text = screen.input.text.trim();
      if (text === '') return screen.held ? backToCard(app) : next(app, screen);
      if (/^(-|skip)$/i.test(text)) return pass(app, screen);
      return give(app, screen, text);
    }
  }
  const options = rows[screen.index]?.check.options ?? [];
  const atOnce = key.name === 'char' && beginsAnew(screen.input) && options.length <= 9;
  if (atOnce && options[Number(key.text) - 1]) return give(app, screen, key.text);
  const input = editLine(screen.input, key);
  if (input) app.show({ ...screen, input });
}

function backToCard(app: App): Acts {
  app.pop();
  app.show(FRESH_WALK);
  app.settle();
}

/** To the next row that is still open; when none is left, back to the walk. */
function next(app: App, screen: ListScreen): Acts {
  if (screen.held) return app.show({ ...screen, input: EMPTY_LINE, asking: undefined });
  const rows = listRows(app, screen);
  const order = [...rows.keys()].map((n) => (screen.index + 1 + n) % rows.length);
  const open = order.find((n) => rows[n]?.status === 'allowed' && n !== screen.index);
  if (open === undefined) return backToCard(app);
  app.show({ ...screen, index: open, input: EMPTY_LINE, asking: undefined });
}

function give(app: App, screen: ListScreen, text: string, options: EntryOptions = {}): Acts {
  const { live } = app.state;
  const row = listRows(app, screen)[screen.index];
  if (!live || !row) return;
  const step = screen.held ? heldStep(row) : app.engine.stepFor(live.view, row.check.id);
  if ('missing' in step) return app.say(`Not now: ${step.missing.join('; ')}.`, 'bad');
  const entry = app.engine.enter(live.view, step, text, app.now(), {
    ...(live.instrument === '' ? {} : { instrument: live.instrument }),
    ...options,
  });
  if (entry.kind === 'ask') {
    const asking = {
      kind: 'ask',
      message: entry.message,
      alternatives: entry.alternatives,
      index: 0,
      text,
    } as const;
    return app.show({ ...screen, asking });
  }
  if (!app.take(entry)) return app.show({ ...screen, input: toReplace(screen.input), asking: undefined });
  if (app.state.live?.view.step.kind === 'danger') return backToCard(app);
  next(app, { ...screen, asking: undefined });
}

function expected(app: App, screen: ListScreen): Acts {
  const row = listRows(app, screen)[screen.index];
  const force = row && asExpected(row.check, row.expected);
  if (!force) return app.say('What is right here is not known well enough: type what you read.', 'watch');
  give(app, screen, '.', { force });
}

function pass(app: App, screen: ListScreen): Acts {
  if (screen.held) return backToCard(app);
  const { live } = app.state;
  const row = listRows(app, screen)[screen.index];
  if (!live || !row || !app.take(app.engine.skip(live.view, row.check, 'later'))) return;
  next(app, screen);
}
