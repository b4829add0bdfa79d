// From the record to evidence: which readings still count after repairs, and what the complaint at intake says.
import {
  bySenses,
  COMPLAINT,
  type Complaint,
  type Evidence,
  evidenceOf,
  factsOf,
  type JudgedReading,
} from '../diagnosis/index.ts';
import { LEVELS, type Part, type Rulebook, type SetFacts } from '../rulebook/types.ts';
import { DRIVE, tripped } from '../safety/index.ts';
import type { LoggedReading, SessionState } from '../session/types.ts';
import { tooEarlyFor, tooEarlyWords } from './bring-up-rows.ts';
import { type Circumstances, expectedFor, METER_OHMS, METER_SPREAD } from './expected.ts';
import { onSupply, supplyShare } from './supply-share.ts';

const circumstancesBefore = new WeakMap<
  SetFacts,
  { book: Rulebook; facts: Circumstances['facts']; at: Map<string, Circumstances> }
>();

/**
 * Circumstances in which a logged reading was taken (its own line voltage and meter, not today's). The same question gets the same
 * object, so that what was worked out from it is kept.
 */
export function circumstancesOf(
  book: Rulebook,
  set: SetFacts,
  lineVolts: number,
  instrument: string,
): Circumstances | undefined {
  const family = book.families.find((f) => f.id === set.family);
  if (!family) return undefined;
  const meterOhms = METER_OHMS[instrument] ?? 10e6;
  const known = circumstancesBefore.get(set);
  const before =
    known?.book === book ? known : { book, facts: factsOf(book, set), at: new Map<string, Circumstances>() };
  circumstancesBefore.set(set, before);
  const key = `${lineVolts} ${meterOhms}`;
  const at = before.at.get(key);
  if (at) return at;
  const made: Circumstances = {
    rulebook: book,
    set,
    family,
    facts: before.facts,
    lineVolts,
    meterOhms,
  };
  before.at.set(key, made);
  return made;
}

/** A logged reading does not change while it stands: what was worked out for it is kept as long as the set is described the same. */
const judgedBefore = new WeakMap<LoggedReading, { book: Rulebook; set: SetFacts; judged: JudgedReading }>();
const evidenceBefore = new WeakMap<JudgedReading, readonly Evidence[]>();

function evidenceFrom(reading: JudgedReading): readonly Evidence[] {
  const known = evidenceBefore.get(reading);
  if (known) return known;
  const found = evidenceOf(reading);
  evidenceBefore.set(reading, found);
  return found;
}

/** Readings with their expected values; unknown checks (of another rule base) are left out. */
export function judgedReadings(book: Rulebook, state: SessionState): JudgedReading[] {
  const set = state.set;
  if (!set) return [];
  const last = new Map<string, LoggedReading>();
  return state.readings.flatMap((reading) => {
    const known = judgedBefore.get(reading);
    const judged = known?.book === book && known.set === set ? known.judged : judgeOne(book, set, reading);
    if (judged) judgedBefore.set(reading, { book, set, judged });
    const before = last.get(reading.check);
    last.set(reading.check, reading);
    if (!judged) return [];
    const again = before !== undefined && isSameAgain(before, reading, state.repairs);
    return [again ? takenTwice(judged) : judged];
  });
}

/** Values this near to each other, as a ratio, were found the same. */
const SAME = 1.1;

/** Whether a value was measured again and found the same: numbers only (the same eye sees the same), and nothing repaired in between. */
function isSameAgain(before: LoggedReading, now: LoggedReading, repairs: SessionState['repairs']): boolean {
  if (repairs.some(({ seq }) => seq > before.seq && seq < now.seq)) return false;
  const [one, other] = [numbersOf(before.value), numbersOf(now.value)];
  return (
    one.length > 0 &&
    one.length === other.length &&
    one.every((x, n) => {
      const y = other[n] ?? 0;
      return x === y || (x * y > 0 && Math.max(x / y, y / x) <= SAME);
    })
  );
}

function numbersOf(value: LoggedReading['value']): readonly number[] {
  if (value.kind === 'number') return [value.value];
  return value.kind === 'pair' ? value.values : [];
}

