// Intake: the questions with their answers at the left, the one being asked at the right.
import type { App } from '../app/app.ts';
import { draftOf } from '../app/intake.ts';
import { isFound } from '../app/intake-answers.ts';
import { fieldWords, type IntakeField, intakeFields } from '../app/intake-fields.ts';
import { remarkOn } from '../app/intake-remarks.ts';
import type { IntakeScreen } from '../app/model.ts';
import { BLANK, beside, cut, type Line, pad, plain, span, tall, windowStart, wrap } from '../text.ts';
import { bodyHeight, framed, inputLine } from './frame.ts';

const LEFT_SHARE = 0.44;
const MOST_ABOUT = 6;
/** Lines of the frame above its body. */
const HEAD_LINES = 2;

function fieldLines(app: App, screen: IntakeScreen, width: number, height: number): Line[] {
  const draft = draftOf(screen);
  const fields = intakeFields(app.book, screen.draft);
  const from = windowStart(screen.index, fields.length, height);
  return fields.slice(from, from + height).map((field, n): Line => {
    const marked = from + n === screen.index;
    const title = pad(field.title, 20);
    return [
      span(marked ? '▸ ' : '  ', 'accent'),
      span(`${title} `, marked ? 'title' : 'quiet'),
      span(cut(fieldWords(field, draft), width - 24)),
    ];
  });
}

/** One answer; those of a choice have their numbers, those of which several hold a box. */
function answerLine(
  screen: IntakeScreen,
  field: IntakeField,
  place: number,
  width: number,
  marked: boolean,
): Line {
  const option = field.options[place];
  const has = option !== undefined && screen.draft.complaint.includes(option.id);
  const head =
    field.kind === 'many'
      ? span(has ? '[x] ' : '[ ] ', has ? 'good' : 'quiet')
      : span(place < 9 ? `${place + 1}  ` : '   ', 'accent');
  return [
    span(marked ? '▸ ' : '  ', 'accent'),
    head,
    span(cut(option?.title ?? '', width - 7), 'plain', { inverse: marked }),
  ];
}

/** The screen cut at its list of answers, each of which can be drawn marked or not. */
export interface IntakeParts {
  readonly above: readonly Line[];
  readonly answers: readonly ((marked: boolean) => Line)[];
  /** Index of the marked one among `answers`. */
  readonly mark: number;
  readonly below: readonly Line[];
}

function hintOf(field: IntakeField, screen: IntakeScreen): string {
  switch (field.kind) {
    case 'text':
    case 'number':
      return 'Enter goes on, ^G when enough is known';
    case 'many': {
      const marked = screen.draft.complaint.length;
      return typedAhead(field, screen, 'marks') ?? `${marked} marked. Space marks, Enter goes on`;
    }
    case 'choice':
      return typedAhead(field, screen, 'takes') ?? 'A number takes it, words find; Tab on';
  }
}

/** What was typed ahead, and what Enter does with it; undefined where nothing was. */
function typedAhead(field: IntakeField, screen: IntakeScreen, does: string): string | undefined {
  const { text } = screen.edit;
  if (text === '') return undefined;
  return isFound(field, screen)
    ? `> ${text}   Enter ${does} it, Esc forgets it`
    : `> ${text}   no answer has it; Esc`;
}

export function intakeParts(app: App, screen: IntakeScreen): IntakeParts {
  const { columns } = app.state;
  const height = bodyHeight(app);
  const left = Math.floor(columns * LEFT_SHARE);
  const width = columns - left - 2;
  const field = intakeFields(app.book, screen.draft)[screen.index];
  if (!field) return { above: framed(app, []), answers: [], mark: 0, below: [] };
  const ask: Line[] = [...wrap(field.ask, width).map((t) => plain(t, 'title')), BLANK];
  const hint: Line[] = [BLANK, plain(cut(hintOf(field, screen), width), 'quiet')];
  const typed = field.kind === 'text' || field.kind === 'number';
  const describe = field.kind === 'choice' ? (field.options[screen.mark]?.describe ?? '') : '';
  const remark = typed ? remarkOn(app.book, field, screen.edit.text, draftOf(screen)) : undefined;
  const said = remark?.text ?? describe;
  const about =
    said === ''
      ? []
      : [
          BLANK,
          ...wrap(said, width)
            .slice(0, MOST_ABOUT)
            .map((t) => plain(t, remark?.odd ? 'watch' : 'quiet')),
        ];
  const entry = typed
    ? [inputLine('>', screen.edit, width, field.unit ? [span(` ${field.unit}`, 'quiet')] : [])]
    : [];
  const room = Math.max(3, height - ask.length - about.length - hint.length);
  const from = windowStart(screen.mark, field.options.length, room);
  const shown = typed ? [] : field.options.slice(from, from + room).map((_, n) => from + n);
  const fields = tall(fieldLines(app, screen, left, height), height);
  const whole = framed(
    app,
    beside(fields, left, tall([...ask, ...entry, ...shown.map(() => BLANK), ...about, ...hint], height)),
  );
  const top = HEAD_LINES + ask.length + entry.length;
  return {
    above: whole.slice(0, top),
    answers: shown.map((place, n) => (marked) => {
      const row = fields.slice(ask.length + n, ask.length + n + 1);
      return beside(row, left, [answerLine(screen, field, place, width, marked)])[0] ?? BLANK;
    }),
    mark: screen.mark - from,
    below: whole.slice(top + shown.length),
  };
}

export function intakeView(app: App, screen: IntakeScreen): Line[] {
  const { above, answers, mark, below } = intakeParts(app, screen);
  return [...above, ...answers.map((line, n) => line(n === mark)), ...below];
}
