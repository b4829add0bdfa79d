// The command line: commands, options, their help text, and the parsing of them.
import { parseArgs } from 'node:util';
import { UsageError } from './problem.ts';

export const COMMANDS = [
  'home',
  'new',
  'resume',
  'practice',
  'list',
  'export',
  'import',
  'report',
  'evaluate',
  'calc',
  'rules',
] as const;
export type CommandName = (typeof COMMANDS)[number];

export const HELP = `First Raster: guided, safety-first diagnosis of dormant monochrome vacuum-tube television sets.

  first-raster                          home screen: resume, new set, practice, bench
  first-raster new                      take a set in and start the walk
  first-raster resume [NAME]            go on with a session; without a name, the latest
  first-raster practice [--seed N] [--family F] [--level single|double|dormant]
                                        rehearse on a simulated faulty set; nothing is kept
  first-raster list [--archived] [--json]
                                        saved sessions, or those put away
  first-raster export NAME -o FILE [--good-part]
                                        one session as a single file, to take along; of a damaged one, its good part
  first-raster import FILE              takes such a file in under a free name
  first-raster report NAME [--format md|html|pdf|json] [-o FILE] [--only owner|record]
                      [--photo FILE ...] [--parts FILE.csv]
                                        the write-up of a session; the ending of FILE gives the format.
                                        --photo puts pictures into HTML and PDF, --parts writes the list
                                        of parts to order; a PDF is printed by an installed browser
  first-raster evaluate FILE... [--all-answers] [--json]
                                        walk case files without a screen
  first-raster calc NAME key=value ...  one bench calculation; calc --list [--json] names them all
  first-raster rules [--check DIR] [--json]
                                        the rule base in numbers, or a check of another one

Everywhere: --sessions DIR  --rules DIR  --ascii  --no-color  --help  --version
On the screens: --linear says them as linear text for a screen reader: nothing drawn, each change once

The sets that this program is about kill. It shows the usual cautions; it never replaces local electrical codes,
licensed practice or your own judgement, and it calls no set safe.
`;

const OPTIONS = {
  help: { type: 'boolean', short: 'h' },
  version: { type: 'boolean', short: 'v' },
  sessions: { type: 'string' },
  rules: { type: 'string' },
  ascii: { type: 'boolean' },
  linear: { type: 'boolean' },
  'no-color': { type: 'boolean' },
  json: { type: 'boolean' },
  format: { type: 'string' },
  output: { type: 'string', short: 'o' },
  'all-answers': { type: 'boolean' },
  list: { type: 'boolean' },
  archived: { type: 'boolean' },
  'good-part': { type: 'boolean' },
  check: { type: 'string' },
  seed: { type: 'string' },
  family: { type: 'string' },
  level: { type: 'string' },
  only: { type: 'string' },
  photo: { type: 'string', multiple: true },
  parts: { type: 'string' },
} as const;
type OptionName = keyof typeof OPTIONS;

const ALWAYS: readonly OptionName[] = ['help', 'version', 'sessions', 'rules', 'ascii', 'no-color'];
const OWN: Readonly<Record<CommandName, readonly OptionName[]>> = {
  home: ['linear'],
  new: ['linear'],
  resume: ['linear'],
  practice: ['seed', 'family', 'level', 'linear'],
  list: ['archived', 'json'],
  export: ['output', 'good-part'],
  import: [],
  report: ['format', 'output', 'only', 'photo', 'parts'],
  evaluate: ['all-answers', 'json'],
  calc: ['list', 'json'],
  rules: ['check', 'json'],
};
/** Least and most positional arguments. */
const ARGUMENTS: Readonly<Record<CommandName, readonly [number, number, string]>> = {
  home: [0, 0, ''],
  new: [0, 0, ''],
  resume: [0, 1, 'at most one session name'],
  practice: [0, 0, 'no argument'],
  list: [0, 0, 'no argument'],
  export: [1, 1, 'one session name'],
  import: [1, 1, 'one file'],
  report: [1, 1, 'one session name'],
  evaluate: [1, Number.POSITIVE_INFINITY, 'at least one case file'],
  calc: [0, Number.POSITIVE_INFINITY, 'a name and key=value'],
  rules: [0, 0, 'no argument'],
};

const FORMATS = ['md', 'html', 'pdf', 'json'] as const;
export type WriteUpFormat = (typeof FORMATS)[number];
/** Endings of a file that leave no doubt about the format. */
const ENDINGS: Readonly<Record<string, WriteUpFormat>> = {
  md: 'md',
  markdown: 'md',
  html: 'html',
  htm: 'html',
  pdf: 'pdf',
  json: 'json',
};

