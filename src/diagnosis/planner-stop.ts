// When asking more is not worth it, and what has to be read all the same before that is said.
import { isLiveCheck } from '../rulebook/live.ts';
import type { Part } from '../rulebook/types.ts';
import { BEARABLE, lostBy, oddsMoved, RAISED } from './grades.ts';
import type { Network, PartNode } from './network.ts';
import { openSigns, openSignWords, PLAUSIBLE } from './open-signs.ts';
import { inSentence, listWords, sentences } from './plain-words.ts';
import {
  type Consequence,
  hidden,
  isConfirmed,
  likelySignals,
  NAMED,
  namedParts,
  type PartBelief,
  partBeliefs,
} from './planner-accounts.ts';
import { cluesTo } from './planner-clues.ts';
import { byPlace, type Sign } from './planner-signs.ts';
import type { MethodsDone } from './planner-tells.ts';
import type { Belief, Candidate, Evidence, OpenSign, Plan } from './types.ts';

/** Information worth one more check, bits. */
const WORTHWHILE = 0.04;
/** Least that a confirming check must be able to tell, bits. */
const CONFIRMING = 0.005;
/** Least that a proof must be able to tell about its core assembly, bits. */
const PROVING = 0.001;
/** Longest that a proof beyond `serviceable` may take, the way there included, minutes: a soak is the owner's next step, not the walk's. */
const PROOF_MINUTES = 15;
/** A core assembly this surely good or bad is settled: no check is scored for its sake. */
export const SETTLED = 0.002;
/** A look that costs no more than this, where the bench stands, comes before any meter, minutes: the end waits for it anyway. */
const LOOK_MINUTES = 4;
/** An outcome between these is not settled. */
const UNSETTLED = [0.15, 0.85] as const;
/** An outcome that found suspects put out of order this surely need not be looked at. */
const GONE = 0.75;
/** A suspect this likely, once nothing tells more about it, accounts for what is only reckoned to be wrong; what was noticed is searched on. */
const PROBABLE = 0.75;
/** Suspects named in the sentence that ends a walk which could not tell them apart. */
const SAID_SUSPECTS = 3;
/** An outcome this likely wrong wants a cause. */
const WRONG = 0.5;
/** A suspect at least this likely and not yet named is open ... */
const OPEN_FROM = 0.12;
/** ... if readings raised it to this many times its prior. */
const OPEN_RAISED = 2;
/** A core assembly this surely bad ends the asking: the owner decides first. */
export const LOST = 0.95;

const SECOND_FAULT = 'A second fault behind this one cannot be seen until it is repaired.';

/** A candidate with what it may tell. */
export interface Scored {
  readonly candidate: Candidate;
  readonly minutes: number;
  /** Bits about each variable it reads. */
  readonly gains: ReadonlyMap<string, number>;
  readonly gainBits: number;
  /** Bits about what matters to the outcomes. */
  readonly relevantBits: number;
  readonly coreBits: number;
  readonly coreGains: ReadonlyMap<string, number>;
  readonly coreShare: number;
  readonly score: number;
}

/** Why checks come before others of a better score: seen anyway, to settle or confirm a suspect, to prove a core part, to explain a sign, to find what keeps the set off. */
export type Aim = 'again' | 'reference' | 'look' | 'suspect' | 'confirm' | 'proof' | 'clue' | 'cause';

export interface StopJudgement {
  readonly stop: Plan['stop'];
  /** Checks that only confirmation, proof of the core or an unexplained sign is waiting for: to be asked before others, in this order. */
  readonly first: readonly Scored[];
  /** What those of `first` are for. */
  readonly aim?: Aim;
  /** Looks at outcomes that are still open: no walk ends without them. */
  readonly awaited?: readonly Scored[];
}

/**
 * Stops when every outcome is read and settled, every wrong one has a named suspect behind it or nothing tells more about it,
 * no open suspect has a check left that would tell, every named suspect rests
 * on two readings (or no second one can be taken), and no core part has a proof left that could be had. Then it is
 * `isolated` (a suspect at 0.9 or more), `nothing-found` (all outcomes normal), or `exhausted`. A core part that is as good
 * as certainly bad, on two readings, ends the asking at once, unless the owner wants the rest known (`wentOn`). A sign (a complaint, something seen or heard wrong) that no
 * named suspect accounts for keeps the search going among what feeds it, and is never passed over as `nothing-found`.
 */
