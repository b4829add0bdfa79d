// Completion scripts in the shells that are there, and the manual page through the formatter that is there.
import { spawnSync } from 'node:child_process';
import { chmodSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { ALWAYS, COMMAND_TABLE, type Command, OPTIONS, type Option } from '../../src/cli/commands.ts';
import { completionFor } from '../../src/cli/completion.ts';
import { manualPage } from '../../src/cli/manual.ts';
import { readCommandLine } from '../../src/cli/usage.ts';
import { CIRCUIT_FAMILIES } from '../../src/practice/index.ts';

let work: string;
beforeAll(() => {
  work = mkdtempSync(join(tmpdir(), 'first-raster-completion-'));
  const stand = join(work, 'first-raster');
  writeFileSync(stand, '#!/bin/sh\nprintf "kitchen-21\\nporch-17\\n"\n');
  chmodSync(stand, 0o755);
  for (const shell of ['bash', 'zsh', 'fish']) writeFileSync(join(work, shell), completionFor(shell) ?? '');
});
afterAll(() => rmSync(work, { recursive: true, force: true }));

const has = (program: string): boolean => spawnSync(program, ['--version']).error === undefined;
const env = () => ({ ...process.env, PATH: `${work}:${process.env.PATH ?? ''}` });

/** What bash offers for the last of these words. */
function offered(...words: readonly string[]): readonly string[] {
  const line = ['first-raster', ...words];
  const script = `source ${join(work, 'bash')}
compopt() { :; }
COMP_WORDS=(${line.map((w) => `'${w}'`).join(' ')}) COMP_CWORD=${line.length - 1}
_first_raster
printf '%s\\n' "\${COMPREPLY[@]}"`;
  const { stdout, stderr } = spawnSync('bash', ['-c', script], { encoding: 'utf8', env: env() });
  expect(stderr).toBe('');
  return stdout.split('\n').filter((w) => w !== '');
}

describe.runIf(has('bash'))('bash', () => {
  it('offers commands, then their own options, and no others', () => {
    expect(offered('re')).toEqual(['resume', 'report']);
    expect(offered('report', '--pa')).toEqual(['--parts']);
    expect(offered('list', '--')).toContain('--archived');
    expect(offered('list', '--')).not.toContain('--format');
    expect(offered('--sessions', 'x', 'prac')).toEqual(['practice']);
  });

  it('offers values, shells and the names of saved sessions', () => {
    expect(offered('report', 'x', '--format', '')).toEqual(['md', 'html', 'pdf', 'json']);
    expect(offered('practice', '--level', 'd')).toEqual(['double', 'dormant']);
    expect(offered('completion', 'b')).toEqual(['bash']);
    expect(offered('resume', '')).toEqual(['kitchen-21', 'porch-17']);
    expect(offered('report', 'po')).toEqual(['porch-17']);
  });

  it('is a script that bash finds no fault with', () => {
    expect(spawnSync('bash', ['-n', join(work, 'bash')]).status).toBe(0);
  });
});

it.runIf(has('zsh'))('is a script that zsh finds no fault with', () => {
  expect(spawnSync('zsh', ['-n', join(work, 'zsh')]).status).toBe(0);
});

it.runIf(has('fish'))('offers commands and sessions in fish', () => {
  const ask = (line: string): string =>
    spawnSync('fish', ['-c', `source ${join(work, 'fish')}; complete -C '${line}'`], {
      encoding: 'utf8',
      env: env(),
    }).stdout;
  expect(ask('first-raster prac')).toContain('practice');
  expect(ask('first-raster resume ')).toContain('kitchen-21');
});

it('every script names every command and every option', () => {
  for (const shell of ['bash', 'zsh', 'fish']) {
    const script = completionFor(shell) ?? '';
    for (const { name } of COMMAND_TABLE.slice(1)) expect(script, shell).toContain(name);
    for (const { name } of Object.values(OPTIONS))
      expect(script, shell).toMatch(new RegExp(`(--|-l )${name}\\b`));
  }
  expect(completionFor('tcsh')).toBeUndefined();
});

describe('the table of commands', () => {
  it('is what the command line takes', () => {
    for (const command of COMMAND_TABLE as readonly Command[])
      for (const name of [...command.options, ...ALWAYS]) {
        const option: Option = OPTIONS[name];
        const value = option.value ? [Array.isArray(option.offer) ? String(option.offer[0]) : '1'] : [];
        // `help` lets missing arguments pass, so that each option is tried by itself.
        const call = command.name === 'home' ? [] : [command.name];
        expect(() => readCommandLine([...call, '--help', `--${name}`, ...value])).not.toThrow();
        if (option.short)
          expect(() => readCommandLine([...call, '--help', `-${option.short}`, ...value])).not.toThrow();
      }
  });

  it('offers the families that can be simulated', () => {
    expect([...OPTIONS.family.offer].sort()).toEqual([...CIRCUIT_FAMILIES].sort());
  });
});

describe('the manual page', () => {
  const page = manualPage('1.2.3');

  it('has every command and option of the help text', () => {
    for (const { name } of COMMAND_TABLE.slice(1)) expect(page).toContain(`first\\-raster ${name}`);
    for (const { name } of Object.values(OPTIONS))
      expect(page).toContain(`\\-\\-${name.replaceAll('-', '\\-')}`);
  });

  it.runIf(has('man'))('is formatted without a warning', () => {
    const file = join(work, 'page.1');
    writeFileSync(file, page);
    const { stdout, stderr, status } = spawnSync('man', ['--warnings', '-l', file], {
      encoding: 'utf8',
      env: { ...process.env, MANWIDTH: '80', LC_ALL: 'C.UTF-8' },
    });
    expect({ stderr, status }).toEqual({ stderr: '', status: 0 });
    expect(stdout).toContain('EXIT STATUS');
  });
});
