// What happened once is not forgotten: stops and their causes, repairs, corrected facts, a lowered line, old anode readings.
import { describe, expect, it } from 'vitest';
import { permits, safetyOf } from '../../src/safety/index.ts';
import { foldAll, type SafetyEntry } from '../../src/session/index.ts';
import { CURRENT_FORMAT } from '../../src/session/migrate.ts';
import { ALL_INSTRUMENTS, Bench, CHECKS, makeCheck, number, ORDINARY, option, RULES } from './bench-log.ts';
import { Desk, reading } from './desk.ts';

const asked = (bench: Bench, target: 'isolated-limited' | 'isolated-full') =>
  bench.state.nextGates(target).map(({ id }) => id);

describe('after something dangerous', () => {
  it('asks for the cause before any power, days later too, and takes no for an answer', () => {
    const bench = new Bench().full().reading(CHECKS.full, number(450));
    expect(bench.state.forcedStop?.why).toBe('dangerous-reading');
    bench.off().cold();
    expect(bench.state.forcedStop).toBeUndefined();
    expect(bench.state.unexplained?.say).toBe('Too high.');
    expect(asked(bench, 'isolated-limited')[0]).toBe('cause-found');
    expect(bench.state.nextGates('isolated-limited')[0]?.how[0]).toContain('Too high.');
    bench
      .wait(3 * 24 * 60)
      .add({ type: 'resumed' })
      .cold();
    expect(asked(bench, 'isolated-limited')).toContain('cause-found');
    bench.gate('cause-found', option('not-found'));
    expect(asked(bench, 'isolated-limited')).toContain('cause-found');
    bench.gate('cause-found', option('put-right'));
    expect(bench.state.unexplained).toBeUndefined();
    expect(asked(bench, 'isolated-limited')).not.toContain('cause-found');
  });

  it('counts a slip of the pencil as none once the reading is put right', () => {
    const bench = new Bench().full().reading(CHECKS.full, number(450));
    const seq = bench.log.length;
    bench.add({ type: 'check', check: 'full', value: number(245), corrects: seq }).off();
    expect(bench.state.unexplained).toBeUndefined();
  });

  it('counts a reading that is typed after the plug was pulled', () => {
    const bench = new Bench().full().off().reading(CHECKS.full, number(450));
    expect(bench.state.unexplained?.say).toBe('Too high.');
  });

  it('counts an aborted bring-up and a hot chassis', () => {
    const aborted = new Bench().limited().gate('bring-up-finished', option('aborted'));
    expect(aborted.state.forcedStop?.why).toBe('bring-up-aborted');
    aborted.off().cold();
    expect(asked(aborted, 'isolated-limited')).toContain('cause-found');
    const hot = new Bench().cold().answerAll('isolated-limited').up('isolated-limited').fail('chassis-ac');
    expect(hot.state.unexplained).toBeDefined();
  });

  it('refuses power while the cause is not found', () => {
    const desk = new Desk();
    desk.full();
    expect(desk.offer(reading('full', 450))).toBe('ok');
    desk.force({ type: 'powered-off', why: '' });
    desk.to('discharged');
    const [gate] = desk.view.safety.nextGates('isolated-limited');
    expect(gate?.id).toBe('cause-found');
    const no = { type: 'gate', gate: 'cause-found', raw: '3', value: option('not-found') } as const;
    expect(desk.offer(no)).toBe('ok');
    expect(desk.on('isolated-limited', 40)).toContain('Too high.');
    // A repair brings the question back; its answer opens the way.
    expect(desk.offer({ type: 'repaired', part: 'b-plus.filter-choke', action: 'replaced', found: '' })).toBe(
      'ok',
    );
    desk.to('isolated-limited');
    expect(desk.on('isolated-limited', 40)).toBe('ok');
  });
});

describe('a lowered line', () => {
  it('lowers what a chassis may read', () => {
    const low = (volts: number) =>
      new Bench()
        .cold()
        .answerAll('isolated-limited')
        .up('isolated-limited', 15)
        .gate('chassis-ac', number(volts));
    // Half of a 15 V line on the chassis is half of the whole line later.
    expect(low(8).state.forcedStop?.why).toBe('chassis-hot');
    expect(low(0.9).state.forcedStop).toBeUndefined();
    const raised = new Bench().cold().answerAll('isolated-limited').up('isolated-limited', 15);
    raised.add({ type: 'line-volts', lineVolts: 117 }).gate('chassis-ac', number(8));
    expect(raised.state.forcedStop).toBeUndefined();
  });
});

describe('a repair', () => {
  const ready = () => new Bench().cold().answerAll('isolated-limited');

  it('takes back what was said of plugs, clips and links', () => {
    const bench = ready();
    expect(bench.state.mayGo('isolated-limited').ok).toBe(true);
    bench.add({ type: 'repaired', part: 'b-plus.reservoir' });
    expect(asked(bench, 'isolated-limited')).toEqual(['all-plugged', 'nothing-earthed', 'links-removed']);
    expect(bench.state.supply).toBe('discharged');
  });

  it('in the horizontal stage takes back that it is disabled', () => {
    const bench = ready().add({ type: 'repaired', part: 'horizontal-output.tube' });
    expect(asked(bench, 'isolated-limited')).toContain('horizontal-disabled');
  });

  it('at the picture tube takes back the dead anode: another tube may be charged', () => {
    const bench = ready().add({ type: 'repaired', part: 'picture-tube.gun' });
    expect(bench.state.supply).toBe('unplugged');
    expect(asked(bench, 'isolated-limited')).toEqual(
      expect.arrayContaining(['anode-first', 'coating-ground']),
    );
  });
});

