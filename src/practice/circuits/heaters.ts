// Heaters: a tungsten string or winding solved for today's line, and what emission is left at that heat.
import { type Values, valueIn } from './component.ts';
import type { Design } from './design.ts';

export interface HeaterState {
  /** String current, or the picture-tube heater's current in a parallel set, A rms. */
  readonly amps: number;
  /** Heater volts over rated volts, by group of tubes. */
  readonly tubes: number;
  readonly deflection: number;
  readonly pictureTube: number;
  /** True when the string or winding gets its volts but passes no current. */
  readonly open: boolean;
  /** Rated heater watts drawn now. */
  readonly watts: number;
}

/** A tungsten heater passes I ~ V^0.55 (lamp-limiter figures of the handbooks): so V ~ I^1.82. */
const HEATER_POWER = 1.82;
const OPEN: HeaterState = { amps: 0, tubes: 0, deflection: 0, pictureTube: 0, open: true, watts: 0 };

/** `lineVolts` is what reaches the heater circuit, V rms. */
export function solveHeaters(d: Design, values: Values, lineVolts: number): HeaterState {
  const v = (name: string): number => valueIn(values, name);
  if (lineVolts < 1) return { ...OPEN, open: false };
  const crt = v('picture-tube.heater') * (v('picture-tube.base-pins') < 10 ? 1 : 0);
  const socket = v('wiring.picture-tube-socket');
  if (d.heaters === 'parallel') {
    if (v('heaters.winding') < 0.5) return OPEN;
    const lost = v('heaters.wiring');
    if (lost > 0.95) return OPEN;
    const turns = v('b-plus.transformer-turns') > 0 ? 0.97 : 1;
    const relative = (lineVolts / d.lineVolts) * (1 - v('heaters.winding-loss')) * (1 - lost) * turns;
    const pictureTube = crt < 0.3 || socket > 100 ? 0 : (relative * 10.5) / (10.5 + socket);
    return {
      amps: pictureTube > 0 ? (0.6 * relative ** (1 / HEATER_POWER)) / Math.max(crt, 0.4) : 0,
      tubes: relative,
      deflection: relative * v('heaters.deflection-group'),
      pictureTube: pictureTube * (0.5 + 0.5 * crt),
      open: false,
      watts: 100 * relative ** 1.55,
    };
  }
  const broken =
    v('heaters.string') < 0.5 || crt < 0.3 || socket > 100 || v('heaters.deflection-group') < 0.5;
  const joint = v('heaters.wiring');
  const added =
    v('heaters.thermistor') +
    v('heaters.ballast') +
    (joint > 0.95 ? 1e9 : (joint * d.lineVolts) / d.heaterAmps);
  if (broken || added > 1e5) return OPEN;
  // Heater-cathode short: the tubes below it (nearer B-) are by-passed and go dark.
  const below = v('heaters.string-short');
  const heaterVolts = d.lineVolts - added0(d) * d.heaterAmps;
  const share = 1 - below;
  let low = 0;
  let high = 3 * d.heaterAmps;
  for (let n = 0; n < 60; n += 1) {
    const amps = (low + high) / 2;
    const heaters =
      share * heaterVolts * (amps / d.heaterAmps) ** HEATER_POWER * typeOhms(v('heaters.string-type'));
    if (heaters + amps * (added + socket) > lineVolts) high = amps;
    else low = amps;
  }
  const amps = (low + high) / 2;
  const relative = (amps / d.heaterAmps) ** HEATER_POWER;
  const dark = below > 0.05 ? 0 : relative;
  return {
    amps,
    tubes: relative,
    deflection: relative,
    // The picture tube sits at the cold end of the string.
    pictureTube: dark * (0.4 + 0.6 * Math.min(crt, 1)),
    open: false,
    watts: lineVolts * amps,
  };
}

/** Ohms of thermistor and ballast as designed. */
function added0(d: Design): number {
  return 0.11 * (d.lineVolts / d.heaterAmps);
}

/** A tube of another heater rating in the string changes its share of the ohms. */
function typeOhms(factor: number): number {
  return factor;
}

/** Emission left at a heater voltage relative to rated: full from 0.95 up, gone below one half (tube-handbook curves, from memory). */
export function emissionAt(relative: number): number {
  if (relative >= 1) return 1 + 0.2 * Math.min(relative - 1, 0.3);
  return Math.max(0, Math.min(1, (relative - 0.5) / 0.42)) ** 0.6;
}
