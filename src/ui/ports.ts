// What the screens need from outside: the engine, saved sessions, preferences, a clock, a bell. The command line fills these in; tests put their own.
import type { Practice, PracticeOptions } from '../practice/index.ts';
import type { Rulebook } from '../rulebook/types.ts';
import type { Session, SessionSummary } from '../session/index.ts';
import type { Engine as WalkEngine } from '../walk/engine.ts';
import type { EntryOptions } from '../walk/entries.ts';
import type { WalkView } from '../walk/types.ts';
import type { Draft } from './app/intake-fields.ts';

export type { EntryOptions };

/** The walk as the screens use it. */
export type Engine = Omit<WalkEngine, 'book'>;

/** The rule base and the engine on it, once loaded. */
export interface Loaded {
  readonly book: Rulebook;
  readonly engine: Engine;
}

/** A session just opened, with what must be said about it. */
export interface Opened {
  readonly session: Session;
  readonly notices: readonly string[];
}

/** What is asked of a rehearsal; what is left out is drawn. */
export interface AskedPractice {
  readonly seed?: number;
  readonly family?: string;
  readonly level: PracticeOptions['level'];
}

export interface Rehearsal {
  readonly practice: Practice;
  readonly session: Session;
}

export interface Preferences {
  readonly instruments: readonly string[];
  /** Name for reports. */
  readonly technician: string;
  readonly terms: 'us' | 'uk';
  /** Empty = the usual place. */
  readonly sessionsFolder: string;
  /** A new set whose intake was broken off, to be taken up again; null or left out if there is none. */
  readonly intake?: Draft | null;
}

export interface Ports {
  now(): Date;
  sessions: {
    list(): readonly SessionSummary[];
    create(name: string, set: { readonly name: string; readonly family: string }): Session;
    /** Opens a session to go on with it; of a demonstration, a copy to try things on. */
    open(name: string): Opened;
    /** Sessions that were put away, latest first. */
    listArchived(): readonly SessionSummary[];
    /** Puts a session away; throws SessionError if it is open. */
    archive(name: string): void;
    /** Brings a session back from the archive. */
    unarchive(name: string): void;
    /** One line on the verdict for the list. */
    remember(name: string, verdict: string): void;
  };
  /**
   * Writes owner's page and bench record to a file of its own; returns where, and whether an older one stands beside it. Throws with a
   * message for the technician.
   */
  writeReport(view: WalkView, session: Session): { readonly path: string; readonly older: boolean };
  readPreferences(): Preferences;
  /** Returns why the change cannot be kept on disk, as a sentence; '' if it is kept. */
  savePreferences(change: Partial<Preferences>): string;
  /** Does some work once the screen shows the present state. */
  afterFrame(work: () => void): void;
  bell(): void;
  redraw(): void;
  /** Ends the program. */
  leave(): void;
  /** Draws a simulated set and opens a session on it that is not kept; rejects with a message for the learner. */
  readonly practice: ((asked: AskedPractice) => Promise<Rehearsal>) | undefined;
}
