// Leaving a set or the program: asked twice while it is live, half-way proven, half-way rehearsed or not on disk.
import type { App } from './app.ts';
import { openDebrief } from './debrief.ts';
import type { Acts } from './model.ts';

/**
 * Leaves the set or the program. While the set is live, or its discharge is proven, once more is asked: after a resume everything must be
 * proven anew, and a live set must not be left on the bench unseen.
 */
export function leave(app: App, to: 'home' | 'program'): Acts {
  const { live, leaving } = app.state;
  const supply = live?.view.safety.supply ?? 'unknown';
  const isLive = supply === 'isolated-limited' || supply === 'isolated-full';
  const rehearsed = live?.practice !== undefined;
  const unsaved = rehearsed ? 0 : (live?.session.pending.length ?? 0);
  // A rehearsal is kept nowhere: half-way through, one stray key must not end it.
  const halfWay =
    rehearsed &&
    app.screen.kind !== 'debrief' &&
    live.view.judged.length > 0 &&
    live.view.step.kind !== 'stop';
  // So must the wait of a discharge that is half-way proven.
  const halfProven = live?.view.safety.proven.has('anode-first') ?? false;
  const costly =
    unsaved > 0 ||
    halfWay ||
    (isLive && app.screen.kind !== 'debrief') ||
    (to === 'home' && !rehearsed && (supply === 'discharged' || halfProven));
  if (costly && leaving !== to) {
    app.update({ leaving: to });
    const again = to === 'home' ? 'Esc again leaves this set.' : '^C again leaves.';
    if (unsaved > 0 && !isLive)
      return app.say(
        `${unsaved} ${unsaved === 1 ? 'entry is' : 'entries are'} not on disk and would be lost: Enter tries again, ^A saves elsewhere. ${again}`,
        'danger',
      );
    if (halfWay && !isLive)
      return app.say(
        `This ends the rehearsal, which is not kept, and looks back over it. ${to === 'home' ? 'Esc again ends it.' : '^C again ends it.'}`,
        'watch',
      );
    return isLive
      ? app.say(`The set is live. Switch off and pull the plug first: ^X. ${again}`, 'danger')
      : app.say(
          `Everything is saved, but the discharge must be proven anew after coming back. ${again}`,
          'watch',
        );
  }
  if (live?.practice && app.screen.kind !== 'debrief') return openDebrief(app);
  if (to === 'home') return app.goHome();
  app.ports.leave();
}
