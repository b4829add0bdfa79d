// The walk: what a key does to the card of the step at hand. Typing always goes to the value; the rest is in the key table.
import { METERS } from '../../rulebook/instruments.ts';
import type { Check } from '../../rulebook/types.ts';
import { LINE_VOLTS, type SessionEvent } from '../../session/types.ts';
import { runMinutesLeft } from '../../walk/run-time.ts';
import type { Step } from '../../walk/types.ts';
import type { Key } from '../key-stream.ts';
import type { Command } from '../keys.ts';
import { beginsAnew, EMPTY_LINE, editLine, lineOf, toReplace } from '../line-edit.ts';
import type { App } from './app.ts';
import { openBench } from './bench.ts';
import { currentNote } from './bring-up.ts';
import { openBrowser } from './browser.ts';
import { openDebrief } from './debrief.ts';
import { openIntake } from './intake.ts';
import { stepTo } from './kept.ts';
import { openList } from './list.ts';
import { openLog } from './log.ts';
import { type Acts, FRESH_WALK, type Live, type WalkMode, type WalkScreen } from './model.ts';
import { noting, wantsNote } from './notes.ts';
import { openPrinted, takePrinted } from './printed.ts';
import { type Simulated, simulatedAt } from './rehearsal.ts';
import { keySkip, onWards, openSkip, skip } from './skipping.ts';
import { ceilingAt, holdAt, nextRow, openTimer, startTimer } from './timers.ts';
import { keyTouched, openTouched } from './touched.ts';
import { openTree } from './tree.ts';
import { openVerdict, writeReport } from './verdict.ts';

const SCROLL = 4;
const MOST_AMPS = 20;

/** The step on the card: the one jumped to, while it may be taken, else the planned one. */
export function currentStep(app: App, screen: WalkScreen): Step | undefined {
  const { live } = app.state;
  if (!live) return undefined;
  if (screen.pinned === '') return live.view.step;
  const step = stepTo(app, live.view, screen.pinned);
  return 'missing' in step ? live.view.step : step;
}

/** Options of the step, where it is answered by choosing. */
export function stepOptions(
  step: Step | undefined,
): readonly { readonly id: string; readonly title: string }[] {
  if (step?.kind === 'check' && step.check.kind === 'choice') return step.check.options;
  if (step?.kind === 'gate' && step.gate.kind === 'choice') return step.gate.options;
  return [];
}

/** Screens that are opened from any sheet of the session with the same key. Returns true if the command was one of them. */
export function openSheet(app: App, command: Command | undefined): boolean {
  const top = app.screen.kind;
  const open: Partial<Record<Command, () => Acts>> = {
    find: () => (top === 'browser' ? undefined : openBrowser(app)),
    why: () => (top === 'tree' ? undefined : openTree(app)),
    log: () => (top === 'log' ? undefined : openLog(app)),
    verdict: () => (top === 'verdict' ? undefined : openVerdict(app)),
    'set-facts': () => openIntake(app, 'edit'),
    bench: () => openBench(app, 'session'),
  };
  const action = command && open[command];
  if (!action) return false;
  action();
  return true;
}

