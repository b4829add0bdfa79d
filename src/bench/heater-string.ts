// Series heater strings: dropper, thermistor, cold resistance, where the open is, what a short does to the rest,
// and what meters make of heaters that are fed through a diode.

import { HEATER_EXPONENT, HEATER_HOT_COLD_RATIO } from './lamp-limiter.ts';
import { ArgumentError, bisect, notNegative, positive, positiveList, within } from './numbers.ts';

export interface StringDropper {
  readonly sumVolts: number;
  readonly dropVolts: number;
  readonly ohms: number;
  readonly watts: number;
  /** Rating to buy: 1.5 times the watts, as a dropper sits in a warm cabinet. */
  readonly ratingWatts: number;
}

/**
 * Dropping resistor of a series string: R = (line - sum of heaters - thermistor) / I.
 * Source: AC/DC dropping-resistor practice. Example: 6.3+6.3+25+25 V at 0.3 A on 117 V -> 54.4 V, 181 ohm, 16.3 W.
 */
export function stringDropper(input: {
  readonly heaterVolts: readonly number[];
  readonly amps: number;
  readonly lineVolts: number;
  readonly thermistorVolts?: number;
}): StringDropper {
  const sumVolts = positiveList('heaterVolts', input.heaterVolts).reduce((sum, v) => sum + v, 0);
  const amps = positive('amps', input.amps);
  const dropVolts =
    positive('lineVolts', input.lineVolts) -
    sumVolts -
    notNegative('thermistorVolts', input.thermistorVolts ?? 0);
  if (dropVolts < 0) {
    throw new ArgumentError(
      'lineVolts',
      `at least the volts of the string (${(input.lineVolts - dropVolts).toFixed(1)})`,
      input.lineVolts,
    );
  }
  const watts = dropVolts * amps;
  return { sumVolts, dropVolts, ohms: dropVolts / amps, watts, ratingWatts: 1.5 * watts };
}

/**
 * Hot and cold resistance of a bare string (no thermistor, no dropper), ohm; cold is 1/5 to 1/7 of hot.
 * Example: 117 V, 0.6 A -> hot 195, cold 28 to 39 ohm.
 */
export function stringOhms(
  volts: number,
  amps: number,
): { readonly hotOhms: number; readonly coldLowOhms: number; readonly coldHighOhms: number } {
  const hotOhms = positive('volts', volts) / positive('amps', amps);
  return { hotOhms, coldLowOhms: hotOhms / 7, coldHighOhms: hotOhms / 5 };
}

/** Temperature law of a thermistor in a string: R = cold * exp(B (1/T - 1/T0)); B from the two given points. */
export interface Thermistor {
  /** At 25 C. */
  readonly coldOhms: number;
  /** At the working current. */
  readonly hotOhms: number;
}

export interface WarmUpPoint {
  readonly seconds: number;
  readonly amps: number;
  /** Volts of one heater as a share of its rated volts, and of the thermistor. */
  readonly heaterShare: number;
  readonly thermistorVolts: number;
}

const AMBIENT = 298;
const THERMISTOR_HOT = 473;
/**
 * Thermal masses as seconds. Heater: set so that a heater on four times its volts through three times its resistance
 * reaches 80 % of its volts in 11 s, the definition of controlled warm-up (from memory). Thermistor: from memory.
 */
const HEATER_SECONDS = 9.3;
const THERMISTOR_SECONDS = 120;

/**
 * Time course of a string after switch-on: lumped heater (resistance follows temperature, loss follows T^4) and, when
 * fitted, a thermistor (exponential law, loss in proportion to its rise). Shape, not accuracy: +/-30 % in time.
 *
 * `ratedVolts` is the sum of the heaters, `dropperOhms` everything fixed in series.
 * Example: 117 V string of 0.6 A without thermistor draws about 3.6 A at the first instant and 0.6 A after ten. Cathodes follow
 * their heaters some 10 s later.
 */
