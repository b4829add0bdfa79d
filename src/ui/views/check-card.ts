// The card of one check: where, with what, what to expect, what to mind, how and why.
import { isSetUpDead } from '../../rulebook/live.ts';
import type { Check } from '../../rulebook/types.ts';
import { isLive } from '../../walk/costs.ts';
import type { Step } from '../../walk/types.ts';
import type { App } from '../app/app.ts';
import type { WalkScreen } from '../app/model.ts';
import { instrumentFor } from '../app/walk.ts';
import type { Line } from '../text.ts';
import { NEEDS_STATE } from '../theme.ts';
import { type Block, blocks, CARD_LINES, head, linesNeeded, WHOLE } from './card.ts';
import { rangeWords, rightRange } from './gauge.ts';

/** What a check says that names no source. */
const NO_SOURCE = 'common practice, no source';

type CheckStep = Extract<Step, { kind: 'check' }>;

/** Said on a live card: the last chance to see that a clip is not on yet. */
const SET_UP_DEAD = 'Not set up yet? ^X, and prove it dead first: nothing is fitted live.';

function isOn({ state }: App): boolean {
  return state.live !== undefined && isLive(state.live.view.safety.supply);
}

/** The card of one check, in `height` lines. */
export function checkCard(
  app: App,
  screen: WalkScreen,
  step: CheckStep,
  width: number,
  height: number,
): Line[] {
  const { check, expected } = step;
  const { book } = app;
  const phase = book.phases.find((p) => p.id === check.phase)?.title ?? check.phase;
  const lines = head(
    `${phase}: ${NEEDS_STATE[check.state] ?? check.state}`,
    `no. ${step.position}, ${check.minutes} min`,
    check.title,
    width,
  );
  const range = rightRange(check, expected);
  const chosen = instrumentFor(app, step);
  const instrument = book.instruments.find((i) => i.id === chosen)?.title;
  const reasons = expected?.reasons ?? [];
  // Of two values typed it is their ratio that is judged: ohms are not what these figures are.
  const ratio = check.kind === 'pair' && range?.unit === '' ? 'ratio ' : '';
  const words = range ? [`${ratio}${rangeWords(range)}`, ...reasons] : reasons;
  const printed = (ids: readonly string[]): string[] => ids.map((id) => book.cautions[id] ?? id);
  const list: Block[] = [
    {
      label: 'WHERE',
      paragraphs: step.pins === '' ? [check.where] : [check.where, step.pins],
      least: 1,
      rank: 0,
    },
    {
      label: 'METER',
      paragraphs: [instrument ? `${instrument}: ${check.meter}` : check.meter],
      least: 1,
      rank: 2,
    },
    { label: 'EXPECT', paragraphs: words.length > 0 ? [words.join('; ')] : [], least: 1, rank: 3 },
    {
      label: 'CAUTION',
      paragraphs: [...(isSetUpDead(check) && isOn(app) ? [SET_UP_DEAD] : []), ...printed(check.cautions)],
      tone: 'watch',
      // What keeps a person whole is cut last.
      least: WHOLE,
      rank: 1,
    },
    {
      label: 'HOW',
      paragraphs: check.how.map((h, n) => (check.how.length > 1 ? `${n + 1}. ${h}` : h)),
      least: 1,
      rank: 4,
    },
    {
      label: 'WHY',
      paragraphs: [step.why, step.why.endsWith(check.why) ? '' : check.why],
      least: 0,
      rank: 5,
    },
  ];
  const room = height - lines.length;
  const all = [...list, ...sourceBlock(check)];
  const fits = linesNeeded(all, width) <= Math.min(room, CARD_LINES - lines.length - 1);
  return [...lines, ...blocks(fits || screen.scroll > 0 ? all : list, width, room, screen.scroll)];
}

/** Where the trade fact of a check was read, for whoever doubts it; shown where nothing has to give way for it. */
function sourceBlock({ source }: Check): Block[] {
  return source === '' || source === NO_SOURCE
    ? []
    : [{ label: 'SOURCE', paragraphs: [source], tone: 'quiet', least: 0, rank: 6 }];
}
