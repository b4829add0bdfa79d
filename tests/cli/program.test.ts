// The built program from a shell: exit codes, messages on the right stream, machine-readable output. No terminal.
import { spawnSync } from 'node:child_process';
import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { createSession } from '../../src/session/index.ts';
import { UNKNOWN_SET } from '../../src/ui/app/intake-fields.ts';
import { buildIfNeeded, PROGRAM } from '../terminal/pty.ts';

const work = mkdtempSync(join(tmpdir(), 'first-raster-cli-'));
const sessions = join(work, 'sessions');
const RULES = join(import.meta.dirname, '../../rules');

function run(args: readonly string[], env: Readonly<Record<string, string>> = {}) {
  const { status, stdout, stderr } = spawnSync(process.execPath, [PROGRAM, ...args], {
    encoding: 'utf8',
    cwd: work,
    input: '',
    env: { PATH: process.env.PATH ?? '', HOME: work, XDG_CONFIG_HOME: join(work, 'config'), ...env },
  });
  return { code: status, out: stdout, err: stderr };
}

beforeAll(() => {
  buildIfNeeded();
  const session = createSession(sessions, {
    name: 'Tarnhollow 21',
    rules: { name: 'test', version: '1', hash: 'x' },
    set: { name: 'Tarnhollow 21', family: 'transformer' },
    now: new Date('2026-01-05T18:00:00Z'),
  });
  session.append({
    type: 'set-described',
    set: { ...UNKNOWN_SET, name: 'Tarnhollow 21', family: 'transformer' },
  });
  session.append({ type: 'bench-described', instruments: ['dmm'] });
  session.close();
}, 180_000);
afterAll(() => rmSync(work, { recursive: true, force: true }));

describe('ordinary use', { timeout: 120_000 }, () => {
  it('prints version and help', () => {
    const manifest = JSON.parse(readFileSync(join(RULES, '../package.json'), 'utf8'));
    expect(run(['--version'])).toMatchObject({ code: 0, out: `${manifest.version}\n`, err: '' });
    expect(run(['--help']).out).toContain('evaluate FILE...');
  });

  it('sums the rule base up', () => {
    const { code, out } = run(['rules', '--json']);
    expect(code).toBe(0);
    const summary = JSON.parse(out);
    expect(summary.counts.checks).toBeGreaterThanOrEqual(70);
    expect(summary.counts.faults).toBeGreaterThanOrEqual(70);
    expect(Array.isArray(summary.measured.groups)).toBe(true);
    expect(run(['rules']).out).toContain('checks');
  });

  it('lists sessions as a table and as JSON', () => {
    expect(run(['list', '--sessions', sessions]).out).toContain('Tarnhollow 21');
    const [one] = JSON.parse(run(['list', '--json', '--sessions', sessions]).out);
    expect(one).toMatchObject({
      name: 'Tarnhollow-21',
      set: 'Tarnhollow 21',
      started: '2026-01-05T18:00:00.000Z',
      supply: 'unknown',
      readings: 0,
    });
    expect(JSON.parse(run(['list', '--json', '--sessions', join(work, 'none')]).out)).toEqual([]);
  });

  it('writes a report in three formats, to standard output or a file', () => {
    expect(run(['report', 'Tarnhollow-21', '--sessions', sessions]).out).toContain('Tarnhollow 21');
    expect(
      JSON.parse(run(['report', 'Tarnhollow-21', '--format', 'json', '--sessions', sessions]).out).verdict,
    ).toBeDefined();
    const target = join(work, 'page.html');
    expect(
      run(['report', 'Tarnhollow-21', '--format', 'html', '-o', target, '--sessions', sessions]),
    ).toMatchObject({ code: 0, out: '' });
    expect(readFileSync(target, 'utf8')).toMatch(/^<!doctype html>/i);
  });

  it('does a bench calculation: 100 uF from 300 V through 2.2 k to 1 V', () => {
    // t = R C ln(V0 / V1): textbook RC discharge, e.g. Horowitz and Hill, The Art of Electronics, section 1.4.2 (from memory).
    const { code, out } = run([
      'calc',
      'discharge',
      'farads=100u',
      'ohms=2k2',
      'fromVolts=300',
      'toVolts=1',
      '--json',
    ]);
    expect(code).toBe(0);
    expect(JSON.parse(out).outputs.seconds).toBeCloseTo(2200 * 100e-6 * Math.log(300), 6);
    expect(JSON.parse(run(['calc', '--list', '--json']).out).length).toBeGreaterThan(10);
  });

  it('evaluates case files one by one; a bad one fails alone, with its line', () => {
    const good = join(work, 'good.yaml');
    const bad = join(work, 'bad.yaml');
    writeFileSync(
      good,
      'case: shorted across-the-line capacitor\nset: {family: series-doubler-halfwave}\nanswers: {plug-ohms: "0.2"}\n',
    );
    writeFileSync(
      bad,
      'case: unknown check\nset: {family: series-doubler-halfwave}\nanswers:\n  no-such-check: "1"\n',
    );
    const { code, out, err } = run(['evaluate', bad, good, '--all-answers', '--json']);
    expect(code).toBe(1);
    expect(err).toMatch(/bad\.yaml:4:\d+: .*no-such-check/);
    const lines = out.trim().split('\n');
    expect(lines).toHaveLength(1);
    const result = JSON.parse(lines[0] ?? '');
    expect(result).toMatchObject({
      case: 'shorted across-the-line capacitor',
      gates: 'assumed',
      asked: [{ check: 'plug-ohms', answer: '0.2' }],
    });
    expect(result.suspects.length).toBeGreaterThan(0);
    expect(run(['evaluate', good, '--all-answers']).out).toContain('good.yaml');
  });
});

