// Questions to the key table: which command a key is, what the footer offers, what help says.
import type { Key } from './key-stream.ts';
import { type Binding, type Command, KEYS, type ScreenName } from './key-table.ts';

export { type Command, KEYS, SCREENS, type ScreenName } from './key-table.ts';

/** Name of a key as the table writes it: characters stand for themselves, the blank is `space`. */
function nameOf(key: Key): string {
  if (key.name !== 'char') return key.name;
  return key.text === ' ' ? 'space' : key.text;
}

function holds(binding: Binding, screen: ScreenName): boolean {
  return binding.on === 'everywhere' || binding.on.includes(screen);
}

/** The command of a key on a screen, or `undefined` if the key types something or does nothing here. */
export function commandFor(key: Key, screen: ScreenName, inputEmpty: boolean): Command | undefined {
  const name = nameOf(key);
  const found = KEYS.find(
    (b) =>
      b.keys.includes(name) && holds(b, screen) && (b.when === 'always' || inputEmpty || key.name === 'f1'),
  );
  return found?.command;
}

const KEY_WORDS: Readonly<Record<string, string>> = {
  enter: 'Enter',
  escape: 'Esc',
  space: 'Space',
  tab: 'Tab',
  up: 'Up',
  down: 'Down',
  left: 'Left',
  right: 'Right',
  'page-up': 'PgUp',
  'page-down': 'PgDn',
  home: 'Home',
  end: 'End',
  f1: 'F1',
};

/** `ctrl-x` -> `^X`, `escape` -> `Esc`: as footer and help print it. */
export function keyWord(name: string): string {
  return name.startsWith('ctrl-') ? `^${name.slice(5).toUpperCase()}` : (KEY_WORDS[name] ?? name);
}

/** What the footer of a screen offers, most important first. */
export function footerOf(
  screen: ScreenName,
): readonly { readonly key: string; readonly word: string; readonly command: Command }[] {
  return KEYS.filter((b) => b.footer.includes(screen) && b.short !== '').map((b) => ({
    key: keyWord(b.keys[0] ?? ''),
    word: b.short,
    command: b.command,
  }));
}

/** Every key of a screen with its sentence, for help and docs. */
export function helpOf(screen: ScreenName): readonly { readonly keys: string; readonly text: string }[] {
  return KEYS.filter((b) => holds(b, screen)).map((b) => ({
    keys: b.keys.map(keyWord).join(' '),
    text: b.long,
  }));
}

const SCREEN_WORDS: Readonly<Record<ScreenName, string>> = {
  home: 'home',
  intake: 'taking a set in',
  bench: 'instruments',
  walk: 'the card',
  list: 'list of one posture',
  browser: 'find',
  tree: 'why',
  log: 'readings',
  verdict: 'verdict',
  repair: 'repair',
  settings: 'settings',
  debrief: 'end of a rehearsal',
  elsewhere: 'save elsewhere',
  help: 'help',
};

/** The page of keys as Markdown: one row a key, with the screens where it holds. */
export function keysPage(): string {
  const rows = KEYS.map(({ keys, long, on, when }) => {
    const places = on === 'everywhere' ? 'everywhere' : on.map((s) => SCREEN_WORDS[s]).join(', ');
    const empty = when === 'empty' ? ', with nothing typed' : '';
    return `| ${keys.map((k) => `\`${keyWord(k)}\``).join(' ')} | ${long.replaceAll('|', '\\|')} | ${places}${empty} |`;
  });
  return [
    '# Keys',
    '',
    'Made from the key table of the program (`src/ui/key-table.ts`); a test keeps the two equal. `^X` is Control and X together.',
    'What is typed otherwise goes into the input line. The number of an answer takes it at once; at a safety proof Enter is wanted as well.',
    '',
    '| key | does | where |',
    '|---|---|---|',
    ...rows,
    '',
  ].join('\n');
}
