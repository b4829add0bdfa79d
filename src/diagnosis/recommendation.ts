// The recommendation in plain words: what the verdict means for this owner's wish, what it would take, and where to stop.
import type { SetFacts } from '../rulebook/types.ts';
import { wasLive } from './missing-proof.ts';
import { chanceWords, inSentence, listWords, sentence, spanWords } from './plain-words.ts';
import type { GradeEntry, Overall, VerdictContext } from './types.ts';

export interface RecommendationInput {
  readonly overall: Overall;
  readonly core: readonly GradeEntry[];
  readonly watchable: number;
  readonly hours: readonly [number, number];
  readonly cost: readonly [number, number];
  /** What is not known yet can be found out without buying a part. */
  readonly settledFree: boolean;
  readonly set: SetFacts;
  readonly context: VerdictContext;
  readonly wouldChangeMost: string | undefined;
}

/** A paragraph for the owner: verdict for the wish, chance and effort with the break-even, limits of a cold session, stop-loss. */
export function recommend(input: RecommendationInput): string {
  return [lead(input), effort(input), coldOnly(input), leftOut(input), stopLoss(input)]
    .filter((text) => text !== '')
    .join(' ');
}

function named(core: readonly GradeEntry[], ...grades: readonly GradeEntry['grade'][]): string {
  return listWords(
    core.filter((entry) => grades.includes(entry.grade)).map((entry) => `the ${inSentence(entry.title)}`),
  );
}

function has(verbFor: string, singular: string, plural: string): string {
  return / and /.test(verbFor) ? plural : singular;
}

function lead({ overall, core, set, context, settledFree }: RecommendationInput): string {
  const wish = context.ownerWish;
  const failed = named(core, 'failed');
  const unproven = named(core, 'not proven');
  const doubtful = named(core, 'doubtful');
  const good = named(core, 'sound', 'serviceable');
  switch (overall) {
    case 'worth-overhauling':
      return wish === 'display'
        ? `Worth overhauling if it is to show a running picture: ${good} ${has(good, 'is', 'are')} good as far as could be proven. As a static display it needs no work on the chassis, and it stays unplugged.`
        : `Worth overhauling: ${good} ${has(good, 'is', 'are')} good as far as could be proven, and what is wrong elsewhere can be repaired with parts that can be had.`;
    case 'worth-with-reservations': {
      if (failed !== '')
        return `Worth overhauling only if a good replacement for ${failed} is found first${set.pictureTube !== 'unknown' && failed.includes('picture tube') ? ` (this set takes a ${set.pictureTube})` : ''}: look for it before anything else is spent.${displayInstead(wish)}`;
      const reason =
        doubtful !== ''
          ? `${doubtful} ${has(doubtful, 'is', 'are')} in doubt`
          : unproven !== ''
            ? `${unproven} ${has(unproven, 'is', 'are')} not proven`
            : !wasLive(context.readings)
              ? 'nothing was tested live'
              : wish === 'sell'
                ? 'the hours of an overhaul seldom come back in the price'
                : 'the work is long';
      return `Worth overhauling with reservations: ${reason}${good === '' ? '' : `; ${good} ${has(good, 'is', 'are')} good as far as could be proven`}.${wish === 'sell' ? ' To sell, offering it as it is with this record is the alternative.' : displayInstead(wish)}`;
    }
    case 'not-worth':
      return `Not worth overhauling as a working set: ${failed} ${has(failed, 'has', 'have')} failed and a replacement is hard to find.${
        wish === 'display'
          ? ' It can stand as a static display: leave it unplugged and spend on the cabinet only.'
          : wish === 'sell'
            ? ' Sell it as it is or for parts, with this record.'
            : ' A static display, or a donor for another set, is what is left unless a replacement turns up.'
      }`;
    case 'not-yet-known':
      return `Not yet known: ${
        [
          doubtful === '' ? '' : `${doubtful} ${has(doubtful, 'is', 'are')} in doubt`,
          unproven === '' ? '' : `${unproven} ${has(unproven, 'has', 'have')} not been proven`,
        ]
          .filter((text) => text !== '')
          .join(', and ') || 'no core part has been graded'
      }. ${
        settledFree
          ? 'Spend nothing on the chassis until that is settled.'
          : 'Spend no more on the chassis than it takes to settle that; the rest waits.'
      }${wish === 'sell' ? ' To sell, offer it as it is, with this record.' : displayInstead(wish)}`;
  }
}

