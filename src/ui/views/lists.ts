// Sheets that are lists: bench, the list of one posture, the check browser, the fault tree, help, a repair.

import { isSetUpDead } from '../../rulebook/live.ts';
import type { CheckStanding, CheckStatus } from '../../walk/types.ts';
import type { App } from '../app/app.ts';
import { browserRows } from '../app/browser.ts';
import { judged } from '../app/kept.ts';
import { listRows } from '../app/list.ts';
import type {
  BenchScreen,
  BrowserScreen,
  HelpScreen,
  ListScreen,
  RepairScreen,
  TreeScreen,
} from '../app/model.ts';
import { REPAIR_ACTIONS } from '../app/repair.ts';
import { treeRows } from '../app/tree.ts';
import { helpOf } from '../keys.ts';
import { BLANK, cut, ends, type Line, pad, plain, span, type Tone, wrap, wrapTo } from '../text.ts';
import { STANDING_MARK } from '../theme.ts';
import { bodyHeight, framed, inputLine, scrolled } from './frame.ts';
import { rangeWords, rightRange } from './gauge.ts';
import { listed, pointer } from './listed.ts';
import { bar, percent } from './suspects.ts';

const STATUS: Readonly<
  Record<CheckStatus, { readonly mark: string; readonly tone: Tone; readonly word: string }>
> = {
  done: { mark: '✓', tone: 'good', word: 'done' },
  allowed: { mark: '○', tone: 'accent', word: 'may be taken now' },
  locked: { mark: '·', tone: 'quiet', word: 'not yet' },
  skipped: { mark: '-', tone: 'quiet', word: 'skipped' },
  'no-instrument': { mark: '×', tone: 'quiet', word: 'no instrument' },
};

/** Beyond this width the percentages would stand too far from what they belong to. */
const WIDEST_TREE = 100;

export function benchView(app: App, screen: BenchScreen): Line[] {
  const { columns } = app.state;
  const top: Line[] = [
    ends(
      [span('What is on the bench today?', 'title')],
      [span(`${screen.index + 1} of ${app.book.instruments.length}`, 'quiet')],
      columns,
    ),
    plain('Checks that need something else are left out, and the verdict says so.', 'quiet'),
    BLANK,
  ];
  const lines = app.book.instruments.map((i, n): Line => {
    const has = screen.chosen.includes(i.id);
    return [
      pointer(n === screen.index),
      span(has ? '[x] ' : '[ ] ', has ? 'good' : 'quiet'),
      span(pad(i.title, 32), 'plain', { inverse: n === screen.index }),
      span(`  ${cut(i.describe, columns - 42)}`, 'quiet'),
    ];
  });
  const isolated = screen.chosen.includes('isolation-transformer');
  const below = isolated
    ? []
    : wrap(
        'Without an isolation transformer nothing is powered: the walk stays cold, and says so.',
        columns,
      ).map((t) => plain(t, 'watch'));
  return listed(app, top, lines, screen.index, below);
}

export function listView(app: App, screen: ListScreen): Line[] {
  const { columns, live } = app.state;
  const rows = listRows(app, screen);
  const top: Line[] = [
    ends(
      [span(screen.held ? 'Read before the plug was pulled' : 'One posture, one list', 'title')],
      [span(`${rows.filter((r) => r.status === 'done').length} of ${rows.length} done`, 'quiet')],
      columns,
    ),
    screen.held
      ? plain('Plug out first. Then type what you still know; Enter on an empty line goes on.', 'watch')
      : plain('Type, then Enter. Full stop: as expected. -: not now. Tab: back to the card.', 'quiet'),
    BLANK,
  ];
  const titleWidth = Math.floor(columns * 0.42);
  const lines = rows.map((row, n): Line => {
    const marked = n === screen.index;
    const range = rightRange(row.check, row.expected);
    const reading = live?.view.state.readings.findLast((r) => r.check === row.check.id);
    const thought = reading && live ? judged(app, reading.seq) : undefined;
    const look = thought ? STANDING_MARK[thought.standing] : undefined;
    const words = range
      ? rangeWords(range)
      : row.check.options.map((o, k) => `${k + 1} ${o.title}`).join(', ');
    return [
      pointer(marked),
      span(`${STATUS[row.status].mark} `, STATUS[row.status].tone),
      span(pad(row.check.title, titleWidth), 'plain', { inverse: marked }),
      span('  '),
      span(pad(thought ? `${look?.mark} ${thought.text}` : '', 18), look?.tone ?? 'quiet'),
      span(`  ${cut(words, Math.max(8, columns - titleWidth - 26))}`, 'quiet'),
    ];
  });
  return listed(app, top, lines, screen.index, listEntry(app, screen, rows[screen.index]));
}