export function judgeStop(
  network: Network,
  belief: Belief,
  evidence: readonly Evidence[],
  ranked: readonly Scored[],
  signs: readonly Sign[],
  {
    follows,
    dark,
    done,
    wentOn,
    barring,
    mayBeCured,
  }: {
    readonly follows: Consequence;
    readonly dark: ReadonlySet<string>;
    readonly done: MethodsDone;
    readonly wentOn: readonly string[];
    readonly barring: readonly string[];
    readonly mayBeCured: readonly string[];
  },
): StopJudgement {
  const usual = ranked.filter((s) => !s.candidate.check.risky);
  const unread = beforeBlame(network, belief, evidence, usual);
  if (unread.length > 0) return { stop: undefined, first: unread, aim: 'confirm' };
  const lost = failedCore(network, belief, evidence, usual, wentOn);
  if (lost) return { stop: { reason: 'core-failed', ...lost, openSigns: [] }, first: [] };

  // Nothing is seen or heard of a set that may not be powered: what keeps it off comes first.
  const off = barring.flatMap((id): Sign[] => {
    const title = network.signals.get(id)?.signal.title;
    return title ? [{ title, signals: [id], foremost: [id], sure: true }] : [];
  });
  const causes = cluesTo(network, belief, done, byPlace(off), usual, () => false);
  if (causes.length > 0) return { stop: undefined, first: causes, aim: 'cause' };

  const read = new Set(evidence.filter((e) => e.seq > 0).map((e) => e.variable));
  const outcomes = [...network.signals.values()].filter((s) => s.signal.outcome);
  // What a suspect that is found keeps dark or silent, or what was seen dark, shows nothing of what is seen with it until that is mended.
  const gone = new Set(outcomes.map((o) => o.id).filter((id) => hidden(network, id, follows, dark) >= GONE));
  const blind = ({ candidate }: Scored): boolean =>
    candidate.check.reads.some((r) => gone.has(r.signal ?? ''));
  const cured = (s: Scored): boolean => mayBeCured.some((id) => s.gains.has(`signal:${id}`));
  const awaited = new Set(usual.filter((s) => cured(s) && !blind(s)));
  let unseen = awaited.size > 0;
  let unsettled = false;
  for (const { id } of outcomes) {
    const bad = 1 - (belief.signals.get(id)?.normal ?? 1);
    const variable = `signal:${id}`;
    const direct = usual.filter((s) => s.gains.has(variable));
    if (read.has(variable)) {
      const between = bad > UNSETTLED[0] && bad < UNSETTLED[1];
      unsettled ||= between && direct.some((s) => (s.gains.get(variable) ?? 0) >= WORTHWHILE);
      continue;
    }
    const seen = direct.filter((s) => !blind(s));
    if (gone.has(id) || (gone.size > 0 && seen.length === 0)) continue;
    for (const s of seen) awaited.add(s);
    // What cannot be looked at (a cold session) is worked out from what can be read.
    unseen ||= direct.length > 0 || usual.some((s) => s.relevantBits >= WORTHWHILE);
  }

  const suspects = partBeliefs(network, belief);
  const open = suspects.filter((s) => s.bad > OPEN_FROM && s.bad < NAMED && s.bad > OPEN_RAISED * s.prior);
  // Nearest to an answer first: what tells most about a suspect for its minutes.
  const telling = usual
    .map((scored) => ({ scored, bits: Math.max(0, ...open.map(({ node }) => gainOn(scored, node))) }))
    .filter(({ bits }) => bits >= WORTHWHILE)
    .sort((a, b) => b.bits / b.scored.minutes - a.bits / a.scored.minutes)
    .map(({ scored }) => scored);
  if (unseen || unsettled) {
    const looks = usual.filter(
      (s) => awaited.has(s) && (s.minutes <= LOOK_MINUTES || (telling.length === 0 && !unsettled)),
    );
    return { stop: undefined, first: looks, aim: 'look', awaited: [...awaited] };
  }
  if (telling.length > 0) return { stop: undefined, first: telling, aim: 'suspect' };
  const named = namedParts(suspects);
  const confirming = usual.filter((s) =>
    named.some(
      ({ node }) =>
        !isConfirmed(network, node, belief, evidence) &&
        gainOn(s, node, likelySignals(node, belief)) >= CONFIRMING,
    ),
  );
  if (confirming.length > 0) return { stop: undefined, first: confirming, aim: 'confirm' };
  const proofs = proofsLeft(network, belief, evidence, usual);
  if (proofs.length > 0) return { stop: undefined, first: proofs, aim: 'proof' };
  // An outcome that is wrong and that no likely suspect accounts for keeps the search going while anything tells about it.
  const accounted = downstream(
    network,
    named.flatMap(({ node }) => likelySignals(node, belief)),
  );
  const probable = downstream(
    network,
    open.filter(({ bad }) => bad >= PROBABLE).flatMap(({ node }) => likelySignals(node, belief)),
  );
  // Age alone makes a dark screen likely on an unrestored set: only what readings or the owner raised is a sign.
  const before = network.prior();
  const raised = (id: string): boolean =>
    oddsMoved(1 - (belief.signals.get(id)?.normal ?? 1), 1 - (before.signal(id)[0] ?? 1)) >= RAISED;
  const unexplained = outcomes.flatMap(({ id, signal }) =>
    1 - (belief.signals.get(id)?.normal ?? 1) > WRONG && raised(id) && !accounted.has(id) && !probable.has(id)
      ? [{ title: signal.title, signals: [id], foremost: [id], sure: false }]
      : [],
  );
  const puzzles = byPlace([
    ...unexplained,
    ...signs.filter((sign) => !sign.signals.some((id) => accounted.has(id))),
  ]);
  const accountsFor = ({ node }: PartBelief, { signals }: Sign): boolean => {
    const upset = downstream(network, likelySignals(node, belief));
    return signals.some((id) => upset.has(id));
  };
  const suspectsOf = (sign: Sign): PartBelief[] => open.filter((s) => accountsFor(s, sign));
  const clues = cluesTo(network, belief, done, puzzles, usual, (sign) =>
    suspectsOf(sign).some(({ bad }) => bad >= PLAUSIBLE),
  );
  if (clues.length > 0) return { stop: undefined, first: clues, aim: 'clue' };

  const stop = endOf({
    core: (part) => network.rulebook.assemblies.some((a) => a.core && a.id === part.assembly),
    ran: readLive(network, evidence),
    named,
    open,
    allNormal: outcomes.every(({ id }) => (belief.signals.get(id)?.normal ?? 1) >= UNSETTLED[1]),
    signs: openSigns(network, belief, puzzles, suspectsOf),
  });
  return { stop, first: [] };
}