const twiceBefore = new WeakMap<JudgedReading, JudgedReading>();

/** The same object each time, so that what was worked out from it is kept. */
function takenTwice(judged: JudgedReading): JudgedReading {
  const made = twiceBefore.get(judged) ?? { ...judged, twice: true };
  twiceBefore.set(judged, made);
  return made;
}

function judgeOne(book: Rulebook, set: SetFacts, reading: LoggedReading): JudgedReading | undefined {
  const check = book.checks.find((c) => c.id === reading.check);
  const line = reading.context.lineVolts > 0 ? reading.context.lineVolts : set.lineVolts;
  const at = circumstancesOf(book, set, line, reading.context.instrument);
  if (!check || !at) return undefined;
  const instrument = check.needs.includes('hv-probe') ? 'hv-probe' : reading.context.instrument;
  const least = reading.context.lineVolts > 0 ? tooEarlyFor(check, at) : undefined;
  return {
    seq: reading.seq,
    check,
    value: reading.value,
    expected: expectedFor(check, at),
    meterSpread: METER_SPREAD[instrument] ?? 0.02,
    instrument,
    ...(least === undefined ? {} : { early: tooEarlyWords(least) }),
  };
}

/** Signals that a change of `part` can alter: what its faults upset, and everything downstream of that. */
export function downstreamOf(book: Rulebook, part: Part): ReadonlySet<string> {
  const found = new Set(part.faults.flatMap((f) => Object.keys(f.effects)));
  for (let grew = true; grew; ) {
    grew = false;
    for (const signal of book.signals) {
      if (!found.has(signal.id) && signal.inputs.some((i) => found.has(i.signal))) {
        found.add(signal.id);
        grew = true;
      }
    }
  }
  return found;
}

/**
 * Variables whose earlier readings no longer count, with the sequence number of the repair that retired them; an answer that says that
 * a part was renewed retires what was read of it before as a repair does.
 */
export function retiredBy(
  book: Rulebook,
  state: Pick<SessionState, 'repairs' | 'readings'>,
): ReadonlyMap<string, number> {
  const retired = new Map<string, number>();
  for (const { part: id, seq } of [...state.repairs, ...renewals(book, state)].toSorted(
    (a, b) => a.seq - b.seq,
  )) {
    const part = book.parts.find((p) => p.id === id);
    if (!part) continue;
    retired.set(`part:${part.id}`, seq);
    for (const signal of downstreamOf(book, part)) retired.set(`signal:${signal}`, seq);
  }
  return retired;
}

/** Parts that answers say were renewed. */
function renewals(
  book: Rulebook,
  { readings }: Pick<SessionState, 'readings'>,
): { readonly part: string; readonly seq: number }[] {
  return readings.flatMap(({ check, value, seq }) => {
    if (value.kind !== 'choice') return [];
    const options = book.checks.find((c) => c.id === check)?.options;
    const parts = options?.find((one) => one.id === value.option)?.renewed ?? [];
    return parts.map((part) => ({ part, seq }));
  });
}

/**
 * A reading is stale when a later repair bears on everything that it read, and a look when it bears on any outcome that was seen: whether
 * the picture holds now must be seen anew, although the light that was seen with it still counts. So is a reading beyond a stop limit once
 * a repair bears on anything that it read: what it forbids is lifted by reading it again. So is one that guards power, the running stage or
 * another check: it guards nothing of a part that went in after it.
 */
export function isStale(
  book: Rulebook,
  reading: JudgedReading,
  retired: ReadonlyMap<string, number>,
): boolean {
  const { reads } = reading.check;
  const gone = reads.filter(
    (r) => (retired.get(r.part ? `part:${r.part}` : `signal:${r.signal}`) ?? 0) > reading.seq,
  );
  return (
    gone.length > 0 &&
    (gone.length === reads.length ||
      reading.check.before.length > 0 ||
      DRIVE.some((id) => id === reading.check.id) ||
      tripped(reading.check, reading.value) !== undefined ||
      gone.some((r) => book.signals.some((s) => s.id === r.signal && s.outcome)))
  );
}

