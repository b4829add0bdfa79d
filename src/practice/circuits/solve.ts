// Solves a whole set in one configuration: supply, heaters, stages, deflection and signal, round and round until they agree.
import { passed, type Values, valueIn } from './component.ts';
import { type Deflection, solveDeflection } from './deflection.ts';
import type { Design } from './design.ts';
import { emissionAt, type HeaterState, solveHeaters } from './heaters.ts';
import { lowLineAmps, stageVolts } from './plan.ts';
import { type SignalState, solveSignal } from './signal.ts';
import { runNetlist } from './spice.ts';
import { NOMINAL_BIAS, type StageInputs, stagesNetlist } from './stages.ts';
import { type SupplyState, solveSupply } from './supply.ts';

export interface Configuration {
  readonly horizontal: 'enabled' | 'disabled';
  readonly signal: 'applied' | 'none';
}

export interface Solved {
  readonly design: Design;
  readonly values: Values;
  readonly configuration: Configuration;
  readonly lineAtSet: number;
  readonly heaters: HeaterState;
  readonly emission: StageInputs['emission'];
  readonly supply: SupplyState;
  readonly deflection: Deflection;
  readonly signal: SignalState;
  /** DC volts of a stage node; 0 for one that the dead set does not drive. */
  readonly node: (name: string) => number;
  readonly horizontalRuns: boolean;
  readonly verticalRuns: boolean;
  /** Drive at the output grid, V peak to peak, as offered by the oscillator. */
  readonly drivePp: number;
  readonly verticalPp: number;
  /** Main B+ current, A. */
  readonly bPlusAmps: number;
  readonly directCoupled: boolean;
}

const ROUNDS = 4;

/** Some 0.1 to 0.3 s. Throws only when the circuit simulator itself fails. */
export async function solveSet(
  d: Design,
  values: Values,
  configuration: Configuration,
  options: { readonly lineVolts: number; readonly directCoupled: boolean },
): Promise<Solved> {
  const v = (name: string): number => valueIn(values, name);
  const series = ['line-cord', 'interlock', 'switch', 'fuse', 'line-choke'].reduce(
    (s, id) => s + v(`line-input.${id}`),
    0,
  );
  const primary =
    d.transformer !== 'none' && d.transformer !== 'heaters' && v('b-plus.transformer-primary') > 1e4;
  const lineAtSet = series > 1e4 ? 0 : options.lineVolts * (1 - Math.min(0.5, series / 60));
  const heaterLine = primary ? 0 : lineAtSet;
  const heaters = solveHeaters(d, values, heaterLine);
  const emission = {
    tubes: emissionAt(heaters.tubes),
    deflection: emissionAt(heaters.deflection),
    pictureTube: emissionAt(heaters.pictureTube),
  };
  const enabled = configuration.horizontal === 'enabled';
  const at = stageVolts(d);
  let supply: SupplyState | undefined;
  let loadOhms = d.bPlus / (0.105 + (enabled ? d.cathodeAmps : 0) + (d.stacked ? 0 : lowLineAmps()));
  let bPlus = d.bPlus;
  let nodes: ReadonlyMap<string, readonly number[]> = new Map();
  const node = (name: string): number => nodes.get(`v(${name})`)?.[0] ?? 0;
  let boost = enabled ? d.bPlus * d.boostRatio : d.bPlus;
  let plateShare = 0.72;
  let agcVolts = -2;
  let feed = at.oscillatorFeed;
  let hp = at.oscillatorPlate;
  let vf = enabled ? at.verticalOscillator : 50;
  let deflection: Deflection | undefined;
  let signal: SignalState | undefined;
  let solvedFor = Number.NaN;
  let amps = 0;
  let horizontalRuns = false;
  let verticalRuns = false;
  let drivePp = 0;
  for (let round = 0; round < ROUNDS; round += 1) {
    if (supply === undefined || Math.abs(loadOhms / solvedFor - 1) > 0.03) {
      supply = await solveSupply(d, values, {
        lineVolts: primary ? 0 : lineAtSet,
        ohms: loadOhms,
        heat: emission.tubes,
        expected: supply?.raw || (d.bPlus * lineAtSet) / d.lineVolts,
      });
      solvedFor = loadOhms;
    }
    bPlus = Math.max(0.01, supply.main);
    const oscillator = v('horizontal-oscillator.tube.k') * emission.deflection;
    horizontalRuns =
      oscillator > 0.3 &&
      feed > 0.35 * at.oscillatorFeed &&
      v('wiring.socket-horizontal-oscillator') < 100 &&
      v('horizontal-oscillator.coil') < 1e4 &&
      v('horizontal-oscillator.cathode-resistor') < 1e5 &&
      v('horizontal-oscillator.coupling-capacitor') >
        0.1 * v('horizontal-oscillator.coupling-capacitor.mark');
    drivePp = horizontalRuns ? offeredDrive(d, values, hp, oscillator) : 0;
    verticalRuns =
      v('vertical-oscillator.tube.k') * emission.deflection > 0.25 &&
      vf > 0.12 * at.verticalOscillator &&
      v('vertical-oscillator.blocking-transformer') < 1e4 &&
      v('vertical-oscillator.blocking-transformer.loss') < 0.7 &&
      v('vertical-oscillator.feedback-path') < 1e7 &&
      v('wiring.board-vertical') < 1e4 &&
      v('wiring.socket-vertical-oscillator') < 100;
    nodes = await runNetlist(
      stagesNetlist(d, values, {
        bPlus,
        boost,
        emission,
        drivePp,
        horizontalRuns,
        plateShare,
        horizontalDisabled: !enabled,
        verticalRuns,
        agcVolts,
        anodeVolts: deflection?.anode ?? (enabled ? d.anodeVolts : 0),
        directCoupled: options.directCoupled,
      }),
    );
    feed = node('hf');
    hp = node('hp');
    vf = node('vf');
    amps = -(nodes.get('i(vbp)')?.[0] ?? 0);
    const previous = deflection;
    deflection = solveDeflection(d, values, {
      bPlus,
      fullPlateAmps: node('full'),
      retraceAmps: node('back'),
      emission: emission.deflection,
      beamAmps: Math.min(node('mb'), Math.max(node('md'), 80e-6)),
      boostLoadAmps: -(nodes.get('i(vbo)')?.[0] ?? 0),
      enabled,
    });
    // Plate current comes through the damper; no plate feed, no plate current.
    plateShare = deflection.plateShare;
    boost = Math.max(0.01, deflection.boost);
    signal = solveSignal(d, values, {
      applied: configuration.signal === 'applied',
      emission: emission.tubes,
      node,
      pulse: deflection.pulse,
    });
    agcVolts = signal.agcVolts;
    loadOhms = Math.min(1e6, Math.max(20, bPlus / Math.max(1e-5, amps)));
    if (
      previous &&
      round > 1 &&
      Math.abs(deflection.boost - previous.boost) < 2 &&
      Math.abs(loadOhms / solvedFor - 1) < 0.03
    )
      break;
  }
  if (!supply || !deflection || !signal) throw new Error('the set was not solved');
  return {
    design: d,
    values,
    configuration,
    lineAtSet,
    heaters,
    emission,
    supply,
    deflection,
    signal,
    node,
    horizontalRuns,
    verticalRuns,
    drivePp,
    verticalPp: verticalRuns ? verticalDrive(values, vf) : 0,
    bPlusAmps: amps,
    directCoupled: options.directCoupled,
  };
}

