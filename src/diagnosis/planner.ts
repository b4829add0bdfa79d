// Which check next: the most it may tell about the core parts and about what is wrong, for the minutes that it takes.
import { isLiveCheck } from '../rulebook/live.ts';
import type { Check, Read } from '../rulebook/types.ts';
import { posteriorOf } from './infer.ts';
import type { Posterior } from './infer-posterior.ts';
import { entropy, information, informationAbout, outcomeTable, predict } from './information.ts';
import type { Network } from './network.ts';
import { withArticle } from './plain-words.ts';
import { type Consequence, consequencesOfFound, unseen } from './planner-accounts.ts';
import { beyondLooks } from './planner-looks.ts';
import { type Relevance, relevanceOf } from './planner-relevance.ts';
import { type Complaint, type Sign, signsOf } from './planner-signs.ts';
import { type Aim, judgeStop, type Scored, SETTLED } from './planner-stop.ts';
import { arranged, beliefOver, type MethodsDone, methodsDone, sayOf, variablesOf } from './planner-tells.ts';
import type { Belief, Candidate, Evidence, Expected, Plan, PlannedCheck } from './types.ts';

/** Weight of what a check tells about the core parts against what it tells about the thing it reads. */
const CORE_WEIGHT = 3;
/** Checks within this share of the best, in the same supply state, keep the order of the walk. */
const NEAR_TIE = 0.95;
/** How many places at the top are put into walk order where they tie. */
const ORDERED_PLACES = 12;
/** A what-if pass for ranking stops where nothing changes by more than this. */
const STILL = 1e-3;
/** Shortest time any check is counted with, minutes. */
const LEAST_MINUTES = 0.25;

/** What is known of a set beside its readings. */
export interface Beside {
  /** What the owner said and no repair has answered. */
  readonly complaints?: readonly Complaint[];
  /** Core assemblies that may be lost without an end of the asking. */
  readonly wentOn?: readonly string[];
  /** Signals whose reading keeps the set off: their causes come first. */
  readonly barring?: readonly string[];
  /** Signals that a complaint was about, and that nothing has read since the repair that may have cured it: no walk ends without. */
  readonly mayBeCured?: readonly string[];
}

/**
 * Ranks `candidates` (which the caller has cleared with the interlock and rid of checks already read) and says whether
 * more asking is worth it. Score = (3 x information about the core parts + relevance x information about what is read) per
 * minute, state change and access included. Protective checks come first in walk order, risky ones last; checks within
 * 5 % in one supply state keep walk order. About 10 ms for 250 candidates.
 */
export function planNext(
  network: Network,
  belief: Belief,
  evidence: readonly Evidence[],
  candidates: readonly Candidate[],
  { complaints = [], wentOn = [], barring = [], mayBeCured = [] }: Beside = {},
): Plan {
  const signs = signsOf(network, evidence, complaints);
  const prospects = prospectsOf(network, belief, evidence, candidates, signs);
  const scored = candidates.map((candidate) => score(candidate, network, belief, prospects));
  const ranked = orderCandidates(beyondLooks(network, belief, evidence, scored));
  const verdict = judgeStop(network, belief, evidence, ranked, signs, {
    follows: prospects.follows,
    dark: prospects.dark,
    done: prospects.done,
    wentOn,
    barring,
    mayBeCured,
  });
  const again = ranked.filter(({ candidate }) => candidate.again && !candidate.protective);
  if (verdict.stop) {
    if (again.length > 0 && verdict.stop.lost === undefined)
      return { ranked: again.map((s) => planned(network, s, 'again', false)), stop: undefined };
    const cold = verdict.stop.lost === undefined ? coldProofs(network, evidence, ranked) : [];
    return cold.length > 0
      ? { ranked: cold.map((s) => planned(network, s, 'proof', false)), stop: undefined }
      : { ranked: [], stop: verdict.stop };
  }
  const first = new Set(verdict.first);
  // Where the bench stands already, what the repair was made for is read before anything else, and before that what all is held against.
  const isAtHand = ({ candidate }: Scored): boolean => candidate.changeMinutes <= 0 && !candidate.protective;
  const reference = ranked.filter((s) => s.candidate.check.reference && isAtHand(s));
  const atHand = new Set([...reference, ...again.filter(isAtHand)]);
  const awaited = new Set(verdict.awaited ?? []);
  const aimOf = (s: Scored): Aim | undefined => {
    if (atHand.has(s)) return s.candidate.again ? 'again' : 'reference';
    return first.has(s) ? verdict.aim : undefined;
  };
  const order = [
    ...ranked.filter((s) => s.candidate.protective),
    ...atHand,
    ...verdict.first.filter((s) => !s.candidate.protective && !atHand.has(s)),
    ...ranked.filter((s) => !s.candidate.protective && !first.has(s) && !atHand.has(s)),
  ];
  return {
    ranked: order.map((s) => planned(network, s, aimOf(s), awaited.has(s))),
    stop: undefined,
  };
}

