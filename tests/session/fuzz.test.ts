// Session, case, rule and preference files, damaged at random: never a crash, never a stack trace, always a message with file and
// line, and nothing that steers a terminal comes out. FUZZ_RUNS raises the number of files of each kind.
import * as fs from 'node:fs';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { openPreferences } from '../../src/cli/preferences.ts';
import { reportOf } from '../../src/cli/report.ts';
import { loadRules, problemLine } from '../../src/rulebook/load.ts';
import { readTextFile } from '../../src/rulebook/text-file.ts';
import { listSessions, openSession, type Session, SessionError } from '../../src/session/index.ts';
import { sumOf } from '../../src/session/journal-text.ts';
import { readCase } from '../../src/walk/case-file.ts';
import { createEngine } from '../../src/walk/engine.ts';
import { evaluateAll } from '../../src/walk/evaluate.ts';
import { TINY, tinyPack } from '../rulebook/tiny-pack.ts';
import { newFolder, removeFolders } from './helpers.ts';
import { type Draw, injured, random, twisted } from './mutate.ts';

const RUNS = Number(process.env.FUZZ_RUNS ?? 60);
const FIRST = Number(process.env.FUZZ_SEED ?? 1);
const PATIENCE = { timeout: 60_000 + RUNS * 500 };
const ROOT = join(import.meta.dirname, '../..');
/** What may come out of a file: any text, but nothing that steers a terminal. */
const STEERING = /[\u0000-\u0008\u000b-\u001f\u007f-\u009f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]/;
const STACK = /\n\s+at |node:internal|TypeError|RangeError|ReferenceError|\[object Object\]/;

const loaded = loadRules(join(ROOT, 'rules')).book;
if (!loaded) throw new Error('the rule pack does not load');
const BOOK = loaded;
const ENGINE = createEngine(BOOK);

afterAll(removeFolders);

/** Runs `one` for every seed; a failure names its seed. */
function each(kind: string, one: (draw: Draw, seed: number) => void): void {
  for (let seed = FIRST; seed < FIRST + RUNS; seed++) {
    try {
      one(random(seed * 7919), seed);
    } catch (error) {
      throw new Error(`${kind}, FUZZ_SEED=${seed}: ${error instanceof Error ? error.stack : String(error)}`);
    }
  }
}

function harmless(text: string): void {
  if (STEERING.test(text)) throw new Error(`steers a terminal: ${JSON.stringify(text.slice(0, 300))}`);
  if (STACK.test(text)) throw new Error(`looks like a stack trace: ${text.slice(0, 300)}`);
}

const DEMOS = ['demo-meridian', 'demo-orchard', 'demo-harbour', 'demo-linden'].map((name) =>
  fs.readFileSync(join(ROOT, 'sessions', `${name}.jsonl`)),
);

/** Opens what stands in the file as the program would, looks at it from all sides, and holds it to what a session file promises. */
function useSession(folder: string, name: string, seed: number): void {
  const path = join(folder, `${name}.jsonl`);
  const before = fs.readFileSync(path);
  let session: Session;
  try {
    session = openSession(folder, name);
  } catch (error) {
    if (!(error instanceof SessionError)) throw error;
    harmless(error.message);
    expect(error.message).toContain(path);
    if (error.kind === 'damaged' && before.length < 30_000_000) expect(error.message).toContain(`${path}:1:`);
    expect(fs.readFileSync(path).equals(before)).toBe(true);
    return;
  }
  for (const notice of session.notices) harmless(notice);
  harmless(
    JSON.stringify([session.header, session.state.readings, session.state.notes, session.state.set ?? null]),
  );
  const { readOnly } = session;
  if (readOnly) {
    expect(readOnly.message).toContain(`${path}:${readOnly.line}:`);
    expect(() => session.append({ type: 'note', text: 'x' })).toThrow(SessionError);
    expect(fs.readFileSync(path).equals(before)).toBe(true);
  } else {
    session.append({ type: 'note', text: 'after' });
  }
  if (seed % 10 === 0) {
    const view = ENGINE.view(session.state, new Date('2026-12-01T10:00:00Z'));
    harmless(view.trouble ?? '');
    if (readOnly === undefined && view.safety.supply.startsWith('isolated'))
      expect(session.state.lineVolts).toBeGreaterThan(0);
  }
  if (seed % 50 === 0) {
    const options = { technician: '', terms: 'us', now: new Date('2026-12-01T10:00:00Z') } as const;
    harmless(reportOf(ENGINE, BOOK, session, { format: 'md', ...options }));
    harmless(reportOf(ENGINE, BOOK, session, { format: 'html', ...options }));
  }
  const last = session.state.lastSeq;
  session.close();
  const again = openSession(folder, name, { readOnly: true });
  expect(again.state.lastSeq).toBe(last);
}

