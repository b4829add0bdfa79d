// Registered tube types as people type them: found in the tables whatever the case and the blanks, or the types that come near.
import { nearest } from './nearest.ts';
import type { TubeData } from './types.ts';

const MOST_NEAR = 3;
/** Fewer letters than this are not looked up: everything comes near them. */
const LEAST_TYPED = 4;

/** A type without what people leave out or put in: case, blanks, hyphens. */
const bare = (type: string): string => type.toUpperCase().replace(/[\s-]/g, '');

/** The row of a typed type, `21 yp4a` and `aw4388` included; `undefined` if the tables do not have it. */
export function registeredType(tubes: readonly TubeData[], typed: string): TubeData | undefined {
  const wanted = bare(typed);
  return tubes.find((t) => bare(t.type) === wanted);
}

/** Types that one who typed this may have meant: the same with another suffix, else the one that differs least. Empty for a word too short. */
export function nearTypes(tubes: readonly TubeData[], typed: string): readonly string[] {
  const wanted = bare(typed);
  if (wanted.length < LEAST_TYPED) return [];
  const kin = tubes.filter((t) => bare(t.type).startsWith(wanted) || wanted.startsWith(bare(t.type)));
  if (kin.length > 0) return kin.slice(0, MOST_NEAR).map((t) => t.type);
  const one = nearest(
    wanted,
    tubes.map((t) => bare(t.type)),
  );
  return tubes.filter((t) => bare(t.type) === one).map((t) => t.type);
}

/**
 * Facts that the type of a picture tube settles: deflection angle, an ion trap that belongs on its neck, a metal cone. What would
 * take a caution or a check away (no ion trap, a focus that a meter may touch) is left to a look at the set.
 */
export function factsOfPictureTube(tube: TubeData): Readonly<Record<string, string>> {
  const degrees = tube.numbers.deflection_deg;
  const angle = degrees === undefined ? undefined : degrees <= 75 ? '50-70' : degrees <= 95 ? '90' : '110';
  return {
    ...(angle ? { deflection: angle } : {}),
    ...(['single', 'double'].includes(tube.texts.ion_trap ?? '') ? { 'ion-trap': 'fitted' } : {}),
    ...(tube.texts.construction === 'metal-cone' ? { 'crt-construction': 'metal-cone' } : {}),
  };
}
