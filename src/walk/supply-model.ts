// What B+ should be on this set's kind of supply, at this line voltage, with these stages running: the family's nominal value scaled by a solved rectifier circuit.
import { RECTIFIERS, type Rectifier, type SupplyResult, solveSupply, type Topology } from '../bench/index.ts';
import type { Family } from '../rulebook/types.ts';

/** Which stages draw current; the horizontal stage takes some 40 % of it (common practice: 35 to 50 %). */
export type Stages = 'all' | 'horizontal-off' | 'no-tubes';
const LOAD_SHARE: Readonly<Record<Stages, number>> = { all: 1, 'horizontal-off': 0.6, 'no-tubes': 0.02 };

interface TypicalSupply {
  readonly sourceVolts: number;
  readonly sourceOhms: number;
  readonly capacitanceFarads: number;
  readonly loadAmps: number;
  readonly rectifier: Rectifier;
  readonly ratedVolts: number;
}

/** Typical circuits at nominal line (common practice, no source): source volts are per rectifier. */
const TYPICAL: Readonly<Record<Topology, TypicalSupply>> = {
  'full-wave': {
    sourceVolts: 325,
    sourceOhms: 75,
    capacitanceFarads: 40e-6,
    loadAmps: 0.28,
    rectifier: 'tube-direct',
    ratedVolts: 117,
  },
  'half-wave': {
    sourceVolts: 117,
    sourceOhms: 8,
    capacitanceFarads: 150e-6,
    loadAmps: 0.28,
    rectifier: 'selenium',
    ratedVolts: 117,
  },
  'doubler-half-wave': {
    sourceVolts: 117,
    sourceOhms: 7,
    capacitanceFarads: 100e-6,
    loadAmps: 0.25,
    rectifier: 'selenium',
    ratedVolts: 117,
  },
  'doubler-full-wave': {
    sourceVolts: 117,
    sourceOhms: 7,
    capacitanceFarads: 100e-6,
    loadAmps: 0.25,
    rectifier: 'selenium',
    ratedVolts: 117,
  },
};

/** Half-wave sets on 200-250 V carry a surge section of the dropper (common practice: 22 to 80 ohm). */
const HALF_WAVE_240: TypicalSupply = {
  sourceVolts: 240,
  sourceOhms: 45,
  capacitanceFarads: 150e-6,
  loadAmps: 0.28,
  rectifier: 'silicon',
  ratedVolts: 240,
};

const solved = new Map<string, SupplyResult>();

function typicalFor(family: Family): { topology: Topology; supply: TypicalSupply } | undefined {
  const topology = family.facts.topology as Topology | undefined;
  if (!topology || !(topology in TYPICAL)) return undefined;
  const supply = topology === 'half-wave' && family.ratedVolts > 180 ? HALF_WAVE_240 : TYPICAL[topology];
  return { topology, supply };
}

function solve(
  family: Family,
  lineVolts: number,
  stages: Stages,
  rectifier: string | undefined,
): SupplyResult | undefined {
  const typical = typicalFor(family);
  if (!typical || !(lineVolts > 0)) return undefined;
  const { topology, supply } = typical;
  const kind = RECTIFIERS.find((r) => r === rectifier) ?? supply.rectifier;
  const line = Math.round(lineVolts);
  const key = `${family.id} ${line} ${stages} ${kind}`;
  const known = solved.get(key);
  if (known) return known;
  const result = solveSupply({
    topology,
    sourceVolts: (supply.sourceVolts * line) / family.ratedVolts,
    frequencyHz: family.ratedVolts > 180 ? 50 : 60,
    sourceOhms: supply.sourceOhms,
    rectifier: kind,
    capacitanceFarads: supply.capacitanceFarads,
    load: { amps: (supply.loadAmps * LOAD_SHARE[stages] * line) / family.ratedVolts },
  });
  if (solved.size > 500) solved.clear();
  solved.set(key, result);
  return result;
}

/**
 * Ratio of B+ under these circumstances to B+ at the family's rated line with every stage on (dimensionless, 1 = nominal).
 * Falls back to proportion with the line where the family's supply is not one of the four circuits.
 */
export function bPlusRatio(
  family: Family,
  lineVolts: number,
  stages: Stages,
  rectifier: string | undefined,
): number {
  const now = solve(family, lineVolts, stages, rectifier);
  const nominal = solve(family, family.ratedVolts, 'all', rectifier);
  if (!now || !nominal || nominal.volts <= 0) return lineVolts / family.ratedVolts;
  return now.volts / nominal.volts;
}

/** Healthy ripple at the reservoir, V rms, with these stages on; `undefined` where the circuit is not modelled. */
export function reservoirRippleVolts(
  family: Family,
  lineVolts: number,
  stages: Stages,
  rectifier: string | undefined,
): number | undefined {
  return solve(family, lineVolts, stages, rectifier)?.rippleVoltsRms;
}
