// Practice: simulated sets that answer checks.
//
//   const set = await drawSet({ seed: 7, family: 'series-doubler-halfwave', level: 'single' });
//   set.answer(check, state.config)   // what would be typed at a check, or undefined
//   setFactsOf(set)                    // the set as `SetFacts`, for a session or a headless walk
//
// A rehearsal in the terminal (see session.ts):
//
//   const practice = await startPractice({ engine, seed: 7, family: 'transformer', level: 'double' });
//   journal the events of practice.opening (set and bench), then walk as with a real set;
//   practice.simulatedAnswer(check, view)   // text for `engine.enter`; undefined = "cannot be reached on this set": skip it
//   practice.watch(view, step, entry)       // after each attempt; a returned ending is an unsafe act: stop and show it
//   practice.ask(view, act)                 // before an act outside the offered step (check, power-up, configure, touch); same kind of ending
//   practice.debrief(view)                  // at the end: what was wrong, where the walk put it, minutes, time lost
//
// The circuit simulator is loaded by the first `drawSet`, never before.

export { CIRCUIT_FAMILIES } from './circuits/design.ts';
export type { Debrief } from './debrief.ts';
export { setFactsOf } from './facts.ts';
export { type Practice, type PracticeOptions, startPractice } from './session.ts';
export { type DrawOptions, drawSet, type Level, partOf, type SimulatedSet } from './set.ts';
export type { Act, Ending } from './unsafe.ts';
