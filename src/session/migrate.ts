// Older formats of a session file, brought to the present one step by step, line by line. The file itself is never changed by this.
import { VERSION } from './validate.ts';

/** One line of a file, as parsed and not yet checked. */
export type Json = Readonly<Record<string, unknown>>;

/**
 * From one format version to the next. Every entry stays one entry with its number, so that a correction still points at what it
 * corrects; what the next format has no word for becomes a note. The chain of check sums is the same in all versions: it is over
 * the lines as they stand in the file.
 */
export interface FormatStep {
  header(data: Json): Json;
  event(data: Json): Json;
}

/** A format version, and the steps that lead to it: `steps[n]` goes from version n to n + 1. */
export interface Format {
  readonly version: number;
  readonly steps: Readonly<Record<number, FormatStep>>;
}

/** A step after which some entries ask more proofs: what was accepted by the proofs of its day stays believed. */
const stayBelieved = (asksMore: (data: Json) => boolean): FormatStep => ({
  header: (data) => data,
  event: (data) => (asksMore(data) ? { ...data, door: 1 } : data),
});

/** Version 2: everything that is read, proven or switched on. */
const EVERY_PROOF = stayBelieved(({ type }) => ['reading', 'gate', 'powered-up'].some((t) => t === type));
/** Version 3: the bring-up is held, and full line rests on that. */
const HELD_BRING_UP = stayBelieved(
  ({ type, gate, to }) =>
    (type === 'gate' && gate === 'bring-up-finished') || (type === 'powered-up' && to === 'isolated-full'),
);

/** Version 4: hands go to coating, cone and cap right after the anode was read, and each row of the bring-up is held. */
const HANDS_AND_ROWS = stayBelieved(
  ({ type, gate }) =>
    type === 'powered-up' ||
    (type === 'gate' &&
      ['bring-up-finished', 'horizontal-disabled', 'coating-ground', 'cone-insulation'].some(
        (g) => g === gate,
      )),
);

/**
 * Version 5: a bypassed lamp is asked back, a stage whose tube or cap was in hand is disabled once more, a run that was left alone is asked
 * about, and a line voltage that was a slip is no hold.
 */
const SLIPS_AND_LAMP = stayBelieved(
  ({ type, gate }) => type === 'powered-up' || (type === 'gate' && gate === 'bring-up-finished'),
);

/** The format that is written; whoever raises the version adds a step here. Version 1 is the first one. */
export const CURRENT_FORMAT: Format = {
  version: VERSION,
  steps: { 1: EVERY_PROOF, 2: HELD_BRING_UP, 3: HANDS_AND_ROWS, 4: SLIPS_AND_LAMP },
};

function stepsFrom(format: Format, version: number): readonly FormatStep[] | undefined {
  const steps: FormatStep[] = [];
  for (let at = version; at < format.version; at++) {
    const step = format.steps[at];
    if (step === undefined) return undefined;
    steps.push(step);
  }
  return steps;
}

/** Line 1 of a file of `version` in the present format; undefined if no step leads there. */
export function migratedHeader(format: Format, version: number, data: Json): Json | undefined {
  const steps = stepsFrom(format, version);
  if (steps === undefined) return undefined;
  const header = steps.reduce((so, step) => step.header(so), data);
  return version === format.version ? header : { ...header, version: format.version };
}

/** An entry of a file of `version` in the present format. */
export function migratedEvent(format: Format, version: number, data: Json): Json {
  return (stepsFrom(format, version) ?? []).reduce((so, step) => step.event(so), data);
}
