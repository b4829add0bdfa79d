// After a rehearsal: what was wrong, where the walk put it and when, and which minutes of the learner's own choice told nothing of it.

import { inSentence } from '../diagnosis/plain-words.ts';
import { emptyState, fold, type RecordedEvent } from '../session/index.ts';
import type { Engine } from '../walk/engine.ts';
import type { WalkView } from '../walk/types.ts';
import { partOf, type SimulatedSet } from './set.ts';
import type { Ending } from './unsafe.ts';

export interface Debrief {
  readonly faults: readonly {
    readonly id: string;
    readonly title: string;
    /** Place among the suspects at the end, from 1; undefined = not among them. */
    readonly rank: number | undefined;
    /** The sign that the end names it as a likely cause of; undefined = of none. */
    readonly sign: string | undefined;
    /** P(part bad) at the end. */
    readonly probability: number;
  }[];
  readonly minutes: number;
  readonly readings: number;
  readonly powerUps: number;
  /** Minutes of readings until every bad part was among the first few and stayed; undefined = never. */
  readonly foundAfterMinutes: number | undefined;
  /** Readings of the learner's own choice that moved no bad part: minutes by section, most first. What the walk asked for is not among them. */
  readonly lost: readonly {
    readonly section: string;
    readonly minutes: number;
    readonly checks: readonly string[];
  }[];
  readonly unsafe: readonly Ending[];
  /** The same in sentences, for the screen. */
  readonly lines: readonly string[];
}

/** Log-odds under which a reading told nothing of a part. */
const SILENT = 0.15;
/** Places beyond the number of faults in which a part counts as found. */
const ROOM = 2;

/** Judges a finished or broken-off walk. Replays it: some 40 ms a reading, twice that for one that told nothing. */
export function debriefOf(
  engine: Engine,
  set: SimulatedSet,
  view: WalkView,
  unsafe: readonly Ending[],
): Debrief {
  const parts = [...new Set(set.faults.map(partOf))];
  const told = new Map<string, number>();
  for (const fault of set.faults)
    for (const { check, weight } of engine.explain(view, fault))
      told.set(check, Math.max(told.get(check) ?? 0, Math.abs(weight)));
  const lost = new Map<string, { minutes: number; checks: string[] }>();
  // Looks at intake and checks that protect somebody or something are no time lost, whatever they tell.
  const silent = view.judged.filter(
    ({ check }) =>
      (told.get(check.id) ?? 0) < SILENT && check.phase !== 'intake' && check.before.length === 0,
  );
  const asked = askedFor(engine, view, new Set(silent.map(({ seq }) => seq)));
  for (const { check, seq } of silent) {
    if (asked.has(seq)) continue;
    const title = engine.book.sections.find((s) => s.id === check.section)?.title ?? check.section;
    const entry = lost.get(title) ?? { minutes: 0, checks: [] };
    entry.minutes += check.minutes;
    entry.checks.push(check.title);
    lost.set(title, entry);
  }
  const faults = set.faults.map((id) => {
    const [part, fault] = [partOf(id), id.slice(id.indexOf('/') + 1)];
    const known = engine.book.parts.find((p) => p.id === part);
    const mode = known?.faults.find((f) => f.id === fault);
    return {
      id,
      title: known ? `${known.title}: ${mode?.title ?? fault}` : id,
      rank: placeOf(view, part),
      sign: view.plan.stop?.openSigns.find((s) => s.causes.some((c) => c.part === part))?.title,
      probability: 1 - (view.belief?.parts.get(part)?.ok ?? 1),
    };
  });
  const result = {
    faults,
    minutes: view.minutes,
    readings: view.judged.length,
    powerUps: view.state.safetyLog.filter((e) => e.type === 'powered-up').length,
    foundAfterMinutes: foundAfter(engine, view, parts),
    lost: [...lost]
      .map(([section, { minutes, checks }]) => ({ section, minutes, checks }))
      .sort((a, b) => b.minutes - a.minutes),
    unsafe,
  };
  return { ...result, lines: sentences(result) };
}

/** Place of a part among the suspects that the rules name. */
function placeOf(view: WalkView, part: string): number | undefined {
  const place = view.suspects.filter((s) => s.part !== 'unmodelled').findIndex((s) => s.part === part);
  return place < 0 ? undefined : place + 1;
}

/** Which of these readings the walk stood at, or had in one posture with what it stood at, when they were taken. */
function askedFor(engine: Engine, view: WalkView, of: ReadonlySet<number>): ReadonlySet<number> {
  const checks = new Map(engine.book.checks.map((check) => [check.id, check]));
  const asked = new Set<number>();
  let state = emptyState();
  for (const event of view.state.history as readonly RecordedEvent[]) {
    if (event.type === 'reading' && of.has(event.seq)) {
      const { step } = engine.view(state, new Date(event.at));
      const posture = checks.get(event.check)?.group;
      if (
        step.kind === 'check' &&
        (step.check.id === event.check || (posture !== undefined && posture === step.check.group))
      )
        asked.add(event.seq);
    }
    state = fold(state, event);
  }
  return asked;
}

/** Minutes of readings until all parts were found and stayed found, by replaying the record. */
function foundAfter(engine: Engine, view: WalkView, parts: readonly string[]): number | undefined {
  let state = emptyState();
  let since: number | undefined;
  const found = (at: WalkView): boolean =>
    parts.every((part) => {
      const place = placeOf(at, part);
      return place !== undefined && place <= parts.length + ROOM;
    });
  for (const event of view.state.history as readonly RecordedEvent[]) {
    state = fold(state, event);
    if (event.type !== 'reading' && event.type !== 'corrected' && event.type !== 'undone') continue;
    const at = engine.view(state, new Date(event.at));
    if (!found(at)) since = undefined;
    else since ??= at.minutes;
  }
  return since;
}

const counted = (number: number, thing: string): string => {
  const whole = Math.round(number);
  return `${whole} ${thing}${whole === 1 ? '' : 's'}`;
};

function sentences(d: Omit<Debrief, 'lines'>): string[] {
  const every = d.faults.length === 1 ? 'the bad part' : 'every bad part';
  const wrong = d.faults.map((f) => {
    const asCause = f.sign === undefined ? '' : `named as a likely cause of: ${inSentence(f.sign)}`;
    const place = f.rank === undefined ? asCause || 'not among the suspects' : `place ${f.rank}`;
    return `What was wrong: ${f.title} (${place}).`;
  });
  const silent = d.lost.reduce((sum, l) => sum + l.minutes, 0);
  const worst = d.lost[0];
  return [
    ...wrong,
    `${counted(d.readings, 'reading')}, ${counted(d.minutes, 'minute')} at the bench, ${counted(d.powerUps, 'power-up')}.`,
    d.foundAfterMinutes === undefined
      ? `The readings taken did not bring ${every} among the first ${d.faults.length + ROOM} suspects.`
      : `The walk had ${every} among the first ${d.faults.length + ROOM} suspects after ${counted(d.foundAfterMinutes, 'minute')} of readings, and kept it there.`,
    silent > 0 && worst
      ? `Time lost: ${counted(silent, 'minute')} of readings of your own choice told nothing of the fault, most of them in: ${worst.section} (${worst.checks.slice(0, 3).join(', ')}).`
      : 'No minute was lost by your own choice.',
    // The first ended the run and is said above all this.
    ...d.unsafe.slice(1).map((u) => `Unsafe: ${u.say}`),
  ];
}
