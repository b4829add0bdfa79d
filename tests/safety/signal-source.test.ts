// A signal source is earthed through its own cord: its lead goes to proven antenna terminals only, cold, and no power comes on where it must not be.
import { describe, expect, it } from 'vitest';
import type { SessionEvent } from '../../src/session/index.ts';
import { CHECKS, makeCheck, option, withFacts } from './bench-log.ts';
import { Desk, reading } from './desk.ts';

const LEAD_ON: SessionEvent = { type: 'configured', item: 'signal-lead', value: 'fitted' };
const LEAD_OFF: SessionEvent = { type: 'configured', item: 'signal-lead', value: 'off' };
const SOURCE_ON: SessionEvent = { type: 'configured', item: 'signal', value: 'applied' };
const OHMS = CHECKS.antenna.id;
const AT_500_V = 'antenna-isolation-ohms';
const antenna = (what: string, check: string = OHMS): SessionEvent => ({
  type: 'reading',
  check,
  raw: what,
  value: option(what),
  context: { lineVolts: 0, instrument: 'dmm', supply: 'discharged', config: {} },
});

describe('a signal source', () => {
  const insulation = makeCheck({ id: AT_500_V, state: 'S0', access: 'back-off', injects: true });
  const both = [...Object.values(CHECKS), insulation];

  it('gets its lead on a set proven dead, and is switched at its own output, live too', () => {
    const desk = new Desk();
    expect(desk.offer(LEAD_ON)).toMatch(/proven dead/);
    desk.gate('plug-pulled');
    expect(desk.offer(LEAD_ON)).toMatch(/proven dead/);
    desk.to('discharged');
    expect(desk.offer(antenna('bleeder'))).toBe('ok');
    expect(desk.offer(SOURCE_ON)).toMatch(/not known to be on/);
    expect(desk.offer(LEAD_ON)).toBe('ok');
    desk.full();
    expect(desk.offer(LEAD_ON)).toMatch(/Power off first/);
    expect(desk.offer(LEAD_OFF)).toMatch(/Power off first/);
    expect(desk.offer(reading('picture'))).toMatch(/signal: applied/);
    expect(desk.offer(SOURCE_ON)).toBe('ok');
    expect(desk.offer(reading('picture'))).toBe('ok');
    expect(desk.offer({ ...SOURCE_ON, value: 'none' })).toBe('ok');
  });

  it('is not said to be on at a live set without a lead: nobody fits one live', () => {
    const desk = new Desk().to('discharged');
    desk.offer(antenna('bleeder'));
    desk.full();
    expect(desk.offer(SOURCE_ON)).toMatch(/lead fitted cold/);
    expect(desk.offer(LEAD_ON, SOURCE_ON)).toMatch(/Power off first/);
  });

  it('stays off the terminals of a hot chassis that read leaking or short, or were never read', () => {
    for (const what of ['leaking', 'short']) {
      const desk = new Desk().to('discharged');
      expect(desk.offer(LEAD_ON), 'never read').toMatch(/first: antenna-terminal-ohms/);
      expect(desk.offer(antenna(what))).toBe('ok');
      expect(desk.offer(LEAD_ON), what).toMatch(/do not leak/);
      expect(desk.offer(SOURCE_ON), what).toMatch(/do not leak/);
    }
    for (const what of ['bleeder', 'open']) {
      const desk = new Desk().to('discharged');
      desk.offer(antenna(what));
      expect(desk.offer(LEAD_ON), what).toBe('ok');
    }
  });

  it('is left to the technician where the terminals cannot be read today; a rule pack without that check lets nothing on', () => {
    for (const why of ['skipped', 'no-instrument']) {
      const desk = new Desk().to('discharged');
      desk.standing.set(OHMS, why);
      expect(desk.offer(LEAD_ON), why).toBe('ok');
    }
    const bare = new Desk(Object.values(CHECKS).filter(({ id }) => id !== OHMS)).to('discharged');
    expect(bare.offer(LEAD_ON)).toMatch(/proven apart from the line/);
    bare.facts = withFacts({ chassis: 'isolated-unproven' });
    expect(bare.offer(LEAD_ON)).toBe('ok');
    const unknown = new Desk().to('discharged');
    unknown.facts = withFacts({ chassis: 'unknown' });
    expect(unknown.offer(LEAD_ON)).toMatch(/first: antenna/);
  });

  it('stays off a chassis that reads connected, whatever the set was described as', () => {
    const desk = new Desk([...both, makeCheck({ id: 'blade-chassis-ohms', state: 'S0' })]).to('discharged');
    desk.facts = withFacts({ chassis: 'isolated-unproven' });
    desk.offer(antenna('finite', 'blade-chassis-ohms'));
    expect(desk.offer(LEAD_ON)).toMatch(/correct the family/);
  });

  it('a leak at 500 V is not cleared by an ohmmeter, nor the other way round: the same check is read again', () => {
    const leak = new Desk(both).to('discharged');
    leak.offer(antenna('leaking', AT_500_V));
    leak.to('discharged');
    leak.offer(antenna('bleeder'));
    expect(leak.offer(LEAD_ON)).toMatch(/do not leak/);
    const slip = new Desk(both).to('discharged');
    slip.offer(antenna('short'));
    slip.offer(antenna('bleeder', AT_500_V));
    slip.to('discharged');
    expect(slip.offer(LEAD_ON)).toMatch(/do not leak/);
    slip.offer(antenna('bleeder'));
    expect(slip.offer(LEAD_ON)).toBe('ok');
  });

  it('after a repair the terminals are read again; leaving the check out clears no leak', () => {
    const desk = new Desk(both).to('discharged');
    desk.offer(antenna('leaking'));
    desk.standing.set(AT_500_V, 'no-instrument');
    for (const status of ['allowed', 'skipped', 'no-instrument']) {
      desk.standing.set(OHMS, status);
      expect(desk.offer(LEAD_ON), status).toMatch(/No signal source/);
    }
    desk.standing.delete(OHMS);
    expect(desk.offer(antenna('bleeder'))).toBe('ok');
    expect(desk.offer(LEAD_ON)).toBe('ok');
  });

  it('a reading corrected or taken back, live, keeps power off until the lead is off', () => {
    for (const change of ['corrected', 'undone'] as const) {
      const desk = new Desk().to('discharged');
      desk.offer(antenna('bleeder'));
      const target = desk.events.length;
      desk.offer(LEAD_ON);
      desk.full().offer(SOURCE_ON);
      expect(
        desk.offer(
          change === 'undone'
            ? { type: 'undone', target }
            : { type: 'corrected', target, raw: 'short', value: option('short') },
        ),
      ).toBe('ok');
      expect(desk.offer(SOURCE_ON)).toMatch(/No signal source/);
      desk.offer({ type: 'powered-off', why: '' });
      desk.to('isolated-limited');
      expect(desk.on('isolated-limited', 40), change).toMatch(/lead of the signal source off/);
      expect(desk.offer(antenna('bleeder')), 'with the lead on').toMatch(/lead of the signal source off/);
      expect(desk.offer(LEAD_OFF)).toBe('ok');
      expect(desk.on('isolated-limited', 40), change).toBe('ok');
    }
  });

  it('its lead is not counted on once it was taken back, somebody was away, the session was resumed, or an earthed clip was owned up to', () => {
    const fitted = () => {
      const desk = new Desk().to('discharged');
      desk.offer(antenna('bleeder'));
      desk.offer(LEAD_ON);
      desk.full();
      expect(desk.offer(SOURCE_ON)).toBe('ok');
      return desk;
    };
    const doubts: SessionEvent[] = [
      { type: 'resumed' },
      { type: 'touched', what: 'left-bench' },
      { type: 'touched', what: 'plug' },
      { type: 'gate', gate: 'nothing-earthed', raw: '', value: option('no') },
    ];
    for (const doubt of doubts) {
      const desk = fitted();
      desk.offer({ type: 'powered-off', why: '' });
      desk.offer(doubt);
      expect(desk.view.safety.signalLead, doubt.type).toBe('unknown');
      expect(desk.full().offer(reading('picture')), doubt.type).toMatch(/lead of the signal source fitted/);
      expect(desk.offer(SOURCE_ON), doubt.type).toMatch(/not known to be on/);
    }
    const undone = fitted();
    const target = undone.events.find((e) => e.type === 'configured' && e.item === 'signal-lead')?.seq ?? 0;
    expect(undone.offer({ type: 'undone', target })).toMatch(/Power off first/);
    undone.offer({ type: 'powered-off', why: '' });
    expect(undone.offer({ type: 'undone', target })).toBe('ok');
    expect(undone.full().offer(reading('picture'))).toMatch(/lead of the signal source fitted/);
  });

  it('its lead is not counted on after a check that clips the source on elsewhere', () => {
    const behind = makeCheck({
      id: 'if-injection',
      state: 'S2',
      needs: ['signal-generator'],
      config: { signal: 'applied' },
    });
    const ring = makeCheck({ id: 'scope-ring', state: 'S0', needs: ['oscilloscope', 'signal-generator'] });
    const screen = makeCheck({ ...behind, id: 'channel-look' });
    for (const [check, left] of [
      [screen, 'fitted'],
      [behind, 'unknown'],
      [ring, 'unknown'],
    ] as const) {
      const desk = new Desk([...both, check]).to('discharged');
      desk.standing.set(AT_500_V, 'no-instrument');
      desk.offer(antenna('bleeder'));
      desk.offer(LEAD_ON);
      if (check.state === 'S2') desk.full().offer(SOURCE_ON);
      expect(desk.offer(reading(check.id)), check.id).toBe('ok');
      expect(desk.view.safety.signalLead, check.id).toBe(left);
    }
  });

  it('a journal that has a signal without a lead counts on none, and suspects one', () => {
    const desk = new Desk().to('discharged');
    desk.force(SOURCE_ON);
    expect(desk.view.safety.signalLead).toBe('unknown');
    desk.to('isolated-limited');
    expect(desk.on('isolated-limited', 40)).toMatch(/lead of the signal source off/);
    desk.force({ type: 'resumed' });
    expect(desk.offer(LEAD_OFF)).toMatch(/Pull the plug/);
    desk.gate('plug-pulled');
    expect(desk.offer(LEAD_OFF)).toBe('ok');
    const live = new Desk().full();
    live.force(LEAD_ON);
    expect(live.view.safety.signalLead, 'fitted live, by hand').toBe('unknown');
  });
});
