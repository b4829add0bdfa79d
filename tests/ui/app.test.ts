// The screens as a technician meets them: real rule base, real journal, keys as bytes, the screen read from a terminal emulator.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import type { OpenSign } from '../../src/diagnosis/types.ts';
import { OWNER_SAID, ownerSaid } from '../../src/session/owner-said.ts';
import { currentField, openIntake } from '../../src/ui/app/intake.ts';
import type { Step } from '../../src/walk/types.ts';
import { beginDemo, driveTo, standAt, stepOf } from './drive.ts';
import { type Bench, KEY, openBench } from './harness.ts';
import { BOOK } from './rules.ts';

let bench: Bench;
afterEach(() => bench.close());

const text = async (): Promise<string> => (await bench.screen()).join('\n');
const isNumber = (step: Step): boolean =>
  step.kind === 'check' &&
  step.check.kind === 'number' &&
  step.check.quantity === 'ohms' &&
  step.check.state === 'S0';
const isPowerUp = (step: Step): boolean => step.kind === 'power-up';
const supply = (): string | undefined => bench.app.state.live?.view.safety.supply;
const readings = () => bench.app.state.live?.view.state.readings ?? [];

describe('from home to the first proof', () => {
  it('takes a set in with few keys and stands at the first safety gate', async () => {
    bench = openBench(BOOK);
    expect(await text()).toContain('New set');
    bench.type(KEY.enter);
    bench.type('Tarnhollow 21');
    bench.type(KEY.enter);
    expect(await text()).toContain('How are B+ and the heaters fed?');
    bench.type(KEY.down);
    bench.type(KEY.enter);
    const family = bench.app.screen.kind === 'intake' ? bench.app.screen.draft.family : '';
    expect(BOOK.families.map((f) => f.id)).toContain(family);
    bench.type(KEY.ctrl('g'));
    expect(await text()).toContain('What is on the bench today?');
    expect(await text()).toContain('Without an isolation transformer nothing is powered');
    bench.type(KEY.enter);
    expect(await text()).toContain('a meter at least');
    for (let n = 0; n < 9; n++) bench.type(` ${KEY.down}`);
    bench.type(KEY.enter);
    expect(stepOf(bench)).toMatchObject({ kind: 'gate', gate: { id: 'plug-pulled' } });
    const screen = await bench.screen();
    expect(screen[0]).toMatch(/^Tarnhollow 21 .*SUPPLY NOT KNOWN .*saved 2$/);
    expect(screen).toHaveLength(24);
    const file = readFileSync(join(bench.folder, 'Tarnhollow-21.jsonl'), 'utf8');
    expect(file.trim().split('\n')).toHaveLength(3);
  });

  it('asks for the supply before anything else, and refuses a line voltage that no line has', async () => {
    bench = openBench(BOOK);
    bench.type(KEY.enter);
    bench.type(KEY.ctrl('g'));
    expect(await text()).toContain('Choose the kind of supply first');
    bench.type('1');
    for (let n = 0; n < 12 && !(await text()).includes('Line voltage at the bench'); n++) bench.type(KEY.tab);
    bench.type(`${KEY.ctrl('u')}9000${KEY.enter}`);
    expect(await text()).toContain('a number from 80 to 280 V');
  });

  it('takes up an intake that was broken off, until it is thrown away or done', async () => {
    bench = openBench(BOOK);
    const kept = () => bench.app.ports.readPreferences().intake ?? undefined;
    bench.type(`${KEY.enter}Tarnhollow 21${KEY.enter}`);
    expect(kept()?.facts.name).toBe('Tarnhollow 21');
    bench.type('1');
    const family = kept()?.facts.family;
    expect(BOOK.families.map((f) => f.id)).toContain(family);
    // The laptop is switched off here: what comes up again is the home screen, and the preferences.
    bench.app.goHome();
    bench.type(KEY.enter);
    expect(await text()).toContain('Taken up where it was broken off');
    expect(bench.app.screen).toMatchObject({ kind: 'intake', draft: { name: 'Tarnhollow 21', family } });
    bench.type(KEY.escape);
    expect(kept()).toBeDefined();
    bench.type(KEY.escape);
    expect(kept()).toBeUndefined();
    bench.type(`${KEY.enter}Tarnhollow 22${KEY.enter}1${KEY.ctrl('g')}`);
    expect(kept()).toBeUndefined();
  });

  it('narrows the list of saved sets by words, and says when none is left', async () => {
    bench = openBench(BOOK);
    beginDemo(bench);
    bench.app.goHome();
    bench.type('tarn');
    expect(await text()).toContain('Tarnhollow 17T5');
    bench.type('zzz');
    expect(await text()).toContain('no saved set has these words');
  });
});

