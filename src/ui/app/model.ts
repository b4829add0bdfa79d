// What is on the screen, as plain data: a stack of screens over one open session. Views draw it, key handlers replace it.
import type { FaultTreeNode, Weight } from '../../diagnosis/types.ts';
import type { Practice } from '../../practice/index.ts';
import type { SetFacts } from '../../rulebook/types.ts';
import type { ReadingValue, Session, SessionSummary, SkipReason } from '../../session/index.ts';
import type { BringUpRow, WalkView } from '../../walk/types.ts';
import type { ScreenName } from '../keys.ts';
import type { LineEdit } from '../line-edit.ts';
import type { Tone } from '../text.ts';

export interface HomeScreen {
  readonly kind: 'home';
  readonly query: LineEdit;
  readonly index: number;
  readonly sessions: readonly SessionSummary[];
  /** Shows the archive instead of what is on the bench. */
  readonly archived: boolean;
}

export interface IntakeScreen {
  readonly kind: 'intake';
  readonly index: number;
  readonly draft: SetFacts;
  readonly wish: 'watch' | 'display' | 'sell' | 'unknown';
  /** What the owner said of it in own words. */
  readonly said: string;
  readonly edit: LineEdit;
  /** Marked line of a field with several answers. */
  readonly mark: number;
  /** `new` begins a session when done, `edit` changes the open one. */
  readonly purpose: 'new' | 'edit';
  /** Esc was pressed once with something entered; once more throws it away. */
  readonly leaving: boolean;
}

export interface BenchScreen {
  readonly kind: 'bench';
  readonly index: number;
  readonly chosen: readonly string[];
  readonly purpose: 'session' | 'preferences';
  /** Esc was pressed once over marks that are not kept yet. */
  readonly leaving: boolean;
}

/** What the input line of the walk is busy with. */
export type WalkMode =
  | { readonly kind: 'entry' }
  | {
      readonly kind: 'ask';
      readonly message: string;
      readonly alternatives: readonly { readonly label: string; readonly value: ReadingValue }[];
      readonly index: number;
      readonly text: string;
    }
  | { readonly kind: 'skip'; readonly check: string }
  | { readonly kind: 'touched' }
  | {
      readonly kind: 'text';
      readonly purpose: 'note' | 'line-volts' | 'skip-other' | 'timer' | 'printed';
      readonly edit: LineEdit;
      readonly check: string;
    };

export interface WalkScreen {
  readonly kind: 'walk';
  readonly input: LineEdit;
  /** Marked option of a choice; -1 = none yet, so that a stray Enter records nothing. */
  readonly option: number;
  readonly mode: WalkMode;
  /** A check jumped to, instead of the planned one. */
  readonly pinned: string;
  /** First line of the card's text that is shown. */
  readonly scroll: number;
}

export interface ListScreen {
  readonly kind: 'list';
  /** Lists live readings that were taken before the plug was pulled and are typed afterwards. */
  readonly held: boolean;
  readonly group: string;
  readonly checks: readonly string[];
  readonly index: number;
  readonly input: LineEdit;
  readonly asking: Extract<WalkMode, { kind: 'ask' }> | undefined;
}

export interface BrowserScreen {
  readonly kind: 'browser';
  readonly query: LineEdit;
  readonly index: number;
  readonly open: readonly string[];
}

export interface TreeScreen {
  readonly kind: 'tree';
  readonly index: number;
  /** Paths of open branches, ids joined by `/`. */
  readonly open: readonly string[];
  readonly trees: Readonly<Record<string, FaultTreeNode>>;
}

export interface LogScreen {
  readonly kind: 'log';
  readonly index: number;
  readonly query: LineEdit;
  readonly editing:
    | { readonly what: 'correct' | 'note'; readonly seq: number; readonly edit: LineEdit }
    | undefined;
}

/** A suspect behind a grade, with the readings that moved it. */
export interface Evidence {
  readonly title: string;
  readonly probability: number;
  readonly weights: readonly Weight[];
}

/** What is behind a grade: suspects that readings raised, and the readings that speak about its own parts. */
export interface Behind {
  readonly suspects: readonly Evidence[];
  /** Sequence numbers of readings, latest first. */
  readonly readings: readonly number[];
}

export interface VerdictScreen {
  readonly kind: 'verdict';
  readonly index: number;
  readonly open: readonly string[];
  /** Worked out when a grade is opened: it takes too long for every frame. */
  readonly evidence: Readonly<Record<string, Behind>>;
}

export interface RepairScreen {
  readonly kind: 'repair';
  readonly part: string;
  readonly title: string;
  readonly action: 'replaced' | 'adjusted' | 'cleaned' | undefined;
  readonly edit: LineEdit;
}

