// Where every check stands: done, allowed, locked (and by what), skipped, or out of reach of today's instruments; and what each costs.
import type { Candidate, Expected, JudgedReading } from '../diagnosis/index.ts';
import { holds } from '../rulebook/facts.ts';
import { lackingOf } from '../rulebook/instruments.ts';
import { isLiveCheck } from '../rulebook/live.ts';
import { checksSpeakingOf } from '../rulebook/speaks.ts';
import type { Check, Rulebook } from '../rulebook/types.ts';
import {
  antennaOf,
  DRIVE,
  driveSeen,
  driveStands,
  isRefusedHigh,
  type Order,
  permits,
  type SafetyState,
} from '../safety/index.ts';
import { NO_SOURCE, SIGNAL_SOURCE } from '../session/fold.ts';
import type { SessionState } from '../session/types.ts';
import { isStale, retiredBy } from './beliefs.ts';
import { bringUpRows, tooEarlyFor } from './bring-up-rows.ts';
import { type Bench, changeMinutes } from './costs.ts';
import { type Circumstances, expectedFor } from './expected.ts';
import { judgeReading } from './judge.ts';
import type { CheckStanding } from './types.ts';

export interface StandingInput {
  readonly book: Rulebook;
  readonly state: SessionState;
  readonly safety: SafetyState;
  readonly judged: readonly JudgedReading[];
  readonly at: Circumstances;
}

/** Power steps that a protective check can guard. */
const GUARDED = ['power-limited', 'power-full', 'horizontal-enabled'] as const;
export type Guarded = (typeof GUARDED)[number];

const applicableBefore = new WeakMap<Readonly<Record<string, string>>, { book: Rulebook; checks: Check[] }>();

/** Checks that make sense on this set, in walk order; the same list for the same facts. */
export function applicableChecks(book: Rulebook, facts: Readonly<Record<string, string>>): readonly Check[] {
  const known = applicableBefore.get(facts);
  if (known?.book === book) return known.checks;
  const checks = book.checks.filter((check) => holds(check.when, facts));
  applicableBefore.set(facts, { book, checks });
  return checks;
}

const expectedBefore = new WeakMap<Circumstances, Map<Check, Expected | undefined>>();

/** What every check should show now, worked out once for the same circumstances. */
function expectationsAt(
  at: Circumstances,
  checks: readonly Check[],
): ReadonlyMap<Check, Expected | undefined> {
  const known = expectedBefore.get(at);
  if (known) return known;
  const made = new Map(checks.map((check) => [check, expectedFor(check, at)]));
  expectedBefore.set(at, made);
  return made;
}

/** Ids of checks whose last reading that still counts was not bad; drive counts as soon as it is enough to run the stage. */
export function passedChecks(
  book: Rulebook,
  { state, safety }: Pick<StandingInput, 'state' | 'safety'>,
  judged: readonly JudgedReading[],
): ReadonlySet<string> {
  const last = new Map(judged.map((reading) => [reading.check.id, reading]));
  const passed = [...last].filter(([id, reading]) => {
    const drive = DRIVE.find((d) => d === id);
    return (
      judgeReading(book, reading).standing !== 'bad' ||
      (drive !== undefined && driveSeen(drive, state, safety))
    );
  });
  return new Set(passed.map(([id]) => id));
}

/** A check with a signal, and nobody has a source of one today. */
function lacksSource(check: Check, state: SessionState): boolean {
  return check.config.signal === 'applied' && state.config[SIGNAL_SOURCE] === NO_SOURCE;
}

/** Checks of the supply that want more line than the table of a finished bring-up ever has behind this lamp: they are not waited for. */
function unreachedOnLamp(
  { safety, at }: Pick<StandingInput, 'safety' | 'at'>,
  checks: readonly Check[],
): ReadonlySet<string> {
  if (safety.supply !== 'isolated-limited' || !safety.proven.has('bring-up-finished')) return new Set();
  const most = Math.max(0, ...bringUpRows(safety, 'lamp').map(({ lineVolts }) => lineVolts));
  return new Set(checks.filter((check) => (tooEarlyFor(check, at) ?? 0) > most).map(({ id }) => id));
}

