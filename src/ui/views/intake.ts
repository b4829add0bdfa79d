// Intake: the questions with their answers at the left, the one being asked at the right.
import type { App } from '../app/app.ts';
import { draftOf } from '../app/intake.ts';
import { fieldWords, type IntakeField, intakeFields } from '../app/intake-fields.ts';
import type { IntakeScreen } from '../app/model.ts';
import { BLANK, beside, cut, type Line, pad, plain, span, tall, windowStart, wrap } from '../text.ts';
import { bodyHeight, framed, inputLine } from './frame.ts';

const LEFT_SHARE = 0.44;
const MOST_ABOUT = 6;

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

/** Answers round the marked one; those of a choice have their numbers, those of which several hold a box. */
function answerLines(screen: IntakeScreen, field: IntakeField, width: number, height: number): Line[] {
  const from = windowStart(screen.mark, field.options.length, height);
  return field.options.slice(from, from + height).map((o, n): Line => {
    const place = from + n;
    const marked = place === screen.mark;
    const has = screen.draft.complaint.includes(o.id);
    const head =
      field.kind === 'many'
        ? span(has ? '[x] ' : '[ ] ', has ? 'good' : 'quiet')
        : span(place < 9 ? `${place + 1}  ` : '   ', 'accent');
    return [
      span(marked ? '▸ ' : '  ', 'accent'),
      head,
      span(cut(o.title, width - 7), 'plain', { inverse: marked }),
    ];
  });
}

/** What is under the question: the input line, or the answers with a word on the marked one. */
function answerPane(screen: IntakeScreen, field: IntakeField, width: number, height: number): Line[] {
  const hint = {
    text: 'Enter goes on, ^G when enough is known',
    number: 'Enter goes on, ^G when enough is known',
    many: 'Space marks, Enter goes on',
    choice: 'A number takes it, Shift-Tab goes back',
  }[field.kind];
  const below = [BLANK, plain(cut(hint, width), 'quiet')];
  if (field.kind === 'text' || field.kind === 'number')
    return [
      inputLine('>', screen.edit, width, field.unit ? [span(` ${field.unit}`, 'quiet')] : []),
      ...below,
    ];
  const describe = field.kind === 'choice' ? (field.options[screen.mark]?.describe ?? '') : '';
  const about =
    describe === ''
      ? []
      : [
          BLANK,
          ...wrap(describe, width)
            .slice(0, MOST_ABOUT)
            .map((t) => plain(t, 'quiet')),
        ];
  const room = Math.max(3, height - about.length - below.length);
  return [...answerLines(screen, field, width, room), ...about, ...below];
}

export function intakeView(app: App, screen: IntakeScreen): Line[] {
  const { columns } = app.state;
  const height = bodyHeight(app);
  const left = Math.floor(columns * LEFT_SHARE);
  const right = columns - left - 2;
  const field = intakeFields(app.book, screen.draft)[screen.index];
  if (!field) return framed(app, []);
  const ask: Line[] = [...wrap(field.ask, right).map((t) => plain(t, 'title')), BLANK];
  const pane = [...ask, ...answerPane(screen, field, right, height - ask.length)];
  return framed(app, beside(tall(fieldLines(app, screen, left, height), height), left, tall(pane, height)));
}