export interface SettingsScreen {
  readonly kind: 'settings';
  readonly index: number;
  readonly technician: LineEdit;
  readonly terms: 'us' | 'uk';
  readonly folder: LineEdit;
}

/** Asks for a folder to save the session in. */
export interface ElsewhereScreen {
  readonly kind: 'elsewhere';
  readonly edit: LineEdit;
}

export interface HelpScreen {
  readonly kind: 'help';
  readonly of: ScreenName;
  readonly scroll: number;
}

/** What a rehearsal comes to. */
export interface DebriefScreen {
  readonly kind: 'debrief';
  /** Why the run was ended, '' if the learner ended it. */
  readonly ended: string;
  readonly lines: readonly string[];
  readonly scroll: number;
}

export type Screen =
  | HomeScreen
  | IntakeScreen
  | BenchScreen
  | WalkScreen
  | ListScreen
  | BrowserScreen
  | TreeScreen
  | LogScreen
  | VerdictScreen
  | RepairScreen
  | SettingsScreen
  | DebriefScreen
  | ElsewhereScreen
  | HelpScreen;

/** A suspect's part before and after the last entry. */
export interface Moved {
  readonly title: string;
  readonly before: number;
  readonly after: number;
}

/** What the last entry was and did. */
export interface LastEntry {
  readonly title: string;
  readonly text: string;
  readonly say: string;
  readonly standing: 'good' | 'watch' | 'bad' | 'noted';
  readonly moved: readonly Moved[];
}

/** The open session with what follows from it. */
export interface Live {
  readonly session: Session;
  /** The simulated set behind a rehearsal; `undefined` at a real bench. */
  readonly practice: Practice | undefined;
  readonly view: WalkView;
  readonly last: LastEntry | undefined;
  /** P(bad) of each part before the last entry. */
  readonly earlier: ReadonlyMap<string, number>;
  /** Meter chosen for the next readings; '' = the check's first. */
  readonly instrument: string;
  /** When the view was computed, ms since 1970: countdowns go on from there. */
  readonly viewedAt: number;
  /** The bring-up table last shown: it goes on counting while the set is on the lamp. */
  readonly ladder: readonly BringUpRow[];
  /** Live checks that could be taken just before the power went off: what was read then may still be typed. */
  readonly held: readonly string[];
}

export interface Notice {
  readonly text: string;
  readonly tone: Tone;
}

export interface AppState {
  readonly columns: number;
  readonly rows: number;
  readonly loading: boolean;
  /** What is going on and takes a moment; shown instead of the screen on top. */
  readonly busy: string | undefined;
  readonly stack: readonly Screen[];
  readonly live: Live | undefined;
  readonly notice: Notice | undefined;
  readonly large: boolean;
  /** A way out that was asked for once and is taken if asked for again. */
  readonly leaving: 'home' | 'program' | undefined;
  /** Counts clock ticks, so that timers are drawn anew. */
  readonly ticks: number;
}

/** Smallest window that a screen fits. */
export const LEAST_COLUMNS = 80;
export const LEAST_ROWS = 24;

export const FRESH_WALK: WalkScreen = {
  kind: 'walk',
  input: { text: '', cursor: 0 },
  option: -1,
  mode: { kind: 'entry' },
  pinned: '',
  scroll: 0,
};

/** Reasons for a skip, in the order of their keys 1 to 5. */
export const SKIP_KEYS: readonly { readonly reason: SkipReason; readonly title: string }[] = [
  { reason: 'no-instrument', title: 'no instrument for it' },
  { reason: 'cannot-reach', title: 'cannot reach it' },
  { reason: 'later', title: 'later' },
  { reason: 'not-fitted', title: 'not fitted in this set' },
  { reason: 'other', title: 'another reason' },
];

/** What may have happened beside the walk, in the order of their keys 1 to 3, and what is said once it is in the record. */
export const TOUCHED_KEYS = [
  {
    what: 'left-bench',
    title: 'I left the bench, or somebody else was at the set',
    said: 'In the record: what was proven before you went is proven anew. A running set is never left alone.',
  },
  {
    what: 'plug',
    title: 'a plug was put in or moved',
    said: 'In the record: unplug, then prove the set dead anew.',
  },
  {
    what: 'anode-lead',
    title: 'the anode lead was touched, or came off',
    said: 'In the record: the anode is discharged and proven anew.',
  },
] as const;

/** What a key handler returns: nothing. It has a name so that a branch may end in `return act()`. */
export type Acts = undefined;
