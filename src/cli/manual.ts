// The manual page, made from the same table as `--help`. In the macros of man(7).
import {
  ALWAYS,
  COMMAND_TABLE,
  type Command,
  OPTIONS,
  type Option,
  optionUsage,
  SUMMARY,
  WARNING,
} from './commands.ts';

/** A text as roff takes it: backslashes, hyphens, and no line that begins like a request. */
const roff = (text: string): string =>
  text
    .replaceAll('\\', '\\e')
    .replaceAll('-', '\\-')
    .replace(/^([.'])/gm, '\\&$1');

const tagged = (tag: string, text: string): string => `.TP\n.B ${roff(tag)}\n${roff(text)}`;

function command(c: Command): string {
  const call = ['first-raster', c.name === 'home' ? '' : c.name, c.usage].filter((w) => w !== '').join(' ');
  const own = c.options.map((name): Option => OPTIONS[name]);
  return [
    tagged(call, `${c.help}.`),
    ...(own.length > 0 ? ['.RS', ...own.map((o) => tagged(optionUsage(o), `${o.help}.`)), '.RE'] : []),
  ].join('\n');
}

/** The page. `version` stands in its foot. */
export function manualPage(version: string): string {
  return `${[
    `.TH FIRST\\-RASTER 1 "" "first\\-raster ${roff(version)}" "User Commands"`,
    '.SH NAME',
    `first\\-raster \\- ${roff(SUMMARY.replace(/^First Raster: /, '').replace(/\.$/, ''))}`,
    '.SH SYNOPSIS',
    '.B first\\-raster',
    '.RI [ command ]\n.RI [ options ]',
    '.SH DESCRIPTION',
    roff(WARNING),
    '.SH COMMANDS',
    ...COMMAND_TABLE.map(command),
    '.SH OPTIONS OF EVERY COMMAND',
    ...ALWAYS.map((name) => tagged(optionUsage(OPTIONS[name]), `${OPTIONS[name].help}.`)),
    '.SH EXIT STATUS',
    tagged('0', 'Done.'),
    tagged('1', 'The input was wrong; the message says where.'),
    tagged('2', 'The command line was wrong, or there is no terminal.'),
    tagged('70', 'An error of the program; the message says what to report.'),
    '.SH ENVIRONMENT',
    tagged('NO_COLOR', 'Set to anything: no colour.'),
    tagged('DEBUG', 'Set to anything: errors say where in the program they come from.'),
  ].join('\n')}\n`;
}
