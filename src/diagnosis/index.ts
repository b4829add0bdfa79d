// Public face of diagnosis: network, belief, suspects, explanations, conflicts, fault tree, plan.
export { factsOf, holds } from '../rulebook/facts.ts';
export { conflictsOf, type Fit, fitOf } from './conflicts.ts';
export { explainSuspect, UNMODELLED } from './explain.ts';
export { faultTree } from './fault-tree.ts';
export { COMPLAINT, type Impossible, infer, isImpossible } from './infer.ts';
export { type DoubtedSource, weighInstruments } from './infer-instruments.ts';
export { evidenceOf } from './likelihood.ts';
export { type CompileOptions, compileNetwork, type Network } from './network.ts';
export { NetworkError } from './network-error.ts';
export { TABLE_BUDGET } from './network-width.ts';
export { reasonWords } from './plain-words.ts';
export { planNext } from './planner.ts';
export { unseen } from './planner-accounts.ts';
export { bySenses, type Complaint } from './planner-signs.ts';
export { LOST } from './planner-stop.ts';
export { type RankOptions, rankSuspects } from './suspects.ts';
export * from './types.ts';
export { type VerdictInput, verdictOf } from './verdict.ts';
