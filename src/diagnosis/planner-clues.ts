// A sign that nothing accounts for: which checks would tell where it comes from, if it is what it looks like.
import { information, outcomeTable } from './information.ts';
import type { Network } from './network.ts';
import { bySenses, type Sign } from './planner-signs.ts';
import type { Scored } from './planner-stop.ts';
import { chanceReal, ifReal, type Supposed, tracedBack } from './planner-supposed.ts';
import { arranged, beliefOver, type MethodsDone, sayOf, variablesOf } from './planner-tells.ts';
import type { Belief } from './types.ts';

/** Information about the cause of a sign worth one more check, bits ... */
const CLUE = 0.02;
/** ... and for each minute that it costs, with its share of the way there. */
const CLUE_RATE = 0.004;
/** Information worth one more look at, or listening to, the sign itself, which costs next to nothing, bits. */
const LOOKING = 0.001;
/** Most minutes of such a look: nobody powers up for it. */
const LOOK_MINUTES = 10;

/** Whether a suspect still open accounts for a sign well enough to be seen to first. */
export type Suspected = (sign: Sign) => boolean;

/**
 * Checks worth taking for the sake of signs that nothing accounts for, those that tell most for their minutes first: what they would
 * tell about what feeds the sign if it is real, times the chance that it is. Causes are sought behind what is known to be wrong, and only
 * where nothing is left to learn there, and no open suspect accounts for the sign either, behind all that feeds it.
 */
export function cluesTo(
  network: Network,
  belief: Belief,
  done: MethodsDone,
  puzzles: readonly Sign[],
  usual: readonly Scored[],
  suspected: Suspected,
): Scored[] {
  const search = (signs: readonly Sign[], places: (sign: Sign) => readonly string[]): Scored[] => {
    const bits = new Map<Scored, number>();
    const looks = new Map<Scored, number>();
    const most = (map: Map<Scored, number>, scored: Scored, value: number): void => {
      map.set(scored, Math.max(map.get(scored) ?? 0, value));
    };
    for (const sign of signs) {
      const chance = chanceReal(belief, sign);
      const real = ifReal(network, belief, places(sign));
      for (const scored of usual) {
        const told = chance * bitsAbout(scored, real, network, belief, done);
        if (told >= CLUE) most(bits, scored, told);
        const look = lookBits(scored, sign.foremost);
        if (look >= LOOKING) most(looks, scored, look / scored.minutes);
      }
    }
    const rates = new Map([...looks]);
    for (const [scored, rate] of ratesOf(bits)) if (rate >= CLUE_RATE) most(rates, scored, rate);
    return [...rates].sort(([, a], [, b]) => b - a).map(([scored]) => scored);
  };
  const behind = search(puzzles, ({ foremost }) => tracedBack(network, belief, foremost));
  if (behind.length > 0) return behind;
  return search(
    puzzles.filter((sign) => !suspected(sign)),
    ({ foremost }) => foremost,
  );
}

/** Bits a minute of each check. Those that need the same change of the bench share its minutes: one goes cold for a handful of them. */
function ratesOf(bits: ReadonlyMap<Scored, number>): Map<Scored, number> {
  const trips = new Map<string, { readonly scored: Scored; readonly bits: number; readonly own: number }[]>();
  for (const [scored, told] of bits) {
    const { check, changeMinutes } = scored.candidate;
    const key = `${check.state} ${changeMinutes}`;
    const own = Math.max(1e-9, scored.minutes - Math.max(0, changeMinutes));
    trips.set(key, [...(trips.get(key) ?? []), { scored, bits: told, own }]);
  }
  const rates = new Map<Scored, number>();
  for (const trip of trips.values()) {
    const order = trip.toSorted((a, b) => b.bits / b.own - a.bits / a.own);
    let [told, minutes, best] = [0, Math.max(0, order[0]?.scored.candidate.changeMinutes ?? 0), 0];
    for (const one of order) {
      told += one.bits;
      minutes += one.own;
      best = Math.max(best, told / minutes);
    }
    // On a trip that pays, each goes by what it costs there.
    for (const one of order) rates.set(one.scored, Math.min(best, one.bits / one.own));
  }
  return rates;
}

/**
 * What the check tells about what feeds the sign, bits: most that it tells about any one signal, or about all the parts that it looks at,
 * each of which would be a cause of its own.
 */
function bitsAbout(
  { candidate: { check, expected } }: Scored,
  real: Supposed,
  network: Network,
  belief: Belief,
  done: MethodsDone,
): number {
  let signal = 0;
  let parts = 0;
  const variables = variablesOf(check);
  for (const [n, read] of check.reads.entries()) {
    const variable = variables[n] ?? '';
    const then = real.get(variable);
    if (!then || then.share === 0) continue;
    const states = beliefOver(network, belief, variable);
    if (!states || (read.scale === 'ratio' && !expected?.value)) continue;
    const table = outcomeTable(check, read, expected);
    const told = sayOf(check, variable, done) * information(table, arranged(table, states, then.values));
    if (read.part) parts += then.share * told;
    else signal = Math.max(signal, then.share * told);
  }
  return Math.max(signal, parts);
}

/** What one more look at the sign itself tells, bits; 0 if it is none or costs a change of the bench. */
function lookBits({ candidate, gains, minutes }: Scored, foremost: readonly string[]): number {
  if (!bySenses(candidate.check.method) || minutes > LOOK_MINUTES) return 0;
  return Math.max(0, ...foremost.map((id) => gains.get(`signal:${id}`) ?? 0));
}
