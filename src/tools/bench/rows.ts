// One row of the table of measurements: what was measured, beside its yardstick and its goal.
export interface MeasuredRow {
  readonly what: string;
  readonly measured: string;
  /** What it stands beside; '' if the goal is all. */
  readonly beside: string;
  /** '' if none is set. */
  readonly goal: string;
  /** `undefined` where no goal is set. */
  readonly met: boolean | undefined;
  /** The number that is held against the goal. */
  readonly value: number;
}