/** Whether anything was read with power on. */
function readLive(network: Network, evidence: readonly Evidence[]): boolean {
  const read = new Set(evidence.map((e) => e.check));
  return network.rulebook.checks.some((check) => isLiveCheck(check) && read.has(check.id));
}

/** How a walk that has nothing left to ask ends: found, nothing to find, or not to be found here; and what is left unaccounted for. */
function endOf({
  core,
  ran,
  named,
  open,
  allNormal,
  signs,
}: {
  /** Whether a part belongs to what nobody makes any more. */
  readonly core: (part: Part) => boolean;
  /** Whether anything was read with power on. */
  readonly ran: boolean;
  readonly named: readonly PartBelief[];
  readonly open: readonly PartBelief[];
  readonly allNormal: boolean;
  readonly signs: readonly OpenSign[];
}): NonNullable<Plan['stop']> {
  const unaccounted = openSignWords(signs);
  if (named.length > 0 && open.length === 0) {
    const titles = listWords(named.map(({ node }) => inSentence(node.part.title)));
    return {
      reason: 'isolated',
      say: sentences(`The readings point to the ${titles}`, SECOND_FAULT, unaccounted),
      openSigns: signs,
    };
  }
  if (allNormal && open.length === 0 && signs.length === 0)
    return {
      reason: 'nothing-found',
      say: 'Everything that can be seen and heard is as it should be; no reading left would find more.',
      openSigns: signs,
    };
  const left = [...named, ...open].sort((a, b) => b.bad - a.bad);
  if (left[0])
    return {
      reason: 'exhausted',
      say: sentences(
        suspectsLeft(left),
        core(left[0].node.part)
          ? 'Nothing is given up on that: have it confirmed by another instrument, or by the same part of another set, first'
          : 'Replace or swap the likeliest, then read again',
        unaccounted,
      ),
      openSigns: signs,
    };
  return {
    reason: 'exhausted',
    say:
      signs.length > 0
        ? sentences(
            'No reading that can be taken here would tell more',
            unaccounted,
            ran
              ? 'If it is run again, then no longer than a look takes and never alone, off at the first spark, smell, smoke or red plate; read again when it shows itself'
              : '',
          )
        : 'No reading that can be taken here would tell more about what is wrong.',
    openSigns: signs,
  };
}

/** `No reading ... would tell the two suspects left apart any further: the ballast and the thermistor`, likeliest first. */
function suspectsLeft(left: readonly PartBelief[]): string {
  const titles = left.slice(0, SAID_SUSPECTS).map(({ node }) => `the ${inSentence(node.part.title)}`);
  const more = left.length - titles.length;
  const what = listWords(more > 0 ? [...titles, `${more} more`] : titles);
  return left.length === 1
    ? `No reading that can be taken here would tell more about the one suspect left, ${what}`
    : `No reading that can be taken here would tell the ${left.length} suspects left apart any further: ${what}`;
}

/** Signals and all that they feed, directly or not. */
function downstream(network: Network, signals: readonly string[]): ReadonlySet<string> {
  const found = new Set(signals);
  for (const id of found) for (const next of network.signals.get(id)?.feeds ?? []) found.add(next);
  return found;
}

