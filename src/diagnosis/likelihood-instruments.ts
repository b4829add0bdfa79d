// What an instrument that lies would have shown: kinds of lie by kind of instrument, and the evidence of a reading under each.
import { METERS } from '../rulebook/instruments.ts';
import { isLiveCheck } from '../rulebook/live.ts';
import type { Check } from '../rulebook/types.ts';
import type { ReadingValue } from '../session/types.ts';
import { evidenceOf, floored, SHARES } from './likelihood.ts';
import type { Evidence, JudgedReading } from './types.ts';

/** One way in which everything read with an instrument, or from one return point, is wrong. */
export type Lie =
  /** Shows `factor` times what is there. */
  | { readonly kind: 'scale'; readonly factor: number }
  /** Calls everything good, or everything bad. */
  | { readonly kind: 'always'; readonly says: 'good' | 'bad' }
  /** Every voltage has this much added, V: the black lead is not at the point that voltages are counted from. */
  | { readonly kind: 'offset'; readonly volts: number }
  /** Volts from a point that hangs in the air: little or nothing, whatever is there. */
  | { readonly kind: 'floating' };

/** What may lie as one: an instrument on one kind of quantity, or the return point of live voltages. */
export interface Source {
  readonly id: string;
  /** In a sentence: `the tube tester`. */
  readonly title: string;
  readonly lies: readonly Lie[];
  /** How to prove it, an order to the technician without full stop. */
  readonly proof: string;
}

const always: readonly Lie[] = [
  { kind: 'always', says: 'good' },
  { kind: 'always', says: 'bad' },
];
const scales = (...factors: readonly number[]): readonly Lie[] =>
  factors.map((factor) => ({ kind: 'scale', factor }));

/** Tired batteries, a drifted multiplier, a shunt that was once burnt: a third to three times. Judgement, no source. */
const METER = scales(1 / 3, 0.5, 0.7, 1.4, 2, 3);

const SOURCES: readonly Source[] = [
  {
    id: 'tube-tester',
    title: 'the tube tester',
    lies: always,
    proof: 'prove it on a tube known to be good and on one known to be weak',
  },
  {
    id: 'picture-tube-tester',
    title: 'the picture-tube tester',
    lies: always,
    proof: 'prove it on a picture tube known to be good, and check its heater volts and socket adapter',
  },
  {
    id: 'capacitor-leakage-tester',
    title: 'the capacitor leakage tester',
    lies: always,
    proof: 'prove it with open leads, and on a 10 Mohm resistor',
  },
  {
    id: 'insulation-tester',
    title: 'the insulation tester',
    lies: always,
    proof: 'prove it with open leads, and on a 10 Mohm resistor of its voltage rating',
  },
  {
    id: 'ring-tester',
    title: 'the ring tester',
    lies: always,
    proof: 'prove it on a coil known to be good, then with a loop of solder round that coil',
  },
  {
    id: 'esr-meter',
    title: 'the ESR meter',
    lies: [...always, ...scales(0.3, 3)],
    proof: 'zero it on its own leads, then read a 1 ohm resistor',
  },
  {
    id: 'capacitance-meter',
    title: 'the capacitance meter',
    lies: scales(0.5, 0.7, 1.4, 2),
    proof: 'prove it on a new film capacitor of known value',
  },
  {
    id: 'hv-probe',
    title: 'the high-voltage probe',
    // A probe made for a meter of another input resistance: into 1 Mohm instead of 10, or the other way round, and what lies between.
    lies: scales(0.4, 0.55, 0.75, 1.35, 1.8),
    proof: 'check that it belongs to this meter, then read a B+ that is known through it',
  },
  {
    id: 'oscilloscope',
    title: 'the oscilloscope with its probe',
    // The 10x of the probe counted twice, or not at all.
    lies: scales(0.1, 10),
    proof: 'read its own calibrator through the probe and set the 10x right',
  },
];

/** A return point is no instrument, but it makes readings wrong together just the same. */
const RETURN: Source = {
  id: 'return-point',
  title: 'the return point',
  // Bias lines between B- and chassis stand 5 to 30 V apart. Judgement, no source.
  lies: [
    { kind: 'offset', volts: -25 },
    { kind: 'offset', volts: -8 },
    { kind: 'offset', volts: 8 },
    { kind: 'offset', volts: 25 },
    { kind: 'floating' },
  ],
  proof:
    'set dead, move the black lead to the negative terminal of the main filter capacitor (B-), then read B+ again',
};

