// What a file may not do: hang, eat memory, run code, steer the terminal, or name a place outside the sessions folder.
import { execFileSync } from 'node:child_process';
import * as fs from 'node:fs';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { z } from 'zod';
import { openPreferences } from '../../src/cli/preferences.ts';
import { loadRules, problemLine } from '../../src/rulebook/load.ts';
import { steeringCharacter } from '../../src/rulebook/plain-text.ts';
import { readTextFile } from '../../src/rulebook/text-file.ts';
import { parseYaml } from '../../src/rulebook/yaml-file.ts';
import { createSession, exportSession, importSession, listSessions } from '../../src/session/index.ts';
import { clean } from '../../src/ui/text.ts';
import { TINY, tinyPack } from '../rulebook/tiny-pack.ts';
import { newFolder, note, RULES, removeFolders } from './helpers.ts';

afterAll(removeFolders);

const anything = z.unknown();
/** First problem of a YAML text, as it is printed. */
function problemOf(text: string): string {
  const { problems } = parseYaml('case.yaml', text, anything);
  const [first] = problems;
  return first === undefined ? '' : problemLine(first);
}

describe('YAML', () => {
  const bomb = `a: &a [x, x]\n${'bcdefghijklmnop'
    .split('')
    .map((name, n) => `${name}: &${name} [${Array(9).fill(`*${'abcdefghijklmno'[n]}`).join(', ')}]`)
    .join('\n')}\n`;
  it.each([
    ['a bomb of aliases', bomb, /case\.yaml:1:\d+: .*anchors and aliases/],
    ['an anchor alone', 'x: 1\ny: &a 1\n', /case\.yaml:2:\d+: .*anchors/],
    ['an alias to itself', 'a: &a\n  - *a\n', /case\.yaml:\d+:\d+: .*anchors/],
    ['brackets without end', `a: 1\nb: ${'['.repeat(100_000)}`, /case\.yaml:2:\d+: .*nested deeper/],
    ['braces without end', '{a: '.repeat(100_000), /case\.yaml:1:\d+: .*nested deeper/],
    ['dashes on one line', `${'- '.repeat(200_000)}x`, /case\.yaml:1:\d+: /],
    ['question marks on one line', `${'? '.repeat(200_000)}x`, /case\.yaml:1:\d+: /],
    [
      'indentation without end',
      Array.from({ length: 1200 }, (_, n) => `${' '.repeat(n)}a:`).join('\n'),
      /case\.yaml:\d+:\d+: /,
    ],
    ['two megabytes', 'a: x\n'.repeat(400_000), /case\.yaml:1:1: .*larger than 1024 KiB/],
    [
      'an escape sequence written as such',
      'a: b\nc: "\\e[2J"\n',
      /case\.yaml:2:4: .*U\+001B steers a terminal/,
    ],
    ['one in a key', 'a: b\n"\\x9b31m": c\n', /case\.yaml:2:1: .*U\+009B steers/],
    ['a direction mark', 'a: x\u202egnp\n', /case\.yaml:1:4: .*U\+202E steers/],
    ['a key that is a list', 'a: b\n? [c, d]\n: e\n', /case\.yaml:2:3: .*a key must be a word/],
    ['code in a tag', 'a: !!js/function "function(){}"\nb: [', /case\.yaml:\d+:\d+: /],
  ])('%s: refused with line and column, soon', { timeout: 20_000 }, (_, text, message) => {
    const begun = Date.now();
    expect(problemOf(text)).toMatch(message);
    expect(Date.now() - begun).toBeLessThan(15_000);
  });

  it('tags and merge keys make nothing but plain data', () => {
    const { data } = parseYaml(
      'x.yaml',
      'a: !!js/function "function(){}"\n"<<": {b: 1}\n"__proto__": {c: 1}\n',
      anything,
    );
    expect(typeof (data as { a: unknown }).a).toBe('string');
    expect(Object.keys({}).concat(Object.keys(Object.prototype))).toEqual([]);
    expect(({} as { c?: unknown }).c).toBeUndefined();
  });
});

describe('what is not a text file', () => {
  it('a device, a folder, a missing file, another encoding: said, with the line where there is one', () => {
    const folder = newFolder();
    if (fs.existsSync('/dev/zero'))
      expect(readTextFile('/dev/zero')).toMatchObject({ message: 'is not a file' });
    expect(readTextFile(folder)).toMatchObject({ line: 1 });
    expect(readTextFile(join(folder, 'none'))).toMatchObject({
      message: expect.stringContaining('no such file'),
    });
    const latin = join(folder, 'latin');
    fs.writeFileSync(latin, Buffer.from('a: b\nc: Télé\n', 'latin1'));
    expect(readTextFile(latin)).toMatchObject({ message: 'not UTF-8 text', line: 2 });
    const large = join(folder, 'large');
    fs.writeFileSync(large, '');
    fs.truncateSync(large, 3_000_000_000);
    expect(readTextFile(large)).toMatchObject({ message: expect.stringContaining('larger than 1024 KiB') });
  });

  it('a pipe with nobody at its other end does not keep us waiting', (context) => {
    const pipe = join(newFolder(), 'pipe');
    try {
      execFileSync('mkfifo', [pipe], { stdio: 'ignore' });
    } catch {
      return context.skip('this system makes no named pipes');
    }
    expect(readTextFile(pipe)).toMatchObject({ message: 'is not a file' });
    const pack = tinyPack();
    fs.rmSync(join(pack, 'pack.yaml'));
    execFileSync('mkfifo', [join(pack, 'pack.yaml')]);
    expect(loadRules(pack).problems.map(problemLine).join()).toMatch(/pack\.yaml:1:1: error: is not a file/);
  });

  it('a rule pack whose folder is a file, or whose table steers the terminal', () => {
    const pack = tinyPack();
    fs.rmSync(join(pack, 'sections'), { recursive: true });
    fs.writeFileSync(join(pack, 'sections'), '');
    expect(loadRules(pack).problems.map(problemLine).join()).toMatch(/sections:1:1: error: is not a folder/);
    const table = Object.keys(TINY).find((name) => name.endsWith('.csv')) ?? 'data/tubes.csv';
    const other = tinyPack({
      [table]: `${TINY[table] ?? 'type,function,source_title\n'}6SN7\u001b[2J,x,y\n`,
    });
    expect(loadRules(other).problems.map(problemLine).join()).toMatch(
      /\.csv:\d+:1: error: the character U\+001B/,
    );
  });
});

