// How high an anode voltage may be before the line goes down, or the plug comes out.

/** How the tube table's maximum is meant: older data are design-center, later ones design-maximum. */
export type RatingSystem = 'design-center' | 'design-maximum' | 'unknown';

export interface AnodeLimits {
  /** Above this: line down and find out why, V. */
  readonly warnAboveVolts: number;
  /** Above this: unplug now, V. */
  readonly tripAboveVolts: number;
}

/**
 * Limits for a rated maximum anode voltage. Design-center ratings allow for a line 10 % high, so they trip at 110 %;
 * design-maximum ratings, and ratings of unknown kind, at 100 %. Common practice, no source.
 * (18000, design-center) -> warn above 18 kV, trip above 19.8 kV.
 */
export function anodeLimits(ratedVolts: number, system: RatingSystem): AnodeLimits {
  return {
    warnAboveVolts: ratedVolts,
    tripAboveVolts: system === 'design-center' ? ratedVolts * 1.1 : ratedVolts,
  };
}
