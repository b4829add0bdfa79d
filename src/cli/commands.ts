// Commands and options of the command line, told once: help text, parsing, completion of the shell and manual page are made from this.

/** What the shell may offer for a value. */
export type Offer = 'file' | 'folder' | 'session' | 'command' | readonly string[];

export interface Option {
  /** Without the dashes. */
  readonly name: string;
  readonly short?: string;
  /** Name of its value in the help text; none = a switch. */
  readonly value?: string;
  readonly repeated?: boolean;
  readonly offer?: Offer;
  readonly help: string;
}

export interface Command {
  readonly name: string;
  /** Arguments and options as the help text shows them. */
  readonly usage: string;
  /** Least and most positional arguments, and the words for them. */
  readonly takes: readonly [number, number, string];
  readonly options: readonly OptionName[];
  readonly help: string;
  readonly offer?: Offer;
}

const SHELLS = ['bash', 'zsh', 'fish'] as const;
export type Shell = (typeof SHELLS)[number];

export const OPTIONS = {
  help: { name: 'help', short: 'h', help: 'this text' },
  version: { name: 'version', short: 'v', help: 'the version' },
  sessions: { name: 'sessions', value: 'DIR', offer: 'folder', help: 'where sessions are kept' },
  rules: { name: 'rules', value: 'DIR', offer: 'folder', help: 'another rule base' },
  ascii: { name: 'ascii', help: 'plain characters only' },
  'no-color': { name: 'no-color', help: 'no colour; the variable NO_COLOR does the same' },
  linear: {
    name: 'linear',
    help: 'the screens as linear text for a screen reader: nothing drawn, each change once',
  },
  json: { name: 'json', help: 'for machines' },
  archived: { name: 'archived', help: 'the sessions that were put away' },
  names: { name: 'names', help: 'nothing but names, one a line' },
  format: {
    name: 'format',
    value: 'FORMAT',
    offer: ['md', 'html', 'pdf', 'json'],
    help: 'md, html, pdf or json; else the ending of the file decides',
  },
  output: { name: 'output', short: 'o', value: 'FILE', offer: 'file', help: 'file to write' },
  'good-part': { name: 'good-part', help: 'of a damaged session, what can be read' },
  only: {
    name: 'only',
    value: 'PART',
    offer: ['owner', 'record'],
    help: 'owner (the page for the owner) or record',
  },
  photo: {
    name: 'photo',
    value: 'FILE',
    repeated: true,
    offer: 'file',
    help: 'a picture for the write-up; may be given again',
  },
  parts: { name: 'parts', value: 'FILE', offer: 'file', help: 'writes the list of parts to order, CSV' },
  'all-answers': { name: 'all-answers', help: 'every answer at once, instead of what the walk asks' },
  list: { name: 'list', help: 'names every calculation with inputs, outputs, units and source' },
  check: { name: 'check', value: 'DIR', offer: 'folder', help: 'checks the rule base in a folder' },
  seed: { name: 'seed', value: 'N', help: 'number of the simulated set, a whole number from 0' },
  family: {
    name: 'family',
    value: 'F',
    offer: [
      'transformer',
      'series-doubler-halfwave',
      'series-doubler-fullwave',
      'series-halfwave',
      'series-halfwave-300ma',
      'transformer-doubler',
      'heater-transformer-doubler',
      'autotransformer',
    ],
    help: 'supply family of the simulated set',
  },
  level: {
    name: 'level',
    value: 'LEVEL',
    offer: ['single', 'double', 'dormant'],
    help: 'one fault, two, or a set as it comes out of the attic',
  },
} as const satisfies Readonly<Record<string, Option>>;
export type OptionName = keyof typeof OPTIONS;

/** Options that every command takes. */
export const ALWAYS: readonly OptionName[] = ['sessions', 'rules', 'ascii', 'no-color', 'help', 'version'];

const ANY = Number.POSITIVE_INFINITY;

