// Public face of safety: gates, the supply-state machine, what may be taken, what may be recorded.
export { type Acceptance, type AcceptView, accept, driveSeen, driveStands } from './accept.ts';
export { type AnodeLimits, anodeLimits, type RatingSystem } from './anode-limits.ts';
export { type Antenna, antennaOf, readsAntenna } from './antenna.ts';
export { type Bar, barsOf } from './bars.ts';
export { bringUpOf, bringUpWords, rectifierOf } from './bring-up.ts';
export { checkSafety, tripped, tripRule } from './check-safety.ts';
export { type SafetyFacts, safetyFacts } from './facts.ts';
export {
  GATE_IDS,
  type Gate,
  type GateId,
  type GateLimit,
  type GateOption,
  type GateStage,
  WHY_OFF,
} from './gate.ts';
export { gatesFor } from './gates.ts';
export { answerWords, EHT_LINK, followUps, type GateVerdict, judgeGate, passingAnswer } from './judge.ts';
export {
  anodeDue,
  DRIVE,
  isDriven,
  isRefusedHigh,
  nearAnode,
  type Order,
  type Permit,
  permits,
  permitsHorizontal,
  permitsPlace,
  permitsPower,
} from './permit.ts';
export { HANDS_MS } from './power.ts';
export { CAUTIOUS, type CheckSafety, type ForcedStop } from './proofs.ts';
export { type MayGo, type SafetyState, safetyOf, type Target } from './state.ts';
