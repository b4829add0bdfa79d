// The shape of events and headers: every kind goes through unchanged, everything else is refused without a crash.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { cleanText, type SessionEvent, validateEvent } from '../../src/session/index.ts';
import { eventLine, headerLine, readJournalText, sumOf } from '../../src/session/journal-text.ts';
import { FORMAT, VERSION, validateHeader } from '../../src/session/validate.ts';
import { CONTEXT, RULES, recorded, volts } from './helpers.ts';

const SET = {
  name: 'Tarnhollow table set',
  owner: 'June',
  question: 'no raster',
  family: 'transformer',
  standard: '525',
  lineVolts: 120,
  ratedVolts: 117,
  ratedWatts: 180,
  pictureTube: '21YP4A',
  tubes: { 'horizontal-output': '6DQ6A' },
  complaint: ['no-raster'],
  restored: 'none',
  storage: 'dry',
  facts: { hv: 'flyback' },
  serviceData: { 'b-plus-working': { value: 270, unit: 'V', lineVolts: 117, meterOhms: 1e7 } },
} as const;

/** One of each kind. */
const EVENTS: readonly SessionEvent[] = [
  { type: 'set-described', set: SET },
  { type: 'bench-described', instruments: ['dmm'] },
  { type: 'reading', check: 'a', raw: '-46', value: volts(-46), context: CONTEXT, note: 'warm' },
  {
    type: 'reading',
    check: 'a',
    raw: '>20M',
    value: { kind: 'bound', side: 'above', value: 2e7, unit: 'ohm' },
    context: CONTEXT,
  },
  {
    type: 'reading',
    check: 'a',
    raw: '1-2',
    value: { kind: 'range', low: 1, high: 2, unit: 'V' },
    context: CONTEXT,
  },
  { type: 'reading', check: 'a', raw: 'ol', value: { kind: 'over-range' }, context: CONTEXT },
  { type: 'reading', check: 'a', raw: 'short', value: { kind: 'short' }, context: CONTEXT },
  {
    type: 'reading',
    check: 'a',
    raw: '1 2',
    value: { kind: 'pair', values: [1, 2], unit: 'ohm' },
    context: CONTEXT,
  },
  { type: 'reading', check: 'a', raw: '1', value: { kind: 'choice', option: 'full' }, context: CONTEXT },
  {
    type: 'reading',
    check: 'a',
    raw: '8ac~',
    value: { kind: 'number', value: 8, unit: 'V', unstable: true, mark: 'ac' },
    context: CONTEXT,
  },
  { type: 'skipped', check: 'a', reason: 'cannot-reach', note: 'board' },
  { type: 'corrected', target: 3, raw: '-45', value: volts(-45) },
  { type: 'undone', target: 4 },
  { type: 'gate', gate: 'plug-pulled', raw: '1', value: { kind: 'choice', option: 'yes' } },
  { type: 'powered-up', to: 'isolated-full', lineVolts: 117 },
  { type: 'powered-off', why: 'plan done' },
  { type: 'touched', what: 'left-bench' },
  { type: 'configured', item: 'horizontal', value: 'disabled' },
  { type: 'link-fitted', what: 'clip' },
  { type: 'link-removed', what: 'clip' },
  { type: 'line-volts', lineVolts: 80 },
  { type: 'repaired', part: 'a.b', action: 'replaced', found: 'leaky', note: 'film' },
  { type: 'note', text: 'smell', check: 'a' },
  { type: 'owner-wish', wish: 'display' },
  { type: 'went-on', assembly: 'flyback' },
  { type: 'timer-started', timer: 'warm-up', seconds: 60 },
  { type: 'resumed' },
  { type: 'finished' },
];

