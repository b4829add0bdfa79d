// The ends of a walk as steps: a heading for each kind, and the way on past a core part that is lost.
import type { Plan, StopReason } from '../diagnosis/index.ts';
import { sentences } from '../diagnosis/plain-words.ts';
import type { Rulebook } from '../rulebook/types.ts';
import type { Step } from './types.ts';

type StopStep = Extract<Step, { kind: 'stop' }>;

const TITLES: Readonly<Record<StopReason, string>> = {
  isolated: 'Enough is known',
  'nothing-found': 'Nothing wrong is left to find',
  exhausted: 'Nothing more can be read today',
  'core-failed': 'A part that nobody makes is lost',
};

/** The end that the stop rule came to; `off` is what keeps the set from being powered, and is said first. */
export function endStep(
  book: Rulebook,
  { reason, say: end, lost }: NonNullable<Plan['stop']>,
  off: readonly string[],
): StopStep {
  const title = TITLES[reason];
  const say = sentences(...off, end);
  return lost === undefined
    ? { kind: 'stop', title, say }
    : { kind: 'stop', title, say, lost: { assembly: lost, goingOn: goingOnWords(book, lost) } };
}

/** A running set that a lost core part may ruin does not run on while the owner thinks it over: power goes off first. */
export function offForLost(book: Rulebook, stop: Plan['stop']): Step | undefined {
  const lost = book.assemblies.find((a) => a.id === stop?.lost);
  return lost?.whileLost
    ? { kind: 'power-off', why: `as good as lost, and not to be run on: ${lost.title}`, toward: '' }
    : undefined;
}

/** The end where no check can be got to. */
export function outOfChecks(say: string, off: readonly string[] = []): StopStep {
  return { kind: 'stop', title: TITLES.exhausted, say: sentences(...off, say) };
}

/** What going on past a lost part comes to, in words. */
function goingOnWords(book: Rulebook, assembly: string): string {
  switch (book.assemblies.find((a) => a.id === assembly)?.whileLost) {
    case 'cold':
      return 'The walk then goes on cold, without power.';
    case 'stage-off':
      return 'The walk then goes on with the horizontal stage disabled: run into this part, it takes the output tube with it.';
    default:
      return '';
  }
}