/** The id of the volt ranges of a meter, as a source of readings. */
export const voltsOf = (meter: string): string => `${meter} volts`;

/** Instruments and return points that stand behind a reading; empty for a look or a swap. */
export function sourcesOf({ check, instrument }: JudgedReading): readonly Source[] {
  const own = SOURCES.find((s) => check.needs.includes(s.id));
  if (own) return [own];
  if (!instrument || !METERS.includes(instrument)) return [];
  const meter = (range: 'volts' | 'ohms'): Source => ({
    id: range === 'volts' ? voltsOf(instrument) : `${instrument} ohms`,
    title: range === 'ohms' ? 'the ohmmeter' : 'the voltmeter',
    lies: METER,
    proof:
      range === 'ohms'
        ? 'new battery, leads together for zero, then read a resistor of known value'
        : 'read a fresh 9 V battery, and a B+ that another meter reads too',
  });
  if (check.quantity === 'ohms') return [meter('ohms')];
  if (check.quantity !== 'dc-volts' && check.quantity !== 'ac-volts') return [];
  return check.quantity === 'dc-volts' && isLiveCheck(check) ? [meter('volts'), RETURN] : [meter('volts')];
}

/** Key of a lie of a source. */
export function lieKey(lie: Lie): string {
  switch (lie.kind) {
    case 'scale':
      return `x${lie.factor}`;
    case 'always':
      return `always ${lie.says}`;
    case 'offset':
      return `${lie.volts} V`;
    case 'floating':
      return 'floating';
  }
}

/**
 * Evidence of a reading if its source lies in this way, entry for entry as `evidenceOf` gives it; `scale` holds the density, so that
 * honest and lying are compared by what was read. A lie that would not change this reading gives the evidence as it is.
 */
export function evidenceUnder(
  reading: JudgedReading,
  lie: Lie,
  honest: readonly Evidence[],
): readonly Evidence[] {
  if (lie.kind === 'scale' || lie.kind === 'offset') {
    const value = undone(reading.value, lie, reading.check);
    if (!value) return honest;
    const moved = evidenceOf({ ...reading, value });
    return moved.length === honest.length ? moved : honest;
  }
  return honest.map((one) => {
    const { core, uniform } = one.terms;
    const rest = core.slice(1);
    const flat =
      lie.kind === 'always'
        ? lie.says === 'good'
          ? (core[0] ?? 0)
          : rest.reduce((a, b) => a + b, 0) / Math.max(1, rest.length)
        : // Low or absent as they come, or anything: LEVELS in the order normal, high, low, absent.
          ((core[2] ?? 0) + (core[3] ?? 0) + (uniform[0] ?? 0)) / 3;
    const density = SHARES.core * flat + SHARES.uniform * (uniform[0] ?? 0);
    return { ...one, likelihood: core.map(() => 1), scale: density };
  });
}

/** The value that was there, if the source showed this; `undefined` where the lie cannot touch it. */
function undone(
  value: ReadingValue,
  lie: Extract<Lie, { kind: 'scale' | 'offset' }>,
  check: Check,
): ReadingValue | undefined {
  const back = (v: number): number => (lie.kind === 'scale' ? v / lie.factor : v - lie.volts);
  switch (value.kind) {
    case 'number':
    case 'bound':
      return { ...value, value: back(value.value) };
    case 'range':
      return { ...value, low: back(value.low), high: back(value.high) };
    case 'pair': {
      const [a, b] = value.values;
      // Of a measured and a marked value only the first is read; two measured ones lose a factor in their ratio, an offset in their difference.
      if (check.pairLabels?.[1]?.includes('marked')) return { ...value, values: [back(a), b] };
      return { ...value, values: [back(a), back(b)] };
    }
    default:
      return undefined;
  }
}

/** Likelihood of a reading when its source lies with these chances: what is left of `honest` plus what each lie would say. Scaled and floored as ever. */
export function softened(
  honest: Evidence,
  lies: readonly { readonly evidence: Evidence; readonly probability: number }[],
): Evidence {
  const left = Math.max(0, 1 - lies.reduce((sum, l) => sum + l.probability, 0));
  const density = (one: Evidence): number[] => one.likelihood.map((l) => l * (one.scale ?? 1));
  const parts = lies.map((l) => ({ values: density(l.evidence), share: l.probability }));
  const mixed = density(honest).map(
    (l, s) => left * l + parts.reduce((sum, p) => sum + p.share * (p.values[s] ?? 0), 0),
  );
  return { ...honest, likelihood: floored(mixed), scale: Math.max(...mixed) };
}