/** Bits that a check may tell about a part: directly, or through one of the signals that the part upsets. */
function gainOn(scored: Scored, node: PartNode, signals: readonly string[] = node.signals): number {
  return Math.max(
    scored.gains.get(`part:${node.id}`) ?? 0,
    ...signals.map((id) => scored.gains.get(`signal:${id}`) ?? 0),
  );
}

function failedCore(
  network: Network,
  belief: Belief,
  evidence: readonly Evidence[],
  usual: readonly Scored[],
  wentOn: readonly string[],
): { readonly lost: string; readonly say: string } | undefined {
  for (const { id, assembly, parts } of network.assemblies.values()) {
    if (wentOn.includes(id)) continue;
    const lasting = parts.filter((p) => network.parts.has(p) && !BEARABLE.has(p));
    // A blemish beside a suspicion makes no loss.
    if (!assembly.core || lostBy(belief.assemblies.get(id) ?? 0, belief, lasting) < LOST) continue;
    const worst = worstOf(network, belief, lasting);
    if (!worst) continue;
    const confirmed = isConfirmed(network, worst, belief, evidence);
    const signals = likelySignals(worst, belief);
    if (!confirmed && usual.some((s) => gainOn(s, worst, signals) >= CONFIRMING)) continue;
    return {
      lost: id,
      say: `The ${inSentence(assembly.title)} is almost certainly bad (${inSentence(worst.part.title)}). Nobody makes it any more: settle with the owner whether to go on before more time goes in.`,
    };
  }
  return undefined;
}

/** The part of these that is most likely bad. */
function worstOf(network: Network, belief: Belief, parts: readonly string[]): PartNode | undefined {
  const ok = ({ id }: PartNode): number => belief.parts.get(id)?.ok ?? 1;
  return parts.flatMap((p) => network.parts.get(p) ?? []).toSorted((a, b) => ok(a) - ok(b))[0];
}

/** What feeds a core part that the running set alone speaks against, and is still to be read. */
function beforeBlame(
  network: Network,
  belief: Belief,
  evidence: readonly Evidence[],
  usual: readonly Scored[],
): readonly Scored[] {
  return [...network.assemblies.values()].flatMap(({ id, assembly, parts }) => {
    if ((belief.assemblies.get(id) ?? 0) < NAMED) return [];
    const worst = worstOf(network, belief, parts);
    return worst && !isReadCold(network, worst, evidence)
      ? usual.filter((s) => assembly.blamedAfter.includes(s.candidate.check.id))
      : [];
  });
}

/** Whether a cold reading of the part itself speaks against it: what a running set shows may have its cause elsewhere. */
function isReadCold(network: Network, { id }: PartNode, evidence: readonly Evidence[]): boolean {
  const cold = new Set(network.rulebook.checks.filter((c) => !isLiveCheck(c)).map((c) => c.id));
  return evidence.some(
    ({ check, variable, likelihood: [good = 0, ...bad] }) =>
      variable === `part:${id}` && cold.has(check) && good < Math.max(0, ...bad),
  );
}

/** Checks on the evidence ladder of a core assembly that are neither done nor replaced by another of their kind. */
function proofsLeft(
  network: Network,
  belief: Belief,
  evidence: readonly Evidence[],
  usual: readonly Scored[],
): Scored[] {
  const done = new Set(evidence.map((e) => e.check));
  const left = new Set<Scored>();
  for (const { id, assembly, parts } of network.assemblies.values()) {
    const bad = belief.assemblies.get(id) ?? 0;
    if (!assembly.core || bad >= NAMED) continue;
    const wanted = new Map<string, number>();
    for (const { grade, checks, anyOf } of assembly.ceilings) {
      const within = grade === 'serviceable' ? Number.POSITIVE_INFINITY : PROOF_MINUTES;
      const open = anyOf.some((c) => done.has(c)) ? checks : [...checks, ...anyOf];
      for (const check of open) wanted.set(check, Math.max(within, wanted.get(check) ?? 0));
    }
    for (const s of usual) {
      const own = parts.some((p) => s.gains.has(`part:${p}`));
      const within = wanted.get(s.candidate.check.id) ?? 0;
      if (assembly.ceilings.length === 0 ? !own : s.minutes > within) continue;
      // A check whose answer is known beforehand (anode voltage of a set without drive) proves nothing today.
      const tells =
        bad < SETTLED
          ? Math.max(0, ...s.gains.values()) >= CONFIRMING
          : (s.coreGains.get(id) ?? 0) >= PROVING;
      if (tells) left.add(s);
    }
  }
  return usual.filter((s) => left.has(s));
}
