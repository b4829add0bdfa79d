// Brings an app quickly to a place in the walk: safety gates passed, checks on the way answered as expected.
import { passingAnswer } from '../../src/safety/index.ts';
import type { RecordedEvent } from '../../src/session/index.ts';
import { asExpected } from '../../src/ui/app/as-expected.ts';
import { UNKNOWN_SET } from '../../src/ui/app/intake-fields.ts';
import { FRESH_WALK } from '../../src/ui/app/model.ts';
import { begin } from '../../src/ui/app/opening.ts';
import { gateMinutes } from '../../src/walk/evaluate.ts';
import type { Step } from '../../src/walk/types.ts';
import type { Bench } from './harness.ts';

const MOST_STEPS = 150;

/** Begins a session on an invented set with every instrument on the bench. */
export function beginDemo(bench: Bench, family = 'series-doubler-halfwave', name = 'Tarnhollow 17T5'): void {
  const set = { ...UNKNOWN_SET, name, family, pictureTube: '21YP4A', ratedWatts: 165 };
  const instruments = bench.app.book.instruments.map((i) => i.id);
  begin(
    bench.app,
    'demo',
    [
      { type: 'set-described', set },
      { type: 'bench-described', instruments },
    ],
    { name, family },
  );
}

/** The step that the walk stands at. */
export function stepOf(bench: Bench): Step {
  const step = bench.app.state.live?.view.step;
  if (!step) throw new Error('no session is open');
  return step;
}

/** Goes on until `arrived` says so. Throws if the walk ends before. */
export function driveTo(bench: Bench, arrived: (step: Step) => boolean): void {
  const { app } = bench;
  for (let n = 0; n < MOST_STEPS; n++) {
    const step = stepOf(bench);
    if (arrived(step)) return;
    if (!takeAsExpected(bench, step)) break;
  }
  throw new Error(`not reached; the walk stands at ${stepOf(bench).kind}: ${app.state.notice?.text ?? ''}`);
}

/** Goes to a check of one's own choice, as from the list of all checks, and stops at it or where `arrived` says so. */
export function driveToCheck(
  bench: Bench,
  id: string,
  arrived: (step: Step) => boolean = (step) => step.kind === 'check' && step.check.id === id,
): void {
  const { app } = bench;
  for (let n = 0; n < MOST_STEPS; n++) {
    const view = app.state.live?.view;
    const step = view && app.engine.stepFor(view, id);
    if (!step || 'missing' in step) break;
    if (arrived(step)) {
      app.show({ ...FRESH_WALK, pinned: id });
      return;
    }
    if (!takeAsExpected(bench, step)) break;
  }
  throw new Error(`"${id}" was not reached: ${app.state.notice?.text ?? ''}`);
}

/** Passes a gate, answers a check as expected or skips it, does what is said. False if that was not taken. */
function takeAsExpected(bench: Bench, step: Step): boolean {
  const { app } = bench;
  const view = app.state.live?.view;
  if (!view || step.kind === 'stop') return false;
  if (step.kind === 'gate') {
    bench.wait(Math.max(10, 60 * gateMinutes(step, view)));
    const force = passingAnswer(step.gate);
    return app.take(app.engine.enter(view, step, 'passed', app.now(), { force }));
  }
  if (step.kind === 'check') {
    bench.wait(10);
    const force = asExpected(step.check, step.expected);
    const entry = force && app.engine.enter(view, step, '.', app.now(), { force });
    if (entry?.kind === 'events' && app.take(entry)) return true;
    return app.take(app.engine.skip(view, step.check, 'cannot-reach'));
  }
  return app.take(app.engine.enter(view, step, 'yes', app.now()));
}

/** Entries on the way to a place, by the place's name: driven once a test file, then replayed. */
const known = new Map<string, readonly RecordedEvent[]>();

/** Stands the bench at a named place of the walk on the demo set. */
export function standAt(bench: Bench, place: string, arrived: (step: Step) => boolean): void {
  const events = known.get(place);
  if (events) {
    bench.restore(events);
    return;
  }
  beginDemo(bench);
  driveTo(bench, arrived);
  known.set(place, bench.app.state.live?.view.state.history ?? []);
}
