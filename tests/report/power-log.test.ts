// Power and proofs in the record: an answer that did not pass is on record, and is not called proven.
import { expect, it } from 'vitest';
import type { ReportInput } from '../../src/report/input.ts';
import { powerLog } from '../../src/report/power-log.ts';
import type { SafetyEntry } from '../../src/session/types.ts';
import { BOOK, SET } from './fixture.ts';

const AT = '2031-05-01T19:20:00.000Z';

function volts(seq: number, value: number): SafetyEntry {
  return {
    type: 'gate',
    seq,
    at: AT,
    gate: 'electrolytics',
    value: { kind: 'number', value, unit: 'V', unstable: false, mark: 'dc' },
  };
}

it('keeps failed proofs apart from those that passed', () => {
  const safetyLog = [volts(1, 120), volts(2, 0.4), volts(3, 0.3), volts(4, 90)];
  const safety = { unproven: new Set([1, 4]) };
  const input = {
    view: { state: { set: SET, safetyLog }, safety },
    rulebook: BOOK,
  } as unknown as ReportInput;
  const lines = powerLog(input, (text) => text);
  expect(lines.map(({ what, detail }) => [what, detail.split(';').length])).toEqual([
    ['Not proven', 1],
    ['Proven', 2],
    ['Not proven', 1],
  ]);
  expect(lines[0]?.detail).toContain('120 V');
});

it('puts the steps of a bring-up on one line', () => {
  const step = (seq: number, lineVolts: number): SafetyEntry => ({
    type: 'line-volts',
    seq,
    at: AT,
    lineVolts,
  });
  const safetyLog: SafetyEntry[] = [
    { type: 'powered-up', seq: 1, at: AT, to: 'isolated-limited', lineVolts: 30 },
    step(2, 50),
    step(3, 70),
    { type: 'powered-off', seq: 4, at: AT, why: 'enough' },
  ];
  const view = { state: { set: SET, safetyLog }, safety: { unproven: new Set() } };
  const lines = powerLog({ view, rulebook: BOOK } as unknown as ReportInput, (text) => text);
  expect(lines.map(({ what, detail }) => `${what}: ${detail}`)).toEqual([
    'Powered up, isolated, on the lamp: 30 V',
    'Line at the set: 50, 70 V',
    'Powered off: enough',
  ]);
});