describe('what is typed where a list stands', () => {
  it('offers a new set of the name that no saved set has', async () => {
    bench = openBench(BOOK);
    bench.type('Tarnhollow Comet');
    expect(await text()).toContain('no saved set has these words');
    expect(await text()).toContain('take in "Tarnhollow Comet"');
    bench.type(KEY.enter);
    expect(bench.app.screen).toMatchObject({ kind: 'intake', purpose: 'new' });
    expect(await text()).toContain('Tarnhollow Comet');
  });

  it('goes to the answer that begins with a letter, and says so where none does', async () => {
    bench = openBench(BOOK);
    bench.type(`${KEY.enter}Tarnhollow 21${KEY.enter}`);
    const mark = (): number => (bench.app.screen.kind === 'intake' ? bench.app.screen.mark : -1);
    const titles = BOOK.families.map((f) => f.title.toLowerCase());
    const letter = titles[3]?.[0] ?? '';
    bench.type(letter);
    expect(mark()).toBe(titles.findIndex((t, n) => n > 0 && t.startsWith(letter)));
    bench.type(`~${KEY.enter}`);
    expect(await text()).toContain('No answer has');
    expect(bench.app.screen).toMatchObject({ kind: 'intake', draft: { family: '' } });
  });

  it('settles no supply by a stray Enter: none is marked beforehand', async () => {
    bench = openBench(BOOK);
    bench.type(`${KEY.enter}Tarnhollow 21${KEY.enter}${KEY.enter}`);
    expect(await text()).toContain('Choose the kind of supply');
    expect(bench.app.screen).toMatchObject({ kind: 'intake', draft: { family: '' } });
    bench.type(KEY.down + KEY.enter);
    expect(bench.app.screen).toMatchObject({ kind: 'intake', draft: { family: BOOK.families[0]?.id } });
  });

  it('marks no complaint by the way of words that are typed, and finds one by them', async () => {
    bench = openBench(BOOK);
    bench.type(`${KEY.enter}Tarnhollow 21${KEY.enter}`);
    const field = () => {
      const { screen } = bench.app;
      return screen.kind === 'intake' ? currentField(bench.app, screen)?.id : undefined;
    };
    const complaint = () => (bench.app.screen.kind === 'intake' ? bench.app.screen.draft.complaint : []);
    for (let n = 0; n < 40 && field() !== 'complaint'; n += 1) bench.type('\t');
    expect(field()).toBe('complaint');
    bench.type(`no picture, smelled hot in 1987?${KEY.enter}`);
    expect(complaint()).toEqual([]);
    expect(field()).toBe('complaint');
    bench.type(`${KEY.escape}not tried${KEY.enter}`);
    expect(complaint()).toEqual(['never-tried']);
    expect(await text()).toContain('1 marked');
  });

  it("keeps the owner's own words in the record, and no note where nothing was said", async () => {
    bench = openBench(BOOK);
    bench.type(`${KEY.enter}Tarnhollow 21${KEY.enter}1`);
    const field = () => {
      const { screen } = bench.app;
      return screen.kind === 'intake' ? currentField(bench.app, screen)?.id : undefined;
    };
    const to = (id: string) => {
      for (let n = 0; n < 40 && field() !== id; n += 1) bench.type('\t');
      expect(field()).toBe(id);
    };
    to('said');
    bench.type(`a crack, then a thin line${KEY.enter}`);
    expect(bench.preferences().intake?.said).toBe('a crack, then a thin line');
    bench.type(KEY.ctrl('g'));
    const notes = () => bench.app.state.live?.view.state.notes ?? [];
    expect(notes()).toMatchObject([{ text: 'a crack, then a thin line', check: OWNER_SAID }]);
    openIntake(bench.app, 'edit');
    bench.type(KEY.ctrl('g'));
    expect(notes()).toHaveLength(1);
    openIntake(bench.app, 'edit');
    to('said');
    expect(await text()).toContain('a crack, then a thin line');
    bench.type(` at dusk${KEY.ctrl('g')}`);
    const state = bench.app.state.live?.view.state;
    expect(state && ownerSaid(state)).toBe('a crack, then a thin line at dusk');
  });
});