/** Peak-to-peak drive offered to the output grid: what the discharge capacitor gets from its plate supply. */
function offeredDrive(d: Design, values: Values, plateVolts: number, tube: number): number {
  const v = (name: string): number => valueIn(values, name);
  const capacitor =
    v('horizontal-oscillator.discharge-capacitor') / v('horizontal-oscillator.discharge-capacitor.mark');
  const coupling =
    v('horizontal-output.grid-coupling-capacitor') / v('horizontal-output.grid-coupling-capacitor.mark');
  return (
    d.drivePp *
    (plateVolts / stageVolts(d).oscillatorPlate) *
    (capacitor < 0.3 ? 0.15 : capacitor ** -0.3) *
    Math.min(1, 0.4 + 0.6 * tube) *
    v('horizontal-output.drive-control') *
    passed(v('wiring.board-horizontal')) *
    Math.min(1, coupling / 0.2) *
    (v('horizontal-output.grid-stopper') > 1e6 ? 0.02 : 1)
  );
}

/** Sawtooth at the vertical output grid, V peak to peak. */
function verticalDrive(values: Values, feedVolts: number): number {
  const v = (name: string): number => valueIn(values, name);
  const charging =
    v('vertical-oscillator.charging-capacitor') / v('vertical-oscillator.charging-capacitor.mark');
  return (
    0.45 *
    feedVolts *
    (charging < 0.3 ? 0.2 : charging ** -0.4) *
    passed(v('wiring.board-vertical')) *
    Math.min(1, 0.5 + 0.5 * v('vertical-oscillator.tube.k'))
  );
}

/** What a healthy stage's grid stands at, for those who judge drive. */
export const HEALTHY_GRID_VOLTS = NOMINAL_BIAS;
