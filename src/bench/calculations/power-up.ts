// Calculations for the first power: lamp, bring-up plan, re-forming.
import { bringUpPlan } from '../bring-up.ts';
import { define } from '../calculation.ts';
import {
  judgeLamp,
  LAMP_PURPOSES,
  type LimiterLoad,
  lampForSet,
  limitedVolts,
  lineCurrent,
  setLoad,
} from '../lamp-limiter.ts';
import { ArgumentError } from '../numbers.ts';
import { reforming } from '../parts.ts';
import { RECTIFIERS } from '../rectifier.ts';
import { TOPOLOGIES } from '../supply.ts';

const LOADS = ['set', 'heaters', 'ohms', 'short', 'open'] as const;

function needed(name: string, value: number | undefined, load: string): number {
  if (value === undefined) throw new ArgumentError(name, `given with load=${load}`, 'missing');
  return value;
}

/** The load behind the lamp from the arguments that go with its kind. */
function loadFrom(a: {
  readonly load: (typeof LOADS)[number];
  readonly lineVolts: number;
  readonly ratedWatts: number | undefined;
  readonly heaterAmps: number | undefined;
  readonly ohms: number | undefined;
}): LimiterLoad {
  if (a.load === 'set') return setLoad(needed('ratedWatts', a.ratedWatts, 'set'), a.lineVolts, a.heaterAmps);
  if (a.load === 'heaters') return { kind: 'heaters', amps: needed('heaterAmps', a.heaterAmps, 'heaters') };
  if (a.load === 'ohms') return { kind: 'ohms', ohms: needed('ohms', a.ohms, 'ohms') };
  return { kind: a.load };
}

