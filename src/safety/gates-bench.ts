// Gates of the bench itself, set not connected: isolation transformer, lamp, fuse.
import { isHalfWave, type SafetyFacts } from './facts.ts';
import { type Gate, number } from './gate.ts';

/** Bench fuse and lamp limits relative to the label; isolation transformer sizes. Common practice, no source. */
const FUSE_TIMES = 1.7;
const LAMP_TIMES = [0.3, 3] as const;
const SIZE_TIMES = { ordinary: 1.5, halfWave: 2.5 } as const;

/** Gates of this stage for one set. */
export function benchGates(facts: SafetyFacts): readonly Gate[] {
  const half = isHalfWave(facts);
  const times = half ? SIZE_TIMES.halfWave : SIZE_TIMES.ordinary;
  const size = Math.ceil(times * facts.ratedWatts);
  const lamp = LAMP_TIMES.map((t) => Math.round(t * facts.ratedWatts)) as [number, number];
  const fuse = Math.ceil(((FUSE_TIMES * facts.ratedWatts) / facts.ratedVolts) * 10) / 10;
  const ideal = ((1.5 * facts.ratedWatts) / facts.ratedVolts).toFixed(1);
  return [
    number(
      {
        id: 'isolation-poles',
        stage: 'bench',
        title: 'Isolation transformer: output free of earth',
        ask: 'Higher of the two AC readings, each output pole to the earth pin, with 100 kohm across the meter?',
        how: [
          'Set not connected. 100 kohm, 1 W across the meter leads: without it phantom volts mislead.',
          'Variable transformer at full line: with its dial at zero a bare one reads nothing either. Pole to pole must show the line.',
          'At the very outlet that the set is plugged into: each pole to earth in turn; type the higher.',
        ],
        cautions: [
          'A variable transformer is not isolation: its output is on the line at any dial setting, zero included.',
          'Some "isolating" units tie the secondary to earth.',
        ],
        limitText: 'under 10 V AC',
        minutes: 2,
        otherwise: 'This output is not isolated. No set is connected to it.',
      },
      'ac-volts',
      'V',
      { kind: 'below', value: 10 },
    ),
    number(
      {
        id: 'isolation-ohms',
        stage: 'bench',
        title: 'Isolation transformer: resistance to earth',
        ask: 'Ohms from the output to the earth pin, primary unplugged?',
        how: [
          'Unplug the isolation transformer itself from the wall, the variable one behind it left connected; output pole to earth pin.',
          'This proves its insulation only: the volts of both poles, dial up, come first.',
        ],
        cautions: [],
        limitText: 'over 5 Mohm',
        minutes: 1,
        otherwise: 'Leaky or tied to earth: not isolation.',
      },
      'ohms',
      'ohm',
      { kind: 'above', value: 5e6 },
    ),
    number(
      {
        id: 'isolation-size',
        stage: 'bench',
        title: 'Isolation transformer: size',
        ask: 'VA on the nameplate of the isolation transformer?',
        how: [
          `This set needs ${size} VA: ${times} x ${facts.ratedWatts} W${half ? ', because a half-wave rectifier draws direct current through it' : ''}.`,
          'One set on it, nothing else.',
        ],
        cautions: [
          'It protects against nothing inside the set: B+ to chassis, boost and anode voltage are as deadly as before. No residual-current device can trip behind it.',
        ],
        limitText: `${size} VA or more`,
        minutes: 1,
        otherwise: 'Too small for this set: use a bigger one.',
      },
      'watts',
      'VA',
      { kind: 'above', value: size * 0.999 },
    ),
    number(
      {
        id: 'lamp-choice',
        stage: 'bench',
        title: 'Lamp of the limiter',
        ask: 'Watts of the tungsten lamp in series with the set?',
        how: [
          'Back in series at every power-up through it, the dial down: after full line it is bridged.',
          'Short test of heaters or B+ alone: about half the rated input of the set.',
          'Running set: 1.5 to 2 times, or none. LED and fluorescent lamps do not limit.',
          'A cold heater string flashes any lamp for 5 to 20 s: judge after 60 s.',
        ],
        cautions: [],
        limitText: `${lamp[0]} to ${lamp[1]} W, tungsten`,
        minutes: 1,
        otherwise: 'That lamp tells nothing with this set. Choose another.',
      },
      'watts',
      'W',
      { kind: 'within', low: lamp[0], high: lamp[1] },
    ),
    number(
      {
        id: 'bench-fuse',
        stage: 'bench',
        title: 'Bench fuse and switch within reach',
        ask: 'Amperes of the bench fuse (time-lag) between isolation transformer and set?',
        how: [
          `1.5 x the rated current of this set is ${ideal} A.`,
          'A switch that you reach without leaning over the set.',
        ],
        cautions: ['Many sets have no fuse but the fusible resistor.'],
        limitText: `${fuse} A or less`,
        minutes: 1,
        otherwise: 'Too big to protect this set: fit a smaller one.',
      },
      'amps',
      'A',
      { kind: 'within', low: 0.1, high: fuse },
    ),
  ];
}
