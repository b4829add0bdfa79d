// Bringing a dormant set up on a variable transformer: steps, holds, current ceiling and the B+ to expect at each.

import { type BPlusInput, expectedBPlus, rectifierState } from './expected-b-plus.ts';
import { limitedVolts, loadAmpsAt, setLoad } from './lamp-limiter.ts';
import { ArgumentError, notNegative, positive } from './numbers.ts';
import { isTube, type Rectifier } from './rectifier.ts';
import type { Topology } from './supply.ts';

export interface BringUpInput {
  readonly topology: Topology;
  readonly rectifier: Rectifier;
  /** The set's nominal line, V rms. */
  readonly lineVolts: number;
  readonly ratedWatts: number;
  /** Watts of the series lamp; 0 or left out: no lamp. */
  readonly lamp?: number;
  /** Electrolytics are new: each step is held a minute only. */
  readonly renewed?: boolean;
  readonly frequencyHz?: number;
  /** Heater-string current, A; 0 or left out: heaters on a transformer. */
  readonly stringAmps?: number;
  readonly capacitanceFarads?: number;
  readonly secondCapacitanceFarads?: number;
  readonly sourceOhms?: number;
  readonly secondaryVolts?: number;
  /** B+ load with every stage on, A; when left out, from the nameplate. */
  readonly loadAmps?: number;
}

export const RECTIFIER_COLD = 'absent until the rectifier warms';

export interface BringUpStep {
  readonly step: number;
  /** What to set at the output of the variable transformer, V rms, and what then reaches the set's plug. */
  readonly lineVolts: number;
  readonly setVolts: number;
  readonly lampIn: boolean;
  readonly holdSeconds: number;
  /** More than this after the first 60 s: switch off. */
  readonly currentCeilingAmps: number;
  readonly expectedBPlus: { readonly lowVolts: number; readonly highVolts: number } | typeof RECTIFIER_COLD;
  readonly horizontalStage: 'keep disabled' | 'may be enabled';
  readonly note: string;
}

export interface BringUpPlan {
  readonly steps: readonly BringUpStep[];
  readonly cautions: readonly string[];
  readonly assumed: readonly string[];
  readonly totalSeconds: number;
}

interface Rung {
  /** Share of the nominal line at the variable transformer. */
  readonly share: number;
  readonly lampIn: boolean;
}

const SOLID_LADDER = [0.25, 0.43, 0.55, 0.68, 0.8, 0.9, 1];
const SOLID_BEHIND_LAMP = [0.25, 0.5, 0.75, 1];
/** A tube rectifier re-forms nothing below its own heat, so its ladder is short. */
const TUBE_LADDER = [0.3, 0.55, 0.7, 0.85, 1];
const TUBE_BEHIND_LAMP = [0.5, 1];
const AFTER_LAMP = [0.85, 1];

/** The ladder of the variable transformer: with a lamp first to the full line behind it, then two steps without. */
function ladderFor(tube: boolean, lamp: number): readonly Rung[] {
  if (lamp === 0) return (tube ? TUBE_LADDER : SOLID_LADDER).map((share) => ({ share, lampIn: false }));
  return [
    ...(tube ? TUBE_BEHIND_LAMP : SOLID_BEHIND_LAMP).map((share) => ({ share, lampIn: true })),
    ...AFTER_LAMP.map((share) => ({ share, lampIn: false })),
  ];
}

/** Share of the B+ load that is on while the horizontal output stage is off (it takes 35 to 50 %). */
const LOAD_SHARE_OFF = 0.55;
const CEILING = 1.3;
/** New electrolytics have nothing to re-form: each step is held until the lamp can be judged. */
const RENEWED_HOLD_SECONDS = 60;

/** Usual reservoir, F, B+ per line volt, and largest B+ load, A, used when the nameplate is all that is known (common practice). */
const USUAL: Readonly<
  Record<Topology, { readonly farads: number; readonly voltsPerLine: number; readonly mostAmps: number }>
> = {
  'full-wave': { farads: 40e-6, voltsPerLine: 2.45, mostAmps: 0.35 },
  'half-wave': { farads: 150e-6, voltsPerLine: 1.18, mostAmps: 0.32 },
  'doubler-half-wave': { farads: 100e-6, voltsPerLine: 2.25, mostAmps: 0.3 },
  'doubler-full-wave': { farads: 100e-6, voltsPerLine: 2.35, mostAmps: 0.3 },
};

/**
 * Plans the first power-up. Hold times and the ladder are common practice, no source; volts and amperes are solved.
 *
 * B+ low end: loaded with the horizontal stage off. High end: cold tubes, that is the no-load peak, with solid rectifiers.
 * The current ceiling is 1.3 times what a healthy set draws at those volts with every stage on.
 * Ranges: everything above zero. Errors: ArgumentError. The steps assume an isolation transformer and a bench fuse.
 */
