// Calculations on stored charge: discharge, stacks, rebound, charging.
import { define, words } from '../calculation.ts';
import {
  chargedVolts,
  chargeTime,
  DIELECTRICS,
  dischargeResistor,
  dischargeTime,
  rebound,
  remainingVolts,
  storedJoules,
} from '../discharge.ts';
import { touchableCharge } from '../safety-limits.ts';
import { stackResidual } from '../stack.ts';

const RC = 'RC discharge, V exp(-t/RC), C V^2/2 (textbook)';

export const chargeCalculations = [
  define({
    name: 'discharge',
    title: 'Discharge of a capacitor',
    summary:
      'Time to a touch limit, energy and resistor watts when a capacitor is discharged through a resistor.',
    inputs: [
      { name: 'farads', unit: 'F', description: 'capacitance' },
      { name: 'ohms', unit: 'ohm', description: 'discharge resistance' },
      { name: 'fromVolts', unit: 'V', description: 'volts at the start' },
      { name: 'toVolts', unit: 'V', description: 'volts to reach', default: 30 },
    ],
    outputs: [
      { name: 'seconds', unit: 's', description: 'time to reach toVolts' },
      { name: 'joules', unit: 'J', description: 'energy at the start; all of it goes into the resistor' },
      { name: 'peakWatts', unit: 'W', description: 'watts in the resistor at the first instant' },
      { name: 'ratingVolts', unit: 'V', description: 'voltage rating the resistor needs' },
    ],
    source: RC,
    example: { farads: '150u', ohms: '1M', fromVolts: 165, toVolts: 30 },
    run: (a) => ({
      seconds: dischargeTime({
        capacitanceFarads: a.farads,
        ohms: a.ohms,
        fromVolts: a.fromVolts,
        toVolts: a.toVolts,
      }),
      joules: storedJoules(a.farads, a.fromVolts),
      peakWatts: a.fromVolts ** 2 / a.ohms,
      ratingVolts: a.fromVolts,
    }),
  }),
  define({
    name: 'remaining-volts',
    title: 'Volts left after a time',
    summary: 'What is still on a capacitor after some seconds through a resistor.',
    inputs: [
      { name: 'farads', unit: 'F', description: 'capacitance' },
      { name: 'ohms', unit: 'ohm', description: 'resistance across it' },
      { name: 'fromVolts', unit: 'V', description: 'volts at the start' },
      { name: 'seconds', unit: 's', description: 'time', min: 0 },
    ],
    outputs: [
      { name: 'volts', unit: 'V', description: 'volts left' },
      { name: 'joules', unit: 'J', description: 'energy left' },
    ],
    source: RC,
    example: { farads: '.01u', ohms: '1M', fromVolts: 200, seconds: '10m' },
    run: (a) => {
      const volts = remainingVolts({
        capacitanceFarads: a.farads,
        ohms: a.ohms,
        fromVolts: a.fromVolts,
        seconds: a.seconds,
      });
      return { volts, joules: storedJoules(a.farads, volts) };
    },
  }),
  define({
    name: 'discharge-resistor',
    title: 'Which discharge resistor',
    summary: 'Largest preferred value that is quick enough, with its surge, energy and voltage rating.',
    inputs: [
      { name: 'farads', unit: 'F', description: 'capacitance' },
      { name: 'volts', unit: 'V', description: 'volts on it' },
      { name: 'toVolts', unit: 'V', description: 'volts to reach', default: 30 },
      { name: 'withinSeconds', unit: 's', description: 'time allowed', default: 5 },
    ],
    outputs: [
      { name: 'ohms', unit: 'ohm', description: 'E12 value' },
      { name: 'seconds', unit: 's', description: 'time it takes' },
      { name: 'peakWatts', unit: 'W', description: 'watts at the first instant' },
      { name: 'peakAmps', unit: 'A', description: 'current at the first instant' },
      { name: 'joules', unit: 'J', description: 'energy it absorbs each time' },
      { name: 'ratingVolts', unit: 'V', description: 'voltage rating needed' },
      {
        name: 'halfWattPartsInSeries',
        unit: '',
        description: 'ordinary 1/2 W parts in series for that rating',
      },
    ],
    source: `${RC}; 350 V for a 1/2 W part is common practice, no source`,
    example: { farads: '150u', volts: 330 },
    run: (a) => ({
      ...dischargeResistor({
        capacitanceFarads: a.farads,
        volts: a.volts,
        toVolts: a.toVolts,
        withinSeconds: a.withinSeconds,
      }),
    }),
  }),
  define({
    name: 'rebound',
    title: 'Charge that creeps back',
    summary: 'Upper estimate of the volts that return after a short discharge, and when to measure again.',
    inputs: [
      { name: 'dielectric', unit: '', description: 'kind of capacitor', choices: DIELECTRICS },
      { name: 'formerVolts', unit: 'V', description: 'volts before the discharge' },
      { name: 'farads', unit: 'F', description: 'capacitance' },
    ],
    outputs: [
      { name: 'volts', unit: 'V', description: 'volts that may be back' },
      { name: 'joules', unit: 'J', description: 'energy of that' },
      { name: 'measureAgainMinutes', unit: 'min', description: 'wait before measuring again' },
    ],
    source: 'dielectric absorption; shares are orders of size from memory',
    example: { dielectric: 'picture-tube', formerVolts: '16k', farads: '2000p' },
    run: (a) => ({ ...rebound(a.dielectric, a.formerVolts, a.farads) }),
  }),
  define({
    name: 'capacitor-stack',
    title: 'What a discharged stack still holds',
    summary:
      'Capacitors in series discharged end to end: the total reads zero while each part keeps a charge.',
    inputs: [
      { name: 'farads', unit: 'F', description: 'capacitances, in order', list: 'numbers' },
      {
        name: 'volts',
        unit: 'V',
        description: 'volts on each before the discharge',
        list: 'numbers',
        min: 0,
      },
    ],
    outputs: [
      { name: 'eachVolts', unit: 'V', description: 'volts left on each, with sign' },
      { name: 'worstVolts', unit: 'V', description: 'the largest' },
      { name: 'joules', unit: 'J', description: 'energy left in all' },
    ],
    source: 'conservation of charge; no DC path across the rectifier input (open heater string)',
    example: { farads: '100u,12u', volts: '137,80' },
    run: (a) => {
      const left = stackResidual(a.farads, a.volts);
      return { eachVolts: words(left.eachVolts), worstVolts: left.worstVolts, joules: left.joules };
    },
  }),
  define({
    name: 'stored-charge',
    title: 'Stored charge against published limits',
    summary:
      'Coulombs and joules of a charged capacitor (picture-tube anode too) and the limit for parts that can be touched.',
    inputs: [
      { name: 'farads', unit: 'F', description: 'capacitance' },
      { name: 'volts', unit: 'V', description: 'volts on it' },
    ],
    outputs: [
      { name: 'coulombs', unit: 'coulomb', description: 'charge' },
      { name: 'joules', unit: 'J', description: 'energy' },
      { name: 'verdict', unit: '', description: 'against 42.4 V / 0.1 uF / 45 uC / 350 mJ' },
    ],
    source: 'IEC 60335-1 cl. 8.1.4 as quoted; below the limit is no licence to touch',
    example: { farads: '500p', volts: '30k' },
    run: (a) => ({ ...touchableCharge(a.farads, a.volts) }),
  }),
  define({
    name: 'rc-charge',
    title: 'Charging through a resistor',
    summary: 'Volts on a capacitor after a time, and the time to a level.',
    inputs: [
      { name: 'supplyVolts', unit: 'V', description: 'supply' },
      { name: 'ohms', unit: 'ohm', description: 'series resistance' },
      { name: 'farads', unit: 'F', description: 'capacitance' },
      { name: 'seconds', unit: 's', description: 'time', min: 0 },
      { name: 'toVolts', unit: 'V', description: 'level for the time output', optional: true },
    ],
    outputs: [
      { name: 'volts', unit: 'V', description: 'volts after that time' },
      { name: 'amps', unit: 'A', description: 'current at that time' },
      { name: 'secondsToLevel', unit: 's', description: 'time to toVolts, or a dash' },
    ],
    source: 'RC charge, E (1 - exp(-t/RC)) (textbook)',
    example: { supplyVolts: 15, ohms: '10k', farads: '100u', seconds: 2 },
    run: (a) => {
      const volts = chargedVolts(a.supplyVolts, a.ohms, a.farads, a.seconds);
      return {
        volts,
        amps: (a.supplyVolts - volts) / a.ohms,
        secondsToLevel:
          a.toVolts === undefined ? '-' : chargeTime(a.supplyVolts, a.ohms, a.farads, a.toVolts),
      };
    },
  }),
];
