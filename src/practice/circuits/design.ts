// What the designer of each family aimed at: supply voltages, stage currents, bias. Typical figures of the trade (handbooks and
// service notes of 1950-65, from memory unless said); component values follow from them by Ohm's law and the 3/2-power law.

/** How the B+ supply is built. */
export type Topology = 'full-wave' | 'half-wave' | 'doubler-half-wave' | 'doubler-full-wave';

export interface Design {
  readonly family: string;
  readonly topology: Topology;
  readonly lineVolts: number;
  readonly hertz: number;
  readonly heaters: 'series' | 'parallel';
  /**
   * What a transformer feeds: heaters and B+, heaters beside a B+ straight from the line, or there is none. `auto`: one tapped winding on
   * the line for both.
   */
  readonly transformer: 'power' | 'heaters' | 'auto' | 'none';
  /** Current of the heater string, A; of the picture-tube heater in parallel sets. */
  readonly heaterAmps: number;
  readonly rectifier: 'silicon' | 'selenium' | 'tube-direct';
  /** A section of the mains dropper stands in series with the rectifier. */
  readonly dropper: boolean;
  readonly chassisBoard: 'hand-wired' | 'printed';
  /** An older picture tube: 70 degrees, an ion trap on its neck, focused by a permanent magnet; else 90 degrees with a focus voltage. */
  readonly olderTube: boolean;
  /** rms volts of each half of the high-voltage winding, or of the line. */
  readonly sourceVolts: number;
  /** Copper and line resistance in series with the source, ohm. */
  readonly sourceOhms: number;
  readonly reservoirFarads: number;
  readonly filterFarads: number;
  readonly chokeOhms: number;
  readonly chokeHenries: number;
  /** Working B+ at the main line and low B+, V. */
  readonly bPlus: number;
  readonly bLow: number;
  readonly stacked: boolean;
  /** Horizontal output: screen, mean cathode current, boost over B+, anode. */
  readonly screenVolts: number;
  readonly cathodeAmps: number;
  readonly boostRatio: number;
  readonly anodeVolts: number;
  /** Peak-to-peak drive that the oscillator offers to the output grid. */
  readonly drivePp: number;
  readonly verticalCathodeVolts: number;
  readonly audioCathodeVolts: number;
  /** Lines a second and fields a second. */
  readonly lineHertz: number;
  readonly fieldHertz: number;
}

const US = { hertz: 60, lineHertz: 15_750, fieldHertz: 60, lineVolts: 117 };

/** What differs from set to set within a family; all false = dropped low line, silicon, hand-wired, a picture tube of 90 degrees. */
export interface Variant {
  /** The audio output tube feeds the low line with its cathode current. */
  readonly stacked?: boolean;
  /** Metal rectifiers are the stacks it was built with. */
  readonly selenium?: boolean;
  readonly printed?: boolean;
  readonly olderTube?: boolean;
}

/**
 * Doubler sets: 117 V, 100 + 100 uF, about 0.26 A, B+ near 260 V and boost near 500 V (handbook figures for 70 to 90 degree sets).
 * Half-wave sets: 130 to 145 V, 150 uF. Transformer sets: 325-0-325 V winding, 40 uF, about 0.25 A. 300 mA chains: 240 V, 50 Hz.
 */
