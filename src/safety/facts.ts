// What safety needs to know of the set, with the dangerous answer taken wherever something is not known.
import type { Family, SetFacts, TubeData } from '../rulebook/types.ts';
import { type AnodeLimits, anodeLimits } from './anode-limits.ts';

/** Facts of the set with those that its supply family settles; numbers as on the label. */
export interface SafetyFacts {
  readonly family: string;
  readonly facts: Readonly<Record<string, string>>;
  /** Line voltage on the label, V rms. */
  readonly ratedVolts: number;
  /** Rated input, W. */
  readonly ratedWatts: number;
  /** Electrolytics and paper capacitors were renewed, as the technician said at intake. */
  readonly recapped?: true;
  /** Limits of the picture tube fitted, where its rating is known. */
  readonly anode?: AnodeLimits;
}

/** Taken where neither label nor family tells: the usual upper end of these sets. Common practice, no source. */
const FALLBACK = { ratedVolts: 117, ratedWatts: 200 } as const;

/**
 * Joins what the technician said with what the supply family settles; the technician's own word wins.
 * `pictureTube` is the row of the tube table for the tube fitted, if there is one.
 */
export function safetyFacts(
  set: SetFacts | undefined,
  family: Pick<Family, 'facts' | 'ratedVolts' | 'ratedWatts'> | undefined,
  pictureTube?: Pick<TubeData, 'numbers' | 'texts'>,
): SafetyFacts {
  const said = Object.entries(set?.facts ?? {}).filter(([, value]) => value !== 'unknown');
  return {
    family: set?.family ?? '',
    facts: { ...family?.facts, ...Object.fromEntries(said) },
    ratedVolts: positive(set?.ratedVolts, family?.ratedVolts, FALLBACK.ratedVolts),
    ratedWatts: positive(set?.ratedWatts, family?.ratedWatts, FALLBACK.ratedWatts),
    ...(set?.restored === 'recapped' ? { recapped: true as const } : {}),
    ...anodeOf(pictureTube),
  };
}

/** Anode limits from the tube table: its columns are `anode_kV_design_max` and `rating_system`. */
function anodeOf(tube: Pick<TubeData, 'numbers' | 'texts'> | undefined): Pick<SafetyFacts, 'anode'> {
  const kilovolts = tube?.numbers.anode_kV_design_max;
  if (kilovolts === undefined || !(kilovolts > 0)) return {};
  const system = tube?.texts.rating_system;
  const known = system === 'design-center' || system === 'design-maximum' ? system : 'unknown';
  return { anode: anodeLimits(kilovolts * 1000, known) };
}

function positive(...values: readonly (number | undefined)[]): number {
  return values.find((value) => value !== undefined && Number.isFinite(value) && value > 0) ?? 1;
}

function fact(facts: SafetyFacts, id: string): string {
  return facts.facts[id] ?? 'unknown';
}

/** Anode voltage straight from a line-frequency transformer: stores joules and does not limit its current. */
export function hasLineEht(facts: SafetyFacts): boolean {
  return fact(facts, 'hv') === 'line';
}

/** Nobody has said yet how the anode voltage is made. */
export function ehtKindUnknown(facts: SafetyFacts): boolean {
  return fact(facts, 'hv') === 'unknown';
}

export function isMetalCone(facts: SafetyFacts): boolean {
  return fact(facts, 'crt-construction') === 'metal-cone';
}

/** No outer coating to discharge to, or nobody knows: then a separate HV filter capacitor must be looked for. */
export function mayHaveHvCapacitor(facts: SafetyFacts): boolean {
  return fact(facts, 'crt-construction') !== 'glass-coated';
}

/** Glass with an outer coating, or not known to be anything else. */
export function mayHaveCoating(facts: SafetyFacts): boolean {
  const construction = fact(facts, 'crt-construction');
  return construction === 'glass-coated' || construction === 'unknown';
}

/** A half-wave rectifier draws direct current through the isolation transformer; a half-wave doubler does not. */
export function isHalfWave(facts: SafetyFacts): boolean {
  return fact(facts, 'topology') === 'half-wave' || facts.family.startsWith('series-halfwave');
}

export function hasSeriesHeaters(facts: SafetyFacts): boolean {
  return fact(facts, 'heaters') !== 'parallel';
}

/** Why live readings of the high voltage are refused on this kind of set, or undefined if they are not. */
export function hvRefusal(facts: SafetyFacts): string | undefined {
  if (hasLineEht(facts)) {
    return 'No live check inside the compartment of a line-frequency high voltage: it does not limit its current. Leave it to somebody used to it.';
  }
  const kind = fact(facts, 'set-kind');
  if (kind === 'projection') {
    return 'No live high-voltage check on a projection set: 25 to 30 kV and X-radiation are beyond this program.';
  }
  return kind === 'electrostatic'
    ? 'No live high-voltage check on an electrostatic-deflection set: the whole deflection system is at high voltage.'
    : undefined;
}

/** `low` = electrostatic focus of a few hundred volts at most; anything else keeps an ordinary meter away. */
export function focusAllowsMeter(facts: SafetyFacts): boolean {
  return ['low-v', 'auto'].includes(fact(facts, 'focus'));
}