describe('opening', () => {
  it('says what is opened before any work is done, and takes no key for it', async () => {
    bench = openBench(BOOK);
    beginDemo(bench);
    bench.app.goHome();
    const work = bench.holdWork();
    bench.type(KEY.enter);
    expect(await text()).toContain('Opening demo ...');
    expect(bench.app.state.live).toBeUndefined();
    bench.type(`1${KEY.enter}`);
    work.letGo();
    expect(await text()).toContain('Every plug pulled');
    expect(bench.app.state.live?.view.state.lastSeq).toBe(3);
  });
});

describe('the card', () => {
  it('judges while typing, takes the reading, and says what it meant', async () => {
    bench = openBench(BOOK);
    standAt(bench, 'number', isNumber);
    const before = readings().length;
    bench.type('4k7');
    expect(await text()).toContain('4.7 kohm');
    expect(readings()).toHaveLength(before);
    bench.type(KEY.enter);
    expect(readings()).toHaveLength(before + 1);
    expect(readings().at(-1)).toMatchObject({
      raw: '4k7',
      value: { kind: 'number', value: 4700, unit: 'ohm' },
    });
  });

  it('refuses what it does not understand and keeps the text for mending', async () => {
    bench = openBench(BOOK);
    standAt(bench, 'number', isNumber);
    const before = readings().length;
    bench.type(`12 volts${KEY.enter}`);
    expect(readings()).toHaveLength(before);
    expect(await text()).toMatch(/> 12 volts/);
    bench.type(KEY.escape);
    expect(await text()).not.toMatch(/> 12 volts/);
  });

  it('asks once when a value is far outside, and takes what is chosen', async () => {
    bench = openBench(BOOK);
    beginDemo(bench);
    driveTo(
      bench,
      (s) =>
        s.kind === 'check' &&
        s.check.kind === 'number' &&
        s.check.plausible !== undefined &&
        s.check.quantity === 'ohms',
    );
    const step = stepOf(bench);
    const most = step.kind === 'check' ? (step.check.plausible?.[1] ?? 0) : 0;
    bench.type(`${most * 1000}ohm${KEY.enter}`);
    expect(await text()).toContain('Enter takes the marked one');
    const before = readings().length;
    bench.type(KEY.enter);
    expect(readings()).toHaveLength(before + 1);
  });

  it('chooses by number or arrows; a bare Enter records nothing', async () => {
    bench = openBench(BOOK);
    beginDemo(bench);
    expect(stepOf(bench).kind).toBe('gate');
    const seq = bench.app.state.live?.view.state.lastSeq;
    bench.type(KEY.enter);
    bench.type(' ');
    expect(bench.app.state.live?.view.state.lastSeq).toBe(seq);
    bench.type(`1${KEY.enter}`);
    expect(supply()).toBe('unplugged');
  });

  it('takes the number of an answer at once, an Enter out of habit does nothing, and one key undoes it', () => {
    bench = openBench(BOOK);
    const isLook = (step: Step): boolean => step.kind === 'check' && step.check.kind === 'choice';
    standAt(bench, 'a look', isLook);
    const step = stepOf(bench);
    const before = readings().length;
    bench.type(`1${KEY.enter}`);
    expect(readings()).toHaveLength(before + 1);
    const option = step.kind === 'check' ? step.check.options[0]?.id : '';
    expect(readings().at(-1)?.value).toEqual({ kind: 'choice', option });
    bench.type(KEY.ctrl('z'));
    expect(readings()).toHaveLength(before);
    expect(bench.app.state.live?.last?.say).toBe(
      `Taken back: ${step.kind === 'check' && step.check.title}, 1.`,
    );
    expect(stepOf(bench)).toMatchObject({
      kind: 'check',
      check: { id: step.kind === 'check' && step.check.id },
    });
  });

  it('takes one digit of a number typed at a look: the others answer nothing on the next card', () => {
    bench = openBench(BOOK);
    standAt(bench, 'a look', (step) => step.kind === 'check' && step.check.kind === 'choice');
    const before = readings().length;
    bench.type('1123');
    expect(readings()).toHaveLength(before + 1);
    expect(bench.app.state.notice?.text).toContain('the digits after it were not taken');
    const input = bench.app.screen.kind === 'walk' ? bench.app.screen.input.text : undefined;
    expect(input).toBe('');
  });

  it('wants Enter after the number at a safety proof: one wrong key proves nothing', () => {
    bench = openBench(BOOK);
    beginDemo(bench);
    const { lastSeq } = bench.app.state.live?.view.state ?? { lastSeq: 0 };
    bench.type('1');
    expect(bench.app.state.live?.view.state.lastSeq).toBe(lastSeq);
    expect(stepOf(bench)).toMatchObject({ kind: 'gate', gate: { id: 'plug-pulled' } });
    bench.type(KEY.enter);
    expect(bench.app.state.live?.view.safety.supply).toBe('unplugged');
  });

  it('skips with one key for the reason, and wants words only for "another reason"', async () => {
    bench = openBench(BOOK);
    standAt(bench, 'number', isNumber);
    bench.type(`-${KEY.enter}`);
    expect(await text()).toContain('Skip this check: why?');
    bench.type('2');
    expect(bench.app.state.live?.view.state.skipped.at(-1)?.reason).toBe('cannot-reach');
    driveTo(bench, (s) => s.kind === 'check');
    bench.type(`${KEY.ctrl('k')}5${KEY.enter}`);
    expect(await text()).toContain('A word on the reason');
    bench.type(`lead too short${KEY.enter}`);
    expect(bench.app.state.live?.view.state.skipped.at(-1)).toMatchObject({
      reason: 'other',
      note: 'lead too short',
    });
  });

  it('writes a note at once, whatever comes next, and undoes an entry', async () => {
    bench = openBench(BOOK);
    standAt(bench, 'number', isNumber);
    const { step } = bench.app.state.live?.view ?? {};
    bench.type(`${KEY.ctrl('n')}probe on the lug${KEY.enter}`);
    expect(bench.app.state.live?.view.state.notes.at(-1)).toMatchObject({
      text: 'probe on the lug',
      check: step?.kind === 'check' ? step.check.id : 'none',
    });
    bench.type(`5k${KEY.enter}`);
    const count = readings().length;
    bench.type(KEY.ctrl('z'));
    expect(readings()).toHaveLength(count - 1);
  });

  it('takes a printed value, which replaces the usual one', async () => {
    bench = openBench(BOOK);
    standAt(bench, 'number', isNumber);
    const step = stepOf(bench);
    const id = step.kind === 'check' ? step.check.id : '';
    bench.type(`${KEY.ctrl('v')}47 @ 9${KEY.enter}`);
    expect(await text()).toContain('no line voltage');
    bench.type(`${KEY.ctrl('u')}4k7 @ 120${KEY.enter}`);
    const set = bench.app.state.live?.view.state.set;
    expect(set?.serviceData[id]).toMatchObject({ lineVolts: 120 });
    expect(await text()).toContain('service data');
  });

  it('shows the whole text of a card page by page', async () => {
    bench = openBench(BOOK);
    beginDemo(bench);
    driveTo(bench, (s) => s.kind === 'check' && s.check.cautions.length > 2);
    const step = stepOf(bench);
    const cautions = step.kind === 'check' ? step.check.cautions.map((c) => BOOK.cautions[c] ?? c) : [];
    let seen = '';
    for (let n = 0; n < 8; n++) {
      seen += (await text()).replace(/\s+/g, ' ');
      bench.type(KEY.pageDown);
    }
    for (const caution of cautions) expect(seen).toContain(caution.split(' ').slice(0, 4).join(' '));
  });

  it('shows expected and typed value in large digits', async () => {
    bench = openBench(BOOK);
    standAt(bench, 'number', isNumber);
    bench.type(`${KEY.ctrl('t')}470`);
    expect(await text()).toMatch(/█ █ {2}█ {3}█ █|███ █/);
  });
});