/** Under the list: where and how the marked one is taken, its options, and the input line; or a "did you mean". */
function listEntry(app: App, screen: ListScreen, row: CheckStanding | undefined): Line[] {
  const { columns } = app.state;
  const { asking } = screen;
  if (asking) {
    return [
      plain(cut(asking.message, columns), 'watch'),
      ...asking.alternatives.map(
        (a, n): Line => [
          pointer(n === asking.index),
          span(`${n + 1}  ${a.label}`, 'plain', { inverse: n === asking.index }),
        ],
      ),
    ];
  }
  if (!row) return [];
  const { check } = row;
  const labelled = (label: string, text: string, most: number): Line[] =>
    wrapTo(text, columns - 9, most).map((t, n) => [span(pad(n === 0 ? label : '', 9), 'accent'), span(t)]);
  const cautions = check.cautions.map((c) => app.book.cautions[c] ?? c).join(' ');
  return [
    plain('─'.repeat(columns), 'quiet'),
    ...labelled('WHERE', check.where, 2),
    ...(check.meter === '' ? [] : labelled('METER', check.meter, 1)),
    ...(cautions === ''
      ? []
      : wrapTo(cautions, columns - 9, 5).map(
          (t, n): Line => [span(pad(n === 0 ? 'CAUTION' : '', 9), 'watch'), span(t, 'watch')],
        )),
    ...check.options
      .slice(0, 6)
      .map((o, n): Line => [span(`${n + 1}  `, 'accent'), span(cut(o.title, columns - 4))]),
    inputLine('>', screen.input, columns, [
      span(check.unit ? `  in ${check.unit} unless typed` : '', 'quiet'),
    ]),
  ];
}

export function browserView(app: App, screen: BrowserScreen): Line[] {
  const { columns } = app.state;
  const rows = browserRows(app, screen);
  const search: Line =
    screen.query.text === ''
      ? plain('Type words to find a check. Enter jumps to it, or says what is missing.', 'quiet')
      : inputLine('Find:', screen.query, columns);
  const lines = rows.map((row, n): Line => {
    const marked = n === screen.index;
    if (row.kind === 'phase') {
      return [
        pointer(marked),
        span(row.open ? '▾ ' : '▸ ', 'quiet'),
        span(pad(row.title, 44), 'title', { inverse: marked }),
        span(`  ${row.done} of ${row.of} done`, 'quiet'),
      ];
    }
    const look = STATUS[row.standing.status];
    const { status, check } = row.standing;
    const reason =
      status === 'locked' || status === 'no-instrument'
        ? row.standing.missing.join('; ')
        : status === 'allowed' && isSetUpDead(check)
          ? 'only if it was set up before power'
          : look.word;
    const title = pad(row.standing.check.title, Math.min(46, Math.floor(columns * 0.5)));
    return [
      pointer(marked),
      span(`  ${look.mark} `, look.tone),
      span(title, row.standing.status === 'allowed' ? 'plain' : 'quiet', { inverse: marked }),
      span(`  ${cut(reason, columns - title.length - 10)}`, 'quiet'),
    ];
  });
  if (rows.length === 0) lines.push(plain('  no check has these words', 'quiet'));
  return listed(app, [plain('Checks', 'title'), search, BLANK], lines, screen.index);
}

