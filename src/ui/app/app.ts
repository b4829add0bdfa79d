// The heart of the screens: holds the state, turns keys into commands, saves events before anything moves on. Knows no drawing.
import type { Rulebook } from '../../rulebook/types.ts';
import { SessionError } from '../../session/error.ts';
import type { SessionEvent } from '../../session/index.ts';
import type { Entry, Judgement } from '../../walk/types.ts';
import type { Key } from '../key-stream.ts';
import { type Command, commandFor } from '../keys.ts';
import type { Engine, Loaded, Ports, Preferences } from '../ports.ts';
import { clean, type Tone } from '../text.ts';
import { openBench } from './bench.ts';
import { inputIsEmpty, toScreen } from './dispatch.ts';
import { liveChecks, openHeld, typedLive } from './held.ts';
import { freshHome } from './home.ts';
import { openIntake } from './intake.ts';
import { leave } from './leaving.ts';
import {
  type Acts,
  type AppState,
  FRESH_WALK,
  LEAST_COLUMNS,
  LEAST_ROWS,
  type Live,
  type Screen,
} from './model.ts';
import { movedBetween, partsBad } from './moved.ts';
import { appendAll, benchState, notSaved, openElsewhere } from './saving.ts';
import { ladderOf, ringing, TICK_MS } from './timers.ts';
import { said } from './undo.ts';
import { verdictLine } from './verdict.ts';

/** A view older than this is computed anew, since proofs of discharge expire with time. */
const VIEW_AGE_MS = 20_000;

/** An Enter this soon after a number that was taken at once was meant for that number, ms. */
const HABIT_MS = 700;
/** What is taken while the window is too small to show a question. */
const WHILE_HIDDEN: readonly (Command | undefined)[] = ['leave', 'redraw', 'power-off'];

export class App {
  readonly ports: Ports;
  #state: AppState;
  #answeredAt = Number.NEGATIVE_INFINITY;
  #unkeptSaid = false;
  #loaded: Loaded | undefined;
  #aheadMs = 0;
  #listeners = new Set<() => void>();

