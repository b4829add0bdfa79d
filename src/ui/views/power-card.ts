// The card of a power-up: its table, what must be known before the switch, what is fitted while the set is dead, and the readings that come.
import { inSentence } from '../../diagnosis/plain-words.ts';
import type { Step } from '../../walk/types.ts';
import type { App } from '../app/app.ts';
import type { WalkScreen } from '../app/model.ts';
import type { Line } from '../text.ts';
import { bringUpTable } from './bring-up.ts';
import { type Block, blocks, head } from './card.ts';

/** The card in `height` lines. */
export function powerCard(
  app: App,
  screen: WalkScreen,
  step: Extract<Step, { kind: 'power-up' }>,
  width: number,
  height: number,
): Line[] {
  const full = step.to === 'isolated-full';
  const lines = head('Power', '', full ? 'Power up: full line' : 'Power up on the lamp limiter', width);
  const table = bringUpTable(step.rows, app.state.live?.view.state.lineVolts ?? 0, width);
  const readings = step.readings.map((c, n) => `${n + 1}. ${c.title}`);
  const list: Block[] = [
    ...(step.found.length > 0
      ? [
          {
            label: 'FOUND',
            paragraphs: [
              `As good as certainly bad: ${step.found.join('; ')}. Replace it before this run (power off, proven dead); ^E, mark it, ^G records it.`,
            ],
            tone: 'watch' as const,
            least: 1,
            rank: 0,
          },
        ]
      : []),
    ...(step.leftOut.length > 0
      ? [
          {
            label: 'NOT READ',
            paragraphs: [`Left out, and power comes on without it: ${step.leftOut.join('; ')}.`],
            tone: 'watch' as const,
            least: 1,
            rank: 0,
          },
        ]
      : []),
    ...(step.toFit.length > 0
      ? [
          {
            label: 'FIT NOW',
            paragraphs: [
              `While it is still dead, what this run is read with: ${step.toFit.map((c) => inSentence(c.title)).join('; ')}. Their cards (^F) say how.`,
            ],
            tone: 'watch' as const,
            least: 2,
            rank: 1,
          },
        ]
      : []),
    { label: 'WHY', paragraphs: [step.why], least: 1, rank: 3 },
    { label: 'READ', paragraphs: readings, least: 1, rank: 2 },
  ];
  return [
    ...lines,
    ...table,
    ...blocks(list, width, Math.max(2, height - lines.length - table.length), screen.scroll),
  ];
}
