// What an undo took back, in words: nobody should have to guess which entry is gone.
import type { GateId } from '../../safety/index.ts';
import { answerWords } from '../../safety/judge.ts';
import type { SessionEvent } from '../../session/index.ts';
import { formatValue } from '../../session/units.ts';
import type { Entry, WalkView } from '../../walk/types.ts';
import type { App } from './app.ts';

function words(app: App, view: WalkView, event: SessionEvent): string {
  const check = (id: string): string => app.book.checks.find((c) => c.id === id)?.title ?? id;
  const part = (id: string): string => app.book.parts.find((p) => p.id === id)?.title ?? id;
  switch (event.type) {
    case 'reading':
      return `${check(event.check)}, ${event.value.kind === 'choice' ? event.raw : formatValue(event.value)}`;
    case 'gate': {
      const gate = view.safety.gates([event.gate as GateId])[0];
      return gate ? `${gate.title}, ${answerWords(gate, event.value)}` : '';
    }
    case 'skipped':
      return `skipped ${check(event.check)}`;
    case 'corrected':
      return `the correction to ${event.raw}`;
    case 'repaired':
      return `${part(event.part)} ${event.action}`;
    case 'note':
      return `the note "${event.text}"`;
    case 'line-volts':
      return `line ${event.lineVolts} V`;
    case 'timer-started':
      return `the timer "${event.timer}"`;
    case 'set-described':
      return 'the description of the set';
    case 'bench-described':
      return 'the list of instruments';
    case 'configured':
      return `${event.item} ${event.value}`;
    default:
      return '';
  }
}

/** The entry of an undo, saying what it takes back. */
export function said(app: App, view: WalkView, entry: Entry): Entry {
  const [event] = entry.kind === 'events' ? entry.events : [];
  if (entry.kind !== 'events' || event?.type !== 'undone') return entry;
  const target = view.state.history.find((e) => e.seq === event.target);
  const what = target ? words(app, view, target) : '';
  return what === '' ? entry : { ...entry, say: `Taken back: ${what}.` };
}