describe('events', () => {
  it.each(EVENTS.map((event) => [event.type, event] as const))('%s goes through unchanged', (_, event) => {
    expect(validateEvent(event)).toEqual({ ok: true, value: event });
  });

  it.each([1e308, 1e-300, 5e-324, -117])('%s is no line voltage of this world', (lineVolts) => {
    for (const event of [
      { type: 'line-volts', lineVolts },
      { type: 'powered-up', to: 'isolated-full', lineVolts },
    ])
      expect(validateEvent(event).ok, event.type).toBe(false);
    expect(validateEvent({ type: 'line-volts', lineVolts: 0 }).ok).toBe(true);
  });

  it('a file of one of each reads back the same', () => {
    const header = {
      format: FORMAT,
      version: VERSION,
      created: '2026-03-01T09:00:00.000Z',
      name: 'x',
      rules: RULES,
      set: null,
    } as const;
    let sum = sumOf('', headerLine(header));
    const lines = [headerLine(header)];
    const list = recorded(EVENTS);
    for (const event of list) {
      const next = eventLine(event, sum);
      lines.push(next.line);
      sum = next.sum;
    }
    const text = readJournalText(Buffer.from(`${lines.join('\n')}\n`), 'x');
    expect(text.damage).toBeUndefined();
    expect(text.events).toEqual(list);
    expect(text.header).toEqual(header);
  });

  it.each([
    [{ type: 'exploded' }, /type/],
    [{ type: 'undone', target: 0 }, /target/],
    [{ type: 'undone', target: 1.5 }, /target/],
    [{ type: 'powered-up', to: 'the-wall', lineVolts: 117 }, /to/],
    [{ type: 'line-volts', lineVolts: Number.POSITIVE_INFINITY }, /lineVolts/],
    [{ type: 'note', text: 'x'.repeat(5000) }, /text/],
    [{ type: 'bench-described', instruments: Array.from({ length: 600 }, () => 'dmm') }, /instruments/],
    [
      {
        type: 'set-described',
        set: { ...SET, facts: Object.fromEntries(Array.from({ length: 600 }, (_, i) => [`f${i}`, 'x'])) },
      },
      /facts/,
    ],
    [
      {
        type: 'reading',
        check: 'a',
        raw: '1',
        value: { kind: 'number', value: null, unit: 'V', unstable: false },
        context: CONTEXT,
      },
      /value/,
    ],
    [null, /entry/],
    ['text', /entry/],
    [[], /entry/],
  ])('%j is refused, the field named', (data, where) => {
    const result = validateEvent(data);
    expect(result.ok ? '' : result.message).toMatch(where);
  });

  it('what an event does not have is left out', () => {
    expect(validateEvent({ type: 'resumed', run: 'rm', constructor: 1 })).toEqual({
      ok: true,
      value: { type: 'resumed' },
    });
  });

  it('nothing crashes it, and no control character comes through', () => {
    const base = fc.constantFrom<unknown>(...EVENTS);
    const anything = fc.oneof(fc.jsonValue(), fc.anything());
    const mutated = fc
      .tuple(base, fc.string(), anything)
      .map(([event, key, value]) => ({ ...(event as object), [key]: value }));
    const replaced = fc.tuple(base, fc.nat(5), anything).map(([event, index, value]) => {
      const entries = Object.entries(event as object);
      return Object.fromEntries(entries.map(([key, old], at) => [key, at === index ? value : old]));
    });
    fc.assert(
      fc.property(fc.oneof(anything, mutated, replaced), (data) => {
        const result = validateEvent(data);
        const text = JSON.stringify(result.ok ? result.value : result.message);
        expect(text).not.toMatch(/\\u00[01]|[\u0000-\u001f\u007f-\u009f\u202e]/);
      }),
      { numRuns: 3000 },
    );
  });
});

describe('headers', () => {
  it('nothing crashes them', () => {
    fc.assert(
      fc.property(fc.oneof(fc.jsonValue(), fc.anything()), (data) => {
        validateHeader(data);
      }),
    );
  });
});

describe('text', () => {
  it('keeps words of any script and drops what moves a terminal', () => {
    expect(cleanText('Größe 電視 \u001b]0;x\u0007\u200fz')).toBe('Größe 電視 ]0;xz');
    fc.assert(
      fc.property(fc.string({ unit: 'binary' }), (text) => {
        const clean = cleanText(text);
        expect(clean).not.toMatch(/[\u0000-\u001f\u007f-\u009f\u2028-\u202e]/);
        expect(cleanText(clean)).toBe(clean);
        expect(Buffer.from(clean).toString()).toBe(clean);
      }),
      { numRuns: 2000 },
    );
  });
});
