// Where a saved session was left: when, with what supply, the last reading with its result, and what comes next.
import type { SessionState } from '../../session/types.ts';
import type { WalkView } from '../../walk/types.ts';
import { clean, cut, when } from '../text.ts';
import type { App } from './app.ts';

/** Longest title or value that the two lines of it hold. */
const MOST = 44;

/** The supply as the last entry about it left it. */
function supplyWords({ history }: SessionState): string {
  const power = history.findLast((e) => e.type === 'powered-up' || e.type === 'powered-off');
  if (power === undefined) return 'never powered yet';
  return power.type === 'powered-up' ? 'power on' : 'switched off';
}

/** A sentence or three for the opening of a session; empty for one in which nothing was read yet. */
export function leftOff(app: App, view: WalkView): string {
  const { state, plan } = view;
  const reading = state.readings.at(-1);
  const at = state.history.findLast((event) => event.type !== 'resumed')?.at;
  if (!reading || at === undefined) return '';
  const judgement = app.engine.judge(view, reading.seq);
  const title = judgement?.check.title ?? reading.check;
  const verdict = { good: ', good', watch: ', to be watched', bad: ', bad', noted: '' };
  const result = judgement
    ? `${cut(judgement.text, MOST)}${verdict[judgement.standing]}`
    : clean(reading.raw);
  const next = plan.stop ? 'the walk had come to its end' : plan.ranked[0]?.check.title;
  return [
    `Left off ${when(at)}, ${supplyWords(state)}.`,
    `Last: ${cut(title, MOST)}: ${result}.`,
    next === undefined ? '' : `Then: ${cut(next, MOST)}.`,
  ]
    .filter((text) => text !== '')
    .join(' ');
}
