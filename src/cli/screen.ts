// The full-screen program: joins terminal and screens. Draws first; what it works with is loaded and read afterwards.
import { App } from '../ui/app/app.ts';
import { openIntake } from '../ui/app/intake.ts';
import { practise, resume } from '../ui/app/opening.ts';
import { LINEAR_COLUMNS, LINEAR_ROWS, linearScreen } from '../ui/linear.ts';
import type { Ports } from '../ui/ports.ts';
import { createScreenWriter } from '../ui/screen-writer.ts';
import { runOnTerminal, type TerminalControl } from '../ui/terminal.ts';
import { isLightBackground } from '../ui/theme.ts';
import { type Paint, paintedLines } from '../ui/views/paint.ts';
import { screenLines } from '../ui/views/screen.ts';
import type { AfterFrame } from './after-frame.ts';
import { EXIT, InputError } from './problem.ts';
import type { CommandLine } from './usage.ts';

/** NO_COLOR counts when it is set to anything (no-color.org). */
const wantsColour = (line: CommandLine): boolean => !line.noColor && (process.env.NO_COLOR ?? '') === '';

function portsFor(control: TerminalControl, read: () => AfterFrame): Ports {
  return {
    ...control,
    now: () => new Date(),
    get sessions() {
      return read().work.sessions;
    },
    writeReport: (view, session) => read().work.writeReport(view, session),
    afterFrame: (work) => void setImmediate(work),
    readPreferences: () => read().work.readPreferences(),
    savePreferences: (change) => read().work.savePreferences(change),
    practice: (asked) => read().work.practice(asked),
  };
}

/** Shows the screens until the technician leaves. Throws InputError for a rule base or session that cannot be used. */
export async function runScreen(line: CommandLine): Promise<number> {
  let read: AfterFrame | undefined;
  const known = (): AfterFrame => {
    if (!read) throw new Error('asked before everything was read');
    return read;
  };
  const start = async (app: App): Promise<void> => {
    if (line.command === 'resume' && line.rest[0]) app.update({ busy: `Opening ${line.rest[0]} ...` });
    await new Promise((resolve) => setImmediate(resolve));
    const { readAfterFrame } = await import('./after-frame.ts');
    read = await readAfterFrame(line);
    const { engine, folder, trouble, latest } = read;
    app.loaded({ book: engine.book, engine });
    if (trouble) app.say(trouble, 'watch');
    if (line.command === 'new') openIntake(app, 'new');
    if (line.command === 'practice') {
      const { seed, family, level } = line;
      await practise(app, {
        level,
        ...(seed === undefined ? {} : { seed }),
        ...(family === undefined ? {} : { family }),
      });
    }
    if (line.command === 'resume') {
      const name = line.rest[0] ?? latest();
      if (name === undefined) throw new InputError(`There is no session to resume in ${folder}.`);
      await new Promise<void>((resolve) => resume(app, name, resolve));
      if (!app.state.live) throw new InputError(app.state.notice?.text ?? `"${name}" cannot be opened.`);
    }
  };
  const { stdin, stdout } = process;
  const linear = line.linear ? linearScreen(stdout, line.ascii) : undefined;
  await runOnTerminal(
    { stdin, stdout, writer: linear?.writer ?? createScreenWriter(stdout) },
    (control, columns, rows) =>
      linear
        ? new App(portsFor(control, known), LINEAR_COLUMNS, LINEAR_ROWS)
        : new App(portsFor(control, known), columns, rows),
    async (app, onFrame) => {
      if (linear) return linear.mount(app);
      const paint: Paint = {
        ascii: line.ascii,
        colour: wantsColour(line),
        light: isLightBackground(process.env.COLORFGBG),
      };
      // The first frame stands before Ink is loaded: loading it takes longer than drawing.
      onFrame(paintedLines(screenLines(app), paint));
      const { mount } = await import('../ui/mount.tsx');
      return mount(app, paint, onFrame);
    },
    start,
  );
  return EXIT.done;
}
