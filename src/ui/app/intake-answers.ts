// Answers of intake that are chosen: by number, by the arrows, or by words typed ahead; nothing is marked by the way.
import type { Key } from '../key-stream.ts';
import type { Command } from '../keys.ts';
import { EMPTY_LINE, editLine } from '../line-edit.ts';
import type { App } from './app.ts';
import { acceptAnswer, draftOf } from './intake.ts';
import { fieldValue, type IntakeField } from './intake-fields.ts';
import { listMove } from './list-move.ts';
import type { Acts, IntakeScreen } from './model.ts';

const PAGE = 8;

/**
 * Index of the answer that the words typed ahead mean; -1 if none does. One letter, also pressed again, goes to the next answer that begins
 * with it, from the marked one on and round; more letters go to the first one that has them, at its beginning if there is such.
 */
function found(typed: string, { options }: IntakeField, mark: number): number {
  const words = typed.toLowerCase();
  const repeated = /^(.)\1*$/.test(words);
  const order = options.map((_, n) => (repeated ? mark + 1 + n : n) % options.length);
  const titled = (fits: (title: string) => boolean): number =>
    order.find((n) => fits(options[n]?.title.toLowerCase() ?? '')) ?? -1;
  const begins = titled((title) => title.startsWith(repeated ? words.slice(0, 1) : words));
  return begins >= 0 || repeated ? begins : titled((title) => title.includes(words));
}

/** Whether an answer has what was typed ahead; true where nothing was. */
export function isFound(field: IntakeField, screen: Pick<IntakeScreen, 'edit' | 'mark'>): boolean {
  return screen.edit.text === '' || found(screen.edit.text, field, 0) >= 0;
}

/**
 * A key at a question with answers. Words typed go to the answer that has them, and then Enter takes or marks that one; a number takes an
 * answer at once, a blank marks one of several, but neither in the midst of words.
 */
export function keyAnswers(
  app: App,
  screen: IntakeScreen,
  field: IntakeField,
  key: Key,
  command: Command | undefined,
): Acts {
  const ahead = screen.edit.text;
  const several = field.kind === 'many';
  const marked = field.options[screen.mark];
  const move = listMove(command, screen.mark, field.options.length, PAGE);
  if (move !== undefined) return app.show({ ...screen, edit: EMPTY_LINE, mark: move });
  if (command === 'take') {
    if (!isFound(field, screen))
      return app.say(`No answer has "${ahead}": Esc forgets it, the arrows show them all.`, 'watch');
    if (several && ahead !== '') return toggle(app, screen, marked?.id);
    return acceptAnswer(app, screen, several ? fieldValue(field, draftOf(screen)) : (marked?.id ?? ''), 1);
  }
  if (command === 'clear') return app.show({ ...screen, edit: EMPTY_LINE });
  if (ahead === '' && key.name === 'char') {
    if (several && key.text === ' ') return toggle(app, screen, marked?.id);
    const numbered = several ? undefined : field.options[Number(key.text) - 1];
    if (numbered) return acceptAnswer(app, screen, numbered.id, 1);
    if (key.text === ' ') return;
  }
  const edit = editLine(screen.edit, key);
  if (!edit || edit.text === ahead) return;
  app.update({ notice: undefined });
  const place = edit.text === '' ? screen.mark : found(edit.text, field, screen.mark);
  app.show({ ...screen, edit, mark: place < 0 ? screen.mark : place });
}

/** Marks one of several answers, or takes its mark away. */
function toggle(app: App, screen: IntakeScreen, id: string | undefined): Acts {
  if (id === undefined) return;
  const { complaint } = screen.draft;
  const next = complaint.includes(id) ? complaint.filter((c) => c !== id) : [...complaint, id];
  app.show({ ...screen, edit: EMPTY_LINE, draft: { ...screen.draft, complaint: next } });
}