export function designOf(
  family: string,
  { stacked = false, selenium = false, printed = false, olderTube = false }: Variant = {},
): Design {
  const doubler = {
    ...US,
    dropper: false,
    chassisBoard: printed ? ('printed' as const) : ('hand-wired' as const),
    olderTube,
    heaters: 'series' as const,
    transformer: 'none' as const,
    heaterAmps: 0.6,
    rectifier: selenium ? ('selenium' as const) : ('silicon' as const),
    sourceVolts: 117,
    // A stack has some ohms of its own: its designer gave it less of a surge resistor and a stiffer source.
    sourceOhms: selenium ? 0.5 : 1.5,
    reservoirFarads: 100e-6,
    filterFarads: 100e-6,
    chokeOhms: 52,
    chokeHenries: 1,
    bPlus: 252,
    bLow: 135,
    stacked,
    screenVolts: 150,
    cathodeAmps: 0.1,
    boostRatio: 1.9,
    anodeVolts: 14_800,
    drivePp: 132,
    verticalCathodeVolts: 18,
    audioCathodeVolts: 12,
  };
  switch (family) {
    case 'series-doubler-halfwave':
      return { ...doubler, family, topology: 'doubler-half-wave' };
    case 'series-doubler-fullwave':
      return { ...doubler, family, topology: 'doubler-full-wave', bPlus: 260, chokeHenries: 0.6 };
    case 'series-halfwave':
      return {
        ...doubler,
        family,
        topology: 'half-wave',
        reservoirFarads: 150e-6,
        chokeOhms: 22,
        bPlus: 138,
        bLow: 124,
        stacked: false,
        screenVolts: 124,
        cathodeAmps: 0.112,
        boostRatio: 2.75,
        anodeVolts: 13_600,
        drivePp: 118,
        verticalCathodeVolts: 11,
        audioCathodeVolts: 7.5,
      };
    case 'transformer-doubler':
      return {
        ...doubler,
        family,
        topology: 'doubler-full-wave',
        heaters: 'parallel',
        transformer: 'power',
        // A secondary of the line's own voltage, wound for twice the direct current; its copper is 'transformer-secondary'.
        sourceVolts: 117,
        sourceOhms: 1,
        bPlus: 258,
        chokeHenries: 0.6,
      };
    case 'heater-transformer-doubler':
      return {
        ...doubler,
        family,
        topology: 'doubler-half-wave',
        heaters: 'parallel',
        transformer: 'heaters',
      };
    case 'transformer':
      return {
        ...doubler,
        family,
        topology: 'full-wave',
        heaters: 'parallel',
        transformer: 'power',
        rectifier: 'tube-direct',
        sourceVolts: 325,
        sourceOhms: 55,
        reservoirFarads: 40e-6,
        filterFarads: 40e-6,
        chokeOhms: 95,
        chokeHenries: 1,
        bPlus: 283,
        screenVolts: 165,
        boostRatio: 1.85,
      };
    case 'series-halfwave-300ma':
      return {
        ...doubler,
        family,
        topology: 'half-wave',
        dropper: true,
        hertz: 50,
        lineHertz: 15_625,
        fieldHertz: 50,
        lineVolts: 240,
        heaterAmps: 0.3,
        sourceVolts: 240,
        // The HT section of the mains dropper stands in series with the rectifier.
        sourceOhms: 3,
        reservoirFarads: 150e-6,
        filterFarads: 150e-6,
        chokeOhms: 60,
        chokeHenries: 1.2,
        bPlus: 208,
        bLow: 182,
        stacked: false,
        screenVolts: 160,
        cathodeAmps: 0.11,
        boostRatio: 2.5,
        anodeVolts: 14_200,
        drivePp: 140,
        verticalCathodeVolts: 17,
        audioCathodeVolts: 16,
      };
    case 'autotransformer':
      return {
        ...doubler,
        family,
        topology: 'half-wave',
        hertz: 50,
        lineHertz: 15_625,
        fieldHertz: 50,
        lineVolts: 240,
        heaters: 'parallel',
        transformer: 'auto',
        // The rectifier hangs on a tap near the line's own voltage; copper of one winding that carries the difference only.
        sourceVolts: 230,
        sourceOhms: 12,
        chokeOhms: 80,
        chokeHenries: 1.5,
        bPlus: 226,
        bLow: 182,
        stacked: false,
        screenVolts: 160,
        cathodeAmps: 0.095,
        boostRatio: 2.1,
        anodeVolts: 11_200,
        drivePp: 125,
        verticalCathodeVolts: 18,
        audioCathodeVolts: 12,
      };
    default:
      throw new Error(`no circuit for the family "${family}"`);
  }
}

/** Families that can be drawn as circuits. */
export const CIRCUIT_FAMILIES = [
  'series-doubler-halfwave',
  'transformer',
  'series-halfwave',
  'series-doubler-fullwave',
  'series-halfwave-300ma',
  'transformer-doubler',
  'heater-transformer-doubler',
  'autotransformer',
] as const;