describe('facts that turn out to be others', () => {
  it('take back the proofs that rested on them, and only they', () => {
    const events = (second: Record<string, unknown>) => {
      const bench = new Bench().cold().answerAll('isolated-limited');
      const log = [...bench.log];
      const described = (seq: number, set: unknown) =>
        ({ type: 'described', seq, at: log[0]?.at ?? '', set }) as never;
      const rules = {
        ...RULES,
        factsOf: (set: { facts?: unknown }) => ({ ...ORDINARY, ...(set as object) }) as never,
      };
      const all = [
        described(0, {}),
        ...log,
        { ...(described(log.length + 1, second) as object), at: new Date(bench.now).toISOString() } as never,
      ];
      return safetyOf(all, { ...ORDINARY, ...second }, ALL_INSTRUMENTS, new Date(bench.now), rules);
    };
    expect(events({}).mayGo('isolated-limited').ok).toBe(true);
    const heavier = events({ ratedWatts: 300 });
    expect(heavier.nextGates('isolated-limited').map(({ id }) => id)).toEqual(
      expect.arrayContaining(['isolation-size', 'lamp-choice', 'bench-fuse', 'horizontal-disabled']),
    );
    expect(heavier.supply).toBe('discharged');
  });
});

describe('hands near the anode', () => {
  it('ask for a reading of it by what the check warns of, whatever its section', () => {
    const bent = makeCheck({
      id: 'bent',
      state: 'S0',
      section: 'wiring',
      cautions: ['anode'],
      access: 'back-off',
    });
    const bench = new Bench().cold();
    expect(permits(bent, bench.state, {}, new Set()).allowed).toBe(true);
    bench.wait(25).gate('still-cold').wait(20);
    expect(bench.state.supply).toBe('discharged');
    const late = permits(bent, bench.state, {}, new Set());
    expect(late.allowed === false && late.gates.map(({ id }) => id)).toEqual(['anode-third']);
  });

  it('ask for it before the stage is enabled', () => {
    const desk = new Desk();
    desk.full();
    expect(desk.offer(reading('horizontal-output-grid-drive', -35))).toBe('ok');
    desk.force({ type: 'powered-off', why: '' });
    desk.to('discharged').wait(12);
    const enable = { type: 'configured', item: 'horizontal', value: 'enabled' } as const;
    expect(desk.offer(enable)).toContain('anode');
    expect(desk.gate('anode-third')).toBe('ok');
    expect(desk.offer(enable)).toBe('ok');
  });
});

describe('renewed proofs', () => {
  it('end two hours after the capacitors were really read', () => {
    const bench = new Bench().cold();
    for (let minutes = 0; minutes < 100; minutes += 25) bench.wait(25).gate('still-cold');
    expect(bench.state.supply).toBe('discharged');
    bench.wait(25).gate('still-cold');
    expect(bench.state.supply).toBe('unplugged');
  });
});

describe('the drive that a running stage rests on', () => {
  it('is asked again where it was put right to nothing', () => {
    const desk = new Desk();
    desk.full();
    const drive = reading('horizontal-output-grid-drive', -35);
    expect(desk.offer(drive)).toBe('ok');
    const seq = desk.events.length;
    desk.force({ type: 'powered-off', why: '' });
    desk.to('discharged');
    expect(desk.offer({ type: 'configured', item: 'horizontal', value: 'enabled' })).toBe('ok');
    desk.to('isolated-full');
    desk.force({ type: 'corrected', target: seq, raw: '-3.5', value: number(-3.5) });
    expect(desk.on('isolated-full')).toContain('drive');
    expect(foldAll(desk.events).readings.at(-1)?.raw).toBe('-3.5');
  });
});

it('knows the outlet of one evening only', () => {
  const bench = new Bench().cold().answerAll('isolated-limited').add({ type: 'resumed' }).cold();
  expect(asked(bench, 'isolated-limited')).toContain('isolation-poles');
  expect(asked(bench, 'isolated-limited')).not.toContain('isolation-ohms');
});

describe('a record of the first format', () => {
  it('stays believed, which asked for fewer proofs; what is done from now on is asked for all', () => {
    const step = CURRENT_FORMAT.steps[1];
    if (!step) throw new Error('nothing leads from format 1');
    const bench = new Bench()
      .full()
      .reading(CHECKS.full, number(280))
      .off()
      .cold()
      .answerAll('isolated-full');
    // A part was replaced, and the set came on again without another word on plugs and clips; a second evening on the same outlet.
    bench.add({ type: 'repaired', part: 'b-plus.reservoir' }).up('isolated-full').answerAll('isolated-full');
    bench.reading(CHECKS.full, number(291));
    const judged = (log: readonly SafetyEntry[]) =>
      safetyOf(log, ORDINARY, ALL_INSTRUMENTS, new Date(bench.now), RULES);
    expect(judged(bench.log).disbelieved.size).toBe(1);
    const old = bench.log.map((entry) => {
      const type = entry.type === 'check' ? 'reading' : entry.type;
      const { door } = step.event({ type }) as { door?: 1 };
      return (door ? { ...entry, door } : entry) as SafetyEntry;
    });
    expect(judged(old).disbelieved.size).toBe(0);
    const now = [
      ...old,
      {
        type: 'repaired',
        seq: old.length + 1,
        at: new Date(bench.now).toISOString(),
        part: 'b-plus.reservoir',
      } as const,
    ];
    expect(judged(now).proven.has('all-plugged')).toBe(false);
  });
});
