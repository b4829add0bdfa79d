// The bench record as plain data: every reading, skip, proof of discharge, correction, repair and note, for whoever opens the set next.

import { OWNER_SAID } from '../session/owner-said.ts';
import { type Correction, corrections, type RepairLine, repairLines } from './changes.ts';
import type { ReportInput } from './input.ts';
import type { Measured } from './measured.ts';
import { type OrderLine, partsList } from './parts-list.ts';
import { type PowerLine, powerLog } from './power-log.ts';
import { timeWords, typedText } from './text.ts';
import { type TreeLine, treesOnPaper } from './trees.ts';
import { type TubeLine, tubeTable } from './tube-table.ts';

export interface BenchRecord {
  readonly readings: readonly Measured[];
  /** Head of the column of volts at the plug. */
  readonly lineHead: string;
  readonly power: readonly PowerLine[];
  readonly skipped: readonly { readonly title: string; readonly reason: string; readonly note: string }[];
  readonly corrections: readonly Correction[];
  readonly repairs: readonly RepairLine[];
  readonly notes: readonly { readonly at: string; readonly text: string; readonly about: string }[];
  readonly trees: readonly (readonly TreeLine[])[];
  readonly minutes: number;
  readonly instruments: readonly string[];
  readonly tubesTitle: string;
  readonly tubes: readonly TubeLine[];
  /** Empty where every figure of the table has a source. */
  readonly tubesNote: string;
  readonly order: readonly OrderLine[];
  readonly rules: string;
}

const TUBES_FROM_MEMORY =
  'Some figures in this table are from memory, not from a manual: check heater, base and pins in a tube manual before anything rests on them.';

const SKIP_WORDS = {
  'no-instrument': 'no instrument for it',
  'cannot-reach': 'could not be reached',
  later: 'put off',
  'not-fitted': 'not fitted',
  other: 'left out',
} as const;

/** Everything below the owner's page. */
export function benchRecord(
  input: ReportInput,
  readings: readonly Measured[],
  say: (text: string) => string,
): BenchRecord {
  const { view, session, rulebook, faultTrees } = input;
  const checkTitle = (id: string) =>
    say(rulebook.checks.find((check) => check.id === id)?.title ?? typedText(id));
  const { state } = view;
  const tubes = tubeTable(input, readings, say);
  return {
    readings,
    lineHead: say('Line volts'),
    power: powerLog(input, say),
    skipped: state.skipped.map((entry) => ({
      title: checkTitle(entry.check),
      reason: SKIP_WORDS[entry.reason],
      note: typedText(entry.note),
    })),
    corrections: corrections(input, readings, say),
    repairs: repairLines(input, readings, say),
    notes: state.notes
      .filter((entry) => entry.text !== '')
      .map((entry) => ({
        at: timeWords(entry.at),
        text: typedText(entry.text),
        about: aboutWords(entry.check, checkTitle),
      })),
    trees: treesOnPaper(faultTrees ?? [], say),
    minutes: Math.round(view.minutes),
    instruments: state.instruments.map((id) =>
      say(rulebook.instruments.find((i) => i.id === id)?.title ?? typedText(id)),
    ),
    tubesTitle: say('Tubes'),
    tubes,
    tubesNote: tubes.some((line) => line.fromMemory) ? say(TUBES_FROM_MEMORY) : '',
    order: partsList(input, say),
    rules: `${typedText(session.rules.name)} ${typedText(session.rules.version)} (${typedText(session.rules.hash).slice(0, 12)})${
      session.rules.hash === rulebook.hash
        ? ''
        : `; this report was judged by ${rulebook.name} ${rulebook.version} (${rulebook.hash.slice(0, 12)})`
    }`,
  };
}

/** What a note is about, in words; empty for one that is about nothing in particular. */
function aboutWords(check: string, checkTitle: (id: string) => string): string {
  if (check === OWNER_SAID) return 'the owner, in own words';
  return check === '' ? '' : checkTitle(check);
}
