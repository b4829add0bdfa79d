// Taking the set in: one question at a time, every one of them but the supply can be passed over with Enter.
import { ownerSaid, saying } from '../../session/owner-said.ts';
import type { SessionEvent } from '../../session/types.ts';
import type { Key } from '../key-stream.ts';
import type { Command } from '../keys.ts';
import { EMPTY_LINE, editLine, lineOf, toReplace } from '../line-edit.ts';
import type { App } from './app.ts';
import { keyAnswers } from './intake-answers.ts';
import {
  answer,
  type Draft,
  fieldValue,
  type IntakeField,
  intakeFields,
  UNKNOWN_SET,
} from './intake-fields.ts';
import type { Acts, IntakeScreen } from './model.ts';
import { begin } from './opening.ts';

/** What intake begins with if nothing was entered yet. */
function startOf(app: App, purpose: IntakeScreen['purpose']): Draft {
  const state = purpose === 'edit' ? app.state.live?.view.state : undefined;
  return {
    facts: state?.set ?? UNKNOWN_SET,
    wish: state?.ownerWish ?? 'unknown',
    said: state ? ownerSaid(state) : '',
  };
}

/** Keeps what was entered of a new set, or forgets it: pulling the plug of the laptop costs no more than the line being typed. */
function remember(app: App, purpose: IntakeScreen['purpose'], draft: Draft | null): void {
  if (purpose !== 'new') return;
  const now = draft && JSON.stringify(draft) !== JSON.stringify(startOf(app, purpose)) ? draft : null;
  if (JSON.stringify(now) !== JSON.stringify(app.ports.readPreferences().intake ?? null))
    app.keep({ intake: now });
}

/** Opens intake, for a new set (`name`: what it is called, where that was typed already) or for the one of the open session. */
export function openIntake(app: App, purpose: IntakeScreen['purpose'], name = ''): Acts {
  const broken = purpose === 'new' ? app.ports.readPreferences().intake : undefined;
  const { facts, wish, said = '' } = broken ?? startOf(app, purpose);
  const screen: IntakeScreen = {
    kind: 'intake',
    index: 0,
    draft: facts,
    wish,
    said,
    edit: lineOf(broken ? facts.name : name || facts.name),
    mark: 0,
    purpose,
    leaving: false,
  };
  app.push(screen);
  if (broken)
    app.say('Taken up where it was broken off; Enter goes through it, Esc twice throws it away.', 'quiet');
}

export const draftOf = (screen: IntakeScreen): Draft => ({
  facts: screen.draft,
  wish: screen.wish,
  said: screen.said,
});

function withDraft(screen: IntakeScreen, { facts, wish, said = '' }: Draft): IntakeScreen {
  return { ...screen, draft: facts, wish, said };
}

/** The field that is asked now. */
export function currentField(app: App, screen: IntakeScreen): IntakeField | undefined {
  return intakeFields(app.book, screen.draft)[screen.index];
}

function go(app: App, screen: IntakeScreen, draft: Draft, index: number): Acts {
  const fields = intakeFields(app.book, draft.facts);
  const place = Math.max(0, Math.min(fields.length - 1, index));
  const field = fields[place];
  const shown = field && (field.kind === 'text' || field.kind === 'number') ? fieldValue(field, draft) : '';
  app.update({ notice: undefined });
  const now = field ? field.options.findIndex((o) => o.id === fieldValue(field, draft)) : 0;
  // The supply alone has no answer beforehand: none is marked, so that a stray Enter settles nothing.
  const mark = field?.kind === 'choice' ? now : 0;
  const line = lineOf(shown);
  const edit = field?.kind === 'number' ? toReplace(line) : line;
  remember(app, screen.purpose, draft);
  app.show({ ...withDraft(screen, draft), index: place, edit, mark });
}