export function stringWarmUp(input: {
  readonly lineVolts: number;
  readonly ratedVolts: number;
  readonly ratedAmps: number;
  readonly dropperOhms?: number;
  readonly thermistor?: Thermistor;
  readonly seconds?: readonly number[];
}): readonly WarmUpPoint[] {
  const lineVolts = positive('lineVolts', input.lineVolts);
  const hot = positive('ratedVolts', input.ratedVolts) / positive('ratedAmps', input.ratedAmps);
  const ratedWatts = input.ratedVolts * input.ratedAmps;
  const fixed = notNegative('dropperOhms', input.dropperOhms ?? 0);
  const times = input.seconds ?? [0, 5, 10, 20, 30, 45, 60, 90, 120];
  const { thermistor } = input;
  if (thermistor) {
    positive('coldOhms', thermistor.coldOhms);
    if (!(positive('hotOhms', thermistor.hotOhms) < thermistor.coldOhms)) {
      throw new ArgumentError('hotOhms', 'below coldOhms', thermistor.hotOhms);
    }
  }
  const b = thermistor
    ? Math.log(thermistor.coldOhms / thermistor.hotOhms) / (1 / AMBIENT - 1 / THERMISTOR_HOT)
    : 0;
  const thermistorOhms = (kelvin: number) =>
    thermistor ? thermistor.coldOhms * Math.exp(b * (1 / kelvin - 1 / AMBIENT)) : 0;
  const thermistorLoss = thermistor
    ? (input.ratedAmps ** 2 * thermistor.hotOhms) / (THERMISTOR_HOT - AMBIENT)
    : 1;
  // y = absolute heater temperature over its working temperature; resistance in proportion up to the cold ratio.
  const cold = 1 / HEATER_HOT_COLD_RATIO;
  let y = cold;
  let kelvin = AMBIENT;
  const points: WarmUpPoint[] = [];
  const step = 0.02;
  const end = Math.max(...times);
  let next = 0;
  for (let t = 0; t <= end + step / 2; t += step) {
    const heater = hot * y;
    const ntc = thermistorOhms(kelvin);
    const amps = lineVolts / (heater + fixed + ntc);
    while (next < times.length && t >= (times[next] ?? 0) - step / 2) {
      points.push({
        seconds: times[next] ?? 0,
        amps,
        heaterShare: (amps * heater) / input.ratedVolts,
        thermistorVolts: amps * ntc,
      });
      next++;
    }
    const heaterLoss = ratedWatts * (y ** 4 - cold ** 4);
    y += (step * (amps * amps * heater - heaterLoss)) / (ratedWatts * HEATER_SECONDS);
    kelvin +=
      (step * (amps * amps * ntc - thermistorLoss * (kelvin - AMBIENT))) /
      (thermistorLoss * THERMISTOR_SECONDS);
  }
  return points;
}

/**
 * Where a string is open, from volts to chassis read along it, line end first, chassis end last (switch on, isolated).
 * No current flows, so every point up to the open stands at the line and every point after it at zero.
 * Returns the number of the gap: 1 = between the first and second reading.
 * Example: 117, 117, 0, 0 -> the open is between reading 2 and 3.
 */
export function locateOpen(
  readings: readonly number[],
  lineVolts: number,
): {
  readonly gap: number;
  readonly words: string;
} {
  positive('lineVolts', lineVolts);
  if (readings.length < 2) throw new ArgumentError('readings', 'at least two readings', readings.length);
  for (const reading of readings) notNegative('readings', reading);
  const live = readings.map((v) => v > 0.7 * lineVolts);
  const dead = readings.map((v) => v < 0.3 * lineVolts);
  const firstDead = dead.indexOf(true);
  if (firstDead === 0) return { gap: 0, words: 'no line at the first point: open before it' };
  if (firstDead < 0) {
    if (live.every(Boolean))
      return { gap: readings.length, words: 'line at every point: open after the last one' };
    return { gap: -1, words: 'volts fall along the string: current flows, it is not open' };
  }
  const clean = live.slice(0, firstDead).every(Boolean) && dead.slice(firstDead).every(Boolean);
  if (!clean) return { gap: -1, words: 'volts fall along the string or rise again: not a single open' };
  return { gap: firstDead, words: `open between reading ${firstDead} and ${firstDead + 1}` };
}

