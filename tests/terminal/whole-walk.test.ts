// A whole walk at a real pseudo-terminal, with the program as it is installed from its package: a set taken in key by key, two faults, killed half-way, resumed, up to verdict and report.
import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { passingAnswer } from '../../src/safety/index.ts';
import { openSession } from '../../src/session/index.ts';
import { answer, type Draft, intakeFields, UNKNOWN_SET } from '../../src/ui/app/intake-fields.ts';
import { createEngine } from '../../src/walk/engine.ts';
import type { Step, WalkView } from '../../src/walk/types.ts';
import { BOOK } from '../ui/rules.ts';
import { healthyAnswer } from '../walk/bench-answers.ts';
import { BENCH, LEAK_AND_HEATER_CATHODE, MERIDIAN } from '../walk/scenarios.ts';
import { installPackage } from './install.ts';
import { Screen, workFolder } from './pty.ts';

const ENTER = '\r';
const CTRL = (letter: string): string => String.fromCharCode(letter.charCodeAt(0) - 96);
const DOWN = '\u001b[B';
const MOST_STEPS = 600;
/** Readings after which the program is killed. */
const KILL_AFTER = 30;
/** Between the two discharges of the anode, and a little over. */
const ANODE_WAIT_SECONDS = 310;

const folder = workFolder();
const clockFile = join(folder.path, 'clock');
const sessions = join(folder.path, 'sessions');
const engine = createEngine(BOOK);
let ahead = 0;
let program = '';
let screen: Screen;

const open = (args: readonly string[]): void => {
  screen = new Screen(
    folder.path,
    args,
    100,
    30,
    {
      FIRST_RASTER_TEST_CLOCK: clockFile,
      NODE_OPTIONS: `--import ${pathToFileURL(join(import.meta.dirname, 'clock.mjs')).href}`,
    },
    program,
  );
};
const wait = (seconds: number): void => {
  ahead += seconds;
  writeFileSync(clockFile, String(ahead));
};

beforeAll(() => {
  program = installPackage(folder.path).program;
  wait(0);
}, 180_000);
afterAll(() => {
  screen.dispose();
  folder.remove();
});

/** What the journal on disk says, and what follows from it: the screen must show the same. */
function recorded(): WalkView {
  const [file = ''] = readdirSync(sessions).filter((name) => name.endsWith('.jsonl'));
  const session = openSession(sessions, file.replace('.jsonl', ''), { readOnly: true });
  return engine.view(session.state, new Date(Date.now() + ahead * 1000));
}

/** Waits for a record that fits, and for the screen to show the same: an entry may be several events, written one after the other. */
async function until(arrived: (view: WalkView) => boolean): Promise<WalkView> {
  const end = Date.now() + 60_000;
  for (;;) {
    const view = recorded();
    if (arrived(view) && (await screen.text()).includes(`saved ${view.state.lastSeq}\n`)) return view;
    if (Date.now() > end) throw new Error(`nothing was recorded. The screen:\n${await screen.text()}`);
    await new Promise((resolve) => setTimeout(resolve, 25));
  }
}

/** Intake, question by question, as the set is described. */
async function takeIn(): Promise<void> {
  let draft: Draft = { facts: UNKNOWN_SET, wish: 'unknown' };
  for (let n = 0; ; n++) {
    const field = intakeFields(BOOK, draft.facts)[n];
    if (!field) return;
    await screen.until(field.ask.slice(0, 24));
    const [kind = '', key = ''] = field.id.split(':');
    const wanted: Readonly<Record<string, string>> = {
      name: MERIDIAN.name,
      owner: MERIDIAN.owner,
      question: MERIDIAN.question,
      family: MERIDIAN.family,
      restored: MERIDIAN.restored,
      storage: MERIDIAN.storage,
      standard: MERIDIAN.standard,
      'rated-watts': String(MERIDIAN.ratedWatts),
      'picture-tube': MERIDIAN.pictureTube,
      fact: MERIDIAN.facts[key] ?? 'unknown',
      tube: MERIDIAN.tubes[key] ?? '',
    };
    const value = wanted[kind];
    if (field.kind === 'choice') {
      const place = Math.max(
        0,
        field.options.findIndex((o) => o.id === (value ?? 'unknown')),
      );
      screen.type(String(place + 1));
      const result = answer(BOOK, field, field.options[place]?.id ?? '', draft);
      if (result.ok) draft = result.draft;
      continue;
    }
    screen.type(value === undefined ? ENTER : `${CTRL('u')}${value}${ENTER}`);
    const result = value === undefined ? undefined : answer(BOOK, field, value, draft);
    if (result?.ok) draft = result.draft;
  }
}