describe('a disk that refuses', () => {
  it('keeps what was entered, says so on every frame, and saves it when there is room again', async () => {
    bench = openBench(BOOK);
    standAt(bench, 'number', isNumber);
    const file = join(bench.folder, 'demo.jsonl');
    const before = readFileSync(file, 'utf8');
    bench.fullDisk(true);
    bench.type(`5k${KEY.enter}`);
    expect(readings().at(-1)?.raw).toBe('5k');
    const screen = await bench.screen();
    expect(screen[0]).toContain('1 NOT SAVED');
    expect(screen.join(' ').replace(/\s+/g, ' ')).toContain('the disk is full');
    bench.type(KEY.enter);
    expect((await bench.screen())[0]).toContain('1 NOT SAVED');
    bench.fullDisk(false);
    bench.type(KEY.enter);
    expect((await bench.screen())[0]).toMatch(/saved \d+$/);
    const after = readFileSync(file, 'utf8');
    expect(after.startsWith(before)).toBe(true);
    expect(after.slice(before.length)).toContain('"raw":"5k"');
  });
});

describe('live', () => {
  it('shows the state as word and symbol, the ladder of the bring-up, and goes dead with one key from any sheet', async () => {
    for (const sheet of ['', ...['f', 'w', 'r', 'e', 'd', 'b', 'n', 'k'].map(KEY.ctrl), '?']) {
      bench?.close();
      bench = openBench(BOOK);
      standAt(bench, 'power-up', isPowerUp);
      bench.type(`29${KEY.enter}`);
      expect(supply()).toBe('isolated-limited');
      const screen = await bench.screen();
      expect(screen[0]).toContain('◐ LIVE ON THE LAMP');
      expect(screen[1]).toContain('LIVE');
      bench.type(sheet);
      bench.type(KEY.ctrl('x'));
      expect(supply()).not.toMatch(/isolated/);
      expect(await text()).toContain('pull the plug now');
      expect(bench.app.screen.kind).toBe('walk');
    }
  });

  it('starts the hold of the table when the line is moved to its next row, and rings at its end', async () => {
    bench = openBench(BOOK);
    standAt(bench, 'power-up', isPowerUp);
    const step = stepOf(bench);
    const rows = step.kind === 'power-up' ? step.rows : [];
    bench.type(`${Math.round(rows[0]?.lineVolts ?? 0)}${KEY.enter}`);
    bench.type(KEY.ctrl('y') + KEY.enter);
    const state = bench.app.state.live?.view.state;
    expect(state?.lineVolts).toBe(Math.round(rows[1]?.lineVolts ?? 0));
    expect(state?.timers.at(-1)?.seconds).toBe(rows[1]?.holdSeconds);
    expect((await bench.screen())[1]).toMatch(/hold at \d+ V \d:\d\d/);
    bench.wait((rows[1]?.holdSeconds ?? 0) + 0.5);
    bench.app.tick();
    expect(await text()).toContain('Time: hold at');
  });

  it('asks twice before a live set, or a proven discharge, is left', async () => {
    bench = openBench(BOOK);
    standAt(bench, 'number', isNumber);
    bench.type(KEY.escape);
    expect(await text()).toContain('the discharge must be proven anew');
    bench.type('1');
    bench.type(KEY.escape);
    bench.type(KEY.escape);
    expect(bench.app.screen.kind).toBe('walk');
    bench.type(KEY.escape);
    expect(bench.app.screen.kind).toBe('home');
  });
});

