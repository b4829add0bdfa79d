// The command line: what is understood, what is refused, with which words.
import { describe, expect, it } from 'vitest';
import { helpText } from '../../src/cli/commands.ts';
import { UsageError } from '../../src/cli/problem.ts';
import { COMMANDS, readCommandLine } from '../../src/cli/usage.ts';

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
    expect(readCommandLine(['report', 'set-1'])).toMatchObject({
      format: 'md',
      photos: [],
      partsOnly: false,
    });
    expect(readCommandLine(['report', 'set-1', '-o', 'my.page.HTM'])).toMatchObject({ format: 'html' });
    expect(readCommandLine(['report', 'set-1', '-o', 'page.pdf', '--only', 'owner'])).toMatchObject({
      format: 'pdf',
      only: 'owner',
    });
    // What is said outright wins over what the name of a file suggests.
    expect(readCommandLine(['report', 'set-1', '--format', 'md', '-o', 'page.html'])).toMatchObject({
      format: 'md',
    });
    expect(readCommandLine(['report', 'set-1', '--photo', 'a.jpg', '--photo', 'b.jpg'])).toMatchObject({
      photos: ['a.jpg', 'b.jpg'],
    });
    expect(readCommandLine(['report', 'set-1', '--parts', 'order.csv'])).toMatchObject({ partsOnly: true });
    expect(readCommandLine(['report', 'set-1', '--parts', 'order.csv', '-o', 'page.md'])).toMatchObject({
      partsOnly: false,
      parts: 'order.csv',
    });
    expect(readCommandLine(['evaluate', 'a.yaml', 'b.yaml', '--all-answers'])).toMatchObject({
      rest: ['a.yaml', 'b.yaml'],
      allAnswers: true,
    });
    expect(readCommandLine(['calc', 'discharge', 'farads=100u'])).toMatchObject({
      rest: ['discharge', 'farads=100u'],
    });
    expect(readCommandLine(['calc', '--list'])).toMatchObject({ list: true });
    expect(readCommandLine(['rules', '--check', 'mine'])).toMatchObject({ check: 'mine' });
    for (const command of COMMANDS)
      if (command !== 'home') expect(helpText()).toContain(`first-raster ${command}`);
  });

  it.each([
    [['bogus'], 'no command "bogus"'],
    [['home'], 'no command "home"'],
    [['list', '--format', 'md'], 'does not take --format'],
    [['report'], 'takes one session name'],
    [['report', 'a', 'b'], 'takes one session name'],
    [['report', 'a', '--format', 'odt'], 'md, html, pdf or json'],
    [['report', 'a', '--format', 'pdf'], 'goes into a file'],
    [['report', 'a', '--only', 'middle'], 'owner or record'],
    [['report', 'a', '--format', 'json', '--only', 'owner'], 'leave --only'],
    [['report', 'a', '-o', 'a.json', '--photo', 'x.png'], 'leave --only and --photo'],
    [['list', '--photo', 'x.png'], 'does not take --photo'],
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