describe(`${RUNS} damaged files of each kind`, () => {
  it('session files, any byte', PATIENCE, () => {
    const folder = newFolder();
    each('session', (draw, seed) => {
      const bytes = injured(DEMOS[seed % DEMOS.length] ?? Buffer.alloc(0), draw);
      fs.writeFileSync(join(folder, 'x.jsonl'), bytes);
      useSession(folder, 'x', seed);
    });
    for (const summary of listSessions(folder)) harmless(JSON.stringify(summary));
  });

  it('session files with sums that fit and contents that do not', PATIENCE, () => {
    const folder = newFolder();
    each('session, summed', (draw, seed) => {
      const [head = '', ...rest] = (DEMOS[seed % DEMOS.length] ?? Buffer.alloc(0))
        .toString('utf8')
        .trimEnd()
        .split('\n');
      const target = Math.floor(draw() * (rest.length + 1)) - 1;
      const header = target === -1 ? JSON.stringify(twisted(JSON.parse(head), draw)) : head;
      let sum = sumOf('', header);
      const lines = rest.map((line, index) => {
        const { sum: _, ...data } = JSON.parse(line) as Record<string, unknown>;
        const content = JSON.stringify(index === target || draw() < 0.02 ? twisted(data, draw) : data);
        sum = sumOf(sum, content);
        return `${content.slice(0, -1)},"sum":"${sum}"}`;
      });
      fs.writeFileSync(join(folder, 'x.jsonl'), `${[header, ...lines].join('\n')}\n`);
      useSession(folder, 'x', seed);
    });
  });

  it('case files', PATIENCE, () => {
    const folder = join(ROOT, 'tests/published/cases/readings');
    const cases = fs.readdirSync(folder).filter((name) => name.endsWith('.yaml'));
    const path = join(newFolder(), 'case.yaml');
    let walked = 0;
    each('case', (draw, seed) => {
      fs.writeFileSync(path, injured(fs.readFileSync(join(folder, cases[seed % cases.length] ?? '')), draw));
      const read = readTextFile(path);
      if (!('text' in read)) return harmless(read.message);
      const { data, problems } = readCase(path, read.text, BOOK);
      for (const problem of problems) saysWhere(problem, path);
      expect(data !== undefined || problems.length > 0).toBe(true);
      if (!data || (seed % 20 !== 0 && walked >= RUNS / 20)) return;
      walked += 1;
      const walk = evaluateAll(ENGINE, data, {});
      harmless(walk.view.trouble ?? '');
      for (const refused of walk.refused) harmless(`${refused.check} ${refused.message}`);
    });
    expect(walked).toBeGreaterThan(0);
  });

  it('rule files', PATIENCE, () => {
    const folder = tinyPack();
    const files = Object.keys(TINY);
    let good = 0;
    each('rules', (draw, seed) => {
      const name = files[seed % files.length] ?? '';
      const path = join(folder, name);
      const whole = Buffer.from(TINY[name] ?? '');
      fs.writeFileSync(path, injured(whole, draw));
      const { book, problems } = loadRules(folder);
      fs.writeFileSync(path, whole);
      for (const problem of problems) saysWhere(problem, folder);
      expect(book !== undefined || problems.some((p) => p.severity === 'error')).toBe(true);
      if (!book) return;
      good += 1;
      harmless(JSON.stringify(book));
      if (seed % 5 === 0) createEngine(book);
    });
    expect(good).toBeGreaterThan(0);
  });

  it('preference files', PATIENCE, async () => {
    const folder = newFolder();
    const path = join(folder, 'preferences.json');
    const whole = Buffer.from(
      JSON.stringify(
        { instruments: ['dmm', 'hv-probe'], technician: 'A. Nobody', terms: 'uk', sessionsFolder: '' },
        null,
        2,
      ),
    );
    for (let seed = FIRST; seed < FIRST + RUNS; seed++) {
      const draw = random(seed * 104_729);
      const bytes =
        seed % 2 === 0
          ? injured(whole, draw)
          : Buffer.from(JSON.stringify(twisted(JSON.parse(whole.toString()), draw)));
      fs.writeFileSync(path, bytes);
      try {
        const store = await openPreferences(new Date(seed), folder);
        const read = store.read();
        harmless(store.trouble);
        harmless(`${read.technician}${read.terms}${read.instruments.join()}`);
        if (store.trouble !== '') expect(store.trouble).toMatch(/preferences\.json:\d+: /);
        store.save({ terms: 'us' });
        expect((await openPreferences(new Date(seed), folder)).read().terms).toBe('us');
      } catch (error) {
        throw new Error(
          `preferences, FUZZ_SEED=${seed}: ${error instanceof Error ? error.stack : String(error)}`,
        );
      }
      for (const name of fs.readdirSync(folder)) fs.rmSync(join(folder, name));
    }
  });
});

function saysWhere(problem: Parameters<typeof problemLine>[0], path: string): void {
  const line = problemLine(problem);
  harmless(line);
  expect(line.startsWith(path)).toBe(true);
  expect(line).toMatch(/:\d+:\d+: (error|warning): /);
}