/** Least that a cold check must be able to tell about the core parts to be taken on a set that does not run today, bits, and its longest time. */
const COLD_PROOF = { bits: 0.01, minutes: 15 } as const;

/**
 * Where nothing was read live, and nothing can be today, a walk does not end before the cold checks of what nobody makes any more: a
 * cracked cord is replaced, and says nothing of flyback and yoke.
 */
function coldProofs(network: Network, evidence: readonly Evidence[], ranked: readonly Scored[]): Scored[] {
  const live = new Set(network.rulebook.checks.filter(isLiveCheck).map((check) => check.id));
  if (evidence.some((e) => live.has(e.check)) || ranked.some((s) => live.has(s.candidate.check.id)))
    return [];
  return ranked.filter(
    (s) => s.coreBits >= COLD_PROOF.bits && s.minutes <= COLD_PROOF.minutes && !s.candidate.check.risky,
  );
}

/** What can be said of checks from the belief alone: the same at every power step until the next reading. */
interface Prospects {
  /** Signals where the causes of the signs are looked for. */
  readonly foremost: string;
  readonly relevance: Relevance;
  readonly follows: Consequence;
  /** Signals seen or heard to be absent. */
  readonly dark: ReadonlySet<string>;
  readonly cores: readonly CoreQuestion[];
  /** Variables that the core questions were put to. */
  readonly asked: ReadonlySet<string>;
  readonly done: MethodsDone;
  readonly told: Map<Check, { readonly expected: Expected | undefined; readonly tells: Tells }>;
}

const prospectsBefore = new WeakMap<Belief, Prospects>();

function prospectsOf(
  network: Network,
  belief: Belief,
  evidence: readonly Evidence[],
  candidates: readonly Candidate[],
  signs: readonly Sign[],
): Prospects {
  const places = new Set(signs.flatMap((s) => s.foremost));
  const foremost = [...places].sort().join(' ');
  const known = prospectsBefore.get(belief);
  const read = new Set(candidates.flatMap(({ check }) => variablesOf(check)));
  if (known?.foremost === foremost && [...read].every((variable) => known.asked.has(variable))) return known;
  const follows = consequencesOfFound(network, belief, evidence);
  const dark = unseen(belief, evidence);
  const made: Prospects = {
    foremost,
    follows,
    dark,
    relevance: relevanceOf(network, belief, places, follows, dark),
    cores: coreQuestions(network, belief, posteriorOf(network, belief), read),
    asked: read,
    done: methodsDone(evidence),
    told: new Map(),
  };
  prospectsBefore.set(belief, made);
  return made;
}

/** One core assembly as a yes/no question: distributions of what checks read if it is bad and if it is good. */
interface CoreQuestion {
  readonly id: string;
  readonly bad: number;
  readonly by: ReadonlyMap<string, { readonly bad: ArrayLike<number>; readonly good: ArrayLike<number> }>;
}