describe('sheets', () => {
  it('fills a list of one posture: typed, as expected, skipped', async () => {
    bench = openBench(BOOK);
    beginDemo(bench);
    driveTo(bench, (s) => isNumber(s) && s.kind === 'check' && s.check.group !== undefined);
    bench.type(KEY.tab);
    expect(await text()).toContain('One posture, one list');
    const count = readings().length;
    bench.type(`.`);
    expect(readings()).toHaveLength(count + 1);
    expect(readings().at(-1)?.raw).toBe('.');
    bench.type(`-${KEY.enter}`);
    expect(bench.app.state.live?.view.state.skipped.at(-1)?.reason).toBe('later');
    bench.type(KEY.tab);
    expect(bench.app.screen.kind).toBe('walk');
  });

  it('jumps to a check found by words; a live one leads to its proofs first, never to the check itself', async () => {
    bench = openBench(BOOK);
    standAt(bench, 'number', isNumber);
    const cold = BOOK.checks.find((c) => c.id === 'plug-ohms');
    bench.type(KEY.ctrl('f') + (cold?.title ?? '') + KEY.enter);
    expect((await bench.screen())[3]).toContain(cold?.title);
    for (const live of BOOK.checks.filter((c) => c.state === 'S2').slice(0, 12)) {
      bench.type(KEY.ctrl('f') + live.title + KEY.enter);
      const screen = await text();
      if (bench.app.screen.kind === 'walk') expect(screen).not.toContain('live on full line');
      else expect(screen).toMatch(/Not now:|no check has these words/);
      if (bench.app.screen.kind === 'browser') bench.type(KEY.escape + KEY.escape);
    }
  });

  it('finds checks by what people call them: the quantity, the part they read, the other dialect, several of them', async () => {
    bench = openBench(BOOK, 120, 40);
    standAt(bench, 'number', isNumber);
    const found = async (words: string): Promise<string> => {
      bench.type(KEY.ctrl('f') + words);
      const screen = await text();
      bench.type(KEY.escape + KEY.escape);
      return screen;
    };
    expect(await found('plate voltage')).toContain('Plate of the audio output tube');
    expect(await found('line output transformer resistance')).toContain('HV winding');
    expect(await found('electrolytics')).not.toContain('no check has these words');
    expect(await found('zzzz')).toContain('no check has these words');
  });

  it('corrects a reading in the log and keeps the old value', async () => {
    bench = openBench(BOOK);
    standAt(bench, 'number', isNumber);
    bench.type(`5k${KEY.enter}`);
    bench.type(KEY.ctrl('r') + KEY.enter);
    expect(await text()).toContain('Corrected reading: 5k');
    bench.type(`${KEY.ctrl('u')}6k${KEY.enter}`);
    expect(readings().at(-1)).toMatchObject({ raw: '6k', corrections: ['5k'] });
    expect(await text()).toContain('was 5k');
  });

  it('opens the fault tree and the verdict down to the evidence', async () => {
    bench = openBench(BOOK, 120, 40);
    standAt(bench, 'number', isNumber);
    bench.type(`0.1${KEY.enter}`);
    expect(await text()).toContain('Suspects');
    bench.type(KEY.ctrl('w'));
    expect((await text()).match(/▾|▸/g)?.length).toBeGreaterThan(5);
    bench.type(KEY.ctrl('e'));
    const screen = await text();
    expect(screen).toContain('Core parts');
    expect(screen).toContain('Next steps, in order');
    expect(screen).not.toMatch(/\d\.\d{4,}/);
    bench.type(KEY.down + KEY.enter);
    expect(await text()).toMatch(/Proven: \d+ %/);
    bench.type(KEY.ctrl('o'));
    expect(bench.reports).toHaveLength(1);
    expect(bench.app.state.notice?.text).toContain(`: ${bench.reports[0]}`);
    expect(bench.app.state.notice?.text).not.toContain('older one');
    bench.type(KEY.ctrl('o'));
    expect(bench.app.state.notice?.text).toContain('the older one stays beside it');
  });

  it('shows a sign that nothing found accounts for, with its causes, beside the suspects and on the sheet', async () => {
    bench = openBench(BOOK, 120, 40);
    standAt(bench, 'number', isNumber);
    bench.type(`0.1${KEY.enter}`);
    const cause = (title: string, ifReal: number) => ({
      ...{ part: title, fault: 'worn', title, partTitle: title, ifReal, chance: ifReal / 2 },
    });
    const sign: OpenSign = {
      title: 'Weak sound',
      signals: [],
      chance: 0.5,
      causes: [cause('A tired tube', 0.42), cause('A coil', 0.11)],
    };
    const view = bench.app.state.live?.view;
    if (!view) throw new Error('no session');
    const stop = { reason: 'exhausted' as const, say: 'No more.', openSigns: [sign] };
    Object.assign(view, { plan: { ranked: [], stop } });
    bench.app.tick();
    expect(await text()).toMatch(/Not accounted for\n[\s\S]*Weak sound[\s\S]*perhaps A tired tube 42 %/);
    bench.resize(80, 24);
    Object.assign(view, { suspects: [] });
    bench.app.tick();
    expect(await text()).toContain('Not accounted for: Weak sound; perhaps A tired tube 42 %');
    bench.type(KEY.ctrl('e'));
    for (let n = 0; n < 20 && !(await text()).includes('▸ ? Weak sound'); n++) bench.type(KEY.down);
    expect(await text()).toContain('Not accounted for by anything found');
    bench.type(KEY.enter);
    const open = await text();
    expect(open).toContain('chance that there is something behind it 50 %');
    expect(open).toContain('A coil 11 %');
  });

  it('records a repair of a part marked in the tree', async () => {
    bench = openBench(BOOK, 120, 40);
    standAt(bench, 'number', isNumber);
    bench.type(KEY.ctrl('w'));
    for (let n = 0; n < 30 && !(await text()).includes('What was done'); n++)
      bench.type(KEY.down + KEY.ctrl('g'));
    bench.type('1');
    bench.type(`leaky${KEY.enter}`);
    expect(bench.app.state.live?.view.state.repairs).toMatchObject([{ action: 'replaced', found: 'leaky' }]);
  });

  it('explains every screen', async () => {
    bench = openBench(BOOK);
    beginDemo(bench);
    bench.type('?');
    expect(await text()).toContain('Keys on this screen');
    bench.type(KEY.pageDown.repeat(4));
    expect(await text()).toContain('over range');
    bench.type(KEY.escape);
    expect(bench.app.screen.kind).toBe('walk');
  });
});

