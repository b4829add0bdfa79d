// The screens as linear text for a screen reader: no box drawing, no cursor movement, each change said once, typed characters echoed.
import type { App } from './app/app.ts';
import type { AppState, Screen } from './app/model.ts';
import type { Mounted } from './mount.tsx';
import type { ScreenWriter } from './screen-writer.ts';
import { clean, keepWhole, type Line, type Span, toAscii } from './text.ts';
import { screenLines } from './views/screen.ts';

/** Size that the screens are laid out for: narrow enough for one column, high enough for a whole card. */
export const LINEAR_COLUMNS = 109;
export const LINEAR_ROWS = 34;

/** Marks that stand alone in a span, as words. */
const WORDS: Readonly<Record<string, string>> = {
  '+': 'right:',
  '~': 'watch:',
  '✗': 'wrong:',
  '·': '',
  '?': 'not proven:',
  '✓': 'done:',
  '○': 'may be taken now:',
  '-': 'skipped:',
  '×': 'no instrument:',
  '▸': 'closed:',
  '▾': 'open:',
  '[x]': 'marked with x:',
  '[ ]': 'not marked:',
};
const PICTURE = /[━▼]|·{3}/;
const DRAWN = /[─│█░▁▂▃▄▅▆▇◎◐●○]+/g;

function wordsOf(span: Span, first: boolean): string {
  const bare = span.text.trim();
  if (first && bare === '▸') return 'here:';
  return WORDS[bare] ?? clean(span.text);
}

/** True for an input line: a bold prompt, the text in three pieces, a hint. */
const isInput = (line: Line): boolean => line[0]?.bold === true && line.some((s) => s.inverse);

/** One line as it is said; '' if it is only drawn. */
function spoken(line: Line, isKeys: boolean): string {
  if (PICTURE.test(line.map((s) => s.text).join(''))) return '';
  const spans = isInput(line) ? [line[0] as Span, ...line.slice(4)] : line;
  const text = spans
    .map((s, n) => (isKeys ? s.text : wordsOf(s, n === 0)))
    .join(' ')
    .replace(DRAWN, ' ')
    .replace(/→/g, ' to ')
    .replace(/↑/g, 'up ')
    .replace(/↓/g, 'down ')
    .replace(/\^([A-Z])/g, 'Ctrl-$1')
    .replace(/\s+/g, ' ')
    .replace(/ ([:,.;])/g, '$1')
    .trim();
  const typed = isInput(line) ? text.replace(/^>\s*/, 'Type: ') : text;
  return /[\p{L}\p{N}]/u.test(typed) ? typed : '';
}

/** A line that goes on with the text of the one above: its label is blank. */
const goesOn = (line: Line): boolean => (line[0]?.text.length ?? 0) >= 6 && line[0]?.text.trim() === '';

/** A frame as statements, top to bottom; the last one names the keys. */
export function statements(lines: readonly Line[]): readonly string[] {
  const said: string[] = [];
  for (const [n, line] of lines.entries()) {
    const isKeys = n === lines.length - 1;
    const text = spoken(line, isKeys);
    if (text === '') continue;
    if (goesOn(line) && said.length > 0) said[said.length - 1] += ` ${text}`;
    else said.push(isKeys ? `Keys: ${text}` : text);
  }
  return said;
}

/** Times run down all the while: only a change of anything else is worth a word. */
const timeless = (text: string): string => text.replace(/\d+:\d\d|in \d+ min|\d+ s\b/g, '');

/** The line that is being typed on a screen. */
function typedOn(screen: Screen): string {
  switch (screen.kind) {
    case 'walk':
      return screen.mode.kind === 'text' ? screen.mode.edit.text : screen.input.text;
    case 'list':
      return screen.input.text;
    case 'home':
    case 'browser':
      return screen.query.text;
    case 'log':
      return screen.editing ? screen.editing.edit.text : screen.query.text;
    case 'intake':
    case 'elsewhere':
    case 'repair':
      return screen.edit.text;
    default:
      return '';
  }
}

/** What decides whether two states are the same but for what is typed or marked. */
function placeOf({ live, notice, busy, stack }: AppState, screen: Screen): string {
  const mode = screen.kind === 'walk' ? screen.mode.kind : '';
  const field = screen.kind === 'intake' || screen.kind === 'settings' ? screen.index : '';
  return [screen.kind, mode, field, stack.length, live?.view.state.lastSeq, notice?.text, busy].join('|');
}

