// How a session comes onto the bench: begun, resumed, or a simulated set drawn for a rehearsal.
import type { SessionEvent } from '../../session/index.ts';
import type { AskedPractice, Opened } from '../ports.ts';
import { clean } from '../text.ts';
import type { App } from './app.ts';
import { leftOff } from './left-off.ts';
import { type Acts, FRESH_WALK, type Live } from './model.ts';
import { appendAll, benchState, notSaved } from './saving.ts';
import { ladderOf, ringing } from './timers.ts';

/** Begins a session. */
export function begin(
  app: App,
  name: string,
  first: readonly SessionEvent[],
  set: { name: string; family: string },
): Acts {
  open(app, name, () => {
    const session = app.ports.sessions.create(name, set);
    return { session, notices: firstEntries(app, session, first) };
  });
}

/** Opens a saved session where it was left. Proofs of discharge do not survive that: the set may have been touched. */
export function resume(app: App, name: string, done: () => void = () => undefined): Acts {
  open(
    app,
    name,
    () => {
      const opened = app.ports.sessions.open(name);
      const { session, notices } = opened;
      if (session.readOnly !== undefined)
        return { session, notices: [...notices, '^A saves it elsewhere, to go on there.'] };
      return { session, notices: [...notices, ...firstEntries(app, session, [{ type: 'resumed' }])] };
    },
    done,
  );
}

/** Draws a simulated set and begins a rehearsal on it; rejects with a message for the learner. */
export function practise(app: App, asked: AskedPractice): Promise<void> {
  const { practice } = app.ports;
  if (!practice) return Promise.resolve();
  app.update({ busy: 'Putting a practice set on the bench ...', notice: undefined });
  return new Promise((resolve, reject) => {
    app.ports.afterFrame(() => {
      practice(asked)
        .then(({ session, practice: rehearsal }) => {
          app.update({ busy: undefined });
          enterSession(
            app,
            session,
            [
              `Simulated set no. ${rehearsal.seed}, invented. Enter on an empty line takes what the meter shows; nothing is kept.`,
            ],
            rehearsal,
          );
        })
        .then(resolve, reject);
    });
  });
}

/** First entries of an open session; a disk that refuses them does not shut the technician out. */
function firstEntries(app: App, session: Live['session'], events: readonly SessionEvent[]): string[] {
  const trouble = appendAll(session, events, () => app.now());
  return trouble === '' ? [] : [notSaved(trouble)];
}

function open(app: App, name: string, work: () => Opened, done?: () => void): Acts {
  app.whileSaying(`Opening ${name} ...`, () => {
    app.attempt(() => {
      const { session, notices } = work();
      enterSession(app, session, notices);
    });
    done?.();
  });
}

function enterSession(
  app: App,
  session: Live['session'],
  notices: readonly string[],
  practice?: Live['practice'],
): Acts {
  const now = app.now();
  const view = app.engine.view(benchState(session, now), now);
  const power = view.state.history.findLast((e) => e.type === 'powered-up' || e.type === 'powered-off');
  const wasLive = power?.type === 'powered-up' && practice === undefined;
  const said = [
    ...(wasLive ? ['The set was LIVE when the program ended: pull every plug before anything else.'] : []),
    ...notices,
    ...[leftOff(app, view)].filter((text) => text !== ''),
  ];
  const live: Live = {
    session,
    practice,
    view,
    last: undefined,
    earlier: new Map(),
    instrument: '',
    viewedAt: now.getTime(),
    ladder: ladderOf(view.step, []),
    held: [],
  };
  app.update({
    live,
    stack: [FRESH_WALK],
    notice:
      said.length > 0
        ? { text: clean(said.join(' ')), tone: wasLive ? 'danger' : notices.length > 0 ? 'watch' : 'quiet' }
        : undefined,
  });
  const left = view.state.history.at(-2)?.at;
  const rang = left ? ringing(live, Date.parse(left), now.getTime()) : '';
  if (rang) {
    app.ports.bell();
    app.say(`${rang} It ran out while the program was closed. ${said.join(' ')}`, 'live');
  }
  const { notice } = app.state;
  app.settle();
  // What is said on opening still holds on the sheet that the step asks for first.
  app.update({ notice });
}
