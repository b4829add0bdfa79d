// What a technician would type on a set that is in order, check by check, from the rulebook's own normal bands; a scenario overrides what its faults change.
import type { Band, Check, Read } from '../../src/rulebook/types.ts';
import { fromBase } from '../../src/session/index.ts';
import type { WalkView } from '../../src/walk/types.ts';

/** Most a bench man would say of a choice when all is well: the option that a good part or signal gives most often. */
function healthyOption(check: Check): string {
  const score = new Map(check.options.map((o) => [o.id, 1]));
  for (const read of check.reads) {
    const row = read.table[read.part ? 'ok' : 'normal'] ?? {};
    for (const option of check.options)
      score.set(option.id, (score.get(option.id) ?? 1) * (row[option.id] ?? 0.02));
  }
  return [...score].sort((a, b) => b[1] - a[1])[0]?.[0] ?? '';
}

function middle(band: Band, linear: boolean): number {
  const [low, high] = band;
  if (low === null) return (high ?? 1) / 2;
  if (high === null) return low * 4;
  return linear || low <= 0 ? (low + high) / 2 : Math.sqrt(low * high);
}

function healthyNumber(read: Read, expected: number | undefined): number {
  const band = read.bands[read.part ? 'ok' : 'normal']?.[0] ?? [1, 1];
  const value = middle(band, read.scale === 'difference');
  if (read.scale === 'ratio' && expected !== undefined)
    return expected * Math.min(1.05, Math.max(0.95, value));
  return value;
}

/** Text typed at `check` on a healthy set; `undefined` where the check has nothing to say. */
export function healthyAnswer(check: Check, view: WalkView): string | undefined {
  if (check.kind === 'choice') return healthyOption(check);
  const read = check.reads[0];
  if (!read) return undefined;
  const expected = view.standings.find((s) => s.check.id === check.id)?.expected?.value;
  if (check.kind === 'pair') {
    const ratio = healthyNumber(read, expected);
    return check.combine === 'difference'
      ? `${trim(fromBase(ratio, check.unit) + 100)} 100`
      : `${trim(100 * ratio)} 100`;
  }
  return trim(fromBase(healthyNumber(read, expected), check.unit));
}

function trim(value: number): string {
  return String(Number(value.toPrecision(3)));
}