describe('any terminal', () => {
  it('says what it needs when the window is too small, and comes back', async () => {
    bench = openBench(BOOK);
    beginDemo(bench);
    const before = await text();
    bench.resize(60, 20);
    const { lastSeq } = bench.app.state.live?.view.state ?? {};
    expect((await text()).replace(/\s+/g, ' ')).toContain('needs 80 x 24');
    // A question that is not on the screen is not answered.
    bench.type(`1${KEY.enter}`);
    expect(bench.app.state.live?.view.state.lastSeq).toBe(lastSeq);
    bench.resize(80, 24);
    expect(await text()).toBe(before);
  });

  it('shows nothing but ASCII when asked to, at the same width', async () => {
    bench = openBench(BOOK, 120, 40, true);
    beginDemo(bench, 'series-doubler-halfwave', 'テレビ é');
    driveTo(bench, isNumber);
    bench.type('4k7');
    for (const row of await bench.screen()) expect(row).toMatch(/^[ -~]*$/);
  });

  it('keeps columns in place with wide characters and escape sequences in names', async () => {
    bench = openBench(BOOK);
    beginDemo(bench, 'series-doubler-halfwave', '受像機 の テレビ \u001b[31mX');
    const [head] = await bench.screen();
    expect(head).toMatch(/SUPPLY NOT KNOWN .*saved 2$/);
    expect(head).toContain('受像機');
  });
});

describe('settings', () => {
  it('keeps name, terms and folder', async () => {
    bench = openBench(BOOK);
    bench.type(`\u001b[F${KEY.enter}`);
    expect(await text()).toContain('Name on reports');
    bench.type(`Ines${KEY.down} ${KEY.down}/tmp/sets`);
    expect(await text()).toContain('British');
    bench.type(KEY.enter);
    expect(bench.preferences()).toMatchObject({
      technician: 'Ines',
      terms: 'uk',
      sessionsFolder: '/tmp/sets',
    });
    expect(bench.app.screen.kind).toBe('home');
  });
});