  constructor(ports: Ports, columns: number, rows: number) {
    this.ports = ports;
    this.#state = {
      columns,
      rows,
      loading: true,
      busy: undefined,
      stack: [freshHome([])],
      live: undefined,
      notice: undefined,
      large: false,
      leaving: undefined,
      ticks: 0,
    };
  }

  get state(): AppState {
    return this.#state;
  }

  /** The time at the bench: in a rehearsal, waits are passed over. */
  now(): Date {
    return new Date(this.ports.now().getTime() + this.#aheadMs);
  }

  /** Lets a wait of a rehearsal pass at once. */
  passOver(seconds: number): Acts {
    this.#aheadMs += Math.max(0, seconds) * 1000;
  }

  /** Notes that a number has just answered a question at once. */
  answeredAtOnce(): Acts {
    this.#answeredAt = this.now().getTime();
  }

  /** True for an Enter or a digit that belongs to the number just taken: it must not answer the next question. */
  isHabit(): boolean {
    return this.now().getTime() - this.#answeredAt < HABIT_MS;
  }

  get book(): Rulebook {
    if (!this.#loaded) throw new Error('the rule base is not loaded yet');
    return this.#loaded.book;
  }

  get engine(): Engine {
    if (!this.#loaded) throw new Error('the rule base is not loaded yet');
    return this.#loaded.engine;
  }

  /** The screen on top. */
  get screen(): Screen {
    return this.#state.stack[this.#state.stack.length - 1] ?? freshHome([]);
  }

  subscribe(listener: () => void): () => void {
    this.#listeners.add(listener);
    return () => {
      this.#listeners.delete(listener);
    };
  }

  update(change: Partial<AppState>): Acts {
    this.#state = { ...this.#state, ...change };
    for (const listener of this.#listeners) listener();
  }

  /** Replaces the screen on top. */
  show(screen: Screen): Acts {
    this.update({ stack: [...this.#state.stack.slice(0, -1), screen] });
  }

  /** Opens a screen over the present one; what was said there does not belong to it. */
  push(screen: Screen): Acts {
    this.update({ stack: [...this.#state.stack, screen], notice: undefined });
  }

  /** Back to the screen below; at the bottom of a session, to the home screen. */
  pop(): Acts {
    if (this.#state.stack.length > 1)
      this.update({ stack: this.#state.stack.slice(0, -1), notice: undefined });
    else if (this.screen.kind !== 'home') this.goHome();
  }

  /** Leaves the set or the program, where that costs something only if it is asked for twice. */
  leave(to: 'home' | 'program'): Acts {
    leave(this, to);
  }

  goHome(): Acts {
    this.close();
    this.update({
      live: undefined,
      leaving: undefined,
      stack: [freshHome(this.#sessions())],
      notice: undefined,
    });
  }

  /** Lets go of the open session's file, for whoever comes next. */
  close(): Acts {
    const { live, busy } = this.#state;
    if (busy !== undefined) this.update({ busy: undefined });
    if (!live) return;
    live.session.close();
    this.#aheadMs = 0;
    if (live.practice) return;
    const { verdict } = live.view;
    if (verdict) this.ports.sessions.remember(live.session.name, verdictLine(verdict));
  }

  say(text: string, tone: Tone = 'quiet'): Acts {
    this.update({ notice: { text: clean(text), tone } });
  }

  /** Everything is read: rule base, preferences, saved sessions. */
  loaded(loaded: Loaded): Acts {
    this.#loaded = loaded;
    this.update({ loading: false });
    if (this.screen.kind === 'home') this.show(freshHome(this.#sessions()));
  }

  resize(columns: number, rows: number): Acts {
    if (columns !== this.#state.columns || rows !== this.#state.rows) this.update({ columns, rows });
  }

  /** Called once a second: timers move, and old proofs expire. */
  tick(): Acts {
    const { live } = this.#state;
    if (live) {
      const now = this.now().getTime();
      const rang = ringing(live, now - TICK_MS, now);
      if (rang) {
        this.ports.bell();
        this.say(rang, 'live');
      }
      if (now - live.viewedAt > VIEW_AGE_MS) this.#look(live.last);
    }
    this.update({ ticks: this.#state.ticks + 1 });
  }

  /** Says at once what is going on; the work, which may take a second, comes after that frame. */
  whileSaying(text: string, work: () => Acts): Acts {
    this.update({ busy: text, notice: undefined });
    this.ports.afterFrame(() => {
      if (this.#state.busy !== text) return;
      this.update({ busy: undefined });
      work();
    });
  }

  /** Opens the screen that the step asks for, where that is not the card itself. */
  settle(): Acts {
    const step = this.#state.live?.view.step;
    if (this.screen.kind !== 'walk' || !step) return;
    if (step.kind === 'describe-set') openIntake(this, 'edit');
    if (step.kind === 'describe-bench') openBench(this, 'session');
  }

  /**
   * Saves the events of an entry, then computes what follows. Returns false if nothing was taken.
   * An event that the disk refuses stays pending in the session: the screen goes on, and says so until it is saved.
   */
  take(entry: Entry): boolean {
    if (entry.kind === 'refused') {
      this.say(entry.hint ? `${entry.message} ${entry.hint}` : entry.message, 'bad');
      return false;
    }
    return entry.kind === 'events' && this.commit(entry.events, entry.say);
  }

  commit(events: readonly SessionEvent[], say: string): boolean {
    const { live } = this.#state;
    if (!live) return false;
    // The last door, from whatever screen an entry comes.
    const answer = this.engine.accept(live.view, events, this.now());
    if (!answer.ok) return this.take({ kind: 'refused', message: answer.why, hint: answer.hint });
    const before = live.view.state.lastSeq;
    const trouble = appendAll(live.session, events, () => this.now());
    if (live.session.state.lastSeq === before) {
      this.say(trouble || 'Nothing was entered.', 'bad');
      return false;
    }
    this.#look({ title: '', text: '', say, standing: 'noted', moved: [] }, before);
    if (trouble) this.say(notSaved(trouble), 'bad');
    else this.update({ notice: undefined });
    return true;
  }

  /** Tries to write what the disk refused earlier. */
  retrySave(): Acts {
    this.attempt(() => {
      this.#state.live?.session.retry();
      this.say('Saved.', 'good');
    });
  }

  /** Computes the view; with `since`, also what the entries after it did. */
  #look(last: Live['last'], since?: number): Acts {
    const { live } = this.#state;
    if (!live) return;
    const now = this.now();
    const view = this.engine.view(benchState(live.session, now), now);
    const viewedAt = now.getTime();
    const ladder = ladderOf(view.step, live.ladder);
    if (since === undefined || !last) {
      this.update({ live: { ...live, view, viewedAt, ladder } });
      return;
    }
    const reading = view.state.readings.findLast((r) => r.seq > since);
    const judgement: Judgement | undefined = reading ? this.engine.judge(view, reading.seq) : undefined;
    const earlier = partsBad(live.view);
    const moved = movedBetween(live.view, view, earlier);
    this.update({
      live: {
        ...live,
        view,
        viewedAt,
        ladder,
        earlier,
        last: judgement
          ? {
              title: judgement.check.title,
              text: judgement.text,
              say: judgement.say,
              standing: judgement.standing,
              moved,
            }
          : { ...last, moved },
      },
    });
  }

  /** The window has no room for a screen: only what is always at hand is taken. */
  isHidden(): boolean {
    return this.#state.columns < LEAST_COLUMNS || this.#state.rows < LEAST_ROWS;
  }

  /** One key. Commands that hold everywhere are done here, the rest by the screen. */
  key(key: Key): Acts {
    const { screen } = this;
    if (this.#state.loading || this.#state.busy !== undefined) {
      if (key.name === 'ctrl-c' || key.name === 'ctrl-q' || key.name === 'escape') this.ports.leave();
      return;
    }
    const command = commandFor(key, screen.kind, inputIsEmpty(screen));
    // Nobody answers a question that is not on the screen.
    if (this.isHidden() && !WHILE_HIDDEN.includes(command)) return;
    const { leaving } = this.#state;
    if (leaving && command !== 'leave' && command !== 'back')
      this.update({ leaving: undefined, notice: undefined });
    switch (command) {
      case 'leave':
        return this.leave('program');
      case 'redraw':
        this.ports.redraw();
        return;
      case 'help':
        if (screen.kind !== 'help') this.push({ kind: 'help', of: screen.kind, scroll: 0 });
        return;
      case 'power-off':
        return this.powerOff('power off key', true);
      case 'undo':
        return this.undo();
      case 'elsewhere':
        return openElsewhere(this);
    }
    if (this.#state.live?.session.pending.length && command === 'take' && screen.kind !== 'elsewhere')
      return this.retrySave();
    toScreen(this, screen, key, command);
  }

  /** `outOfTurn`: by the key, not where the walk asked for it: then it is asked why. */
  powerOff(why: string, outOfTurn = false): Acts {
    const { live } = this.#state;
    if (!live) return;
    if (live.session.readOnly)
      return this.say('Pull the plug now. It is not recorded: this file is only looked at.', 'danger');
    const typed = typedLive(this);
    const held = liveChecks(live);
    if (!this.take(this.engine.powerOff(live.view, why, outOfTurn))) return;
    const after = this.#state.live;
    if (after) this.update({ live: { ...after, held } });
    this.update({ stack: [FRESH_WALK] });
    if (typed) openHeld(this, typed);
    this.say(
      'Power off: pull the plug now. Then the discharge is proven again before any contact.',
      'danger',
    );
  }

  undo(): Acts {
    const { live } = this.#state;
    const { screen } = this;
    // In a line that is being corrected it is the line that is given up.
    if (screen.kind === 'log' && screen.editing) return this.show({ ...screen, editing: undefined });
    if (!live) return;
    const entry = said(this, live.view, this.engine.undo(live.view));
    // The card says it under the line; a sheet over it has no such place.
    if (this.take(entry) && entry.kind === 'events' && screen.kind !== 'walk') this.say(entry.say);
  }

  #sessions() {
    try {
      return this.ports.sessions.list();
    } catch (error) {
      if (!(error instanceof SessionError)) throw error;
      this.say(error.message, 'bad');
      return [];
    }
  }

  /** Keeps preferences. Returns true if it said that they cannot be kept: always where `asked` for, else once a run. */
  keep(change: Partial<Preferences>, asked = false): boolean {
    const trouble = this.ports.savePreferences(change);
    if (trouble === '' || (this.#unkeptSaid && !asked)) return false;
    this.#unkeptSaid = true;
    this.say(`${trouble} They hold until the program ends.`, 'watch');
    return true;
  }

  /** Does something with files; what goes wrong is said. */
  attempt(action: () => Acts): Acts {
    try {
      action();
    } catch (error) {
      if (!(error instanceof SessionError)) throw error;
      this.say(error.message, 'bad');
    }
  }
}
