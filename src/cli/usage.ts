// The command line: the parsing of what the table of commands and options allows.
import { parseArgs } from 'node:util';
import { ALWAYS, COMMAND_TABLE, type Command, type CommandName, type OptionName } from './commands.ts';
import { UsageError } from './problem.ts';

export const COMMANDS: readonly CommandName[] = COMMAND_TABLE.map((c) => c.name);
export type { CommandName };

/** The table of options in the shape that `parseArgs` takes. */
const PARSED = {
  help: { type: 'boolean', short: 'h' },
  version: { type: 'boolean', short: 'v' },
  sessions: { type: 'string' },
  rules: { type: 'string' },
  ascii: { type: 'boolean' },
  linear: { type: 'boolean' },
  'no-color': { type: 'boolean' },
  json: { type: 'boolean' },
  names: { type: 'boolean' },
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
} as const satisfies Readonly<
  Record<OptionName, { type: 'boolean' | 'string'; short?: string; multiple?: boolean }>
>;

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
  readonly names: boolean;
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
  const entry: Command | undefined = COMMAND_TABLE.find((c) => c.name === command);
  if (!entry) throw new UsageError(`There is no command "${first}".`);
  const wanted = values.help || values.version;
  if (!wanted) {
    for (const name of Object.keys(values)) {
      if (!ALWAYS.some((o) => o === name) && !entry.options.some((o) => o === name)) {
        throw new UsageError(
          `${command === 'home' ? 'The home screen' : `"${command}"`} does not take --${name}.`,
        );
      }
    }
    const [least, most, words] = entry.takes;
    if (rest.length < least || rest.length > most) throw new UsageError(`"${command}" takes ${words}.`);
    if (command === 'export' && !values.output)
      throw new UsageError('"export" takes -o FILE: where the session goes.');
  }
  const report = writeUp(values, command);
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
    names: values.names ?? false,
    goodPart: values['good-part'] ?? false,
    check: values.check,
    seed,
    family: values.family,
    level,
  };
}

type Given = ReturnType<typeof parsed>['values'];

/** Format, file, part and pictures of a write-up, as far as they fit together. */
function writeUp(values: Given, command: string) {
  const { output, parts, photo: photos = [] } = values;
  const ending = /\.([a-z]+)$/i.exec(output ?? '')?.[1]?.toLowerCase() ?? '';
  if (command === 'report' && values.format === undefined && ending !== '' && ENDINGS[ending] === undefined)
    throw new UsageError(
      `A report is written as .md, .html, .pdf or .json, not .${ending}; --format says which.`,
    );
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
    return parseArgs({ args: [...args], options: PARSED, allowPositionals: true });
  } catch (error) {
    throw new UsageError(error instanceof Error ? `${error.message.split('. ')[0]}.` : String(error));
  }
}