/** Takes an answer to the current field and moves by `step` fields; stays, with the reason, if it cannot be taken. */
export function acceptAnswer(app: App, screen: IntakeScreen, typed: string, step: number): Acts {
  const field = currentField(app, screen);
  if (!field) return;
  const result = answer(app.book, field, typed, draftOf(screen));
  if (!result.ok) {
    app.say(result.message, 'bad');
    return app.show({ ...screen, edit: toReplace(screen.edit) });
  }
  const last = screen.index >= intakeFields(app.book, result.draft.facts).length - 1;
  if (last && step > 0) return finish(app, withDraft(screen, result.draft));
  go(app, screen, result.draft, screen.index + step);
}

/** Leaves what is typed in a text or number field behind as an answer, if it can be one. */
function withTyped(app: App, screen: IntakeScreen): IntakeScreen | undefined {
  const field = currentField(app, screen);
  if (!field || (field.kind !== 'text' && field.kind !== 'number')) return screen;
  const result = answer(app.book, field, screen.edit.text, draftOf(screen));
  if (!result.ok) {
    app.say(result.message, 'bad');
    return undefined;
  }
  return withDraft(screen, result.draft);
}

export function keyIntake(app: App, before: IntakeScreen, key: Key, command: Command | undefined): Acts {
  const field = currentField(app, before);
  if (!field) return;
  const isText = field.kind === 'text' || field.kind === 'number';
  if (command === 'back' && !isText && before.edit.text !== '')
    return app.show({ ...before, edit: EMPTY_LINE });
  if (command === 'back') return leave(app, before);
  const screen: IntakeScreen = before.leaving ? { ...before, leaving: false } : before;
  if (before.leaving) app.update({ notice: undefined });
  if (command === 'done') {
    const complete = withTyped(app, screen);
    return complete && finish(app, complete);
  }
  const passOver = (step: number): Acts => {
    if (isText) return acceptAnswer(app, screen, screen.edit.text, step);
    go(app, screen, draftOf(screen), screen.index + step);
  };
  if (key.name === 'tab') return passOver(1);
  if (key.name === 'shift-tab') return passOver(-1);
  if (!isText) return keyAnswers(app, screen, field, key, command);
  if (command === 'take' || command === 'down') return passOver(1);
  if (command === 'up') return passOver(-1);
  if (command === 'clear') return app.show({ ...screen, edit: lineOf('') });
  const edit = editLine(screen.edit, key);
  if (edit) app.show({ ...screen, edit });
}

/** True if something was entered since intake was opened. */
function entered(app: App, screen: IntakeScreen): boolean {
  const field = currentField(app, screen);
  const typed = field?.kind === 'text' || field?.kind === 'number';
  if (field && typed && screen.edit.text !== fieldValue(field, draftOf(screen))) return true;
  return JSON.stringify(draftOf(screen)) !== JSON.stringify(startOf(app, screen.purpose));
}

/** Esc: what was entered is thrown away only if it is asked for twice. */
function leave(app: App, screen: IntakeScreen): Acts {
  if (!screen.leaving && entered(app, screen)) {
    app.show({ ...screen, leaving: true });
    return app.say('Esc again throws away what was entered here; ^G keeps it and goes on.', 'watch');
  }
  remember(app, screen.purpose, null);
  const described = app.state.live?.view.state.set !== undefined;
  if (screen.purpose === 'new' || described) app.pop();
  else app.goHome();
}

function finish(app: App, screen: IntakeScreen): Acts {
  const { draft } = screen;
  if (!app.book.families.some((f) => f.id === draft.family)) {
    const place = intakeFields(app.book, draft).findIndex((f) => f.id === 'family');
    go(app, screen, draftOf(screen), place);
    return app.say('Choose the kind of supply first: the walk depends on it.', 'bad');
  }
  const name = draft.name || `set-${app.now().toISOString().slice(0, 10)}`;
  const set = { ...draft, name };
  const events: SessionEvent[] = [{ type: 'set-described', set }];
  if (screen.wish !== (app.state.live?.view.state.ownerWish ?? 'unknown')) {
    events.push({ type: 'owner-wish', wish: screen.wish });
  }
  events.push(...saying(screen.said, app.state.live?.view.state));
  remember(app, screen.purpose, null);
  if (screen.purpose === 'new') return begin(app, name, events, { name, family: set.family });
  if (!app.commit(events, 'Noted.')) return;
  app.pop();
  app.settle();
}
