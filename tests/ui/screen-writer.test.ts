// The screen writer's byte stream, exactly; and that a terminal fed with it shows the last frame, whatever came before.
import xterm from '@xterm/headless';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createScreenWriter } from '../../src/ui/screen-writer.ts';

function recorder(columns: number, rows: number) {
  const written: string[] = [];
  const out = { columns, rows, write: (text: string) => written.push(text) };
  return { out, written, all: () => written.join('') };
}

describe('byte stream', () => {
  it('opens, writes only lines that changed, and gives the terminal back', () => {
    const { out, written } = recorder(10, 3);
    const writer = createScreenWriter(out);
    writer.open();
    writer.frame('one\ntwo\nthree');
    writer.frame('one\nTWO\nthree');
    writer.frame('one\nTWO\nthree');
    writer.frame('one');
    writer.close();
    writer.close();
    expect(written).toEqual([
      '\u001b[?1049h\u001b[?25l\u001b[?2004h\u001b[0m\u001b[2J\u001b[H',
      '\u001b[?2026h\u001b[1;1Hone\u001b[0m\u001b[K\u001b[2;1Htwo\u001b[0m\u001b[K\u001b[3;1Hthree\u001b[0m\u001b[K\u001b[?2026l',
      '\u001b[?2026h\u001b[2;1HTWO\u001b[0m\u001b[K\u001b[?2026l',
      '\u001b[?2026h\u001b[2;1H\u001b[0m\u001b[K\u001b[3;1H\u001b[0m\u001b[K\u001b[?2026l',
      '\u001b[0m\u001b[?2004l\u001b[?25h\u001b[?1049l',
    ]);
  });

  it('does not erase behind a line that reaches the last column', () => {
    const { out, written } = recorder(5, 1);
    const writer = createScreenWriter(out);
    writer.open();
    writer.frame('\u001b[32m12345\u001b[39m');
    expect(written[1]).toBe('\u001b[?2026h\u001b[1;1H\u001b[32m12345\u001b[39m\u001b[0m\u001b[?2026l');
  });

  it('writes nothing while closed, cuts what is taller than the terminal, rings only when open', () => {
    const { out, all } = recorder(5, 2);
    const writer = createScreenWriter(out);
    writer.frame('a');
    writer.bell();
    writer.repaint();
    expect(all()).toBe('');
    writer.open();
    writer.frame('a\nb\nc');
    writer.bell();
    expect(all()).not.toContain('c\u001b');
    expect(all().endsWith('\u0007')).toBe(true);
    expect(writer.bytesWritten()).toBe(Buffer.byteLength(all()));
  });
});

describe('on a terminal', () => {
  const line = fc.stringMatching(/^[a-z ]{0,12}$/).map((text) => text.trimEnd());
  const frame = fc.array(line, { minLength: 1, maxLength: 5 });
  const step = fc.oneof(
    frame.map((lines) => ({ kind: 'frame' as const, lines })),
    fc.record({
      kind: fc.constant('resize' as const),
      columns: fc.integer({ min: 12, max: 20 }),
      rows: fc.integer({ min: 2, max: 7 }),
    }),
  );

  it('shows the last frame after any sequence of frames and resizes', async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(step, { maxLength: 12 }), frame, async (steps, last) => {
        const terminal = new xterm.Terminal({ cols: 14, rows: 5, allowProposedApi: true });
        const size = { columns: 14, rows: 5 };
        const writer = createScreenWriter({
          get columns() {
            return size.columns;
          },
          get rows() {
            return size.rows;
          },
          write: (text) => terminal.write(text),
        });
        const settle = () => new Promise<void>((resolve) => terminal.write('', resolve));
        writer.open();
        for (const s of steps) {
          if (s.kind === 'frame') writer.frame(s.lines.join('\n'));
          else {
            await settle();
            size.columns = s.columns;
            size.rows = s.rows;
            terminal.resize(s.columns, s.rows);
            writer.repaint();
          }
        }
        writer.frame(last.join('\n'));
        await settle();
        const shown = Array.from(
          { length: size.rows },
          (_, n) => terminal.buffer.active.getLine(n)?.translateToString(true) ?? '',
        );
        terminal.dispose();
        expect(shown).toEqual(Array.from({ length: size.rows }, (_, n) => last[n] ?? ''));
      }),
      { numRuns: 60 },
    );
  });
});
