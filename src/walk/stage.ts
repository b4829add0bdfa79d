// The horizontal output stage and its drive: whether it may still be enabled, and whether what it was enabled on still stands.
import { DRIVE, driveStands, isDriven, type SafetyState } from '../safety/index.ts';
import type { SessionState } from '../session/index.ts';
import type { CheckStanding } from './types.ts';

interface Stage {
  readonly safety: SafetyState;
  readonly state: SessionState;
  readonly standings: readonly CheckStanding[];
}

/** Still to be taken, now or behind some gate. */
export const isOpen = (standing: CheckStanding | undefined): boolean =>
  standing?.status === 'allowed' || standing?.status === 'locked';

/** Whether the disabled stage cannot be enabled today: it needs drive, none was seen, and no reading of it is left to take. */
export function stageStaysOff(stage: Stage): boolean {
  const { safety, state, standings } = stage;
  return (
    isDriven(safety.facts) &&
    state.config.horizontal !== 'enabled' &&
    !DRIVE.some((id) => driveStands(id, stage) || isOpen(standings.find((s) => s.check.id === id)))
  );
}

/** The stage runs, and the drive that it was enabled on no longer stands: corrected since, taken back, or of parts that were renewed. */
export function driveGone(stage: Stage): boolean {
  const { safety } = stage;
  return (
    safety.horizontal === 'enabled' && isDriven(safety.facts) && !DRIVE.some((id) => driveStands(id, stage))
  );
}
