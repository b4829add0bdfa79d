// Home: what can be begun, and what was begun, latest first.

import type { SessionSummary } from '../../session/index.ts';
import type { App } from '../app/app.ts';
import { type HomeRow, homeRows } from '../app/home.ts';
import type { HomeScreen } from '../app/model.ts';
import type { AskedPractice } from '../ports.ts';
import { BLANK, clean, cut, type Line, pad, plain, span, when, windowStart, wrap } from '../text.ts';
import { bodyHeight, framed, inputLine } from './frame.ts';

const POWER_WORDS: Readonly<Record<SessionSummary['power'], string>> = {
  unknown: 'supply not known',
  off: 'switched off',
  'isolated-limited': 'was live on the lamp',
  'isolated-full': 'was live, full line',
};

const LEVEL_WORDS: Readonly<Record<AskedPractice['level'], string>> = {
  single: 'one hidden fault',
  double: 'two hidden faults',
  dormant: 'dormant, three faults or more',
};

/** What was read last in a session, to tell it from its twin; what it says of a set left live comes before. */
function lastWords(app: App, { power, last }: SessionSummary): string {
  if (power.startsWith('isolated') || last === '') return POWER_WORDS[power];
  return `last: ${clean(app.book.checks.find((check) => check.id === last)?.title ?? last)}`;
}

function rowLine(app: App, row: HomeRow, marked: boolean, twins: ReadonlySet<string>): Line {
  const { columns: width } = app.state;
  const mark = span(marked ? '▸ ' : '  ', 'accent');
  switch (row.kind) {
    case 'new':
      return [
        mark,
        span('New set', 'title', { inverse: marked }),
        span(
          row.name === ''
            ? `   ${app.ports.readPreferences().intake ? 'one is half taken in: go on with it' : 'take a set in and start the walk'}`
            : cut(`   take in "${clean(row.name)}"`, width - 10),
          'quiet',
        ),
      ];
    case 'bench':
      return [
        mark,
        span('Bench', 'title', { inverse: marked }),
        span('     which instruments are at hand', 'quiet'),
      ];
    case 'settings':
      return [
        mark,
        span('Settings', 'title', { inverse: marked }),
        span('  name on reports, American or British terms, sessions folder', 'quiet'),
      ];
    case 'practice':
      return [
        mark,
        span('Practice', 'title', { inverse: marked }),
        span(`  a simulated set: ${LEVEL_WORDS[row.level]}`, 'quiet'),
      ];
    case 'session': {
      const s = row.session;
      // Sets of one name, as an imported copy, go by the names of their files.
      const twin = twins.has(s.set);
      const name = pad(clean(twin ? s.name : s.set || s.name), Math.max(20, Math.floor(width * 0.34)));
      const about = s.trouble
        ? clean(s.trouble)
        : `${pad(when(s.lastAt), 18)}${pad(`${s.readings} readings`, 14)}${twin ? lastWords(app, s) : s.verdict ? clean(s.verdict) : POWER_WORDS[s.power]}`;
      return [
        mark,
        span(name, 'plain', { inverse: marked }),
        span(`  ${cut(about, width - name.length - 5)}`, s.trouble ? 'bad' : 'quiet'),
      ];
    }
  }
}

export function homeView(app: App, screen: HomeScreen): Line[] {
  const { columns, loading } = app.state;
  const rows = homeRows(screen, app.ports.practice !== undefined);
  const caution =
    'A walk from a cold, dormant set to a written verdict. Lethal voltages: unplug, discharge, prove it by a reading. It never replaces your own judgement, a licensed person where the law asks for one, or local electrical codes.';
  const top: Line[] = [
    plain('Is this set worth overhauling, and what is wrong with it?', 'title'),
    ...wrap(caution, Math.min(columns, 110)).map((t) => plain(t, 'quiet')),
    BLANK,
  ];
  const count = screen.sessions.length;
  const hint = screen.archived
    ? `Archive: ${count} put away. Type to search; ^A brings the marked one back, Tab goes back to the bench.`
    : `Type to search the ${count > 1 ? `${count} ` : ''}saved sets.`;
  const search: Line =
    screen.query.text === ''
      ? plain(hint, screen.archived ? 'watch' : 'quiet')
      : inputLine('Search:', screen.query, columns);
  if (loading) return framed(app, [...top, plain('Reading the rule base and the saved sets ...', 'quiet')]);
  const room = bodyHeight(app) - top.length - 2;
  const names = screen.sessions.map((one) => one.set);
  const twins = new Set(names.filter((name, n) => name !== '' && names.indexOf(name) !== n));
  const from = windowStart(screen.index, rows.length, room);
  const list = rows
    .slice(from, from + room)
    .map((row, n) => rowLine(app, row, from + n === screen.index, twins));
  if (!rows.some((row) => row.kind !== 'new'))
    list.unshift(
      plain(screen.query.text === '' ? '  nothing is put away' : '  no saved set has these words', 'quiet'),
    );
  return framed(app, [...top, search, BLANK, ...list]);
}
