// Coming back: where a session was left is said on opening, and twins of one name can be told apart at home.
import { afterEach, describe, expect, it } from 'vitest';
import { exportSession, importSession } from '../../src/session/index.ts';
import { resume } from '../../src/ui/app/opening.ts';
import { beginDemo, driveTo } from './drive.ts';
import { type Bench, KEY, openBench } from './harness.ts';
import { BOOK } from './rules.ts';

let bench: Bench;
afterEach(() => bench.close());

const text = async (): Promise<string> => (await bench.screen()).join('\n');
const isNumber = (step: { kind: string; check?: { kind: string } }): boolean =>
  step.kind === 'check' && step.check?.kind === 'number';

/** A session with a measured value in it, left. */
function leave(): { readonly title: string } {
  bench = openBench(BOOK);
  beginDemo(bench);
  driveTo(bench, isNumber);
  const step = bench.app.state.live?.view.step;
  if (step?.kind !== 'check') throw new Error('no check to answer');
  bench.type(`12${KEY.enter}`);
  const last = bench.app.state.live?.view.state.readings.at(-1);
  expect(last?.check).toBe(step.check.id);
  bench.app.goHome();
  return { title: step.check.title };
}

describe('resume', () => {
  it('says when it was left, with what supply, the last reading and what comes then', async () => {
    const { title } = leave();
    bench.wait(3600);
    resume(bench.app, 'demo');
    const said = bench.app.state.notice?.text ?? '';
    expect(said).toMatch(/Left off \d+ \w{3} \d{4} \d\d:\d\d, never powered yet\./);
    expect(said).toContain(`Last: ${title.slice(0, 30)}`);
    expect(said).toContain(': 12, good.');
    const then = bench.app.state.live?.view.plan.ranked[0]?.check.title ?? '';
    expect(said).toContain(`Then: ${then.slice(0, 30)}`);
    expect((await text()).replace(/\s+/g, ' ')).toContain('Left off');
  });

  it('says nothing of the kind where nothing was read yet', () => {
    bench = openBench(BOOK);
    beginDemo(bench);
    bench.app.goHome();
    resume(bench.app, 'demo');
    expect(bench.app.state.notice?.text ?? '').not.toContain('Left off');
  });
});

describe('home', () => {
  it('tells twins of one name by the names of their files and by what was read last', async () => {
    const { title } = leave();
    expect(await text()).not.toContain('last:');
    const file = `${bench.folder}/copy.txt`;
    exportSession(bench.folder, 'demo', file);
    expect(importSession(bench.folder, file)).toBe('demo-2');
    bench.app.goHome();
    bench.resize(120, 40);
    const rows = (await bench.screen()).filter((row) => row.includes('last: '));
    expect(rows).toHaveLength(2);
    expect(rows.join('\n')).toMatch(/demo-2 /);
    expect(rows[0]).toContain(`last: ${title.slice(0, 20)}`);
  });
});
