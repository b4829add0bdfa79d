// `completion`: scripts that let a shell complete commands, options, their values, files and the names of saved sessions.
import {
  ALWAYS,
  COMMAND_TABLE,
  type Command,
  type Offer,
  OPTIONS,
  type Option,
  type Shell,
} from './commands.ts';

const COMMANDS: readonly Command[] = COMMAND_TABLE.filter((c) => c.name !== 'home');
const HOME: Command = COMMAND_TABLE[0];
const option = (name: keyof typeof OPTIONS): Option => OPTIONS[name];
const optionsOf = (command: Command): readonly Option[] => [...command.options, ...ALWAYS].map(option);
const VALUED: readonly Option[] = Object.values<Option>(OPTIONS).filter((o) => o.value !== undefined);
const flags = ({ name, short }: Option): string[] => [`--${name}`, ...(short ? [`-${short}`] : [])];
const NAMES = 'first-raster list --names 2>/dev/null';

/** Text in single quotes, as every one of the three shells takes it. */
const quoted = (text: string): string => `'${text.replaceAll("'", '’')}'`;

function bashWords(offer: Offer | undefined): string {
  if (offer === undefined || offer === 'command') return ':';
  if (offer === 'file') return 'mapfile -t COMPREPLY < <(compgen -f -- "$cur"); compopt -o filenames';
  if (offer === 'folder') return 'mapfile -t COMPREPLY < <(compgen -d -- "$cur"); compopt -o filenames';
  const words =
    offer === 'session' ? `$(first-raster list --names "\${folder[@]}" 2>/dev/null)` : offer.join(' ');
  return `mapfile -t COMPREPLY < <(compgen -W "${words}" -- "$cur")`;
}

function bash(): string {
  const values = VALUED.map((o) => `    ${flags(o).join('|')}) ${bashWords(o.offer)}; return ;;`);
  const commands = COMMANDS.map(
    (c) =>
      `    ${c.name}) options="${optionsOf(c).flatMap(flags).join(' ')}"; [[ $cur == -* ]] || { ${bashWords(c.offer)}; return; } ;;`,
  );
  return `# Completion of first-raster for bash: source this, or keep it in ~/.local/share/bash-completion/completions/first-raster
_first_raster() {
  local cur=\${COMP_WORDS[COMP_CWORD]} prev=\${COMP_WORDS[COMP_CWORD-1]} command= options= n folder=()
  COMPREPLY=()
  for ((n = 1; n < COMP_CWORD; n++)); do
    case \${COMP_WORDS[n]} in
    ${VALUED.flatMap(flags).join('|')}) [[ \${COMP_WORDS[n]} == --sessions ]] && folder=(--sessions "\${COMP_WORDS[n+1]}"); ((n++)) ;;
    -*) ;;
    *) [[ -n $command ]] || command=\${COMP_WORDS[n]} ;;
    esac
  done
  case $prev in
${values.join('\n')}
  esac
  case $command in
    '') options="${[...COMMANDS.map((c) => c.name), ...optionsOf(HOME).flatMap(flags)].join(' ')}" ;;
${commands.join('\n')}
  esac
  mapfile -t COMPREPLY < <(compgen -W "$options" -- "$cur")
}
complete -F _first_raster first-raster
`;
}

function zshAction(offer: Offer | undefined): string {
  if (offer === 'file') return '_files';
  if (offer === 'folder') return '_files -/';
  if (offer === 'session') return '_first_raster_sessions';
  return offer === undefined || offer === 'command' ? ' ' : `(${offer.join(' ')})`;
}

function zsh(): string {
  const spec = (o: Option): string[] =>
    flags(o).map((flag) =>
      quoted(
        `${o.repeated ? '*' : ''}${flag}[${o.help.replaceAll(/[[\]:]/g, ' ')}]${o.value ? `:${o.value}:${zshAction(o.offer)}` : ''}`,
      ),
    );
  const commands = COMMANDS.map(
    (c) =>
      `    ${c.name}) _arguments ${[...optionsOf(c).flatMap(spec), ...(c.offer ? [quoted(`*:argument:${zshAction(c.offer)}`)] : [])].join(' ')} ;;`,
  );
  return `#compdef first-raster
# Completion of first-raster for zsh: keep it as _first-raster in a folder of $fpath, or source it.
_first_raster_sessions() {
  local -a names
  names=(\${(f)"$(${NAMES})"})
  compadd -a names
}
_first_raster() {
  local -a commands
  local state line
  commands=(${COMMANDS.map((c) => quoted(`${c.name}:${c.help.replaceAll(':', ' ')}`)).join(' ')})
  _arguments -C ${optionsOf(HOME).flatMap(spec).join(' ')} '1:command:->command' '*::argument:->argument'
  case $state in
  command) _describe command commands ;;
  argument)
    case $line[1] in
${commands.join('\n')}
    esac ;;
  esac
}
if [[ $funcstack[1] == _first-raster ]]; then _first_raster "$@"; else compdef _first_raster first-raster; fi
`;
}

function fishWords(offer: Offer | undefined): string {
  if (offer === 'file') return ' -F';
  if (offer === 'folder') return " -a '(__fish_complete_directories)'";
  if (offer === 'session') return ` -a ${quoted(`(${NAMES})`)}`;
  return offer === undefined || offer === 'command' ? '' : ` -a ${quoted(offer.join(' '))}`;
}

function fish(): string {
  const names = COMMANDS.map((c) => c.name).join(' ');
  const line = (when: string, o: Option): string =>
    `complete -c first-raster -n ${quoted(when)} -l ${o.name}${o.short ? ` -s ${o.short}` : ''}${o.value ? ` -r${fishWords(o.offer)}` : ''} -d ${quoted(o.help)}`;
  return [
    '# Completion of first-raster for fish: keep it as ~/.config/fish/completions/first-raster.fish',
    'complete -c first-raster -f',
    ...ALWAYS.map((name) => line('true', option(name))),
    ...HOME.options.map((name) => line('__fish_use_subcommand', option(name))),
    ...COMMANDS.flatMap((c) => [
      `complete -c first-raster -n __fish_use_subcommand -a ${c.name} -d ${quoted(c.help)}`,
      ...(c.offer
        ? [
            `complete -c first-raster -n ${quoted(`__fish_seen_subcommand_from ${c.name}`)}${fishWords(c.offer)}`,
          ]
        : []),
      ...c.options.map((name) => line(`__fish_seen_subcommand_from ${c.name}`, option(name))),
    ]),
    `# commands: ${names}`,
    '',
  ].join('\n');
}

const SCRIPTS: Readonly<Record<Shell, () => string>> = { bash, zsh, fish };

/** The script for a shell; `undefined` for one that has none. */
export function completionFor(shell: string): string | undefined {
  return Object.hasOwn(SCRIPTS, shell) ? SCRIPTS[shell as Shell]() : undefined;
}