/** What is settled and need not be waited for: done, skipped, or out of reach of today's instruments or of the lamp. */
function orderOf(
  book: Rulebook,
  state: SessionState,
  fresh: readonly JudgedReading[],
  facts: Readonly<Record<string, string>>,
  unreached: ReadonlySet<string>,
): Order {
  const have = new Set(state.instruments);
  const checks = applicableChecks(book, facts);
  const lacking = checks
    .filter((c) => lackingOf(c.needs, have).length > 0 || lacksSource(c, state))
    .map((c) => c.id);
  const skipped = state.skipped.filter((s) => s.reason !== 'later').map((s) => s.check);
  return {
    checks,
    settled: new Set([...fresh.map((r) => r.check.id), ...skipped, ...lacking, ...unreached]),
  };
}

/** Readings that a later repair has not made stale, and that were not taken too early to tell anything. */
export function freshReadings(
  book: Rulebook,
  state: SessionState,
  judged: readonly JudgedReading[],
): JudgedReading[] {
  const retired = retiredBy(book, state);
  return judged.filter((reading) => reading.early === undefined && !isStale(book, reading, retired));
}

/** The standing of every applicable check, in walk order. */
export function standingsOf({ book, state, safety, judged, at }: StandingInput): CheckStanding[] {
  const fresh = freshReadings(book, state, judged);
  const done = new Set(fresh.map((r) => r.check.id));
  const passed = passedChecks(book, { state, safety }, fresh);
  const skipped = new Map(state.skipped.map((s) => [s.check, s.reason]));
  const unreached = unreachedOnLamp({ safety, at }, applicableChecks(book, at.facts));
  const order = orderOf(book, state, fresh, at.facts, unreached);
  const have = new Set(state.instruments);
  const expectations = expectationsAt(at, order.checks);
  return order.checks.map((check) => {
    const expected = expectations.get(check);
    const standing = (
      status: CheckStanding['status'],
      missing: readonly string[] = [],
      gates: CheckStanding['gates'] = [],
    ): CheckStanding => ({
      check,
      status,
      missing,
      gates,
      expected,
    });
    if (done.has(check.id)) return standing('done');
    const lacking = lackingOf(check.needs, have);
    if (lacking.length > 0) {
      const names = lacking.map((id) => book.instruments.find((i) => i.id === id)?.title ?? id);
      return standing(
        'no-instrument',
        names.map((n) => `not on the bench today: ${n}`),
      );
    }
    if (lacksSource(check, state))
      return standing('no-instrument', ['not on the bench today: a signal source']);
    const reason = skipped.get(check.id);
    if (reason && reason !== 'later') return standing('skipped', [`skipped: ${reason.replaceAll('-', ' ')}`]);
    if (unreached.has(check.id)) return standing('skipped', ['the lamp keeps the line too low for it']);
    const permit = permits(check, safety, state.config, passed, order);
    return permit.allowed ? standing('allowed') : standing('locked', permit.missing, permit.gates);
  });
}

/** Checks still to be done before `step`: the interlock asks for them, or they protect a part from it. */
export function openProtective(standings: readonly CheckStanding[], step: Guarded): Check[] {
  return standings
    .filter((s) => (s.status === 'allowed' || s.status === 'locked') && s.check.before.includes(step))
    .filter((s) => s.check.state !== 'S2' || step === 'horizontal-enabled')
    .map((s) => s.check);
}

/** Whether something is still to be read on the lamp before full line: it can be read nowhere else. */
export function waitsForLamp(standings: readonly CheckStanding[]): boolean {
  return openProtective(standings, 'power-full').some((check) => check.state === 'S1');
}

/** Minutes up to which a cold check on a core part comes before anything else. */
const QUICK_MINUTES = 3;

const quickBefore = new WeakMap<Rulebook, ReadonlySet<string>>();

/** Ohms and looks on the parts that nobody makes any more: two or three of them can end the job. */
function quickCoreChecks(book: Rulebook): ReadonlySet<string> {
  const known = quickBefore.get(book);
  if (known) return known;
  const core = book.parts.filter((part) => part.assembly !== undefined);
  const quick = checksSpeakingOf(book, core).filter(
    ({ phase, minutes, risky, injects }) =>
      phase === 'core-cold' && minutes <= QUICK_MINUTES && !risky && !injects,
  );
  const ids = new Set(quick.map((check) => check.id));
  quickBefore.set(book, ids);
  return ids;
}

