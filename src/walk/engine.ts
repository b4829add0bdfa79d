// The engine: (session state, rules, time) -> what to do now, what is believed, how good it looks. One for screen, shell, practice and bench.
import {
  explainSuspect,
  type FaultTreeNode,
  faultTree,
  type JudgedReading,
  NAMED,
  type Plan,
  planNext,
  renewedParts,
  type Suspect,
  unseen,
  type Verdict,
  verdictOf,
  type Weight,
} from '../diagnosis/index.ts';
import { isLiveCheck } from '../rulebook/live.ts';
import type { Check, Rulebook, SetFacts } from '../rulebook/types.ts';
import {
  type Acceptance,
  accept,
  barsOf,
  type CheckSafety,
  checkSafety,
  type SafetyFacts,
  type SafetyState,
  safetyFacts,
  safetyOf,
} from '../safety/index.ts';
import {
  parseReading,
  type ReadingValue,
  type SessionEvent,
  type SessionState,
  type SkipReason,
} from '../session/index.ts';
import { circumstancesOf, complaintsOf, judgedReadings, mayBeCured } from './beliefs.ts';
import { tooEarlyFor } from './bring-up-rows.ts';
import { doubtOf } from './doubt.ts';
import {
  correctReading,
  type EntryOptions,
  enterAt,
  noSourceEntry,
  powerOffEntry,
  previewAt,
  skipCheck,
  specOf,
  undoLast,
} from './entries.ts';
import { believer, type Inference } from './inference.ts';
import { judgeReading } from './judge.ts';
import { isKeptOff, type KeptOff, keptOff, NOTHING_OFF, stopsStanding } from './lost.ts';
import { printedValue } from './service-data.ts';
import { applicableChecks, candidatesOf, freshReadings, passedChecks, standingsOf } from './standing.ts';
import { nextStep, wayTo } from './step.ts';
import type { Entry, Judgement, Step, WalkView } from './types.ts';

const NO_PLAN: Plan = { ranked: [], stop: undefined };
const FAULT_TREE_DEPTH = 6;
const NOTHING_DISBELIEVED: SafetyState['disbelieved'] = new Map();

export interface ViewOptions {
  /** Believe live readings without gates before them: for case files only, never for a session at a bench. */
  readonly trust?: boolean;
  /** Explain suspects and grades with the weights of readings: some 0.3 s, for reports. */
  readonly explained?: boolean;
}

export interface Engine {
  readonly book: Rulebook;
  /** Everything that a screen or report needs. Pure; about 30 ms. */
  view(state: SessionState, now: Date, options?: ViewOptions): WalkView;
  /** What typing `text` at `step` amounts to: events to journal, a question, or a refusal. */
  enter(view: WalkView, step: Step, text: string, now: Date, options?: EntryOptions): Entry;
  /** Whether these events may be recorded now, one after the other. Nothing reaches a journal without it. */
  accept(view: WalkView, events: readonly SessionEvent[], now: Date): Acceptance;
  /** Judgement of what is being typed; `undefined` while it is not a reading yet. */
  preview(view: WalkView, step: Step, text: string): Judgement | undefined;
  judge(view: WalkView, seq: number): Judgement | undefined;
  /** A typed answer to a check as a value; an entry that would be asked about is taken as typed. */
  parse(
    check: Check,
    text: string,
  ): { readonly ok: true; readonly value: ReadingValue } | { readonly ok: false; readonly message: string };
  /** The way to a check of the technician's own choice, or what stands in the way. */
  stepFor(view: WalkView, checkId: string): Step | { readonly missing: readonly string[] };
  skip(view: WalkView, check: Check, reason: SkipReason, note?: string): Entry;
  /** There is no signal source on the bench: what needs one is left out. */
  noSource(): Entry;
  powerOff(view: WalkView, why: string, outOfTurn?: boolean): Entry;
  undo(view: WalkView): Entry;
  correct(view: WalkView, seq: number, text: string): Entry;
  /** Keeps a value printed in service data for a check. */
  printed(view: WalkView, check: Check, text: string): Entry;
  explain(view: WalkView, suspectId: string): readonly Weight[];
  faultTree(view: WalkView, signalId: string): FaultTreeNode | undefined;
}

/** What safety must know of a set, the rating of its own picture tube included. */
function safetyFactsOf(book: Rulebook, set: SetFacts | undefined): SafetyFacts {
  const family = book.families.find((f) => f.id === set?.family);
  return safetyFacts(
    set,
    family,
    book.pictureTubes.find((t) => t.type === set?.pictureTube),
  );
}

/** The check of the output tube's cathode current, which stops live work at the limit of the tube that is in this set. */
const CATHODE_CURRENT = 'horizontal-output-cathode-current';

