// Times and currents of the bench: holds, discharges and what was read at each step; they are in the record, so they survive a resume.
import { afterEach, describe, expect, it } from 'vitest';
import { resume } from '../../src/ui/app/opening.ts';
import { sparkline } from '../../src/ui/views/bring-up.ts';
import type { Step } from '../../src/walk/types.ts';
import { driveTo, standAt, stepOf } from './drive.ts';
import { type Bench, KEY, openBench } from './harness.ts';
import { BOOK } from './rules.ts';

let bench: Bench;
afterEach(() => bench.close());

const text = async (): Promise<string> => (await bench.screen()).join('\n');
const isPowerUp = (step: Step): boolean => step.kind === 'power-up';
const isGate =
  (id: string) =>
  (step: Step): boolean =>
    step.kind === 'gate' && step.gate.id === id;

/** Live on the lamp at the foot of the table; its rows. */
function onTheLamp() {
  bench = openBench(BOOK, 100, 30);
  standAt(bench, 'power-up', isPowerUp);
  const step = stepOf(bench);
  const rows = step.kind === 'power-up' ? step.rows : [];
  bench.type(`${Math.round(rows[0]?.lineVolts ?? 0)}${KEY.enter}`);
  return rows;
}

describe('bring-up', () => {
  it('keeps a line current with the volts, draws how it falls, and warns over the ceiling of the step', async () => {
    const rows = onTheLamp();
    const volts = Math.round(rows[1]?.lineVolts ?? 0);
    const ceiling = rows[1]?.currentCeilingAmps ?? 0;
    const amps = [0.9, 0.6, 0.3].map((share) => Number((share * ceiling).toFixed(3)));
    for (const a of amps) {
      bench.type(`${KEY.ctrl('y') + KEY.ctrl('u')}${volts} ${a}${KEY.enter}`);
      bench.wait(20);
    }
    const screen = await text();
    expect(screen).toContain(`${amps.join(', ')} A, falling`);
    expect(screen).toContain('█▆▃');
    expect(screen).toMatch(/hold at \d+ V {2}█/);
    expect(bench.app.state.live?.view.state.timers).toHaveLength(1);
    bench.type(`${KEY.ctrl('y') + KEY.ctrl('u')}${volts} ${(ceiling * 1.5).toFixed(2)}${KEY.enter}`);
    expect(await text()).toContain('switch off, ^X');
  });

  it('draws eighths: the largest full, zero as the lowest', () => {
    expect(sparkline([8, 4, 1, 0])).toBe('█▄▁▁');
    expect(sparkline([0, 0])).toBe('');
  });

  it('ends the hold when the plug is pulled', async () => {
    onTheLamp();
    bench.type(KEY.ctrl('y') + KEY.enter);
    expect((await bench.screen())[1]).toMatch(/hold at/);
    bench.type(KEY.ctrl('x'));
    expect((await bench.screen())[1]).not.toMatch(/hold at/);
  });
});

describe('timers', () => {
  it('go on after a resume, and ring at their end', async () => {
    bench = openBench(BOOK);
    standAt(bench, 'power-up', isPowerUp);
    bench.type(`${KEY.ctrl('s') + KEY.ctrl('u')}10${KEY.enter}`);
    bench.wait(240);
    bench.app.goHome();
    resume(bench.app, 'demo');
    expect((await bench.screen())[1]).toContain('10 min 6:00');
    bench.wait(360.5);
    bench.app.tick();
    expect(await text()).toContain('Time: 10 min.');
    expect(bench.bells()).toBe(1);
  });

  it('that ran out while nobody looked say so at the resume', async () => {
    bench = openBench(BOOK);
    standAt(bench, 'power-up', isPowerUp);
    bench.type(`${KEY.ctrl('s') + KEY.ctrl('u')}10${KEY.enter}`);
    bench.app.goHome();
    bench.wait(3600);
    resume(bench.app, 'demo');
    expect(await text()).toMatch(/Time: 10 min\. It ran out while the program was closed/);
    expect(bench.bells()).toBe(1);
  });
});

describe('discharge', () => {
  it('counts down what would be left, never calls it proven, and leaves the reading to the meter', async () => {
    bench = openBench(BOOK, 100, 30);
    standAt(bench, 'electrolytics', isGate('electrolytics'));
    expect(await text()).toMatch(/LEFT +Computed: \d+ V through 2\.2 kohm passes in \d\.\d s/);
    bench.type(KEY.ctrl('s'));
    // 150 uF through 2.2 kohm: after one second e^-3.03 = 4.8 % is left.
    const from = Number(/Computed: (\d+) V of (\d+) V left/.exec((await text()).replace(/\s+/g, ' '))?.[2]);
    bench.wait(1);
    bench.app.tick();
    const shown = (await text()).replace(/\s+/g, ' ');
    const [, left = ''] = /Computed: ([\d.]+) V of/.exec(shown) ?? [];
    expect(Number(left)).toBeCloseTo(from * Math.exp(-1 / (2200 * 150e-6)), 0);
    expect(shown).toContain('Only the meter proves it');
    bench.wait(10);
    bench.app.tick();
    expect(await text()).toContain('Time is up: read it now');
    expect(stepOf(bench)).toMatchObject({ kind: 'gate', gate: { id: 'electrolytics' } });
  });
});

describe('readings held when the power goes off', () => {
  const isLive = (step: Step): boolean => step.kind === 'check' && step.check.state === 'S1';

  it('keeps what was being typed, takes it as read live, and lists the rest until something else is done', async () => {
    bench = openBench(BOOK, 100, 30);
    standAt(bench, 'live', isLive);
    const step = stepOf(bench);
    const check = step.kind === 'check' ? step.check : undefined;
    const typed = check?.kind === 'choice' ? '' : '1';
    bench.type(`${typed}${KEY.ctrl('x')}`);
    expect(bench.app.state.live?.view.safety.supply).toBe('unplugged');
    if (typed === '') bench.type(KEY.tab);
    expect(await text()).toContain('Read before the plug was pulled');
    const count = bench.app.state.live?.view.state.readings.length ?? 0;
    bench.type(check?.kind === 'choice' ? '1' : KEY.enter);
    if (bench.app.screen.kind === 'list' && bench.app.screen.asking) bench.type(KEY.enter);
    const readings = bench.app.state.live?.view.state.readings ?? [];
    expect(readings).toHaveLength(count + 1);
    expect(readings.at(-1)).toMatchObject({ check: check?.id, context: { supply: 'isolated-limited' } });
    bench.type(KEY.escape);
    expect(await text()).toContain('Tab lists what');
    // Why it was switched off is asked first, and takes nothing from the head.
    bench.type(`1${KEY.enter}`);
    expect(await text()).toContain('Tab lists what');
    bench.type(`1${KEY.enter}`);
    // Until it is proven dead no hand was in it, and what is in the head still counts.
    expect(await text()).toContain('Tab lists what');
    driveTo(bench, () => bench.app.state.live?.view.safety.supply === 'discharged');
    expect(await text()).not.toContain('Tab lists what');
  });
});
