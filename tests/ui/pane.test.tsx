// Panes drawn by Ink itself: a pane of lines, and the whole screen at a size.
import { render } from 'ink-testing-library';
import { afterEach, expect, it } from 'vitest';
import { span } from '../../src/ui/text.ts';
import { Lines, PaintContext } from '../../src/ui/views/lines.tsx';
import { Root } from '../../src/ui/views/root.tsx';
import { goldenBook } from './golden-pack.ts';
import { type Bench, openBench } from './harness.ts';

let bench: Bench | undefined;
afterEach(() => bench?.close());

it('draws lines as they are: one row a line, in ASCII where asked, nothing wrapped', () => {
  const lines = [[span('1.2 '), span('kΩ → 4 µA')], [], [span('─'.repeat(30), 'quiet')]];
  const { lastFrame, unmount } = render(
    <PaintContext.Provider value={{ ascii: true, colour: false }}>
      <Lines lines={lines} />
    </PaintContext.Provider>,
  );
  const rows = (lastFrame() ?? '').replace(/\u001b\[[0-9;]*m/g, '').split('\n');
  expect(rows.map((r) => r.trimEnd())).toEqual(['1.2 kR > 4 uA', '', '-'.repeat(30)]);
  unmount();
});

it('draws the home screen of the app at its size', () => {
  bench = openBench(goldenBook(), 90, 26);
  const { lastFrame, unmount } = render(<Root app={bench.app} paint={{ ascii: false, colour: false }} />);
  const rows = (lastFrame() ?? '').split('\n');
  expect(rows).toHaveLength(26);
  expect(rows.join('\n')).toContain('New set');
  expect(rows.at(-1)).toContain('Enter');
  unmount();
});