/** All evidence that counts now: readings, and what the owner said, as far as no repair has retired them. */
export function evidenceNow(
  book: Rulebook,
  state: SessionState,
  judged: readonly JudgedReading[],
): Evidence[] {
  const retired = retiredBy(book, state);
  const share = supplyShare(judged.filter((reading) => !isStale(book, reading, retired)));
  const says = (reading: JudgedReading): readonly Evidence[] => {
    const own = evidenceFrom(reading);
    return share === undefined ? own : onSupply(book, reading, own, share);
  };
  const evidence = judged.flatMap((reading) =>
    says(reading).filter((e) => (retired.get(e.variable) ?? 0) <= e.seq),
  );
  if (!state.set) return evidence;
  const looked = new Set(evidence.filter((e) => bySenses(e.method)).map((e) => e.variable));
  const said = complaintEvidence(book, state.set).filter(
    ({ variable }) => !looked.has(variable) && !retired.has(variable),
  );
  return [...evidence, ...said];
}

/** What the owner complains of, with the signals that each complaint may mean, what it most likely means first. */
function complaintsMade(book: Rulebook, set: SetFacts | undefined): Complaint[] {
  return (set?.complaint ?? []).flatMap((id) => {
    const symptom = book.symptoms.find((s) => s.id === id);
    const likely = Object.entries(symptom?.reads ?? {}).flatMap(([signal, { normal = 0, ...wrong }]) => {
      const most = Math.max(0, ...Object.values(wrong));
      return most > normal ? [{ signal, odds: most / normal }] : [];
    });
    const signals = likely.toSorted((a, b) => b.odds - a.odds).map(({ signal }) => signal);
    return symptom && signals.length > 0 ? [{ title: symptom.title, signals }] : [];
  });
}

/** What the owner complains of; what a repair may have cured has to show again. */
export function complaintsOf(book: Rulebook, state: SessionState): Complaint[] {
  const retired = retiredBy(book, state);
  return complaintsMade(book, state.set).filter(
    ({ signals }) => !signals.some((signal) => retired.has(`signal:${signal}`)),
  );
}

/** What each complaint most likely means, where a repair may have cured it and nothing has read it since. */
export function mayBeCured(
  book: Rulebook,
  state: SessionState,
  evidence: readonly Evidence[],
): readonly string[] {
  const retired = retiredBy(book, state);
  const read = new Set(evidence.filter(({ seq }) => seq > 0).map(({ variable }) => variable));
  return complaintsMade(book, state.set).flatMap(({ signals: [chief = ''] }) => {
    const variable = `signal:${chief}`;
    return retired.has(variable) && !read.has(variable) ? [chief] : [];
  });
}

/** Signals that are heard, not seen. */
const HEARD: ReadonlySet<string> = new Set(['sound', 'hum', 'sound-if']);

/**
 * The owner's complaint: weak evidence on what he can see and hear, one vector a signal. The technician's own look or listening
 * replaces it.
 */
function complaintEvidence(book: Rulebook, set: SetFacts): Evidence[] {
  const bySignal = new Map<string, number[]>();
  for (const id of set.complaint) {
    const symptom = book.symptoms.find((s) => s.id === id);
    for (const [signal, row] of Object.entries(symptom?.reads ?? {})) {
      const named = Object.values(row);
      const rest = named.reduce((a, b) => a + b, 0) / Math.max(1, named.length);
      const so = bySignal.get(signal) ?? LEVELS.map(() => 1);
      bySignal.set(
        signal,
        LEVELS.map((level, n) => (so[n] ?? 1) * (row[level] ?? rest)),
      );
    }
  }
  return [...bySignal].map(([signal, likelihood]) => {
    const none = likelihood.map(() => 0);
    const terms = {
      core: likelihood,
      timesTen: none,
      tenth: none,
      sign: none,
      wrongRange: none,
      uniform: none,
    };
    return {
      seq: 0,
      check: COMPLAINT,
      method: HEARD.has(signal) ? 'ear' : 'eye',
      variable: `signal:${signal}`,
      likelihood,
      terms,
    };
  });
}