export function keyWalk(app: App, screen: WalkScreen, key: Key, command: Command | undefined): Acts {
  const { mode } = screen;
  if (mode.kind === 'ask') return keyAsk(app, screen, mode, key, command);
  if (mode.kind === 'skip') return keySkip(app, screen, mode, key, command);
  if (mode.kind === 'touched') return keyTouched(app, screen, key, command);
  if (mode.kind === 'text') return keyText(app, screen, mode, key, command);
  if (openSheet(app, command)) return;
  const step = currentStep(app, screen);
  if (!step) return;
  const options = stepOptions(step);
  switch (command) {
    case 'take':
      return enter(app, screen, step);
    case 'back':
      if (screen.input.text !== '' || screen.option >= 0)
        return app.show({ ...screen, input: EMPTY_LINE, option: -1 });
      if (screen.pinned !== '') return app.show(FRESH_WALK);
      return app.leave('home');
    case 'skip':
      return openSkip(app, screen, step);
    case 'touched':
      return openTouched(app, screen);
    case 'list':
      return openList(app, step);
    case 'note':
      return app.show(noting(screen, step.kind === 'check' ? step.check.id : ''));
    case 'line-volts':
      return openLineVolts(app, screen);
    case 'printed':
      return openPrinted(app, screen, step);
    case 'timer':
      return openTimer(app, screen, step);
    case 'instrument':
      return nextInstrument(app, step);
    case 'large':
      return app.update({ large: !app.state.large });
    case 'report':
      return writeReport(app);
    case 'page-down':
      return app.show({ ...screen, scroll: screen.scroll + SCROLL });
    case 'page-up':
      return app.show({ ...screen, scroll: Math.max(0, screen.scroll - SCROLL) });
    case 'clear':
      return app.show({ ...screen, input: EMPTY_LINE, option: -1 });
    case 'up':
    case 'down': {
      if (options.length === 0) return;
      const by = command === 'down' ? 1 : -1;
      const from = screen.option < 0 && by < 0 ? 0 : screen.option;
      return app.show({
        ...screen,
        input: EMPTY_LINE,
        option: (from + by + options.length) % options.length,
      });
    }
  }
  if (/^\d$/.test(key.text) && app.isHabit())
    return app.say('One digit answers a question with choices; the digits after it were not taken.', 'watch');
  if (takesAtOnce(step, screen, key)) {
    app.answeredAtOnce();
    return give(app, screen, step, key.text);
  }
  const input = editLine(screen.input, key);
  if (!input || input === screen.input) return;
  const typed = Number(input.text);
  const option = options.length > 0 && Number.isInteger(typed) && options[typed - 1] ? typed - 1 : -1;
  app.update({ notice: undefined });
  app.show({ ...screen, input, option });
}

/** Questions with more answers than digits want Enter after the number. */
const MOST_AT_ONCE = 9;

/** True where the number of an answer takes it at once. A safety proof always wants Enter as well: one wrong key must prove nothing. */
export function answersAtOnce(step: Step): boolean {
  return step.kind === 'check' && step.check.kind === 'choice' && step.check.options.length <= MOST_AT_ONCE;
}

function takesAtOnce(step: Step, screen: WalkScreen, key: Key): boolean {
  if (!answersAtOnce(step) || key.name !== 'char' || !beginsAnew(screen.input)) return false;
  return stepOptions(step)[Number(key.text) - 1] !== undefined;
}

/** Enter: what it does depends on the step, and is written under the line. */
function enter(app: App, screen: WalkScreen, step: Step): Acts {
  const text = screen.input.text.trim();
  const { live } = app.state;
  if (text === '' && screen.option < 0 && app.isHabit()) return;
  const shown = live && text === '' && screen.option < 0 ? simulatedAt(app, live, step) : undefined;
  if (live && shown) return takeSimulated(app, screen, live, step, shown);
  switch (step.kind) {
    case 'describe-set':
      return openIntake(app, 'edit');
    case 'describe-bench':
      return openBench(app, 'session');
    case 'danger':
      return app.powerOff(step.why);
    case 'power-off':
      return app.powerOff(step.why);
    case 'stop':
      if (text !== '' && step.lost) return give(app, screen, step, text);
      return live?.practice ? openDebrief(app) : openVerdict(app);
    case 'configure':
      return give(app, screen, step, text === '' ? 'yes' : text);
    case 'power-up':
      if (text === '') return app.say("Type the volts at the set's plug, as measured, then Enter.", 'watch');
      return give(app, screen, step, text);
    case 'gate':
    case 'check': {
      const chosen = stepOptions(step)[screen.option];
      if (chosen && (text === '' || text === String(screen.option + 1)))
        return give(app, screen, step, String(screen.option + 1));
      if (step.kind === 'check' && /^(-|skip)$/i.test(text)) return openSkip(app, screen, step);
      if (text !== '') return give(app, screen, step, text);
      app.say(
        stepOptions(step).length > 0
          ? 'Choose with the arrows or a number, then Enter.'
          : 'Type the reading, then Enter.',
        'quiet',
      );
    }
  }
}