export interface CommandLine {
  readonly command: CommandName;
  readonly rest: readonly string[];
  readonly help: boolean;
  readonly version: boolean;
  readonly sessions: string | undefined;
  readonly rules: string | undefined;
  readonly ascii: boolean;
  readonly linear: boolean;
  readonly noColor: boolean;
  readonly json: boolean;
  readonly format: WriteUpFormat;
  readonly output: string | undefined;
  /** A parts list was asked for and no write-up beside it. */
  readonly partsOnly: boolean;
  readonly only: 'owner' | 'record' | undefined;
  readonly photos: readonly string[];
  readonly parts: string | undefined;
  readonly allAnswers: boolean;
  readonly list: boolean;
  readonly archived: boolean;
  readonly goodPart: boolean;
  readonly check: string | undefined;
  readonly seed: number | undefined;
  readonly family: string | undefined;
  readonly level: 'single' | 'double' | 'dormant';
}

/** Reads the arguments after the program's name. Throws UsageError with one line that says what is wrong. */
export function readCommandLine(args: readonly string[]): CommandLine {
  const { values, positionals } = parsed(args);
  const [first = 'home', ...rest] = positionals;
  const command = COMMANDS.find((c) => c === first);
  if (!command || (first === 'home' && positionals.length > 0))
    throw new UsageError(`There is no command "${first}".`);
  const wanted = values.help || values.version;
  if (!wanted) {
    for (const name of Object.keys(values)) {
      if (!ALWAYS.some((o) => o === name) && !OWN[command].some((o) => o === name)) {
        throw new UsageError(
          `${command === 'home' ? 'The home screen' : `"${command}"`} does not take --${name}.`,
        );
      }
    }
    const [least, most, words] = ARGUMENTS[command];
    if (rest.length < least || rest.length > most) throw new UsageError(`"${command}" takes ${words}.`);
    if (command === 'export' && !values.output)
      throw new UsageError('"export" takes -o FILE: where the session goes.');
  }
  const report = writeUp(values);
  const seed = values.seed === undefined ? undefined : Number(values.seed);
  if (seed !== undefined && (!Number.isSafeInteger(seed) || seed < 0))
    throw new UsageError(`--seed is a whole number from 0, not "${values.seed}".`);
  const level = (['single', 'double', 'dormant'] as const).find((l) => l === (values.level ?? 'single'));
  if (!level) throw new UsageError(`--level is single, double or dormant, not "${values.level}".`);
  return {
    command,
    rest,
    help: values.help ?? false,
    version: values.version ?? false,
    sessions: values.sessions,
    rules: values.rules,
    ascii: values.ascii ?? false,
    linear: values.linear ?? false,
    noColor: values['no-color'] ?? false,
    json: values.json ?? false,
    ...report,
    allAnswers: values['all-answers'] ?? false,
    list: values.list ?? false,
    archived: values.archived ?? false,
    goodPart: values['good-part'] ?? false,
    check: values.check,
    seed,
    family: values.family,
    level,
  };
}

type Given = ReturnType<typeof parsed>['values'];

/** Format, file, part and pictures of a write-up, as far as they fit together. */
function writeUp(values: Given) {
  const { output, parts, photo: photos = [] } = values;
  const ending = /\.([a-z]+)$/i.exec(output ?? '')?.[1]?.toLowerCase() ?? '';
  const wanted = values.format ?? ENDINGS[ending] ?? 'md';
  const format = FORMATS.find((f) => f === wanted);
  if (!format) throw new UsageError(`--format is md, html, pdf or json, not "${wanted}".`);
  const only = (['owner', 'record'] as const).find((part) => part === values.only);
  if (values.only !== undefined && !only)
    throw new UsageError(`--only is owner or record, not "${values.only}".`);
  if (format === 'pdf' && output === undefined) throw new UsageError('A PDF goes into a file: -o FILE.pdf.');
  if (format === 'json' && (only || photos.length > 0))
    throw new UsageError('JSON is the whole result and holds no pictures: leave --only and --photo out.');
  return {
    format,
    output,
    partsOnly: parts !== undefined && values.format === undefined && output === undefined,
    only,
    photos,
    parts,
  };
}

function parsed(args: readonly string[]) {
  try {
    return parseArgs({ args: [...args], options: OPTIONS, allowPositionals: true });
  } catch (error) {
    throw new UsageError(error instanceof Error ? `${error.message.split('. ')[0]}.` : String(error));
  }
}
