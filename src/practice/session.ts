// A rehearsal: a simulated set behind the same engine as a real one. The learner walks; the set answers; unsafe acts end it.
import type { Check, SetFacts } from '../rulebook/types.ts';
import type { SessionEvent } from '../session/index.ts';
import type { Engine } from '../walk/engine.ts';
import type { Entry, Step, WalkView } from '../walk/types.ts';
import { type Debrief, debriefOf } from './debrief.ts';
import { setFactsOf } from './facts.ts';
import { beginSet, type Level } from './set.ts';
import { type Act, type Ending, unsafeAct, unsafeEntry } from './unsafe.ts';

export interface PracticeOptions {
  readonly engine: Engine;
  readonly seed: number;
  readonly family: string;
  readonly level: Exclude<Level, 'healthy' | 'mixed'>;
  /** Instruments on the practice bench; all that the rules know if left out. */
  readonly instruments?: readonly string[];
}

export interface Practice {
  readonly seed: number;
  readonly level: Level;
  readonly set: SetFacts;
  /** Everything is solved; where the circuit simulator failed, the next answer throws. */
  readonly ready: Promise<void>;
  /** Events that open the record: the set and the bench. */
  readonly opening: readonly SessionEvent[];
  /** What would be read at a check now; `undefined` = cannot be reached on this set: skip it. */
  simulatedAnswer(check: Check, view: WalkView): string | undefined;
  /** Before something outside the offered step; an ending is an unsafe act, and the run is over. */
  ask(view: WalkView, act: Act): Ending | undefined;
  /** After each entry; an ending means that the interlock refused an unsafe one. */
  watch(view: WalkView, step: Step, entry: Entry): Ending | undefined;
  /** Why the run is over, once it is. */
  readonly ending: Ending | undefined;
  /** What was wrong and how the walk did. Tells the hidden faults: only at the end. */
  debrief(view: WalkView): Debrief;
}

/**
 * Draws a set and puts it on the bench. Loads the circuit simulator the first time: about 1 s. What only later readings need
 * is solved while the learner reads the first screens; `ready` says when that is done.
 */
export async function startPractice(options: PracticeOptions): Promise<Practice> {
  const { engine, seed, family, level } = options;
  const { set: hidden, finish } = await beginSet({ seed, family, level });
  let failure: unknown;
  const ready = finish().catch((error: unknown) => {
    failure = error;
  });
  const set = setFactsOf(hidden);
  const instruments = options.instruments ?? engine.book.instruments.map((i) => i.id);
  const endings: Ending[] = [];
  const noted = (ending: Ending | undefined): Ending | undefined => {
    if (ending) endings.push(ending);
    return ending;
  };
  return {
    seed,
    level,
    set,
    ready,
    opening: [
      { type: 'set-described', set },
      { type: 'bench-described', instruments },
    ],
    simulatedAnswer: (check, view) => {
      if (failure !== undefined) throw failure;
      return hidden.answer(check, view.state.config);
    },
    ask: (view, act) => noted(unsafeAct(view, act)),
    watch: (view, step, entry) => noted(unsafeEntry(view, step, entry)),
    get ending() {
      return endings[0];
    },
    debrief: (view) => debriefOf(engine, hidden, view, endings),
  };
}
