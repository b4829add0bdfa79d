// The last door before the journal, and journals that did not come through it.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { accept, checkSafety, safetyOf } from '../../src/safety/index.ts';
import { foldAll, type RecordedEvent } from '../../src/session/index.ts';
import { ALL_INSTRUMENTS, CHECKS, makeCheck, number, ORDINARY, option } from './bench-log.ts';
import { Desk, reading } from './desk.ts';

describe('readings', () => {
  it('are taken in their own supply state only', () => {
    const desk = new Desk();
    expect(desk.offer(reading('cold'))).toMatch(/may not be taken now.*Missing/);
    expect(desk.offer(reading('full'))).toMatch(/may not be taken now/);
    desk.to('discharged');
    expect(desk.offer(reading('cold'))).toBe('ok');
    expect(desk.offer(reading('full'))).toMatch(/power on, isolated, full line/);
    desk.full();
    expect(desk.offer(reading('full'))).toBe('ok');
    expect(desk.offer(reading('cold'))).toMatch(/power off/);
    expect(desk.offer(reading('nonsense'))).toMatch(/no check/);
  });

  it('are judged at the time they are offered, not when the screen was drawn', () => {
    const desk = new Desk().to('discharged');
    const { view } = desk;
    const later = new Date(desk.now + 31 * 60_000);
    expect(accept(reading('cold'), view, new Date(desk.now)).ok).toBe(true);
    expect(accept(reading('cold'), view, later).ok).toBe(false);
  });

  it('live ones may be typed for ten minutes after power-off, in the head till then', () => {
    const desk = new Desk().full();
    desk.offer({ type: 'powered-off', why: 'plan done' });
    expect(desk.wait(9).offer(reading('full', 280))).toBe('ok');
    expect(desk.offer(reading('limited', 280))).toBe('ok');
    expect(desk.offer(reading('raster'))).toMatch(/horizontal output stage: enabled/);
    expect(desk.view.safety.disbelieved.size).toBe(0);
    expect(desk.wait(2).offer(reading('full', 280))).toMatch(/may not/);
  });

  it('not after a forced stop, and not once hands are back at the set', () => {
    const stopped = new Desk().full();
    stopped.offer(reading('full', 450));
    expect(stopped.offer(reading('full', 280))).toMatch(/power off now/);
    stopped.offer({ type: 'powered-off', why: '' });
    expect(stopped.offer(reading('full', 280))).toMatch(/may not/);
    const handsOn = new Desk().full();
    handsOn.offer({ type: 'powered-off', why: '' });
    handsOn.gate('plug-pulled');
    expect(handsOn.offer(reading('full', 280))).toBe('ok');
    handsOn.to('discharged');
    expect(handsOn.offer(reading('full', 280))).toMatch(/may not/);
  });

  it('what protects comes first', () => {
    const guard = makeCheck({ id: 'b-plus-short', state: 'S0', before: ['power-limited'] });
    const desk = new Desk([...Object.values(CHECKS), guard]).to('discharged').to('isolated-limited');
    expect(desk.on('isolated-limited', 40)).toMatch(/first: b-plus-short/);
    expect(desk.offer(reading('b-plus-short'))).toBe('ok');
    expect(desk.to('isolated-limited').on('isolated-limited', 40)).toBe('ok');
  });
});

