// The key table itself: which key does what on which screen, in the words of footer, help and docs.

import { MOVES } from './key-moves.ts';

/** Screens that have keys of their own. */
export const SCREENS = [
  'home',
  'intake',
  'bench',
  'walk',
  'list',
  'browser',
  'tree',
  'log',
  'verdict',
  'repair',
  'settings',
  'elsewhere',
  'debrief',
  'help',
] as const;
export type ScreenName = (typeof SCREENS)[number];

export type Command =
  | 'take'
  | 'back'
  | 'power-off'
  | 'undo'
  | 'list'
  | 'find'
  | 'why'
  | 'log'
  | 'verdict'
  | 'note'
  | 'skip'
  | 'instrument'
  | 'line-volts'
  | 'set-facts'
  | 'bench'
  | 'large'
  | 'help'
  | 'leave'
  | 'redraw'
  | 'up'
  | 'down'
  | 'page-up'
  | 'page-down'
  | 'first'
  | 'last'
  | 'toggle'
  | 'open'
  | 'close'
  | 'done'
  | 'report'
  | 'expected'
  | 'clear'
  | 'timer'
  | 'printed'
  | 'repair'
  | 'elsewhere'
  | 'archive'
  | 'archived'
  | 'touched';

export interface Binding {
  readonly command: Command;
  readonly keys: readonly string[];
  /** One word or two for the footer. */
  readonly short: string;
  /** One sentence for help and docs. */
  readonly long: string;
  /** `everywhere`, or the screens where it holds. */
  readonly on: 'everywhere' | readonly ScreenName[];
  /** `empty`: a command only while the input line is empty, so that it can be typed as text. */
  readonly when: 'always' | 'empty';
  /** Shown in the footer of these screens. */
  readonly footer: readonly ScreenName[];
}

const everywhere = 'everywhere' as const;
const sheets: readonly ScreenName[] = ['walk', 'list', 'browser', 'tree', 'log', 'verdict'];