/** The card after an entry: on the way to a check that was jumped to it leads there still, until that one (`settled`) is read or left out. */
/** Takes what a simulated set shows; waits of the safety gates pass at once. */
function takeSimulated(app: App, screen: WalkScreen, live: Live, step: Step, shown: Simulated): Acts {
  if (step.kind === 'check' && shown.text === '') return skip(app, step.check.id, 'cannot-reach');
  if (step.kind === 'gate')
    app.passOver(
      Math.max(live.view.safety.anodeWaitSeconds, step.rows ? (live.view.safety.bringUp?.seconds ?? 0) : 0),
    );
  if (step.kind === 'power-up') app.passOver(live.view.safety.restartWaitSeconds);
  if (step.kind === 'check') app.passOver(60 * runMinutesLeft(step.check, live.view.state, app.now()));
  if (step.kind !== 'check') return give(app, screen, step, shown.text, shown.force);
  const entry = app.engine.enter(live.view, step, shown.text, app.now());
  // A simulated reading means what it says, however far out it is.
  give(app, screen, step, shown.text, entry.kind === 'ask' ? entry.alternatives[0]?.value : undefined);
}

/** Meter for this step's check: the one chosen, if the check can be done with it. */
export function instrumentFor(app: App, step: Step): string | undefined {
  const chosen = app.state.live?.instrument ?? '';
  return step.kind === 'check' && chosen !== '' ? chosen : undefined;
}

function give(
  app: App,
  screen: WalkScreen,
  step: Step,
  text: string,
  force?: Extract<WalkMode, { kind: 'ask' }>['alternatives'][number]['value'],
): Acts {
  const { live } = app.state;
  if (!live) return;
  const instrument = instrumentFor(app, step);
  const entry = app.engine.enter(live.view, step, text, app.now(), {
    ...(instrument === undefined ? {} : { instrument }),
    ...(force === undefined ? {} : { force }),
  });
  if (entry.kind === 'ask') {
    const mode = {
      kind: 'ask',
      message: entry.message,
      alternatives: entry.alternatives,
      index: 0,
      text,
    } as const;
    return app.show({ ...screen, mode });
  }
  const unsafe = live.practice?.watch(live.view, step, entry);
  if (unsafe) return openDebrief(app, unsafe.say);
  if (!app.take(entry)) return app.show({ ...screen, input: toReplace(screen.input) });
  const next = onWards(app, step.kind === 'check' ? step.check.id : '');
  app.show(step.kind === 'check' && wantsNote(step.check, entry) ? noting(next, step.check.id) : next);
  if (app.state.live?.view.step.kind === 'danger') app.ports.bell();
  app.settle();
}

function keyAsk(
  app: App,
  screen: WalkScreen,
  mode: Extract<WalkMode, { kind: 'ask' }>,
  key: Key,
  command: Command | undefined,
): Acts {
  const step = currentStep(app, screen);
  const { moved, chosen, left } = askKey(mode, key, command);
  if (left || !step) return app.show({ ...screen, mode: { kind: 'entry' } });
  if (chosen) return give(app, screen, step, mode.text, chosen.value);
  app.show({ ...screen, mode: { ...mode, index: moved } });
}

/** What a key does to a "did you mean": moves, chooses, or leaves it. Shared with the list. */
export function askKey(mode: Extract<WalkMode, { kind: 'ask' }>, key: Key, command: Command | undefined) {
  const count = mode.alternatives.length;
  if (command === 'back') return { moved: mode.index, chosen: undefined, left: true };
  if (command === 'take') return { moved: mode.index, chosen: mode.alternatives[mode.index], left: false };
  const typed = key.name === 'char' ? mode.alternatives[Number(key.text) - 1] : undefined;
  if (typed) return { moved: mode.index, chosen: typed, left: false };
  const by = command === 'down' ? 1 : command === 'up' ? -1 : 0;
  return { moved: (mode.index + by + count) % Math.max(1, count), chosen: undefined, left: false };
}

/** The line for the volts at the set now, with the table's next row already in it. */
function openLineVolts(app: App, screen: WalkScreen): Acts {
  const { live } = app.state;
  const next = live?.view.safety.supply === 'isolated-limited' ? nextRow(live) : undefined;
  const edit = toReplace(lineOf(next ? String(Math.round(next.lineVolts)) : ''));
  app.show({ ...screen, mode: { kind: 'text', purpose: 'line-volts', edit, check: '' } });
}