/** Which card of the walk is shown: a new one is said whole, also where the one before had the same lines. */
function cardOf({ live }: AppState, screen: Screen): string {
  const step = screen.kind === 'walk' && screen.mode.kind === 'entry' ? live?.view.step : undefined;
  if (step?.kind === 'gate') return `gate ${step.gate.id}`;
  return step?.kind === 'check' ? `check ${step.check.id}` : (step?.kind ?? '');
}

/** Lines that stand on every screen of the walk, card or not: the head, what is suspected, the keys. */
const ofTheFrame = (text: string, place: number): boolean =>
  place === 0 || /^(Keys|Suspects|Sections)\b/.test(text);

/** True where the mark moves through a list, so that only the marked line is said. */
const indexOf = (screen: Screen): number | undefined =>
  screen.kind === 'intake'
    ? screen.mark
    : screen.kind === 'walk'
      ? screen.option
      : 'index' in screen
        ? screen.index
        : undefined;

export interface Linear {
  /** Says the whole screen again. */
  repeat(): void;
  stop(): void;
}

/** Says what `app` shows, and from then on every change. `write` gets plain text, lines ended by newlines. */
export function sayLinear(app: App, write: (text: string) => void, ascii = false): Linear {
  let before: { state: AppState; place: string; typed: string; index: number | undefined } | undefined;
  let said = new Set<string>();
  let card = '';
  let echoed = '';
  const put = (text: string): void => write(ascii ? toAscii(text) : text);
  const say = (texts: readonly string[]): void => {
    if (echoed !== '' && texts.length > 0) put('\n');
    if (texts.length > 0) echoed = '';
    for (const text of texts) put(`${text}\n`);
  };
  const echo = (typed: string): void => {
    let same = 0;
    while (same < typed.length && typed[same] === echoed[same]) same += 1;
    put('\b \b'.repeat(echoed.length - same) + typed.slice(same));
    echoed = typed;
  };
  const look = (): void => {
    const { state, screen } = app;
    if (before && before.state.stack === state.stack && before.state.live === state.live) {
      const still = before.state.notice === state.notice && before.state.busy === state.busy;
      if (still && before.state.loading === state.loading) return;
    }
    const now = { state, place: placeOf(state, screen), typed: typedOn(screen), index: indexOf(screen) };
    const stays = before?.place === now.place;
    if (stays && before?.typed !== now.typed) {
      before = now;
      echo(now.typed);
      return;
    }
    const all = statements(screenLines(app));
    const moved = stays && before?.index !== now.index;
    const shown = cardOf(state, screen);
    const anew = shown !== '' && shown !== card;
    card = shown;
    const fresh = all.filter(
      (text, place) => !said.has(timeless(text)) || (anew && !ofTheFrame(text, place)),
    );
    before = now;
    said = new Set(all.map(timeless));
    say(moved ? all.filter((text) => text.startsWith('here:')) : fresh);
    // What stands in the line already is part of what is said.
    if (!stays && now.typed !== '') echo(now.typed);
  };
  // One key changes the state more than once: what is said is what is there afterwards.
  let due = false;
  const stop = app.subscribe(() => {
    if (due) return;
    due = true;
    queueMicrotask(() => {
      due = false;
      look();
    });
  });
  look();
  return {
    repeat() {
      said = new Set();
      say(statements(screenLines(app)));
      said = new Set(statements(screenLines(app)).map(timeless));
    },
    stop,
  };
}

/** Screen writer and mount for a terminal that gets linear text: it stays in the ordinary screen, where everything said can be read again. */
export function linearScreen(
  out: { write(text: string): unknown },
  ascii: boolean,
): { readonly writer: ScreenWriter; mount(app: App): Mounted } {
  let linear: Linear | undefined;
  let bytes = 0;
  const put = (text: string): void => {
    bytes += Buffer.byteLength(text);
    out.write(text);
  };
  return {
    writer: {
      open: () => undefined,
      frame: () => undefined,
      repaint: () => linear?.repeat(),
      resized: () => undefined,
      close: () => undefined,
      bell: () => put('\u0007'),
      bytesWritten: () => bytes,
    },
    mount(app) {
      keepWhole(true);
      linear = sayLinear(app, put, ascii);
      return {
        key: (key) => app.key(key),
        resize: () => undefined,
        unmount: () => {
          linear?.stop();
          keepWhole(false);
          put('\n');
        },
        ended: new Promise(() => undefined),
      };
    },
  };
}
