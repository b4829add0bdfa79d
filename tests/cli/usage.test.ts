// The command line: what is understood, what is refused, with which words.
import { describe, expect, it } from 'vitest';
import { UsageError } from '../../src/cli/problem.ts';
import { COMMANDS, HELP, readCommandLine } from '../../src/cli/usage.ts';

describe('readCommandLine', () => {
  it('reads every command of the help text', () => {
    expect(readCommandLine([])).toMatchObject({ command: 'home' });
    expect(readCommandLine(['new', '--ascii', '--no-color'])).toMatchObject({
      command: 'new',
      ascii: true,
      noColor: true,
    });
    expect(readCommandLine(['resume'])).toMatchObject({ command: 'resume', rest: [] });
    expect(readCommandLine(['resume', 'set-1', '--sessions', '/x'])).toMatchObject({
      rest: ['set-1'],
      sessions: '/x',
    });
    expect(readCommandLine(['list', '--json'])).toMatchObject({ command: 'list', json: true });
    expect(readCommandLine(['report', 'set-1', '--format', 'html', '-o', 'x.html'])).toMatchObject({
      format: 'html',
      output: 'x.html',
    });
    expect(readCommandLine(['report', 'set-1'])).toMatchObject({ format: 'md' });
    expect(readCommandLine(['evaluate', 'a.yaml', 'b.yaml', '--all-answers'])).toMatchObject({
      rest: ['a.yaml', 'b.yaml'],
      allAnswers: true,
    });
    expect(readCommandLine(['calc', 'discharge', 'farads=100u'])).toMatchObject({
      rest: ['discharge', 'farads=100u'],
    });
    expect(readCommandLine(['calc', '--list'])).toMatchObject({ list: true });
    expect(readCommandLine(['rules', '--check', 'mine'])).toMatchObject({ check: 'mine' });
    for (const command of COMMANDS) if (command !== 'home') expect(HELP).toContain(`first-raster ${command}`);
  });

  it.each([
    [['bogus'], 'no command "bogus"'],
    [['home'], 'no command "home"'],
    [['list', '--format', 'md'], 'does not take --format'],
    [['report'], 'takes one session name'],
    [['report', 'a', 'b'], 'takes one session name'],
    [['report', 'a', '--format', 'pdf'], 'md, html or json'],
    [['evaluate'], 'at least one case file'],
    [['resume', 'a', 'b'], 'at most one'],
    [['list', '--nonsense'], 'nonsense'],
    [['list', '--sessions'], 'sessions'],
  ])('refuses %j', (args, words) => {
    expect(() => readCommandLine(args)).toThrow(UsageError);
    expect(() => readCommandLine(args)).toThrow(words);
  });

  it('lets help and version win over what is missing', () => {
    expect(readCommandLine(['report', '--help']).help).toBe(true);
    expect(readCommandLine(['--version']).version).toBe(true);
  });
});
