// What happens beside the walk is said with one key, and takes back the proofs that it undoes.
import { afterEach, describe, expect, it } from 'vitest';
import type { Step } from '../../src/walk/types.ts';
import { standAt, stepOf } from './drive.ts';
import { type Bench, KEY, openBench } from './harness.ts';
import { BOOK } from './rules.ts';

let bench: Bench;
afterEach(() => bench.close());

const text = async (): Promise<string> => (await bench.screen()).join('\n');
const isColdCheck = (step: Step): boolean => step.kind === 'check' && step.check.quantity === 'ohms';
const proven = (): ReadonlySet<string> => {
  const safety = bench.app.state.live?.view.safety;
  if (!safety) throw new Error('no session is open');
  return safety.proven;
};

describe('^G on the card', () => {
  it('asks what happened; Esc leaves everything as it was', async () => {
    bench = openBench(BOOK, 80, 24);
    standAt(bench, 'cold ohms', isColdCheck);
    const before = [...proven()];
    bench.type(KEY.ctrl('g'));
    const screen = await text();
    expect(screen).toContain('1  I left the bench');
    expect(screen).toContain('3  the anode lead was touched');
    bench.type(KEY.escape);
    expect([...proven()]).toEqual(before);
    expect(isColdCheck(stepOf(bench))).toBe(true);
  });

  it.each(['1', '2'])('answer %s: unplugged and dead are proven anew before the next check', async (key) => {
    bench = openBench(BOOK, 80, 24);
    standAt(bench, 'cold ohms', isColdCheck);
    expect(proven().has('plug-pulled')).toBe(true);
    bench.type(KEY.ctrl('g') + key);
    expect(proven().has('plug-pulled')).toBe(false);
    expect(proven().has('electrolytics')).toBe(false);
    const step = stepOf(bench);
    expect(step.kind === 'gate' && step.gate.id).toBe('plug-pulled');
    expect(await text()).toMatch(/In the record/);
  });

  it('answer 3 asks for the anode anew, and on a live set stops it', async () => {
    bench = openBench(BOOK, 80, 24);
    standAt(bench, 'cold ohms', isColdCheck);
    bench.type(`${KEY.ctrl('g')}3`);
    expect(proven().has('anode-first')).toBe(false);
    expect(proven().has('plug-pulled')).toBe(true);
    bench.close();
    bench = openBench(BOOK, 80, 24);
    standAt(bench, 'a live check', (step) => step.kind === 'check' && step.check.state === 'S1');
    bench.type(`${KEY.ctrl('g')}3`);
    expect(await text()).toContain('UNPLUG NOW');
  });
});