export const COMMAND_TABLE = [
  {
    name: 'home',
    usage: '',
    takes: [0, 0, ''],
    options: ['linear'],
    help: 'home screen: resume, new set, practice, bench',
  },
  {
    name: 'new',
    usage: '',
    takes: [0, 0, 'no argument'],
    options: ['linear'],
    help: 'take a set in and start the walk',
  },
  {
    name: 'resume',
    usage: '[NAME]',
    takes: [0, 1, 'at most one session name'],
    options: ['linear'],
    offer: 'session',
    help: 'go on with a session; without a name, the latest',
  },
  {
    name: 'practice',
    usage: '[--seed N] [--family F] [--level single|double|dormant]',
    takes: [0, 0, 'no argument'],
    options: ['seed', 'family', 'level', 'linear'],
    help: 'rehearse on a simulated faulty set; nothing is kept',
  },
  {
    name: 'list',
    usage: '[--archived] [--json|--names]',
    takes: [0, 0, 'no argument'],
    options: ['archived', 'json', 'names'],
    help: 'saved sessions, or those put away',
  },
  {
    name: 'export',
    usage: 'NAME -o FILE [--good-part]',
    takes: [1, 1, 'one session name'],
    options: ['output', 'good-part'],
    offer: 'session',
    help: 'one session as a single file, to take along; of a damaged one, its good part',
  },
  {
    name: 'import',
    usage: 'FILE',
    takes: [1, 1, 'one file'],
    options: [],
    offer: 'file',
    help: 'takes such a file in under a free name',
  },
  {
    name: 'report',
    usage:
      'NAME [--format md|html|pdf|json] [-o FILE] [--only owner|record] [--photo FILE ...] [--parts FILE.csv]',
    takes: [1, 1, 'one session name'],
    options: ['format', 'output', 'only', 'photo', 'parts'],
    offer: 'session',
    help: 'the write-up of a session; the ending of FILE gives the format. --photo puts pictures into HTML and PDF, --parts writes the list of parts to order; a PDF is printed by an installed browser',
  },
  {
    name: 'evaluate',
    usage: 'FILE... [--all-answers] [--json]',
    takes: [1, ANY, 'at least one case file'],
    options: ['all-answers', 'json'],
    offer: 'file',
    help: 'walk case files without a screen',
  },
  {
    name: 'calc',
    usage: 'NAME key=value ... | --list [--json]',
    takes: [0, ANY, 'a name and key=value'],
    options: ['list', 'json'],
    help: 'one bench calculation; --list names them all',
  },
  {
    name: 'rules',
    usage: '[--check DIR] [--json]',
    takes: [0, 0, 'no argument'],
    options: ['check', 'json'],
    help: 'the rule base in numbers, or a check of another one',
  },
  {
    name: 'completion',
    usage: SHELLS.join('|'),
    takes: [1, 1, 'bash, zsh or fish'],
    options: [],
    offer: SHELLS,
    help: 'the completion script of a shell: source it, or keep it where the shell looks',
  },
] as const satisfies readonly Command[];
export type CommandName = (typeof COMMAND_TABLE)[number]['name'];

export const SUMMARY =
  'First Raster: guided, safety-first diagnosis of dormant monochrome vacuum-tube television sets.';
export const WARNING =
  'The sets that this program is about kill. It shows the usual cautions; it never replaces local electrical codes, licensed practice or your own judgement, and it calls no set safe.';

const WIDTH = 110;
const COLUMN = 40;

/** Words in lines of a width, each line but the first indented. */
function lines(text: string, width: number, indent: number): string[] {
  const out: string[] = [''];
  for (const word of text.split(' ')) {
    const last = out.at(-1) ?? '';
    if (last === '') out[out.length - 1] = word;
    else if (last.length + 1 + word.length <= width) out[out.length - 1] = `${last} ${word}`;
    else out.push(word);
  }
  return out.map((line, n) => (n === 0 ? line : `${' '.repeat(indent)}${line}`));
}

/** `-o, --output FILE`. */
export const optionUsage = ({ name, short, value }: Option): string =>
  `${short ? `-${short}, ` : ''}--${name}${value ? ` ${value}` : ''}`;

function commandHelp({ name, usage, help }: Command): string[] {
  const call = `  first-raster${name === 'home' ? '' : ` ${name}`}${usage === '' ? '' : ` ${usage}`}`;
  const said = lines(help, WIDTH - COLUMN, COLUMN);
  const [first = '', ...rest] = said;
  return call.length < COLUMN - 1
    ? [`${call.padEnd(COLUMN)}${first}`, ...rest]
    : [
        ...lines(call.trim(), WIDTH - 2, 22).map((l, n) => (n === 0 ? `  ${l}` : l)),
        `${' '.repeat(COLUMN)}${first}`,
        ...rest,
      ];
}

/** What `--help` prints. */
export function helpText(): string {
  const shown = [...ALWAYS, 'linear' as const].map((name) => {
    const [first = '', ...rest] = lines(OPTIONS[name].help, WIDTH - COLUMN, COLUMN);
    return [`${`  ${optionUsage(OPTIONS[name])}`.padEnd(COLUMN)}${first}`, ...rest].join('\n');
  });
  return [
    SUMMARY,
    '',
    ...COMMAND_TABLE.flatMap(commandHelp),
    '',
    'Everywhere; --linear on the screens only:',
    ...shown,
    '',
    ...lines(WARNING, WIDTH, 0),
    '',
  ].join('\n');
}
