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
  const input = { view: { state: { set: SET, safetyLog } }, rulebook: BOOK } as unknown as ReportInput;
  const lines = powerLog(input, (text) => text);
  expect(lines.map(({ what, detail }) => [what, detail.split(';').length])).toEqual([
    ['Not proven', 1],
    ['Proven', 2],
    ['Not proven', 1],
  ]);
  expect(lines[0]?.detail).toContain('120 V');
});