/** The core questions, put to the variables of `asked` that this set has. */
function coreQuestions(
  network: Network,
  belief: Belief,
  posterior: Posterior,
  asked: ReadonlySet<string>,
): CoreQuestion[] {
  const variables = [...asked].flatMap((variable) => {
    const kind = variable.startsWith('signal:') ? 'signal' : 'part';
    const id = variable.slice(kind.length + 1);
    const at = posterior.variable(kind, id);
    return at === undefined ? [] : [{ variable, kind, id, at } as const];
  });
  const toward = variables.map(({ at }) => at);
  return [...network.assemblies.values()]
    .filter((a) => a.assembly.core)
    .flatMap(({ id }) => {
      const p = belief.assemblies.get(id) ?? 0;
      if (p < SETTLED || p > 1 - SETTLED) return [];
      // Supposing the likelier answer would leave the other to a subtraction of nearly equal numbers.
      const badIsRarer = p <= 0.5;
      posterior.suppose(
        { kind: 'assembly', id, weights: Float64Array.of(badIsRarer ? 0 : 1, badIsRarer ? 1 : 0) },
        { still: STILL, toward },
      );
      const share = badIsRarer ? p : 1 - p;
      const by = new Map<string, { bad: ArrayLike<number>; good: ArrayLike<number> }>();
      for (const { variable, kind, id: name } of variables) {
        if (!posterior.moved(kind, name)) continue;
        const rare = kind === 'signal' ? posterior.signal(name, true) : posterior.part(name, true);
        const whole = kind === 'signal' ? posterior.signal(name) : posterior.part(name);
        const other = whole.map((w, i) => Math.max(0, (w - share * (rare[i] ?? 0)) / (1 - share)));
        by.set(variable, badIsRarer ? { bad: rare, good: other } : { bad: other, good: rare });
      }
      return [{ id, bad: p, by }];
    });
}

/** What a check may tell, minutes aside. */
type Tells = Omit<Scored, 'candidate' | 'minutes' | 'score'>;

function score(candidate: Candidate, network: Network, belief: Belief, prospects: Prospects): Scored {
  const { check, expected, changeMinutes } = candidate;
  const minutes = Math.max(LEAST_MINUTES, check.minutes) + Math.max(0, changeMinutes);
  const known = prospects.told.get(check);
  const tells =
    known && known.expected?.value === expected?.value && known.expected?.spread === expected?.spread
      ? known.tells
      : tellsOf(check, expected, network, belief, prospects);
  if (tells !== known?.tells) prospects.told.set(check, { expected, tells });
  return { candidate, minutes, ...tells, score: (tells.coreShare + tells.relevantBits) / minutes };
}

function tellsOf(
  check: Check,
  expected: Expected | undefined,
  network: Network,
  belief: Belief,
  { relevance, cores, done }: Prospects,
): Tells {
  const coreGains = new Map<string, number>();
  const gains = new Map<string, number>();
  let gain = 0;
  let relevant = 0;
  let ceiling = 0;
  const variables = variablesOf(check);
  for (const [n, read] of check.reads.entries()) {
    const variable = variables[n] ?? '';
    const states = beliefOver(network, belief, variable);
    if (!states) continue;
    if (read.scale === 'ratio' && !expected?.value) continue;
    const table = outcomeTable(check, read, expected);
    const now = arranged(table, states, states.values);
    const say = sayOf(check, variable, done);
    const bits = say * information(table, now);
    gains.set(variable, Math.max(bits, gains.get(variable) ?? 0));
    gain += bits;
    relevant += bits * relevance(variable);
    ceiling = Math.max(ceiling, entropy(predict(table, now)));
    for (const core of cores) {
      const both = core.by.get(variable);
      if (!both) continue;
      const bits = informationAbout(
        table,
        arranged(table, states, both.bad),
        arranged(table, states, both.good),
        core.bad,
      );
      coreGains.set(core.id, Math.max(coreGains.get(core.id) ?? 0, say * bits));
    }
  }
  // One answer that bears on several things cannot tell more than it can vary.
  const cap = gain > ceiling ? ceiling / gain : 1;
  const coreBits = [...coreGains.values()].reduce((a, b) => a + b, 0);
  return {
    gains,
    gainBits: gain * cap,
    relevantBits: relevant * cap,
    coreBits,
    coreGains,
    coreShare: CORE_WEIGHT * coreBits,
  };
}