export const powerUpCalculations = [
  define({
    name: 'lamp-limiter',
    title: 'Series lamp against a load',
    summary:
      'Solves the bent curve of a tungsten lamp in series with a set, a heater string, a resistor or a short.',
    inputs: [
      { name: 'lampWatts', unit: 'W', description: 'rated watts of the lamp', min: 5, max: 2000 },
      { name: 'lineVolts', unit: 'V', description: 'line, and lamp rating', min: 20, max: 300 },
      { name: 'load', unit: '', description: 'what is behind the lamp', choices: LOADS },
      {
        name: 'ratedWatts',
        unit: 'W',
        description: 'nameplate, with load=set',
        min: 1,
        max: 2000,
        optional: true,
      },
      {
        name: 'heaterAmps',
        unit: 'A',
        description: 'heater-string current, with load=heaters or set',
        max: 10,
        optional: true,
      },
      { name: 'ohms', unit: 'ohm', description: 'resistance, with load=ohms', optional: true },
    ],
    outputs: [
      { name: 'setVolts', unit: 'V', description: 'volts left for the load' },
      { name: 'lampVolts', unit: 'V', description: 'volts across the lamp' },
      { name: 'amps', unit: 'A', description: 'current' },
      { name: 'lampWattsNow', unit: 'W', description: 'watts in the lamp' },
      { name: 'lightPercent', unit: '%', description: 'light against full' },
      { name: 'glow', unit: '', description: 'what that looks like' },
    ],
    source:
      'lamp exponents: SPIE Field Guide to Illumination (2007), Tungsten Lamps (V ~ I^1.9, flux ~ I^6.5)',
    example: { lampWatts: 100, lineVolts: 117, load: 'heaters', heaterAmps: '0.6' },
    run: (a) => {
      const { lightShare, ...rest } = limitedVolts({
        lampWatts: a.lampWatts,
        lineVolts: a.lineVolts,
        load: loadFrom(a),
      });
      return { ...rest, lightPercent: 100 * lightShare };
    },
  }),
  define({
    name: 'lamp-reading',
    title: 'What the volts across the lamp mean',
    summary: 'Turns lamp volts into current and judges it against a healthy set: normal, overload, short.',
    inputs: [
      { name: 'lampWatts', unit: 'W', description: 'rated watts of the lamp', min: 5, max: 2000 },
      { name: 'lineVolts', unit: 'V', description: 'line, and lamp rating', min: 20, max: 300 },
      { name: 'lampVolts', unit: 'V', description: 'volts across the lamp after 60 s', min: 0, max: 300 },
      { name: 'ratedWatts', unit: 'W', description: 'nameplate of the set', min: 1, max: 2000 },
      {
        name: 'heaterAmps',
        unit: 'A',
        description: 'heater-string current, left out for a transformer set',
        max: 10,
        optional: true,
      },
    ],
    outputs: [
      { name: 'amps', unit: 'A', description: 'current' },
      { name: 'plusMinusAmps', unit: 'A', description: 'its doubt' },
      { name: 'healthyAmps', unit: 'A', description: 'what a healthy set takes at the volts left to it' },
      { name: 'healthyLampVolts', unit: 'V', description: 'lamp volts of a healthy set' },
      {
        name: 'verdict',
        unit: '',
        description: 'nothing draws current, light load, normal, overload, short, cannot tell',
      },
    ],
    source: 'lamp exponents: SPIE Field Guide to Illumination (2007); verdict common practice, no source',
    example: { lampWatts: 300, lineVolts: 117, lampVolts: 28, ratedWatts: 160, heaterAmps: '0.6' },
    run: (a) => ({
      ...judgeLamp({
        lampWatts: a.lampWatts,
        lineVolts: a.lineVolts,
        lampVolts: a.lampVolts,
        load: setLoad(a.ratedWatts, a.lineVolts, a.heaterAmps),
      }),
    }),
  }),
  define({
    name: 'line-current',
    title: 'Line current from the nameplate',
    summary: 'Amperes that a clamp meter shows on a healthy set; more than watts over volts.',
    inputs: [
      { name: 'ratedWatts', unit: 'W', description: 'nameplate watts', min: 1, max: 2000 },
      { name: 'lineVolts', unit: 'V', description: 'line', min: 20, max: 300 },
    ],
    outputs: [
      { name: 'lowAmps', unit: 'A', description: 'low end' },
      { name: 'highAmps', unit: 'A', description: 'high end' },
    ],
    source: 'power factor 0.65 to 0.8: common practice, no source',
    example: { ratedWatts: 160, lineVolts: 117 },
    run: (a) => ({ ...lineCurrent(a.ratedWatts, a.lineVolts) }),
  }),
  define({
    name: 'lamp-for-set',
    title: 'Which lamp for this set',
    summary: 'Lamp size for a short test or for a running set.',
    inputs: [
      { name: 'ratedWatts', unit: 'W', description: 'nameplate watts', min: 1, max: 2000 },
      { name: 'purpose', unit: '', description: 'what the lamp is for', choices: LAMP_PURPOSES },
      { name: 'lineVolts', unit: 'V', description: 'line', min: 20, max: 300 },
    ],
    outputs: [
      { name: 'watts', unit: 'W', description: 'usual size to take' },
      { name: 'lowWatts', unit: 'W', description: 'smallest that serves' },
      { name: 'highWatts', unit: 'W', description: 'largest that serves' },
      { name: 'note', unit: '', description: 'how to use it' },
    ],
    source: 'common practice, no source: half the nameplate, or 1.5 to 2 times',
    example: { ratedWatts: 160, purpose: 'running', lineVolts: 117 },
    run: (a) => ({ ...lampForSet(a) }),
  }),
  define({
    name: 'bring-up',
    title: 'Bring-up plan',
    summary: 'Steps on the variable transformer with hold times, current ceiling and the B+ to expect.',
    inputs: [
      { name: 'topology', unit: '', description: 'supply circuit', choices: TOPOLOGIES },
      { name: 'rectifier', unit: '', description: 'rectifier', choices: RECTIFIERS },
      { name: 'lineVolts', unit: 'V', description: 'nominal line', min: 90, max: 260 },
      { name: 'ratedWatts', unit: 'W', description: 'nameplate watts', min: 20, max: 600 },
      { name: 'lampWatts', unit: 'W', description: 'series lamp, 0 = none', min: 0, max: 2000, default: 0 },
      {
        name: 'stringAmps',
        unit: 'A',
        description: 'heater string, 0 = heaters on a transformer',
        min: 0,
        max: 2,
        default: 0,
      },
      { name: 'farads', unit: 'F', description: 'reservoir', min: 1e-6, max: 0.01, optional: true },
      {
        name: 'loadAmps',
        unit: 'A',
        description: 'B+ load with all stages on',
        min: 0.01,
        max: 2,
        optional: true,
      },
      {
        name: 'secondaryVolts',
        unit: 'V',
        description: 'full-wave: volts of each half',
        min: 50,
        max: 800,
        optional: true,
      },
    ],
    outputs: [
      { name: 'steps', unit: '', description: 'number of steps' },
      { name: 'totalSeconds', unit: 's', description: 'sum of the hold times' },
      { name: 'plan', unit: '', description: 'one line a step' },
      { name: 'assumed', unit: '', description: 'values that were not given' },
      { name: 'cautions', unit: '', description: 'what to mind' },
    ],
    source: 'rectifier circuits solved in time; ladder and hold times common practice, no source',
    example: {
      topology: 'doubler-half-wave',
      rectifier: 'silicon',
      lineVolts: 117,
      ratedWatts: 160,
      stringAmps: '0.6',
    },
    run: (a) => {
      const plan = bringUpPlan({
        topology: a.topology,
        rectifier: a.rectifier,
        lineVolts: a.lineVolts,
        ratedWatts: a.ratedWatts,
        lamp: a.lampWatts,
        stringAmps: a.stringAmps,
        capacitanceFarads: a.farads,
        loadAmps: a.loadAmps,
        secondaryVolts: a.secondaryVolts,
      });
      const lines = plan.steps.map((s) => {
        const b =
          typeof s.expectedBPlus === 'string'
            ? s.expectedBPlus
            : `${s.expectedBPlus.lowVolts.toFixed(0)} to ${s.expectedBPlus.highVolts.toFixed(0)} V`;
        const lamp = s.lampIn ? ` (set ${s.setVolts.toFixed(0)} V)` : '';
        return `${s.step}: ${s.lineVolts.toFixed(0)} V${lamp}, ${s.holdSeconds} s, at most ${s.currentCeilingAmps.toFixed(2)} A, B+ ${b}, horizontal stage: ${s.horizontalStage}`;
      });
      return {
        steps: plan.steps.length,
        totalSeconds: plan.totalSeconds,
        plan: lines.join('\n'),
        assumed: plan.assumed.join('; '),
        cautions: plan.cautions.join('\n'),
      };
    },
  }),
  define({
    name: 'reforming',
    title: 'Re-forming an electrolytic',
    summary: 'Bench supply through a resistor: fault current, volts at a leakage, settling time.',
    inputs: [
      { name: 'supplyVolts', unit: 'V', description: 'supply', min: 1, max: 600 },
      { name: 'ohms', unit: 'ohm', description: 'series resistor', min: 100, max: 10e6 },
      { name: 'farads', unit: 'F', description: 'capacitance' },
      { name: 'leakAmps', unit: 'A', description: 'leakage read', min: 0, max: 1 },
    ],
    outputs: [
      { name: 'faultAmps', unit: 'A', description: 'current into a short' },
      { name: 'capacitorVolts', unit: 'V', description: 'volts on the capacitor at that leakage' },
      { name: 'resistorWatts', unit: 'W', description: 'watts in the resistor into a short' },
      { name: 'settleSeconds', unit: 's', description: 'until charging current no longer hides the leakage' },
      { name: 'holdMinutes', unit: 'min', description: 'time at working volts' },
    ],
    source:
      "restorer practice with 450 V and 90 kohm (list post); 30 min from a capacitor maker's storage note",
    example: { supplyVolts: 450, ohms: '90k', farads: '40u', leakAmps: '2m' },
    run: (a) => ({ ...reforming(a) }),
  }),
];