async function markInstruments(): Promise<void> {
  await screen.until('What is on the bench today?');
  for (const instrument of BOOK.instruments)
    screen.type(`${BENCH.includes(instrument.id) ? ' ' : ''}${DOWN}`);
  screen.type(ENTER);
}

const titleOf = (step: Step): string => {
  if (step.kind === 'check') return step.check.title;
  return step.kind === 'gate' ? step.gate.title : step.kind === 'configure' ? step.title : '';
};

/** What a technician types at a step. */
function typedAt(step: Step, view: WalkView): string {
  if (step.kind === 'gate') {
    const value = passingAnswer(step.gate);
    if (value.kind === 'choice') return value.option;
    // By the probe: volts would be asked about, where one is on the bench.
    if (value.kind === 'number' && step.gate.unitNeeded) return `${value.value / 1000}kV`;
    return value.kind === 'number'
      ? String(value.value / (step.gate.unit === 'Mohm' ? 1e6 : 1)) + baseOf(step.gate.unit)
      : 'ol';
  }
  if (step.kind === 'check')
    return LEAK_AND_HEATER_CATHODE[step.check.id] ?? healthyAnswer(step.check, view) ?? '-';
  return step.kind === 'power-up' ? 'yes' : '';
}

/** Units as they are typed; a bare digit is not taken for volts, ohms or amperes. */
function baseOf(unit: string): string {
  return { Mohm: 'M', V: 'V', ohm: 'ohm', A: 'A' }[unit] ?? '';
}

it('names both faults, clears flyback and yoke, and loses nothing when killed', {
  timeout: 600_000,
}, async () => {
  open(['new']);
  await takeIn();
  await markInstruments();
  await screen.until('Every plug pulled and in sight');
  let killed = false;
  let keys = 0;
  let characters = 0;
  let checks = 0;
  let view = recorded();
  for (let n = 0; n < MOST_STEPS && view.step.kind !== 'stop'; n++) {
    const { step } = view;
    const title = titleOf(step).slice(0, 60);
    if (title !== '') await screen.until(title);
    if (step.kind === 'gate' && step.gate.id === 'anode-second') wait(ANODE_WAIT_SECONDS);
    if (step.kind === 'gate' && step.rows) wait(view.safety.bringUp?.seconds ?? 0);
    const typed = typedAt(step, view);
    const before = view.state.lastSeq;
    screen.type(`${typed}${ENTER}`);
    if (step.kind === 'check') {
      checks += 1;
      characters += typed.length;
      keys += typed.length + 1;
      // An answer that the card does not take is skipped, as a technician would.
      if (typed === '-') screen.type('2');
    }
    view = await until((v) => v.state.lastSeq > before);
    if (!killed && view.state.readings.length >= KILL_AFTER && !view.safety.supply.startsWith('isolated')) {
      killed = true;
      await screen.until(new RegExp(`saved ${view.state.lastSeq}`));
      screen.kill('SIGKILL');
      await screen.exit;
      const kept = view.state.readings.length;
      open(['resume']);
      await screen.until('Every plug pulled and in sight');
      view = recorded();
      expect(view.state.readings).toHaveLength(kept);
    }
  }
  expect(killed).toBe(true);
  expect(view.step.kind).toBe('stop');
  expect(keys).toBeLessThanOrEqual(characters + 2 * checks);
  await screen.until('Nothing more can be read today');
  screen.type(ENTER);
  await screen.until('Core parts');
  expect(
    view.suspects
      .slice(0, 2)
      .map((s) => s.id)
      .sort(),
  ).toEqual(['horizontal-output.grid-coupling-capacitor/leaky', 'picture-tube.heater-cathode/leakage']);
  const grades = new Map(view.verdict?.core.map((g) => [g.id, g.grade]));
  for (const core of ['flyback', 'yoke']) expect(['sound', 'serviceable']).toContain(grades.get(core));
  screen.type(CTRL('o'));
  await screen.until('Report written');
  const [page = ''] = readdirSync(sessions).filter((name) => name.endsWith('.report.html'));
  const report = readFileSync(join(sessions, page), 'utf8');
  for (const id of ['horizontal-output.grid-coupling-capacitor', 'picture-tube.heater-cathode']) {
    expect(report).toContain(BOOK.parts.find((p) => p.id === id)?.title);
  }
  screen.type(CTRL('c'));
  expect(await screen.exit).toMatchObject({ code: 0 });
});
