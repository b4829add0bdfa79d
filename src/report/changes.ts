// What was changed in the course of the work: readings corrected or taken back, and each repair with the readings before and after it.
import type { Part, Rulebook } from '../rulebook/types.ts';
import type { Repair } from '../session/types.ts';
import type { ReportInput } from './input.ts';
import type { Measured } from './measured.ts';
import { timeWords, typedText } from './text.ts';

export interface Correction {
  readonly seq: number;
  readonly title: string;
  readonly first: string;
  readonly now: string;
}

export interface RepairLine {
  readonly at: string;
  readonly part: string;
  readonly action: string;
  readonly found: string;
  readonly note: string;
  /** `Surge resistor: 39 ohm (No. 31), then 7.6 ohm (No. 47)`, one for each check that bears on the part. */
  readonly effects: readonly string[];
}

/** Checks named for one repair. */
const MOST_EFFECTS = 3;

/** Readings that were corrected or taken back, in order, with what was typed first. */
export function corrections(
  { view, rulebook }: ReportInput,
  readings: readonly Measured[],
  say: (text: string) => string,
): readonly Correction[] {
  const corrected = readings
    .filter((reading) => reading.corrections.length > 0)
    .map(({ seq, title, corrections: earlier, raw }) => ({
      seq,
      title,
      first: earlier.join(', then '),
      now: raw,
    }));
  const kept = new Set(readings.map((reading) => reading.seq));
  const takenBack = view.state.history.flatMap((event) =>
    event.type === 'reading' && !kept.has(event.seq)
      ? [
          {
            seq: event.seq,
            title: say(
              rulebook.checks.find((check) => check.id === event.check)?.title ?? typedText(event.check),
            ),
            first: typedText(event.raw),
            now: 'taken back',
          },
        ]
      : [],
  );
  return [...corrected, ...takenBack].sort((a, b) => a.seq - b.seq);
}

/** Repairs in order, each with what was read before and after. */
export function repairLines(
  { view, rulebook }: ReportInput,
  readings: readonly Measured[],
  say: (text: string) => string,
): readonly RepairLine[] {
  return view.state.repairs.map((repair) => {
    const part = rulebook.parts.find((one) => one.id === repair.part);
    return {
      at: timeWords(repair.at),
      part: say(part?.title ?? typedText(repair.part)),
      action: repair.action,
      found: typedText(repair.found),
      note: typedText(repair.note),
      effects: part ? effectsOf(repair, part, rulebook, readings) : [],
    };
  });
}

/** What was done already, as an owner reads it: `Filter choke: replaced (open). Filtered B+: 195 V (No. 31), then 352 V (No. 47).` */
export function doneWords({ part, action, found, effects }: RepairLine): string {
  const why = found === '' ? '' : ` (${found})`;
  return [`${part}: ${action}${why}.`, ...effects.slice(0, 1).map((effect) => `${effect}.`)].join(' ');
}

/** Readings of the part itself, or of the signals that its faults upset directly, either side of the repair. */
function effectsOf(
  repair: Repair,
  part: Part,
  rulebook: Rulebook,
  readings: readonly Measured[],
): readonly string[] {
  const signals = new Set(part.faults.flatMap((fault) => Object.keys(fault.effects)));
  const own = rulebook.checks.filter((check) =>
    check.reads.some(
      (read) => read.part === part.id || (read.signal !== undefined && signals.has(read.signal)),
    ),
  );
  return own
    .flatMap((check) => {
      const mine = readings.filter((reading) => reading.check === check.id);
      const before = mine.findLast((reading) => reading.seq < repair.seq);
      const after = mine.find((reading) => reading.seq > repair.seq);
      if (!before && !after) return [];
      const figure = (reading: Measured) => `${reading.value} (No. ${reading.seq})`;
      const title = (before ?? after)?.title ?? '';
      if (!before) return after ? [`${title}: ${figure(after)} afterwards`] : [];
      return [`${title}: ${figure(before)}, then ${after ? figure(after) : 'not read again'}`];
    })
    .slice(0, MOST_EFFECTS);
}
