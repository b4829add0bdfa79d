// Calculations on rectifiers and their reservoir: all quantities, weak filters, drops, silicon in place of selenium.
import { bothOrNone, define } from '../calculation.ts';
import { siliconSeriesResistor } from '../expected-b-plus.ts';
import { ArgumentError } from '../numbers.ts';
import { forwardDrop, RECTIFIERS, type Rectifier, type RectifierLaw, tubeLaw } from '../rectifier.ts';
import { solveSupply, TOPOLOGIES } from '../supply.ts';

const SOLVED = 'rectifier circuit solved step by step in time, checked against a circuit simulator';

/** A tube's own data-sheet point replaces the usual law of its kind. */
function lawFor(
  rectifier: Rectifier,
  volts: number | undefined,
  amps: number | undefined,
): Rectifier | RectifierLaw {
  if (!bothOrNone('tubeDropVolts', volts, 'tubeDropAmps', amps)) return rectifier;
  if (!rectifier.startsWith('tube'))
    throw new ArgumentError('tubeDropVolts', 'left out with a solid rectifier', volts);
  return tubeLaw(volts ?? 0, amps ?? 0);
}

export const rectifierCalculations = [
  define({
    name: 'rectifier-supply',
    title: 'Capacitor-input supply, all quantities',
    summary: 'DC output, ripple, rectifier and input currents of one supply at one load.',
    inputs: [
      { name: 'topology', unit: '', description: 'supply circuit', choices: TOPOLOGIES },
      { name: 'rectifier', unit: '', description: 'rectifier', choices: RECTIFIERS },
      { name: 'sourceVolts', unit: 'V', description: 'rms volts into one rectifier', min: 1, max: 3000 },
      {
        name: 'sourceOhms',
        unit: 'ohm',
        description: 'series resistance of one rectifier',
        min: 0.05,
        max: 100000,
      },
      {
        name: 'farads',
        unit: 'F',
        description: 'reservoir (doubler: output or upper)',
        min: 0.5e-6,
        max: 0.1,
      },
      {
        name: 'secondFarads',
        unit: 'F',
        description: 'doubler: series or lower capacitor',
        min: 0.5e-6,
        max: 0.1,
        optional: true,
      },
      {
        name: 'loadAmps',
        unit: 'A',
        description: 'load, constant current (or give loadOhms)',
        min: 0,
        max: 10,
        optional: true,
      },
      {
        name: 'loadOhms',
        unit: 'ohm',
        description: 'load as a resistance',
        min: 1,
        max: 1e8,
        optional: true,
      },
      { name: 'frequencyHz', unit: 'Hz', description: 'line frequency', min: 16, max: 1000, default: 60 },
      {
        name: 'tubeDropVolts',
        unit: 'V',
        description: 'tube: drop from its data sheet',
        max: 500,
        optional: true,
      },
      { name: 'tubeDropAmps', unit: 'A', description: 'tube: current at that drop', max: 10, optional: true },
    ],
    outputs: [
      { name: 'volts', unit: 'V', description: 'mean output' },
      { name: 'rippleVoltsRms', unit: 'V', description: 'ripple rms' },
      { name: 'rippleVoltsPeakToPeak', unit: 'V', description: 'ripple peak to peak' },
      { name: 'rippleHz', unit: 'Hz', description: 'ripple frequency' },
      { name: 'firstCapacitorVolts', unit: 'V', description: 'mean volts on the first capacitor' },
      { name: 'secondCapacitorVolts', unit: 'V', description: 'mean volts on the second' },
      { name: 'loadAmps', unit: 'A', description: 'mean load current' },
      { name: 'rectifierPeakAmps', unit: 'A', description: 'peak of one rectifier' },
      { name: 'rectifierRmsAmps', unit: 'A', description: 'rms of one rectifier' },
      { name: 'rectifierMeanAmps', unit: 'A', description: 'mean of one rectifier' },
      { name: 'inputRmsAmps', unit: 'A', description: 'true rms in the source resistance' },
      { name: 'inputDcAmps', unit: 'A', description: 'direct current in the source' },
      {
        name: 'inputAverageRespondingAmps',
        unit: 'A',
        description: 'what an average-responding AC meter shows',
      },
    ],
    source: SOLVED,
    example: {
      topology: 'doubler-full-wave',
      rectifier: 'silicon',
      sourceVolts: 117,
      sourceOhms: 7,
      farads: '100u',
      loadAmps: '260m',
    },
    run: (a) => {
      if ((a.loadAmps === undefined) === (a.loadOhms === undefined)) {
        throw new ArgumentError('loadAmps', 'given, or loadOhms, but not both', a.loadAmps ?? 'missing');
      }
      return {
        ...solveSupply({
          topology: a.topology,
          rectifier: lawFor(a.rectifier, a.tubeDropVolts, a.tubeDropAmps),
          sourceVolts: a.sourceVolts,
          sourceOhms: a.sourceOhms,
          capacitanceFarads: a.farads,
          secondCapacitanceFarads: a.secondFarads,
          frequencyHz: a.frequencyHz,
          load: a.loadOhms === undefined ? { amps: a.loadAmps ?? 0 } : { ohms: a.loadOhms },
        }),
      };
    },
  }),
  define({
    name: 'silicon-series-resistor',
    title: 'Resistor when silicon replaces selenium or a tube',
    summary: 'Series resistor that brings B+ back to the old value, with its watts.',
    inputs: [
      { name: 'topology', unit: '', description: 'supply circuit', choices: TOPOLOGIES },
      { name: 'sourceVolts', unit: 'V', description: 'rms volts into one rectifier', min: 20, max: 800 },
      {
        name: 'sourceOhms',
        unit: 'ohm',
        description: 'series resistance that is there already',
        min: 0.1,
        max: 10000,
      },
      { name: 'farads', unit: 'F', description: 'reservoir', min: 1e-6, max: 0.01 },
      { name: 'loadAmps', unit: 'A', description: 'load', min: 0.001, max: 2 },
      { name: 'wantedVolts', unit: 'V', description: 'B+ to restore', min: 1, max: 2000 },
      { name: 'frequencyHz', unit: 'Hz', description: 'line frequency', min: 40, max: 70, default: 60 },
    ],
    outputs: [
      { name: 'ohms', unit: 'ohm', description: 'resistor' },
      { name: 'watts', unit: 'W', description: 'watts in it (rms current)' },
      { name: 'ratingWatts', unit: 'W', description: 'rating to buy' },
      { name: 'withoutVolts', unit: 'V', description: 'B+ with silicon and no resistor' },
    ],
    source: `${SOLVED}; three times the watts is common practice, no source`,
    example: {
      topology: 'half-wave',
      sourceVolts: 117,
      sourceOhms: 8,
      farads: '150u',
      loadAmps: '0.28',
      wantedVolts: 134,
    },
    run: (a) => ({ ...siliconSeriesResistor({ ...a, capacitanceFarads: a.farads }) }),
  }),
  define({
    name: 'rectifier-drop',
    title: 'Forward drop of a rectifier',
    summary: 'Drop at a current; silicon, selenium, tubes.',
    inputs: [
      { name: 'rectifier', unit: '', description: 'rectifier', choices: RECTIFIERS },
      { name: 'amps', unit: 'A', description: 'current', min: 0, max: 10 },
      {
        name: 'tubeDropVolts',
        unit: 'V',
        description: 'tube: drop from its data sheet',
        max: 500,
        optional: true,
      },
      { name: 'tubeDropAmps', unit: 'A', description: 'tube: current at that drop', max: 10, optional: true },
    ],
    outputs: [{ name: 'volts', unit: 'V', description: 'drop' }],
    source:
      'three-halves power law for tubes (44 V at 225 mA, 5U4GB class); solid rectifiers common practice, no source',
    example: { rectifier: 'tube-direct', amps: '225m' },
    run: (a) => ({ volts: forwardDrop(lawFor(a.rectifier, a.tubeDropVolts, a.tubeDropAmps), a.amps) }),
  }),
  define({
    name: 'weak-filter',
    title: 'What a dried-out filter capacitor does',
    summary:
      'B+ and ripple with the marked capacitance and with what is left of it; in a doubler one or both.',
    inputs: [
      { name: 'topology', unit: '', description: 'supply circuit', choices: TOPOLOGIES },
      { name: 'rectifier', unit: '', description: 'rectifier', choices: RECTIFIERS },
      { name: 'sourceVolts', unit: 'V', description: 'rms volts into one rectifier', min: 1, max: 3000 },
      {
        name: 'sourceOhms',
        unit: 'ohm',
        description: 'series resistance of one rectifier',
        min: 0.05,
        max: 100000,
      },
      { name: 'farads', unit: 'F', description: 'marked value', min: 1e-6, max: 0.1 },
      { name: 'leftPercent', unit: '%', description: 'what is left of it', min: 2, max: 200 },
      {
        name: 'which',
        unit: '',
        description: 'doubler: first = output or upper, second = series or lower',
        choices: ['first', 'second', 'both'],
        default: 'first',
      },
      { name: 'loadAmps', unit: 'A', description: 'load', min: 0.001, max: 10 },
      { name: 'frequencyHz', unit: 'Hz', description: 'line frequency', min: 16, max: 1000, default: 60 },
    ],
    outputs: [
      { name: 'goodVolts', unit: 'V', description: 'B+ with the marked value' },
      { name: 'goodRippleVoltsRms', unit: 'V', description: 'ripple with the marked value' },
      { name: 'weakVolts', unit: 'V', description: 'B+ with what is left' },
      { name: 'weakRippleVoltsRms', unit: 'V', description: 'ripple with what is left' },
      { name: 'firstCapacitorVolts', unit: 'V', description: 'volts of the first capacitor then' },
      { name: 'secondCapacitorVolts', unit: 'V', description: 'volts of the second capacitor then' },
    ],
    source: SOLVED,
    example: {
      topology: 'doubler-half-wave',
      rectifier: 'silicon',
      sourceVolts: 117,
      sourceOhms: 7,
      farads: '100u',
      leftPercent: 20,
      which: 'second',
      loadAmps: '0.22',
    },
    run: (a) => {
      const solve = (first: number, second: number) =>
        solveSupply({
          topology: a.topology,
          rectifier: a.rectifier,
          sourceVolts: a.sourceVolts,
          sourceOhms: a.sourceOhms,
          capacitanceFarads: first,
          secondCapacitanceFarads: second,
          frequencyHz: a.frequencyHz,
          load: { amps: a.loadAmps },
        });
      const left = (a.farads * a.leftPercent) / 100;
      const good = solve(a.farads, a.farads);
      const weak = solve(a.which === 'second' ? a.farads : left, a.which === 'first' ? a.farads : left);
      return {
        goodVolts: good.volts,
        goodRippleVoltsRms: good.rippleVoltsRms,
        weakVolts: weak.volts,
        weakRippleVoltsRms: weak.rippleVoltsRms,
        firstCapacitorVolts: weak.firstCapacitorVolts,
        secondCapacitorVolts: weak.secondCapacitorVolts,
      };
    },
  }),
];
