// The sheet for saving elsewhere: what is not on disk yet, and the folder to go on in.
import type { RecordedEvent } from '../../session/index.ts';
import type { App } from '../app/app.ts';
import type { ElsewhereScreen } from '../app/model.ts';
import { BLANK, clean, cut, type Line, plain, wrap } from '../text.ts';
import { bodyHeight, framed, inputLine } from './frame.ts';

export function elsewhereView(app: App, screen: ElsewhereScreen): Line[] {
  const { columns, live } = app.state;
  if (!live) return framed(app, []);
  const { session } = live;
  const waiting = session.pending.map((event) => plain(cut(`  ${inWords(app, event)}`, columns), 'watch'));
  const why = session.readOnly ? [session.readOnly.message] : [];
  const about =
    'The whole session goes into a new file in that folder, which is made if it is missing, and entries go there from then on. The file as it is stays untouched.';
  const top: Line[] = [
    plain('Save this session elsewhere', 'title'),
    ...[...why, about]
      .flatMap((text) => wrap(clean(text), Math.min(columns, 110)))
      .map((t) => plain(t, 'quiet')),
    BLANK,
    inputLine('Folder:', screen.edit, columns),
    BLANK,
  ];
  const room = Math.max(1, bodyHeight(app) - top.length - 1);
  const head = waiting.length > 0 ? [plain('Not on disk yet, kept here:', 'bad')] : [];
  return framed(app, [...top, ...head, ...waiting.slice(-room)]);
}

/** An entry in a few words: what was read or answered, as it was typed. */
function inWords(app: App, event: RecordedEvent): string {
  const title = (id: string): string => app.book.checks.find((c) => c.id === id)?.title ?? id;
  switch (event.type) {
    case 'reading':
      return clean(`${title(event.check)}: ${event.raw}`);
    case 'gate':
      return clean(`${event.gate.replaceAll('-', ' ')}: ${event.raw}`);
    case 'note':
      return clean(`note: ${event.text}`);
    default:
      return event.type.replaceAll('-', ' ');
  }
}