/** No key here can be part of a reading: commands sit on control keys, or on keys that type nothing. */
export const KEYS: readonly Binding[] = [
  {
    command: 'power-off',
    keys: ['ctrl-x'],
    short: 'POWER OFF',
    long: 'Power off now: says that the plug is out and starts the discharge again.',
    on: everywhere,
    when: 'always',
    footer: sheets,
  },
  {
    command: 'power-off',
    keys: ['!'],
    short: '',
    long: 'Power off now, with one finger, while nothing is typed.',
    on: sheets,
    when: 'empty',
    footer: [],
  },
  {
    command: 'take',
    keys: ['enter'],
    short: 'take',
    long: 'Takes what is typed; with nothing typed, does what the card says under the line.',
    on: everywhere,
    when: 'always',
    footer: ['home', 'intake', 'walk', 'repair', 'settings', 'elsewhere'],
  },
  {
    command: 'take',
    keys: ['space'],
    short: '',
    long: 'Space with nothing typed is Enter: for a foot switch.',
    on: ['walk'],
    when: 'empty',
    footer: [],
  },
  {
    command: 'toggle',
    keys: ['space'],
    short: 'mark',
    long: 'Marks or unmarks the line.',
    on: ['bench', 'intake'],
    when: 'empty',
    footer: ['bench'],
  },
  {
    command: 'expected',
    keys: ['.'],
    short: 'as expected',
    long: 'Full stop alone: this reading is as expected.',
    on: ['list'],
    when: 'empty',
    footer: ['list'],
  },
  {
    command: 'skip',
    keys: ['ctrl-k'],
    short: 'skip',
    long: 'Skips this check; a reason is asked with one key. Typing `-` or `skip` does the same.',
    on: ['walk', 'list'],
    when: 'always',
    footer: ['walk', 'list'],
  },
  {
    command: 'list',
    keys: ['tab'],
    short: 'list',
    long: 'Shows the checks that are taken in the same posture as one list, and back. Just after power-off: what was read before the plug was pulled and is not typed yet.',
    on: ['walk', 'list'],
    when: 'always',
    footer: ['walk', 'list'],
  },
  {
    command: 'find',
    keys: ['ctrl-f'],
    short: 'find',
    long: 'Finds a check by words or in the tree of phases, and jumps to it.',
    on: sheets,
    when: 'always',
    footer: ['walk'],
  },
  {
    command: 'why',
    keys: ['ctrl-w'],
    short: 'why',
    long: 'Shows why a signal is dead: the fault tree, with what is cleared.',
    on: sheets,
    when: 'always',
    footer: ['walk'],
  },
  {
    command: 'log',
    keys: ['ctrl-r'],
    short: 'readings',
    long: 'Shows every reading: correct one, add a note, see what it was before.',
    on: sheets,
    when: 'always',
    footer: ['walk'],
  },
  {
    command: 'verdict',
    keys: ['ctrl-e'],
    short: 'verdict',
    long: 'Shows the verdict so far and the next steps.',
    on: sheets,
    when: 'always',
    footer: ['walk'],
  },
  {
    command: 'undo',
    keys: ['ctrl-z'],
    short: 'undo',
    long: 'Takes the last entry back. It stays in the record, marked as undone.',
    on: sheets,
    when: 'always',
    footer: ['walk', 'log'],
  },
  {
    command: 'note',
    keys: ['ctrl-n'],
    short: 'note',
    long: 'Adds a note: in the walk to this check, in the readings to the one marked.',
    on: ['walk', 'log'],
    when: 'always',
    footer: ['log'],
  },
  {
    command: 'instrument',
    keys: ['ctrl-p'],
    short: 'meter',
    long: 'Changes the meter that the next reading is taken with.',
    on: ['walk', 'list'],
    when: 'always',
    footer: [],
  },
  {
    command: 'line-volts',
    keys: ['ctrl-y'],
    short: 'line volts',
    long: 'Enters the line voltage as measured at the set now, and after a blank the amperes that it draws: 50 0.21.',
    on: ['walk'],
    when: 'always',
    footer: [],
  },
  {
    command: 'set-facts',
    keys: ['ctrl-d'],
    short: 'set',
    long: 'Shows what is known of the set, to complete or change it.',
    on: sheets,
    when: 'always',
    footer: [],
  },
  {
    command: 'bench',
    keys: ['ctrl-b'],
    short: 'bench',
    long: 'Shows the instruments on the bench, to change them.',
    on: ['home', ...sheets],
    when: 'always',
    footer: ['home'],
  },
  {
    command: 'large',
    keys: ['ctrl-t'],
    short: 'large',
    long: 'Shows the expected and the typed value in large digits, to be read from a metre away.',
    on: ['walk'],
    when: 'always',
    footer: [],
  },
  {
    command: 'report',
    keys: ['ctrl-o'],
    short: 'write report',
    long: "Writes the owner's page and the bench record to a file of its own beside the session, and says where; an older one stays.",
    on: ['verdict', 'walk'],
    when: 'always',
    footer: ['verdict'],
  },
  {
    command: 'done',
    keys: ['ctrl-g'],
    short: 'go on',
    long: 'Leaves the rest as it is and goes on.',
    on: ['intake', 'bench'],
    when: 'always',
    footer: ['intake', 'bench'],
  },
  {
    command: 'timer',
    keys: ['ctrl-s'],
    short: 'timer',
    long: 'Starts a timer: of the hold on the table, or of the minutes typed; at a discharge proof the countdown of what is left. It rings, and goes on after a resume.',
    on: ['walk'],
    when: 'always',
    footer: [],
  },
  {
    command: 'printed',
    keys: ['ctrl-v'],
    short: 'printed value',
    long: 'Enters the value printed in service data for this check; it replaces the usual one. A line voltage after @: 265 @ 120.',
    on: ['walk'],
    when: 'always',
    footer: [],
  },
  {
    command: 'touched',
    keys: ['ctrl-g'],
    short: 'was touched',
    long: 'Says that the bench was left, or that a plug or the anode lead was touched: what that undoes is proven anew.',
    on: ['walk'],
    when: 'always',
    footer: [],
  },
  {
    command: 'repair',
    keys: ['ctrl-g'],
    short: 'repaired',
    long: 'Says that the marked part was replaced, adjusted or cleaned: readings behind it are asked again.',
    on: ['tree', 'verdict'],
    when: 'always',
    footer: ['tree', 'verdict'],
  },
  {
    command: 'elsewhere',
    keys: ['ctrl-a'],
    short: 'save elsewhere',
    long: 'Saves the whole session in another folder and goes on there: when the disk refuses an entry, or the file can only be read.',
    on: [...sheets, 'intake', 'bench', 'repair'],
    when: 'always',
    footer: [],
  },
  {
    command: 'archived',
    keys: ['tab'],
    short: 'archive',
    long: 'Shows the sessions that were put away, and back.',
    on: ['home'],
    when: 'always',
    footer: ['home'],
  },
  {
    command: 'archive',
    keys: ['ctrl-a'],
    short: 'put away',
    long: 'Puts the marked session away into the archive; in the archive, brings it back.',
    on: ['home'],
    when: 'always',
    footer: ['home'],
  },
  ...MOVES,
  {
    command: 'back',
    keys: ['escape'],
    short: 'back',
    long: 'Empties the input line; with nothing typed, goes back one screen.',
    on: everywhere,
    when: 'always',
    footer: [
      'intake',
      'bench',
      'list',
      'browser',
      'tree',
      'log',
      'verdict',
      'repair',
      'settings',
      'elsewhere',
      'debrief',
      'help',
    ],
  },
  {
    command: 'help',
    keys: ['?', 'f1'],
    short: 'help',
    long: 'Explains this screen and its keys.',
    on: everywhere,
    when: 'empty',
    footer: ['home', ...sheets],
  },
  {
    command: 'redraw',
    keys: ['ctrl-l'],
    short: '',
    long: 'Draws the screen anew.',
    on: everywhere,
    when: 'always',
    footer: [],
  },
  {
    command: 'leave',
    keys: ['ctrl-c', 'ctrl-q'],
    short: 'leave',
    long: 'Leaves the program. Everything entered is already saved.',
    on: everywhere,
    when: 'always',
    footer: ['home', 'walk'],
  },
];
