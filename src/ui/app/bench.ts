// Instruments on the bench today: marked in a list, remembered for the next session.
import type { Key } from '../key-stream.ts';
import type { Command } from '../keys.ts';
import type { App } from './app.ts';
import type { Acts, BenchScreen } from './model.ts';

/** Opens the list with what is known: of this session, else of the preferences. */
export function openBench(app: App, purpose: BenchScreen['purpose']): Acts {
  app.push({ kind: 'bench', index: 0, chosen: keptOf(app, purpose), purpose, leaving: false });
}

export function keyBench(app: App, before: BenchScreen, key: Key, command: Command | undefined): Acts {
  const screen: BenchScreen = before.leaving ? { ...before, leaving: false } : before;
  const all = app.book.instruments;
  const move = (to: number): Acts =>
    app.show({ ...screen, index: Math.max(0, Math.min(all.length - 1, to)) });
  switch (command) {
    case 'up':
      return move(screen.index - 1);
    case 'down':
      return move(screen.index + 1);
    case 'first':
    case 'page-up':
      return move(0);
    case 'last':
    case 'page-down':
      return move(all.length - 1);
    case 'toggle': {
      const id = all[screen.index]?.id;
      if (id === undefined) return;
      const chosen = screen.chosen.includes(id)
        ? screen.chosen.filter((c) => c !== id)
        : [...screen.chosen, id];
      return app.show({ ...screen, chosen });
    }
    case 'take':
    case 'done':
      return accept(app, screen);
    case 'back':
      if (!before.leaving && marked(app, screen)) {
        app.show({ ...screen, leaving: true });
        return app.say('Esc again forgets what was marked here; Enter keeps it.', 'watch');
      }
      return app.state.live?.view.step.kind === 'describe-bench' ? app.goHome() : app.pop();
  }
  // A letter goes to the next instrument that begins with it.
  if (key.name === 'char') {
    const from = screen.index + 1;
    const order = [...all.slice(from), ...all.slice(0, from)];
    const found = order.find((i) => i.title.toLowerCase().startsWith(key.text.toLowerCase()));
    if (found) move(all.indexOf(found));
  }
}

/** What is known already to be at hand. */
function keptOf(app: App, purpose: BenchScreen['purpose']): readonly string[] {
  const ofSession = app.state.live?.view.state.instruments ?? [];
  return purpose === 'session' && ofSession.length > 0 ? ofSession : app.ports.readPreferences().instruments;
}

function marked(app: App, { chosen, purpose }: BenchScreen): boolean {
  return [...chosen].sort().join() !== [...keptOf(app, purpose)].sort().join();
}

function accept(app: App, screen: BenchScreen): Acts {
  const instruments = app.book.instruments.map((i) => i.id).filter((id) => screen.chosen.includes(id));
  if (instruments.length === 0) return app.say('Mark what is at hand: a meter at least.', 'watch');
  if (screen.purpose === 'session') {
    if (!app.commit([{ type: 'bench-described', instruments }], 'Instruments noted.')) return;
  }
  app.pop();
  app.settle();
  app.keep({ instruments });
}