export function bringUpPlan(input: BringUpInput): BringUpPlan {
  const lineVolts = positive('lineVolts', input.lineVolts);
  const ratedWatts = positive('ratedWatts', input.ratedWatts);
  const usual = USUAL[input.topology];
  if (usual === undefined)
    throw new ArgumentError('topology', `one of ${Object.keys(USUAL).join(', ')}`, input.topology);
  const stringAmps = input.stringAmps ?? 0;
  const load = setLoad(ratedWatts, lineVolts, stringAmps > 0 ? stringAmps : undefined);
  const heaterWatts = load.heaterAmps * lineVolts;
  const assumed: string[] = [];
  const farads = input.capacitanceFarads ?? usual.farads;
  if (input.capacitanceFarads === undefined) assumed.push(`reservoir ${(farads * 1e6).toFixed(0)} uF`);
  const fromNameplate = (0.85 * (ratedWatts - heaterWatts)) / (usual.voltsPerLine * lineVolts);
  const loadAmps = input.loadAmps ?? Math.min(usual.mostAmps, Math.max(0.05, fromNameplate));
  if (input.loadAmps === undefined)
    assumed.push(`B+ load ${(loadAmps * 1000).toFixed(0)} mA from the nameplate`);
  const supply = (setVolts: number, loadShare: number): BPlusInput => ({
    topology: input.topology,
    rectifier: input.rectifier,
    lineVolts: setVolts,
    ratedLineVolts: lineVolts,
    frequencyHz: input.frequencyHz ?? 60,
    capacitanceFarads: farads,
    loadAmps,
    loadShare,
    ...(input.secondCapacitanceFarads === undefined
      ? {}
      : { secondCapacitanceFarads: input.secondCapacitanceFarads }),
    ...(input.sourceOhms === undefined ? {} : { sourceOhms: input.sourceOhms }),
    ...(input.secondaryVolts === undefined ? {} : { secondaryVolts: input.secondaryVolts }),
  });
  assumed.push(...expectedBPlus(supply(lineVolts, 1)).assumed);

  const tube = isTube(input.rectifier);
  const lamp = notNegative('lamp', input.lamp ?? 0);
  const steps = ladderFor(tube, lamp).map(({ share, lampIn }, i): BringUpStep => {
    const dial = lineVolts * share;
    const setVolts = lampIn ? behindLamp(lamp, lineVolts, dial, load) : dial;
    const setShare = setVolts / lineVolts;
    const state = rectifierState(input.rectifier, setShare);
    const loaded = expectedBPlus(supply(setVolts, LOAD_SHARE_OFF));
    // Cold tubes draw nothing: with solid rectifiers the no-load peak is a healthy reading at every step.
    const high = tube
      ? expectedBPlus(supply(setVolts, LOAD_SHARE_OFF / 2)).highVolts
      : 1.02 * loaded.noLoadVolts;
    const low = state === 'may conduct' ? 0 : loaded.lowVolts;
    const ceilingLoad = loadAmpsAt(load, lineVolts, setVolts) * CEILING;
    return {
      step: i + 1,
      lineVolts: dial,
      setVolts,
      lampIn,
      holdSeconds: input.renewed ? RENEWED_HOLD_SECONDS : holdSeconds(setShare, tube),
      currentCeilingAmps: lampIn ? Math.min(ceilingLoad, lamp / lineVolts) : ceilingLoad,
      expectedBPlus: state === 'cold' ? RECTIFIER_COLD : { lowVolts: low, highVolts: high },
      horizontalStage: setShare < 0.9 ? 'keep disabled' : 'may be enabled',
      note: noteFor(state, setShare, lampIn),
    };
  });
  return {
    steps,
    cautions: cautionsFor(tube, lamp, lineVolts),
    assumed,
    totalSeconds: steps.reduce((sum, step) => sum + step.holdSeconds, 0),
  };
}

/** Set volts behind a lamp rated for the full line when the variable transformer stands at `dialVolts`. */
function behindLamp(
  lampWatts: number,
  lineVolts: number,
  dialVolts: number,
  load: ReturnType<typeof setLoad>,
): number {
  const scaled = {
    kind: 'set' as const,
    heaterAmps: loadAmpsAt({ ...load, supplyAmps: 0 }, lineVolts, dialVolts),
    supplyAmps: loadAmpsAt({ ...load, heaterAmps: 0 }, lineVolts, dialVolts),
  };
  return limitedVolts({ lampWatts, lineVolts: dialVolts, lampRatedVolts: lineVolts, load: scaled }).setVolts;
}

function holdSeconds(share: number, tube: boolean): number {
  if (share === 1) return 180;
  if (tube) return share < 0.65 ? 60 : 180;
  return share < 0.5 ? 300 : 180;
}

function noteFor(state: 'conducts' | 'may conduct' | 'cold', share: number, lampIn: boolean): string {
  const parts: string[] = [];
  if (state === 'cold') parts.push('no B+ yet is right: the rectifier is cold');
  if (state === 'may conduct') parts.push('B+ may come up at any moment');
  if (state === 'conducts' && share < 0.8)
    parts.push('B+ above the loaded value is right while the tubes are cold');
  if (lampIn) parts.push('judge the lamp after 60 s; a flash at switch-on is the cold heaters');
  if (share === 1)
    parts.push(
      'lamp out, bench fuse in; off after three minutes, discharge, feel for heat only when proven dead',
    );
  return parts.join('; ');
}

function cautionsFor(tube: boolean, lamp: number, lineVolts: number): readonly string[] {
  const cautions = [
    'Isolation transformer only; the variable transformer isolates nothing at any setting.',
    'Eye protection; face away from the chassis for the first minutes of each step.',
    'Switch off at smoke, arcing, red plates, a hot electrolytic, or current above the ceiling after 60 s.',
    'Horizontal output stage stays disabled below 90 % of the line: without drive its tube and the flyback burn.',
    'Wait three minutes between off and on again: hot thermistors and tubes give no protection against the surge.',
  ];
  if (tube)
    cautions.push('Nothing re-forms before the rectifier conducts: re-form old electrolytics off the set.');
  if (lamp > 0)
    cautions.push(
      `The lamp must be rated for ${Math.round(lineVolts)} V; LED and fluorescent lamps limit nothing.`,
    );
  return cautions;
}
