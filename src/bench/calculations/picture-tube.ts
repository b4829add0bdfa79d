// Calculations on the picture tube and its high voltage.
import { bothOrNone, define } from '../calculation.ts';
import { cutoffVolts, gunBias, hvFall, hvSourceOhms, spotWattsPerSquareMm } from '../picture-tube.ts';

const GUN = 'from memory: 28 to 72 V at a G2 of 300 V, in proportion to G2; the data sheet of the type wins';

export const pictureTubeCalculations = [
  define({
    name: 'cutoff',
    title: 'Cut-off of the gun for a G2',
    summary: 'Cathode-to-G1 volts at which the beam goes out.',
    inputs: [
      { name: 'g2Volts', unit: 'V', description: 'G2 above the cathode', min: 100, max: 1000 },
      {
        name: 'knownVolts',
        unit: 'V',
        description: 'cut-off of the type at another G2',
        max: 300,
        optional: true,
      },
      { name: 'atG2Volts', unit: 'V', description: 'that G2', min: 50, max: 1000, optional: true },
    ],
    outputs: [
      { name: 'lowVolts', unit: 'V', description: 'low end' },
      { name: 'volts', unit: 'V', description: 'typical' },
      { name: 'highVolts', unit: 'V', description: 'high end' },
    ],
    source: GUN,
    example: { g2Volts: 450, knownVolts: 50, atG2Volts: 300 },
    run: (a) => ({
      ...cutoffVolts(
        a.g2Volts,
        bothOrNone('knownVolts', a.knownVolts, 'atG2Volts', a.atG2Volts)
          ? { volts: a.knownVolts ?? 0, atG2Volts: a.atG2Volts ?? 0 }
          : undefined,
      ),
    }),
  }),
  define({
    name: 'gun-bias',
    title: 'Bias of the gun',
    summary: 'G1-to-cathode bias from three readings to chassis, against cut-off for that G2.',
    inputs: [
      { name: 'cathodeVolts', unit: 'V', description: 'cathode to chassis', min: -500, max: 1000 },
      { name: 'g1Volts', unit: 'V', description: 'G1 to chassis', min: -500, max: 1000 },
      { name: 'g2Volts', unit: 'V', description: 'G2 to chassis', min: 0, max: 2000 },
      {
        name: 'knownVolts',
        unit: 'V',
        description: 'cut-off of the type at another G2',
        max: 300,
        optional: true,
      },
      { name: 'atG2Volts', unit: 'V', description: 'that G2', min: 50, max: 1000, optional: true },
    ],
    outputs: [
      { name: 'biasVolts', unit: 'V', description: 'cathode above G1' },
      { name: 'cutoffLowVolts', unit: 'V', description: 'cut-off, low end' },
      { name: 'cutoffHighVolts', unit: 'V', description: 'cut-off, high end' },
      { name: 'state', unit: '', description: 'grid positive, beam on, near cut-off, cut off' },
    ],
    source: GUN,
    example: { cathodeVolts: 110, g1Volts: 40, g2Volts: 410 },
    run: (a) => {
      const known = bothOrNone('knownVolts', a.knownVolts, 'atG2Volts', a.atG2Volts)
        ? { volts: a.knownVolts ?? 0, atG2Volts: a.atG2Volts ?? 0 }
        : undefined;
      const b = gunBias({ cathodeVolts: a.cathodeVolts, g1Volts: a.g1Volts, g2Volts: a.g2Volts, known });
      return {
        biasVolts: b.biasVolts,
        cutoffLowVolts: b.cutoff.lowVolts,
        cutoffHighVolts: b.cutoff.highVolts,
        state: b.state,
      };
    },
  }),
  define({
    name: 'hv-source',
    title: 'Source resistance of the high voltage',
    summary:
      'From two points of anode volts and beam current; 3 to 8 Mohm is usual, over 12 Mohm a weak rectifier.',
    inputs: [
      { name: 'darkVolts', unit: 'V', description: 'anode volts, dark', max: 50000 },
      { name: 'darkAmps', unit: 'A', description: 'beam current, dark', min: 0, max: 0.01 },
      { name: 'brightVolts', unit: 'V', description: 'anode volts, bright', max: 50000 },
      { name: 'brightAmps', unit: 'A', description: 'beam current, bright', max: 0.01 },
    ],
    outputs: [{ name: 'ohms', unit: 'ohm', description: 'source resistance' }],
    source: 'slope of two points; judgement common practice, no source',
    example: { darkVolts: '15.6k', darkAmps: 0, brightVolts: '14.2k', brightAmps: '300u' },
    run: (a) => ({
      ohms: hvSourceOhms(
        { volts: a.darkVolts, amps: a.darkAmps },
        { volts: a.brightVolts, amps: a.brightAmps },
      ),
    }),
  }),
  define({
    name: 'hv-fall',
    title: 'Fall of the high voltage',
    summary: 'Dark to bright when the beam current is not known.',
    inputs: [
      { name: 'darkVolts', unit: 'V', description: 'anode volts, dark', max: 50000 },
      { name: 'brightVolts', unit: 'V', description: 'anode volts, bright', max: 50000 },
    ],
    outputs: [
      { name: 'fallPercent', unit: '%', description: 'fall' },
      { name: 'plusMinusPercent', unit: '%', description: 'its doubt' },
      { name: 'verdict', unit: '', description: 'to 8 % fine, over 15 % blooms' },
    ],
    source: 'common practice, no source',
    example: { darkVolts: '15.6k', brightVolts: '14.2k' },
    run: (a) => ({ ...hvFall(a.darkVolts, a.brightVolts) }),
  }),
  define({
    name: 'spot-power',
    title: 'Power in a still spot',
    summary: 'Why a spot without deflection burns the phosphor: turn the brightness down first.',
    inputs: [
      { name: 'anodeVolts', unit: 'V', description: 'anode volts', max: 50000 },
      { name: 'beamAmps', unit: 'A', description: 'beam current', max: 0.01 },
      { name: 'spotMm', unit: 'mm', description: 'spot diameter', max: 50 },
    ],
    outputs: [
      { name: 'watts', unit: 'W', description: 'beam power' },
      { name: 'wattsPerSquareMm', unit: '', description: 'W per square millimetre' },
    ],
    source: 'volts times amperes over area',
    example: { anodeVolts: '15k', beamAmps: '100u', spotMm: '0.5' },
    run: (a) => ({
      watts: a.anodeVolts * a.beamAmps,
      wattsPerSquareMm: spotWattsPerSquareMm(a.anodeVolts, a.beamAmps, a.spotMm),
    }),
  }),
];