export interface StringFault {
  readonly amps: number;
  /** Volts of every remaining heater as a share of its rated volts. */
  readonly share: number;
  readonly eachVolts: readonly number[];
}

/**
 * What the rest of a string sees when one heater (number `shorted`, from 1) is bridged, dropper included. Heaters follow
 * I ~ V^0.6, so the current rises less than in proportion.
 * Example: ten 12.6 V heaters on 126 V, one bridged -> the others at 111 %, current +6.5 %.
 */
export function stringWithShort(input: {
  readonly heaterVolts: readonly number[];
  readonly amps: number;
  readonly lineVolts: number;
  readonly shorted: number;
  readonly dropperOhms?: number;
}): StringFault {
  const volts = positiveList('heaterVolts', input.heaterVolts);
  const amps = positive('amps', input.amps);
  positive('lineVolts', input.lineVolts);
  const dropper = notNegative('dropperOhms', input.dropperOhms ?? 0);
  if (!Number.isInteger(input.shorted)) throw new ArgumentError('shorted', 'a whole number', input.shorted);
  within('shorted', input.shorted, 1, volts.length);
  const rest = volts.map((v, i) => (i === input.shorted - 1 ? 0 : v));
  const sum = rest.reduce((total, v) => total + v, 0);
  if (sum === 0) throw new ArgumentError('heaterVolts', 'a list of at least two heaters', volts.length);
  const share = bisect(
    (s) => s * sum + dropper * amps * s ** HEATER_EXPONENT - input.lineVolts,
    0,
    input.lineVolts / sum,
  );
  return { amps: amps * share ** HEATER_EXPONENT, share, eachVolts: rest.map((v) => v * share) };
}

export interface DiodeFed {
  /** True rms across the string, V. */
  readonly rmsVolts: number;
  readonly dcVolts: number;
  readonly acVolts: number;
  /** What other meters show: AC-coupled true rms, AC-coupled and DC-coupled average-responding, half-wave moving coil. */
  readonly acCoupledRmsVolts: number;
  readonly acCoupledAverageVolts: number;
  readonly dcCoupledAverageVolts: number;
  readonly halfWaveMeterVolts: number;
  /** Heater volts and current as a share of rated when the diode shorts. */
  readonly shortedVoltsShare: number;
  readonly shortedAmpsShare: number;
}

/**
 * Heaters fed through a series diode (half a sine): rms = line / sqrt 2, DC = 0.45 line. Only sqrt(AC^2 + DC^2) of two
 * readings, or a true-rms AC+DC meter, tells the truth.
 * Example: 117 V -> 82.7 V rms; an AC-coupled meter shows 0.77 of it; diode shorted: volts +41 %, current +23 %.
 */
export function diodeFedHeaters(lineVolts: number): DiodeFed {
  const peak = Math.SQRT2 * positive('lineVolts', lineVolts);
  const rmsVolts = peak / 2;
  const dcVolts = peak / Math.PI;
  const acVolts = Math.sqrt(rmsVolts ** 2 - dcVolts ** 2);
  // Mean of |half sine - its mean|: twice the area above the mean over one period.
  const edge = Math.asin(1 / Math.PI);
  const meanAbsolute = (peak / Math.PI) * (2 * Math.cos(edge) - (Math.PI - 2 * edge) / Math.PI);
  const form = Math.PI / (2 * Math.SQRT2);
  return {
    rmsVolts,
    dcVolts,
    acVolts,
    acCoupledRmsVolts: acVolts,
    acCoupledAverageVolts: form * meanAbsolute,
    dcCoupledAverageVolts: form * dcVolts,
    halfWaveMeterVolts: 2 * form * dcVolts,
    shortedVoltsShare: Math.SQRT2,
    shortedAmpsShare: Math.SQRT2 ** HEATER_EXPONENT,
  };
}

/** True rms from separate AC and DC readings, V: sqrt(AC^2 + DC^2). Example: 63.8 V AC and 52.7 V DC -> 82.7 V. */
export function rmsFromAcDc(acVolts: number, dcVolts: number): number {
  return Math.hypot(notNegative('acVolts', acVolts), dcVolts);
}