function keyText(
  app: App,
  screen: WalkScreen,
  mode: Extract<WalkMode, { kind: 'text' }>,
  key: Key,
  command: Command | undefined,
): Acts {
  if (command === 'back') return app.show({ ...screen, mode: { kind: 'entry' } });
  if (command !== 'take') {
    const edit = command === 'clear' ? EMPTY_LINE : editLine(mode.edit, key);
    if (edit) app.show({ ...screen, mode: { ...mode, edit } });
    return;
  }
  const text = mode.edit.text.trim();
  if (mode.purpose === 'skip-other') {
    if (text === '') return app.say('A word on the reason, please.', 'watch');
    return skip(app, mode.check, 'other', text);
  }
  if (mode.purpose === 'note') {
    const about = mode.check === '' ? {} : { check: mode.check };
    if (text === '' || app.commit([{ type: 'note', text, ...about }], 'Note kept.'))
      app.show({ ...screen, mode: { kind: 'entry' } });
    return;
  }
  if (mode.purpose === 'timer') return startTimer(app, screen, text);
  if (mode.purpose === 'printed') return takePrinted(app, screen, mode.check, text);
  takeLine(app, screen, text);
}

/** Takes the volts at the set now and, after a blank, the amperes that it draws: `50` or `50 0.21`. */
function takeLine(app: App, screen: WalkScreen, text: string): Acts {
  const { live } = app.state;
  const [first = '', second] = text.replace(/,/g, '.').split(/\s+/);
  const volts = Number(first.replace(/v$/i, ''));
  const amps = second === undefined ? undefined : Number(second.replace(/a$/i, ''));
  const [least, most] = LINE_VOLTS;
  if (text === '' || !Number.isFinite(volts) || volts < least || volts > most) {
    return app.say(`Line voltage at the set: ${least} to ${most} V, e.g. 112.`, 'bad');
  }
  if (amps !== undefined && !(amps >= 0 && amps <= MOST_AMPS)) {
    return app.say(`Line current after the volts: 0 to ${MOST_AMPS} A, e.g. 50 0.21.`, 'bad');
  }
  const onLamp = live?.view.safety.supply === 'isolated-limited';
  const moved = live !== undefined && live.view.state.lineVolts !== volts;
  const hold = onLamp && moved ? holdAt(live, volts) : 0;
  const events: SessionEvent[] = moved ? [{ type: 'line-volts', lineVolts: volts }] : [];
  if (hold > 0) events.push({ type: 'timer-started', timer: `hold at ${volts} V`, seconds: hold });
  if (amps !== undefined) events.push({ type: 'note', text: currentNote(volts, amps) });
  if (events.length === 0) return app.show({ ...screen, mode: { kind: 'entry' } });
  if (!app.commit(events, amps === undefined ? `Line now ${volts} V.` : `${amps} A at ${volts} V.`)) return;
  app.show({ ...screen, mode: { kind: 'entry' } });
  const ceiling = onLamp ? ceilingAt(live, volts) : undefined;
  if (amps !== undefined && ceiling !== undefined && amps > ceiling) {
    app.ports.bell();
    app.say(
      `${amps} A is over the ${ceiling.toFixed(2)} A of this step. After the first minute: switch off, ^X, and find what draws it.`,
      'danger',
    );
  }
}

/** Meters on the bench that read what the check reads, the check's own first. */
export function metersFor(app: App, check: Check): readonly string[] {
  const onBench = app.state.live?.view.state.instruments ?? [];
  const own = check.needs.find((n) => METERS.includes(n));
  if (!own) return [];
  return [own, ...METERS.filter((r) => r !== own)].filter((r) => onBench.includes(r));
}

function nextInstrument(app: App, step: Step): Acts {
  const { live } = app.state;
  if (!live || step.kind !== 'check') return;
  const meters = metersFor(app, step.check);
  if (meters.length < 2) return app.say('No other meter on the bench reads this.', 'quiet');
  const at = Math.max(0, meters.indexOf(live.instrument));
  const instrument = meters[(at + 1) % meters.length] ?? '';
  app.update({ live: { ...live, instrument } });
  const title = app.book.instruments.find((i) => i.id === instrument)?.title ?? instrument;
  app.say(`Readings are now taken with: ${title}.`, 'accent');
}
