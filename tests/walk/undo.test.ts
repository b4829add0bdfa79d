// Taking back the last entry: what it reaches, and what it does not reach past. Invented events.
import { describe, expect, it } from 'vitest';
import type { RecordedEvent } from '../../src/session/types.ts';
import { undoLast } from '../../src/walk/entries.ts';
import type { WalkView } from '../../src/walk/types.ts';

const AT = '2031-05-01T19:20:00.000Z';

function viewOf(...types: readonly string[]): WalkView {
  const history = types.map((type, n) => ({ seq: n + 1, at: AT, type })) as unknown as RecordedEvent[];
  return { state: { history } } as unknown as WalkView;
}

describe('taking back', () => {
  it('takes back the last entry that can be taken back', () => {
    const entry = undoLast(viewOf('reading', 'reading'));
    expect(entry).toMatchObject({ kind: 'events', events: [{ type: 'undone', target: 2 }] });
  });

  it('does not reach past a power-off for the reading before it', () => {
    const entry = undoLast(viewOf('reading', 'powered-off'));
    expect(entry).toMatchObject({ kind: 'refused' });
    expect(JSON.stringify(entry)).toMatch(/Power off is not taken back/);
  });

  it('takes back what came after the power-off', () => {
    expect(undoLast(viewOf('reading', 'powered-off', 'gate'))).toMatchObject({
      events: [{ type: 'undone', target: 3 }],
    });
  });
});