function withTubeLimits(book: Rulebook, set: SetFacts | undefined): readonly Check[] {
  const type = set?.tubes['horizontal-output'];
  const milliamps = book.tubes.find((t) => t.type === type)?.numbers.cathode_mA_max_avg;
  if (!type || milliamps === undefined) return book.checks;
  const say = `Over the ${milliamps} mA that a ${type} may carry: off at once, then find the leak, the missing drive or the load.`;
  return book.checks.map((check) =>
    check.id === CATHODE_CURRENT
      ? { ...check, stop: [...check.stop, { above: milliamps / 1000, say }] }
      : check,
  );
}

/** Parts that are as good as certainly bad and can be had; a lost core part is the owner's question, and said elsewhere. */
function foundParts(book: Rulebook, suspects: readonly Suspect[]): readonly string[] {
  const core = new Set(book.assemblies.filter((a) => a.core).map((a) => a.id));
  return suspects.flatMap(({ part, partProbability }) => {
    const known = book.parts.find((p) => p.id === part);
    return known && partProbability >= NAMED && !core.has(known.assembly ?? '') ? [known.title] : [];
  });
}

export interface EngineOptions {
  /** Puts the planner's list into another order, to compare planners. */
  readonly arrange?: (plan: Plan) => Plan;
}

/** An engine on one rulebook. Networks are compiled once a set and repair (about 100 ms), then reused. */
export function createEngine(book: Rulebook, { arrange }: EngineOptions = {}): Engine {
  const believe = believer(book);
  // Once a set: what safety worked out from these facts (the table of the bring-up) is kept with them.
  const known = new WeakMap<SetFacts, SafetyFacts>();
  const factsFor = (set: SetFacts | undefined): SafetyFacts => {
    const facts = (set && known.get(set)) ?? safetyFactsOf(book, set);
    if (set) known.set(set, facts);
    return facts;
  };
  const stops = new WeakMap<SetFacts, CheckSafety>();
  const stopsFor = (set: SetFacts | undefined): CheckSafety => {
    const before = set && stops.get(set);
    if (before) return before;
    const made = checkSafety(withTubeLimits(book, set), factsFor);
    if (set) stops.set(set, made);
    return made;
  };
  const inferences = new WeakMap<WalkView, Inference>();

  const view = (state: SessionState, now: Date, options: ViewOptions = {}): WalkView => {
    const set = state.set;
    const interlock = safetyOf(state.safetyLog, factsFor(set), state.instruments, now, stopsFor(set));
    const safe = options.trust ? { ...interlock, disbelieved: NOTHING_DISBELIEVED } : interlock;
    const at = set
      ? circumstancesOf(book, set, state.lineVolts > 0 ? state.lineVolts : set.lineVolts, 'dmm')
      : undefined;
    const bare: WalkView = {
      state,
      safety: safe,
      step: { kind: 'describe-set' },
      standings: [],
      judged: [],
      belief: undefined,
      suspects: [],
      conflicts: [],
      plan: NO_PLAN,
      verdict: undefined,
      minutes: 0,
      trouble: set && !at ? `This rule base has no family "${set.family}".` : undefined,
    };
    if (!set || !at) return bare;
    const judged = judgedReadings(book, state).filter((r) => !safe.disbelieved.has(r.seq));
    const doubt = doubtOf(book, state, safe);
    const standings = standingsOf({ book, state, safety: safe, judged, at });
    const inference = believe(state, set, judged);
    const minutes = judged.reduce((sum, r) => sum + r.check.minutes, 0);
    if (typeof inference === 'string') {
      const step = nextStep({
        book,
        doable: new Map(),
        verdict: () => undefined,
        state,
        safety: safe,
        standings,
        plan: NO_PLAN,
        at,
        off: NOTHING_OFF,
        found: [],
      });
      return { ...bare, standings, judged, minutes, step, trouble: inference };
    }
    const { network, evidence, belief, conflicts } = inference;
    const bars = barsOf(state, applicableChecks(book, at.facts), safe);
    const off = keptOff(book, belief, bars);
    // Nobody is asked how wide a dark screen is.
    const dark = unseen(belief, evidence);
    const candidates = candidatesOf(
      book,
      standings,
      state,
      safe,
      passedChecks(book, { state, safety: safe }, freshReadings(book, state, judged)),
      judged,
    ).filter(
      ({ check }) =>
        !isKeptOff(check, off) &&
        !check.shownBy.some((id) => dark.has(id)) &&
        // On a line that is too low yet it would be read for nothing: the table of the bring-up comes first.
        !(safe.supply === 'isolated-limited' && tooEarlyFor(check, at) !== undefined),
    );
    const doable = new Map(candidates.map((c) => [c.check.id, c.check.minutes + c.changeMinutes]));
    const planned = planNext(network, belief, evidence, candidates, {
      complaints: complaintsOf(book, state),
      wentOn: state.wentOn,
      barring: bars
        .flatMap(({ check, from }) => (from === 'power' ? (check?.reads ?? []) : []))
        .flatMap(({ signal }) => signal ?? []),
      mayBeCured: mayBeCured(book, state, evidence),
    });
    const plan = arrange?.(planned) ?? planned;
    const suspects = options.explained
      ? inference.suspects.map((s) => ({ ...s, because: explainSuspect(network, evidence, s.id) }))
      : inference.suspects;
    // Only the end of a walk, the verdict sheet and the list of core parts ask for it.
    let judgement: { readonly verdict: Verdict } | undefined;
    const verdict = (): Verdict => {
      judgement ??= {
        verdict: verdictFor(state, set, inference, {
          judged,
          suspects,
          plan,
          coldOnly: safe.coldOnly,
          dangers: safe.dangers,
          off,
          at,
          explained: options.explained ?? false,
        }),
      };
      return judgement.verdict;
    };
    const whole: WalkView = {
      ...bare,
      step: nextStep({
        book,
        doable,
        verdict,
        state,
        safety: safe,
        standings,
        plan,
        at,
        off,
        found: foundParts(book, suspects),
      }),
      standings,
      judged,
      belief,
      suspects,
      conflicts,
      plan,
      get verdict() {
        return verdict();
      },
      minutes,
      trouble: doubt,
    };
    inferences.set(whole, inference);
    return whole;
  };

  const verdictFor = (
    state: SessionState,
    set: SetFacts,
    { network, evidence, belief, priors, conflicts }: Inference,
    rest: {
      judged: readonly JudgedReading[];
      suspects: readonly Suspect[];
      plan: Plan;
      coldOnly: boolean;
      dangers: SafetyState['dangers'];
      off: KeptOff;
      at: { facts: Readonly<Record<string, string>> };
      explained: boolean;
    },
  ): Verdict => {
    const readings = freshReadings(book, state, rest.judged);
    return verdictOf({
      rulebook: book,
      set,
      belief,
      priors,
      suspects: rest.suspects,
      weightsOf: (part) => (rest.explained ? explainSuspect(network, evidence, part) : []),
      checks: applicableChecks(book, rest.at.facts),
      context: {
        readings,
        skipped: state.skipped,
        instruments: state.instruments,
        restored: set.restored,
        ownerWish: state.ownerWish,
        coldOnly: rest.coldOnly,
        powered: state.safetyLog.some((entry) => entry.type === 'powered-up'),
        repairedParts: renewedParts(state.repairs, rest.judged),
        plan: rest.plan,
        conflicts,
        off: rest.off,
        stops: stopsStanding(withTubeLimits(book, set), readings, rest.dangers),
      },
    });
  };

  return {
    book,
    view,
    accept: (v, list, now) => accept(list, v, now),
    enter: (v, step, text, now, options) => enterAt(v, step, text, now, options ?? {}),
    preview: (v, step, text) => previewAt(book, v, step, text),
    judge: (v, seq) => {
      const reading = v.judged.find((r) => r.seq === seq);
      return reading ? judgeReading(book, reading) : undefined;
    },
    parse: (check, text) => {
      const parsed = parseReading(text, specOf(check));
      return parsed.ok === false ? { ok: false, message: parsed.message } : { ok: true, value: parsed.value };
    },
    stepFor: (v, id) => {
      const standing = v.standings.find((s) => s.check.id === id);
      const set = v.state.set;
      const at = set
        ? circumstancesOf(book, set, v.state.lineVolts > 0 ? v.state.lineVolts : set.lineVolts, 'dmm')
        : undefined;
      if (!standing || !at) return { missing: ['this check does not apply to this set'] };
      if (standing.status === 'no-instrument') return { missing: standing.missing };
      if (v.safety.forcedStop) return { missing: [v.safety.forcedStop.say] };
      const live = isLiveCheck(standing.check);
      if (live && v.safety.coldOnly)
        return { missing: ['no isolation transformer: this session is cold only'] };
      const bars = barsOf(v.state, applicableChecks(book, at.facts), v.safety);
      const barred = bars.filter(
        ({ from }) => from === 'power' || standing.check.config.horizontal === 'enabled',
      );
      if (live && barred.length > 0) return { missing: barred.map(({ say }) => say) };
      return wayTo(
        {
          book,
          doable: new Map(v.plan.ranked.map((p) => [p.check.id, p.minutes])),
          verdict: () => v.verdict,
          state: v.state,
          safety: v.safety,
          standings: v.standings,
          plan: v.plan,
          at,
          off: v.belief ? keptOff(book, v.belief, bars) : NOTHING_OFF,
          found: foundParts(book, v.suspects),
        },
        standing.check,
      );
    },
    skip: (v, check, reason, note) => skipCheck(v, check, reason, note),
    noSource: noSourceEntry,
    powerOff: (v, why, outOfTurn) => powerOffEntry(v, why, outOfTurn),
    undo: (v) => undoLast(v),
    correct: (v, seq, text) => correctReading(book, v, seq, text),
    printed: (v, check, text) => printedValue(v, check, text),
    explain: (v, id) => {
      const known = inferences.get(v);
      return known ? explainSuspect(known.network, known.evidence, id) : [];
    },
    faultTree: (v, signal) => {
      const known = inferences.get(v);
      return known?.network.signals.has(signal)
        ? faultTree(known.network, known.belief, signal, FAULT_TREE_DEPTH)
        : undefined;
    },
  };
}
