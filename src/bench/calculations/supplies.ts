// Calculations on B+ supplies and the line.
import { define } from '../calculation.ts';
import { expectedBPlus } from '../expected-b-plus.ts';
import { LINE_KINDS, lineCorrected } from '../line-correction.ts';
import { RECTIFIERS } from '../rectifier.ts';
import { TOPOLOGIES } from '../supply.ts';
import { smoothingSection } from '../timing.ts';

const SOLVED = 'rectifier circuit solved step by step in time, checked against a circuit simulator';

export const supplyCalculations = [
  define({
    name: 'b-plus',
    title: 'Expected B+ at this line',
    summary: "B+ and ripple at the reservoir of a healthy set, with a range, at today's line and stages on.",
    inputs: [
      { name: 'topology', unit: '', description: 'supply circuit', choices: TOPOLOGIES },
      { name: 'rectifier', unit: '', description: 'rectifier', choices: RECTIFIERS },
      { name: 'lineVolts', unit: 'V', description: 'line at the plug', min: 5, max: 300 },
      {
        name: 'ratedLineVolts',
        unit: 'V',
        description: 'line at which load and secondary hold',
        min: 90,
        max: 260,
        default: 117,
      },
      {
        name: 'farads',
        unit: 'F',
        description: 'reservoir (doubler: output or upper)',
        min: 1e-6,
        max: 0.01,
      },
      {
        name: 'secondFarads',
        unit: 'F',
        description: 'doubler: series or lower capacitor',
        min: 1e-6,
        max: 0.01,
        optional: true,
      },
      { name: 'loadAmps', unit: 'A', description: 'load with all stages on', min: 0, max: 2 },
      {
        name: 'loadShare',
        unit: '',
        description: 'share that is on (0.55 with the horizontal stage off)',
        min: 0,
        max: 1,
        default: 1,
      },
      {
        name: 'secondaryVolts',
        unit: 'V',
        description: 'full-wave: volts of each half at the rated line',
        min: 50,
        max: 800,
        optional: true,
      },
      {
        name: 'sourceOhms',
        unit: 'ohm',
        description: 'series resistance of one rectifier',
        min: 0.1,
        max: 10000,
        optional: true,
      },
      { name: 'frequencyHz', unit: 'Hz', description: 'line frequency', min: 40, max: 70, default: 60 },
    ],
    outputs: [
      { name: 'volts', unit: 'V', description: 'expected B+' },
      { name: 'lowVolts', unit: 'V', description: 'low end of the healthy range' },
      { name: 'highVolts', unit: 'V', description: 'high end' },
      { name: 'noLoadVolts', unit: 'V', description: 'with nothing drawing current' },
      { name: 'rippleVoltsRms', unit: 'V', description: 'ripple, rms' },
      { name: 'rippleHz', unit: 'Hz', description: 'ripple frequency' },
      { name: 'reason', unit: '', description: 'why' },
      { name: 'assumed', unit: '', description: 'values that were not given' },
    ],
    source: SOLVED,
    example: {
      topology: 'half-wave',
      rectifier: 'silicon',
      lineVolts: 117,
      farads: '150u',
      loadAmps: '0.28',
    },
    run: (a) => {
      const b = expectedBPlus({
        topology: a.topology,
        rectifier: a.rectifier,
        lineVolts: a.lineVolts,
        ratedLineVolts: a.ratedLineVolts,
        capacitanceFarads: a.farads,
        secondCapacitanceFarads: a.secondFarads,
        loadAmps: a.loadAmps,
        loadShare: a.loadShare,
        secondaryVolts: a.secondaryVolts,
        sourceOhms: a.sourceOhms,
        frequencyHz: a.frequencyHz,
      });
      return {
        volts: b.volts,
        lowVolts: b.lowVolts,
        highVolts: b.highVolts,
        noLoadVolts: b.noLoadVolts,
        rippleVoltsRms: b.rippleVoltsRms,
        rippleHz: b.rippleHz,
        reason: b.reason,
        assumed: b.assumed.length > 0 ? b.assumed.join('; ') : 'nothing',
      };
    },
  }),
  define({
    name: 'smoothing',
    title: 'Smoothing section',
    summary: 'DC and ripple after a series resistor or choke and a capacitor.',
    inputs: [
      { name: 'volts', unit: 'V', description: 'DC at the reservoir' },
      { name: 'rippleVoltsRms', unit: 'V', description: 'ripple at the reservoir, rms', min: 0 },
      { name: 'rippleHz', unit: 'Hz', description: 'ripple frequency', min: 16, max: 1e5 },
      {
        name: 'seriesOhms',
        unit: 'ohm',
        description: 'series resistance (choke: its copper)',
        min: 0,
        max: 1e7,
      },
      { name: 'henries', unit: 'H', description: 'choke', min: 0, max: 1000, default: 0 },
      { name: 'farads', unit: 'F', description: 'smoothing capacitor' },
      { name: 'loadOhms', unit: 'ohm', description: 'load' },
    ],
    outputs: [
      { name: 'volts', unit: 'V', description: 'DC after the section' },
      { name: 'rippleVoltsRms', unit: 'V', description: 'ripple after the section' },
      { name: 'reduction', unit: '', description: 'times the ripple is lowered' },
    ],
    source: 'complex divider (circuit theory)',
    example: {
      volts: 150,
      rippleVoltsRms: 15,
      rippleHz: 120,
      seriesOhms: 500,
      farads: '10u',
      loadOhms: '5k',
    },
    run: (a) => ({ ...smoothingSection(a) }),
  }),
  define({
    name: 'line-correction',
    title: "Printed voltage at today's line",
    summary: 'Carries a value from service data to the present line, with its doubt and the reason in words.',
    inputs: [
      { name: 'printedVolts', unit: 'V', description: 'value in the service data', min: -100000 },
      {
        name: 'printedLineVolts',
        unit: 'V',
        description: 'line at which it was taken',
        min: 90,
        max: 260,
        default: 117,
      },
      { name: 'lineVolts', unit: 'V', description: 'line now', min: 5, max: 300 },
      { name: 'kind', unit: '', description: 'what kind of point', choices: LINE_KINDS },
      {
        name: 'tolerancePercent',
        unit: '%',
        description: 'tolerance of the printed value',
        max: 100,
        default: 10,
      },
    ],
    outputs: [
      { name: 'volts', unit: 'V', description: 'value to expect' },
      { name: 'lowVolts', unit: 'V', description: 'low end' },
      { name: 'highVolts', unit: 'V', description: 'high end' },
      { name: 'reliable', unit: '', description: 'yes when the lines are within 15 %' },
      { name: 'reason', unit: '', description: 'why' },
    ],
    source: 'common practice, no source; the supply law agrees with solved rectifier circuits',
    example: { printedVolts: 250, lineVolts: 122, kind: 'supply' },
    run: (a) => {
      const c = lineCorrected(
        a.printedVolts,
        a.printedLineVolts,
        a.lineVolts,
        a.kind,
        a.tolerancePercent / 100,
      );
      return {
        volts: c.value,
        lowVolts: c.low,
        highVolts: c.high,
        reliable: c.reliable ? 'yes' : 'no',
        reason: c.reason,
      };
    },
  }),
];