/** Checks whose last reading was off, and is of before a repair that bears on it. */
function offBeforeRepair(
  book: Rulebook,
  state: SessionState,
  judged: readonly JudgedReading[],
): ReadonlySet<string> {
  if (state.repairs.length === 0) return new Set();
  const retired = retiredBy(book, state);
  const last = new Map(judged.map((reading) => [reading.check.id, reading]));
  return new Set(
    [...last.values()]
      .filter(
        (reading) =>
          isStale(book, reading, retired) && ['bad', 'watch'].includes(judgeReading(book, reading).standing),
      )
      .map(({ check }) => check.id),
  );
}

/** What the planner may choose from: everything doable today, each with the minutes to get there. */
export function candidatesOf(
  book: Rulebook,
  standings: readonly CheckStanding[],
  state: SessionState,
  safety: SafetyState,
  passed: ReadonlySet<string>,
  judged: readonly JudgedReading[],
): Candidate[] {
  const minutes = (step: Guarded): number =>
    openProtective(standings, step).reduce((sum, c) => sum + c.minutes, 0);
  const bench: Bench = {
    supply: safety.supply,
    config: state.config,
    leadFitted: safety.signalLead === 'fitted',
    opened: new Set(standings.filter((s) => s.status === 'done').map((s) => s.check.access)),
    openMinutes: {
      limited: minutes('power-limited'),
      full: minutes('power-full'),
      horizontal: minutes('horizontal-enabled'),
    },
    poweredBefore: state.safetyLog.some((e) => e.type === 'powered-up'),
  };
  // A check that waits for another one's good reading is out while that one is bad, or cannot be taken today.
  const within = new Set(
    standings.filter((s) => s.status === 'allowed' || s.status === 'locked').map((s) => s.check.id),
  );
  for (const id of passed) within.add(id);
  const readLive = new Set(standings.map((s) => s.check).flatMap((c) => (isLiveCheck(c) ? [c.id] : [])));
  // No source goes to terminals that leak to the line, or that nothing can prove.
  const antenna = antennaOf(state, safety, standings);
  const noSource = !antenna.may && antenna.open.length === 0;
  // Without drive, read or still to be read, the horizontal stage is never enabled.
  const mayRun =
    state.config.horizontal === 'enabled' ||
    safety.facts.facts['line-stage'] === 'self-oscillating' ||
    DRIVE.some(
      (id) =>
        driveStands(id, { state, safety, standings }) ||
        standings.some((s) => s.check.id === id && (s.status === 'allowed' || s.status === 'locked')),
    );
  // Power first comes on through the lamp: without one nothing live can be got to that a finished bring-up has not opened.
  const lamp = state.instruments.includes('lamp-limiter') || safety.supply === 'isolated-limited';
  const broughtUp =
    safety.supply === 'isolated-full' ||
    (state.safetyLog.some((e) => e.type === 'gate' && e.gate === 'bring-up-finished') &&
      !waitsForLamp(standings));
  const quick = quickCoreChecks(book);
  const wasOff = offBeforeRepair(book, state, judged);
  return standings.flatMap((standing, order) => {
    const { check, status, expected } = standing;
    if (status !== 'allowed' && status !== 'locked') return [];
    const live = isLiveCheck(check);
    if (live && !lamp && !(broughtUp && check.state === 'S2')) return [];
    if (live && (safety.coldOnly || isRefusedHigh(check, safety))) return [];
    if (check.after.some((id) => !within.has(id))) return [];
    // Nobody powers up for a cold check: what it waits for is read when the set runs for its own sake.
    if (!live && check.after.some((id) => !passed.has(id) && readLive.has(id))) return [];
    if (check.config.signal === 'applied' && noSource) return [];
    if (check.config.horizontal === 'enabled' && !mayRun) return [];
    const protective = !bench.poweredBefore && quick.has(check.id);
    const again = wasOff.has(check.id);
    return [{ check, expected, changeMinutes: changeMinutes(check, bench), order, protective, again }];
  });
}