function displayInstead(wish: VerdictContext['ownerWish']): string {
  return wish === 'display'
    ? ' As a static display it needs no work on the chassis, and it stays unplugged.'
    : '';
}

function effort({ overall, watchable, hours, cost }: RecommendationInput): string {
  const chance = `Chance of a watchable picture with parts that can be had: ${chanceWords(watchable)}.`;
  if (hours[1] < 0.05) return chance;
  const span = `${spanWords(hours)} bench hours and ${spanWords(cost)} (local currency) in parts`;
  const condition =
    overall === 'not-worth'
      ? `Going on all the same would take about ${span}, and the replacement besides.`
      : `${overall === 'not-yet-known' ? 'Should that come out well, all that is known so far' : 'What is known so far'} comes to about ${span}; it pays only if a working set is worth more than that to you.`;
  return `${chance} ${condition} Cabinet and cosmetics are not counted.`;
}

function coldOnly({ context }: RecommendationInput): string {
  if (context.coldOnly)
    return 'No isolation transformer was at hand, so the set was never powered: this verdict rests on cold tests alone.';
  if (context.readings.length === 0 || wasLive(context.readings)) return '';
  // It may have run without a reading that counts.
  return `The set was not powered${context.powered ? ' for any reading that counts here' : ''}: this verdict rests on cold tests alone.`;
}

/** So many checks left undone are said: the verdict is no better than what it could see. */
const MANY_LEFT_OUT = 5;

function leftOut({ context }: RecommendationInput): string {
  const done = new Set(context.readings.map((r) => r.check.id));
  const left = new Set(
    context.skipped.filter((s) => s.reason !== 'not-fitted' && !done.has(s.check)).map((s) => s.check),
  );
  return left.size >= MANY_LEFT_OUT
    ? `${left.size} checks on the way were left out: what they would have shown is not in this verdict.`
    : '';
}

/** Time spent, what would make more certain next, and the chance that it changes anything; for an owner, who knows no check by its name. */
function stopLoss({ core, context, wouldChangeMost }: RecommendationInput): string {
  const { readings, plan } = context;
  if (readings.length === 0) return 'Nothing has been read yet.';
  const checks = new Map(readings.map((reading) => [reading.check.id, reading.check.minutes]));
  const minutes = Math.round([...checks.values()].reduce((sum, each) => sum + each, 0));
  const spent = `Spent so far: ${readings.length} reading${readings.length === 1 ? '' : 's'}, about ${minutes} min.`;
  // A fault that can be worked round stops no set, whatever the walk stopped for.
  const groundless =
    plan.stop?.reason === 'core-failed' &&
    !core.some(
      (entry) => entry.grade === 'failed' || (entry.grade === 'doubtful' && entry.id === plan.stop?.lost),
    );
  if (plan.stop && !groundless)
    return `${spent} ${sentence(plan.stop.say)}${/[.!?]$/.test(plan.stop.say) ? '' : '.'}`;
  const bits = plan.ranked.reduce((most, entry) => Math.max(most, entry.coreBits), 0);
  const likely = bits >= 0.3 ? 'could well' : bits >= 0.05 ? 'might' : 'is not likely to';
  return wouldChangeMost
    ? `${spent} The test that would tell most: ${wouldChangeMost}; its result ${likely} change this verdict.`
    : spent;
}