function orderCandidates(scored: readonly Scored[]): Scored[] {
  const walkOrder = (a: Scored, b: Scored): number => a.candidate.order - b.candidate.order;
  const protective = scored.filter((s) => s.candidate.protective).sort(walkOrder);
  const open = scored.filter((s) => !s.candidate.protective);
  const byScore = (a: Scored, b: Scored): number => b.score - a.score || walkOrder(a, b);
  const usual = open.filter((s) => !s.candidate.check.risky).sort(byScore);
  for (let place = 0; place < Math.min(ORDERED_PLACES, usual.length); place += 1) {
    const best = usual[place] as Scored;
    let pick = place;
    for (let i = place + 1; i < usual.length; i += 1) {
      const other = usual[i] as Scored;
      if (other.score < NEAR_TIE * best.score) break;
      if (
        other.candidate.check.state === best.candidate.check.state &&
        walkOrder(other, usual[pick] as Scored) < 0
      )
        pick = i;
    }
    usual.splice(place, 0, ...usual.splice(pick, 1));
  }
  return [...protective, ...usual, ...open.filter((s) => s.candidate.check.risky).sort(byScore)];
}

function planned(network: Network, scored: Scored, aim: Aim | undefined, awaited: boolean): PlannedCheck {
  const { candidate, score: value, gainBits, coreBits, minutes } = scored;
  return {
    check: candidate.check,
    score: value,
    gainBits,
    coreBits,
    minutes,
    leads: candidate.protective || aim !== undefined,
    awaited,
    // Only the check on the card and those in the list are ever asked why.
    get why() {
      return why(network, scored, aim);
    },
  };
}

function why(network: Network, scored: Scored, aim: Aim | undefined): string {
  const { candidate, minutes, coreGains, coreShare } = scored;
  const check = candidate.check;
  const time = `${minutes < 1 ? 'minute' : `${Math.round(minutes)} minute${Math.round(minutes) === 1 ? '' : 's'}`}`;
  const thing = subject(network, check.reads[0]);
  if (candidate.protective) return 'Comes first: it protects what follows.';
  if (aim === 'confirm') return `A second, independent look at ${thing} before anything is said about it.`;
  if (aim === 'reference') return `Other readings are held against it: first, where the bench stands for it.`;
  if (aim === 'again') return `Read off before the repair: whether that is cured, at ${thing}, comes first.`;
  if (aim === 'look') return 'Seen or heard in a minute, and needed before anything is said of the set.';
  if (aim === 'clue') return `May show where what is not right comes from: tells about ${thing}.`;
  if (aim === 'cause')
    return `The set stays off until the cause of what was read is found: tells about ${thing}.`;
  if (aim === 'suspect') return `Nearest to an answer: tells about ${thing} for its ${time}.`;
  const core = [...coreGains].sort((a, b) => b[1] - a[1])[0];
  if (core && coreShare > 0.5 * scored.score * minutes) {
    const title = network.assemblies.get(core[0])?.assembly.title;
    if (title) return `Tells most about ${withArticle(title)} for its ${time}.`;
  }
  if (scored.gainBits < 0.01) return `Little left to learn here; it would only confirm ${thing}.`;
  return `Tells most about ${thing} for its ${time}.`;
}

function subject(network: Network, read: Read | undefined): string {
  const title = read?.part
    ? network.parts.get(read.part)?.part.title
    : network.signals.get(read?.signal ?? '')?.signal.title;
  return title ? withArticle(title) : 'the set';
}