describe('preferences', () => {
  it.each([
    ['broken in line 3', '{\n "terms": "uk",\n oops\n}', /preferences\.json:3: /],
    ['a value that cannot be', '{\n "terms": "fr"\n}', /preferences\.json:2: /],
    ['a list of another kind', '{"instruments": "dmm"}', /preferences\.json:1: /],
    ['not an object', '[1]', /preferences\.json:1: |^$/],
  ])('%s: set aside, said with its line, defaults taken', async (_, text, message) => {
    const folder = newFolder();
    fs.writeFileSync(join(folder, 'preferences.json'), text);
    const store = await openPreferences(new Date(), folder);
    expect(store.trouble).toMatch(message);
    expect(store.read().terms).toBe('us');
    if (store.trouble === '') return;
    const aside = fs.readdirSync(folder).find((name) => name.includes('damaged'));
    expect(fs.readFileSync(join(folder, aside ?? ''), 'utf8')).toBe(text);
  });

  it('are for their owner only, and their texts steer nothing', async () => {
    const folder = newFolder();
    const path = join(folder, 'preferences.json');
    fs.writeFileSync(path, JSON.stringify({ technician: 'A\u001b[2JB\u202eC' }));
    const store = await openPreferences(new Date(), folder);
    expect(store.read().technician).toBe('A[2JBC');
    store.save({ terms: 'uk' });
    expect(fs.statSync(path).mode & 0o777).toBe(0o600);
  });

  it('a huge file is set aside unread', async () => {
    const folder = newFolder();
    const path = join(folder, 'preferences.json');
    fs.writeFileSync(path, '{}');
    fs.truncateSync(path, 2_000_000_000);
    const store = await openPreferences(new Date(), folder);
    expect(store.trouble).toMatch(/larger than 1024 KiB/);
    for (const name of fs.readdirSync(folder)) fs.rmSync(join(folder, name));
  });
});

describe('the terminal', () => {
  const attacks = [
    '\u001b[2J',
    '\u001b]0;title\u0007',
    '\u001b]8;;http://example.invalid\u001b\\x\u001b]8;;\u001b\\',
    '\u009b2J',
    '\u009d8;;x\u009c',
    '\u001bP+q\u001b\\',
    '\u202e\u2066\u2069\u061c\u200f',
    '\u0085\u2028\u2029',
    '\u0007\u0008\u007f',
  ];
  it('no text from a file steers it, by either of the cleaners', () => {
    for (const attack of attacks) {
      expect(steeringCharacter(clean(`a${attack}b`))).toBeUndefined();
      const folder = newFolder();
      const session = createSession(folder, {
        name: `n${attack}`,
        rules: RULES,
        set: { name: `s${attack}`, family: attack },
      });
      session.append(note(`x${attack}y`));
      session.close();
      expect(steeringCharacter(fs.readdirSync(folder).join())).toBeUndefined();
      expect(steeringCharacter(JSON.stringify(listSessions(folder)))).toBeUndefined();
      expect(steeringCharacter(JSON.stringify(session.state))).toBeUndefined();
    }
  });
});

describe('one session as a single file', () => {
  it('keeps every entry, its sums and its times, whatever the name of the file', () => {
    const folder = newFolder();
    const session = createSession(folder, { name: 'Küche 電視 / "1957"', rules: RULES });
    for (let n = 0; n < 5; n++) session.append(note(`note ${n}`), new Date(Date.UTC(2026, 0, 1, 10, n)));
    session.close();
    const away = newFolder();
    const file = join(away, 'für das Büro; $(rm -rf) .txt');
    exportSession(folder, session.name, file);
    expect(fs.readFileSync(file)).toEqual(fs.readFileSync(session.path));
    const other = newFolder();
    const name = importSession(other, file);
    expect(name).toBe('Küche-電視-1957');
    expect(fs.readFileSync(join(other, `${name}.jsonl`))).toEqual(fs.readFileSync(session.path));
    expect(fs.statSync(join(other, `${name}.jsonl`)).mode & 0o777).toBe(0o600);
  });
});