describe('gates, power, configuration', () => {
  it('the second anode reading too early is refused with the time left', () => {
    const desk = new Desk();
    for (const id of ['plug-pulled', 'eye-protection', 'meter-before', 'anode-first'] as const)
      expect(desk.gate(id)).toBe('ok');
    desk.wait(2);
    expect(desk.gate('anode-second')).toMatch(/Wait 180 s more/);
    desk.wait(3);
    expect(desk.gate('anode-second')).toBe('ok');
  });

  it('an answer out of its place is refused with what comes before', () => {
    const desk = new Desk();
    expect(desk.gate('electrolytics')).toMatch(/does not count yet.*Every plug pulled/);
    expect(desk.gate('still-cold')).toMatch(/does not count yet/);
    expect(desk.gate('chassis-ac')).toMatch(/live, isolated set only/);
    expect(desk.offer({ type: 'gate', gate: 'made-up', raw: '', value: option('yes') })).toMatch(
      /no safety gate/,
    );
  });

  it('a failing answer is always recorded', () => {
    const desk = new Desk().to('discharged');
    expect(desk.offer({ type: 'gate', gate: 'electrolytics', raw: '90', value: number(90) })).toBe('ok');
    expect(desk.offer(reading('cold'))).toMatch(/Every electrolytic/);
  });

  it('power-off is accepted from anywhere', () => {
    for (const desk of [new Desk(), new Desk().to('discharged'), new Desk().full()]) {
      expect(desk.offer({ type: 'powered-off', why: '' })).toBe('ok');
      expect(desk.view.safety.supply).toBe('unplugged');
    }
  });

  it('the horizontal stage is enabled cold, after its drive was read at -10 V or more', () => {
    const desk = new Desk().full();
    expect(desk.offer({ type: 'configured', item: 'horizontal', value: 'enabled' })).toMatch(
      /Power off first/,
    );
    expect(desk.offer(reading('horizontal-output-grid-drive', -3))).toBe('ok');
    desk.offer({ type: 'powered-off', why: '' });
    desk.to('discharged');
    expect(desk.offer({ type: 'configured', item: 'horizontal', value: 'enabled' })).toMatch(
      /drive at the horizontal output grid/,
    );
    desk.full();
    desk.offer(reading('horizontal-output-grid-drive', -46));
    desk.offer({ type: 'powered-off', why: '' });
    expect(desk.offer({ type: 'configured', item: 'horizontal', value: 'enabled' })).toMatch(/proven dead/);
    desk.to('discharged');
    expect(desk.offer({ type: 'configured', item: 'horizontal', value: 'enabled' })).toBe('ok');
    desk.to('isolated-full');
    expect(desk.on('isolated-limited', 40)).toMatch(/disabled/);
    expect(desk.on('isolated-full', 80)).toMatch(/106 V or more in one move/);
    expect(desk.on('isolated-full', 117)).toBe('ok');
    expect(desk.offer({ type: 'line-volts', lineVolts: 90 })).toMatch(/in one move/);
    expect(desk.to('isolated-full').offer(reading('raster'))).toBe('ok');
  });

  it('nothing is plugged, linked or repaired live', () => {
    const desk = new Desk().full();
    for (const event of [
      { type: 'configured', item: 'yoke', value: 'unplugged' },
      { type: 'link-fitted', what: 'clip' },
      { type: 'repaired', part: 'a.b', action: 'replaced', found: '' },
      { type: 'bench-described', instruments: [] },
    ] as const) {
      expect(desk.offer(event), event.type).toMatch(/[Pp]ower off/);
    }
  });

  it('power cannot be undone, gates are answered again rather than corrected', () => {
    const desk = new Desk().full();
    const seq = (match: (event: RecordedEvent) => boolean) => desk.events.find(match)?.seq ?? 0;
    expect(desk.offer({ type: 'undone', target: seq((e) => e.type === 'powered-up') })).toMatch(
      /cannot be taken back/,
    );
    expect(
      desk.offer({ type: 'corrected', target: seq((e) => e.type === 'gate'), raw: '0', value: number(0) }),
    ).toMatch(/Answer the gate again/);
    expect(desk.offer({ type: 'undone', target: 9999 })).toMatch(/no entry/);
    expect(
      desk.offer({ type: 'undone', target: seq((e) => e.type === 'gate' && e.gate === 'chassis-ac') }),
    ).toBe('ok');
  });
});

describe('journals edited by hand', () => {
  it('a live reading without its proofs is flagged and not believed', () => {
    const desk = new Desk();
    desk.force(reading('full', 280));
    desk.force({ type: 'powered-up', to: 'isolated-full', lineVolts: 117 });
    desk.force(reading('full', 280));
    expect([...desk.view.safety.disbelieved]).toEqual([
      [1, 'isolation and chassis not proven at the time'],
      [3, 'isolation and chassis not proven at the time'],
    ]);
    expect(desk.view.safety.forcedStop?.why).toBe('power-without-proof');
  });

  it('a reading put right later, on a set that is not proven dead any more, is believed as it was', () => {
    const desk = new Desk().to('discharged');
    desk.force(reading('cold'));
    const target = desk.events.find((e) => e.type === 'reading')?.seq ?? 0;
    desk.force({ type: 'resumed' });
    desk.force({ type: 'corrected', target, raw: '5', value: number(5) });
    expect([...desk.view.safety.disbelieved]).toEqual([]);
  });

  it('a cold reading between power and proof is not believed either', () => {
    const desk = new Desk().to('discharged');
    desk.force(reading('cold'));
    desk.wait(40).force(reading('cold'));
    expect([...desk.view.safety.disbelieved.values()]).toEqual(['not proven dead at the time']);
  });

  it('an orderly session is believed as a whole', () => {
    const desk = new Desk().to('discharged');
    desk.offer(reading('cold'));
    desk.full().offer(reading('full', 280));
    expect(desk.view.safety.disbelieved.size).toBe(0);
  });

  it('any subset of an orderly record, in any order, makes nothing believed that its own proofs do not bear out', () => {
    const desk = new Desk().full();
    desk.offer(reading('full', 280));
    const { events } = desk;
    const last = events.length - 1;
    fc.assert(
      fc.property(fc.subarray(events.slice(0, last)), (kept) => {
        if (kept.length === last) return;
        const list = [...kept, ...events.slice(last)].map((event, index) => ({ ...event, seq: index + 1 }));
        const { safetyLog } = foldAll(list);
        const safety = safetyOf(
          safetyLog,
          ORDINARY,
          ALL_INSTRUMENTS,
          new Date(desk.now),
          checkSafety(desk.checks),
        );
        const needed = events
          .slice(0, last)
          .filter((event) => event.type === 'gate' || event.type === 'powered-up');
        const missing = needed.filter((event) => !kept.includes(event));
        const spare = (event: RecordedEvent) => event.type === 'gate' && event.gate === 'still-cold';
        if (missing.some((event) => !spare(event))) expect(safety.disbelieved.size).toBe(1);
      }),
      { numRuns: 300 },
    );
  });
});