export function treeView(app: App, screen: TreeScreen): Line[] {
  const { columns } = app.state;
  const rows = treeRows(app, screen);
  const top: Line[] = [
    plain('Why: what is not right, and what may be behind it', 'title'),
    plain('Percent: not right. Bar: how far it alone explains the line above it.', 'quiet'),
    BLANK,
  ];
  const lines = rows.map((row, n): Line => {
    const { node } = row;
    const marked = n === screen.index;
    const fold = row.openable ? (row.open ? '▾ ' : '▸ ') : '  ';
    const indent = '  '.repeat(row.depth);
    const tone: Tone = node.cleared
      ? 'good'
      : node.probability >= 0.8
        ? 'bad'
        : node.probability >= 0.3
          ? 'watch'
          : 'plain';
    const word = node.cleared ? 'cleared' : `${percent(node.probability)} %`;
    const width = Math.max(20, Math.min(columns, WIDEST_TREE) - 26 - indent.length);
    return [
      pointer(marked),
      span(indent + fold, 'quiet'),
      span(pad(node.title, width), node.kind === 'signal' ? 'title' : 'plain', { inverse: marked }),
      span(pad(word, 9, 'right'), tone),
      span(row.depth > 0 ? `  ${bar(node.responsibility, 8)}` : '', 'quiet'),
    ];
  });
  if (lines.length === 0) lines.push(plain('  nothing to explain yet', 'quiet'));
  return listed(app, top, lines, screen.index);
}

export function helpView(app: App, screen: HelpScreen): Line[] {
  const { columns } = app.state;
  const lines: Line[] = [
    plain('Keys on this screen', 'title'),
    BLANK,
    ...helpOf(screen.of).flatMap((h) =>
      wrap(h.text, columns - 12).map(
        (t, n): Line => [span(pad(n === 0 ? h.keys : '', 12), 'accent'), span(t)],
      ),
    ),
    BLANK,
    plain('What can be typed as a reading', 'title'),
    BLANK,
    ...READING_HELP.map(([typed, means]): Line => [span(pad(typed, 26), 'accent'), span(means)]),
    BLANK,
    plain('Marks', 'title'),
    BLANK,
    plain(
      '+ right   ~ watch   ✗ wrong   · noted      ✓ done   ○ may be taken now   - skipped   × no instrument',
    ),
  ];
  return framed(app, scrolled(lines, screen.scroll, bodyHeight(app)));
}

const READING_HELP: readonly (readonly [string, string])[] = [
  ['284   284v   -46   2.7', 'a number; without a unit it is in the unit of the check'],
  ['4k7   4.7k   .047u   1,2M', 'prefixes, decimal point or comma'],
  ['8.3ac   -46dc   120pp', 'which kind of volts, where it matters'],
  ['>20M   <0.5   100-140', 'more than, less than, swinging between'],
  ['ol   open   inf', 'over range'],
  ['short', 'a short'],
  ['120~', 'unstable or drifting'],
  ['34 35', 'two values, where two are asked'],
  ['-   skip', 'skip this check, with a reason'],
];

export function repairView(app: App, screen: RepairScreen): Line[] {
  const { columns } = app.state;
  if (!screen.action) {
    return framed(app, [
      plain(`What was done: ${screen.title}`, 'title'),
      BLANK,
      ...REPAIR_ACTIONS.map((a, n): Line => [span(`  ${n + 1}  `, 'accent'), span(a)]),
    ]);
  }
  return framed(app, [
    plain(`${screen.title}: ${screen.action}`, 'title'),
    plain('What was found on the old one? It goes into the record. Enter leaves it out.', 'quiet'),
    BLANK,
    inputLine('>', screen.edit, columns),
  ]);
}
