// Timings of the program that need no terminal: the next check after a reading, compiling, resuming, listing, reporting.
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { compileNetwork } from '../../diagnosis/index.ts';
import { drawSet, setFactsOf } from '../../practice/index.ts';
import { renderReport } from '../../report/index.ts';
import type { Rulebook } from '../../rulebook/types.ts';
import { foldAll, listSessions, openSession, type RecordedEvent } from '../../session/index.ts';
import { writeNewFile } from '../../session/journal.ts';
import { FORMAT, type SessionHeader, VERSION } from '../../session/validate.ts';
import type { Engine } from '../../walk/engine.ts';
import { evaluateWalk } from '../../walk/evaluate.ts';
import { quantile } from './scores.ts';
import { screenCosts, screenRows } from './screen.ts';

export interface TimingRow {
  readonly what: string;
  /** Milliseconds. */
  readonly p50: number;
  readonly p95: number | undefined;
  readonly goal: string;
}

const WALKS = 4;
const LONG_SESSION = 10_000;
const MANY_SESSIONS = 1000;
const REPORT_READINGS = 500;

/** Measures every row; files go into `folder`. */
export async function timings(book: Rulebook, engine: Engine, folder: string): Promise<readonly TimingRow[]> {
  const rows: TimingRow[] = [];
  const views: number[] = [];
  const timed: Engine = {
    ...engine,
    view: (state, now, options) => {
      const start = performance.now();
      const view = engine.view(state, now, options);
      if (!options?.explained && state.readings.length > 0) views.push(performance.now() - start);
      return view;
    },
  };
  const solving: number[] = [];
  let events: RecordedEvent[] = [];
  for (let seed = 1; seed <= WALKS; seed += 1) {
    const start = performance.now();
    const set = await drawSet({ seed, family: 'series-doubler-halfwave', level: 'single' });
    solving.push(performance.now() - start);
    const facts = setFactsOf(set);
    const instruments = book.instruments.map((i) => i.id);
    const walk = evaluateWalk(timed, { set: facts, instruments }, (check, view) =>
      set.answer(check, view.state.config),
    );
    if (events.length > 0) continue;
    const at = '2000-01-01T18:00:00.000Z';
    events = [
      { type: 'set-described', set: facts, seq: 1, at },
      { type: 'bench-described', instruments, seq: 2, at },
      ...walk.view.state.readings.map(({ check, raw, value, context }, i) => ({
        type: 'reading' as const,
        check,
        raw,
        value,
        context,
        seq: i + 3,
        at,
      })),
    ];
  }
  rows.push(row('reading accepted to next check', views, '<= 30 ms p95'));
  rows.push(row('a simulated set drawn (first loads the simulator)', solving, '<= 2000 ms'));
  const facts = events[0]?.type === 'set-described' ? events[0].set : undefined;
  if (facts)
    rows.push(
      row(
        'network compiled',
        repeat(5, () => compileNetwork(book, facts)),
        'about 100 ms, once a set',
      ),
    );
  const walked = events.map(({ seq: _seq, at: _at, ...event }) => event);
  rows.push(...screenRows(await screenCosts(engine, walked, folder)));
  const long = grown(events, LONG_SESSION);
  const sessions = join(folder, 'sessions');
  mkdirSync(sessions);
  writeNewFile(join(sessions, 'long.jsonl'), header(book, 'long'), long);
  rows.push(
    row(
      `resume of a ${LONG_SESSION}-event session`,
      repeat(5, () => {
        const session = openSession(sessions, 'long');
        session.close();
      }),
      '<= 400 ms',
    ),
  );
  const many = join(folder, 'many');
  mkdirSync(many);
  for (let n = 0; n < MANY_SESSIONS; n += 1)
    writeNewFile(join(many, `set-${n}.jsonl`), header(book, `set ${n}`), events.slice(0, 20));
  rows.push(
    row(
      `list of ${MANY_SESSIONS} sessions`,
      repeat(5, () => listSessions(many)),
      '<= 300 ms',
    ),
  );
  const state = foldAll(grown(events, REPORT_READINGS + 2));
  rows.push(
    row(
      `report of ${REPORT_READINGS} readings`,
      repeat(3, () => {
        const view = engine.view(state, new Date('2000-01-02T00:00:00Z'), { explained: true });
        const { created, rules, name } = header(book, 'long');
        renderReport({ view, session: { name, created, rules }, rulebook: book, now: new Date() }, 'html');
      }),
      '<= 1000 ms',
    ),
  );
  return rows;
}

/** The session's readings over and over until there are `count` events. */
function grown(events: readonly RecordedEvent[], count: number): RecordedEvent[] {
  const readings = events.slice(2);
  const long = events.slice(0, 2);
  for (let n = 0; long.length < count && readings.length > 0; n += 1) {
    const one = readings[n % readings.length];
    if (one) long.push({ ...one, seq: long.length + 1 });
  }
  return long;
}

function header(book: Rulebook, name: string): SessionHeader {
  return {
    format: FORMAT,
    version: VERSION,
    created: '2000-01-01T18:00:00.000Z',
    name,
    rules: { name: book.name, version: book.version, hash: book.hash },
    set: null,
  };
}

function repeat(times: number, run: () => unknown): number[] {
  return Array.from({ length: times }, () => {
    const start = performance.now();
    run();
    return performance.now() - start;
  });
}

const row = (what: string, values: readonly number[], goal: string): TimingRow => ({
  what,
  p50: quantile(values, 0.5),
  p95: values.length >= 20 ? quantile(values, 0.95) : undefined,
  goal,
});