describe('wrong input', { timeout: 120_000 }, () => {
  it.each([
    [['bogus'], 2, 'no command "bogus"'],
    [[], 2, 'needs a terminal'],
    [['resume'], 2, 'needs a terminal'],
    [['calc', 'nonsense'], 1, 'nonsense'],
    [['calc', 'discharge', 'farads'], 2, 'not key=value'],
    [['calc', 'discharge', 'farads=1u', 'farads=2u'], 2, 'given twice'],
    [['calc', 'discharge', 'farads=blue'], 1, 'farads'],
    [['report', 'no-such-set'], 1, 'no-such-set'],
    [['report', '../etc/passwd'], 1, 'passwd'],
    [['evaluate', 'missing.yaml'], 1, 'missing.yaml:1:1'],
    [['rules', '--check', 'missing'], 1, 'no such folder'],
    [['rules', '--rules', 'missing'], 1, 'no such folder'],
  ])('%j ends with %i and one clear message', (args, code, words) => {
    const result = run([
      ...args,
      ...(args[0] === 'rules' || args[0] === 'bogus' ? [] : ['--sessions', sessions]),
    ]);
    expect(result.err).toContain(words);
    expect(result.code).toBe(code);
    expect(result.err).not.toMatch(/\n\s+at /);
    expect(result.out).toBe('');
  });

  it('checks another rule base and names file and line', () => {
    const mine = join(work, 'rules');
    cpSync(RULES, mine, { recursive: true });
    expect(run(['rules', '--check', mine]).code).toBe(0);
    const pack = join(mine, 'pack.yaml');
    writeFileSync(
      pack,
      readFileSync(pack, 'utf8').replace(
        '- {id: intake, title: Intake and first look}',
        '- {id: intake, titel: Intake}',
      ),
    );
    const { code, err } = run(['rules', '--check', mine]);
    expect(code).toBe(1);
    expect(err).toMatch(/pack\.yaml:\d+:\d+: error/);
  });

  it('refuses a rule base that hangs together too widely, naming the part, on checking as on measuring', () => {
    const mine = join(work, 'wide-rules');
    cpSync(RULES, mine, { recursive: true });
    const damper = join(mine, 'sections', '14-damper-boost.yaml');
    const text = readFileSync(damper, 'utf8');
    const wide = text.replace(
      /effects: \{boost: \{low: 0\.68\}.*\}/,
      'effects: {sound: {low: 0.5}, hum: {high: 0.5}, vertical-lock: {low: 0.5}}',
    );
    expect(wide).not.toBe(text);
    writeFileSync(damper, wide);
    for (const option of ['--check', '--rules']) {
      const { code, err } = run(['rules', option, mine]);
      expect(code, option).toBe(1);
      expect(err).toMatch(/on sets of the family "[a-z-]+" the rules hang together too widely/);
      expect(err).toContain('damper-boost.boost-capacitor');
      expect(err).not.toMatch(/\n\s+at |error of its own/);
    }
  });

  it('shows where only when DEBUG is set', () => {
    expect(run(['report', 'no-such-set', '--sessions', sessions], { DEBUG: '1' }).err).toMatch(/\n\s+at /);
  });

  it('says that a report cannot be written, and where', () => {
    const result = run([
      'report',
      'Tarnhollow-21',
      '-o',
      join(work, 'no/such/folder/x.md'),
      '--sessions',
      sessions,
    ]);
    expect(result).toMatchObject({ code: 1 });
    expect(result.err).toContain('no/such/folder');
  });

  it('leaves a damaged preferences file beside a fresh one', () => {
    const config = join(work, 'config2/first-raster');
    mkdirSync(config, { recursive: true });
    writeFileSync(join(config, 'preferences.json'), '{"instruments": 7}');
    const result = run(['list', '--sessions', sessions], { XDG_CONFIG_HOME: join(work, 'config2') });
    expect(result.code).toBe(0);
    expect(result.err).toContain('set aside');
  });
});
