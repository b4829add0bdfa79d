// Gates on a live set: chassis to earth first, then what full line asks.
import { choice, type Gate, NOT_YET, number, yes } from './gate.ts';

/** Gates of this stage for one set. */
export function liveGates(): readonly Gate[] {
  const chassis = (id: 'chassis-ac' | 'chassis-dc', kind: 'AC' | 'DC', limit: number): Gate =>
    number(
      {
        id,
        stage: 'live',
        title: `Chassis to earth, ${kind}`,
        ask: `${kind} volts from chassis to earth, with 100 kohm across the meter?`,
        how: [
          'First live reading of every power-up. One hand, return clip on earth, probe to bare chassis metal.',
          'On the lamp: off at the bench switch, plug turned round in its outlet, on, read again; type the higher. One way round a hot chassis may read nothing.',
          'A plug that cannot be turned: the test of both poles of this outlet, dial at full line, stands for it.',
        ],
        cautions: ['Both AC and DC: a full-wave doubler on the line shows mostly DC.'],
        limitText: `under ${limit} V ${kind} at full line, less in proportion below it`,
        minutes: 1,
        otherwise: 'The chassis is hot. UNPLUG NOW: the isolation is not what it seems.',
      },
      kind === 'AC' ? 'ac-volts' : 'dc-volts',
      'V',
      { kind: 'below', value: limit },
    );
  return [
    chassis('chassis-ac', 'AC', 10),
    chassis('chassis-dc', 'DC', 5),
    choice(
      {
        id: 'bring-up-finished',
        stage: 'full',
        title: 'Bring-up finished',
        ask: 'Did the bring-up on the lamp end without an abort?',
        how: [
          'Every row of the table reached and its time held, the last one too: ^Y enters the volts at the set, ^S runs the hold.',
          'Lamp dimmed after its first minute, current under the ceiling of each step, no smell, no smoke, no red plate.',
        ],
        cautions: ['Face not over the chassis for the first 5 minutes of each new line voltage.'],
        limitText: 'finished, no abort',
        minutes: 1,
        otherwise: 'Power off and find out why before full line.',
      },
      [
        { id: 'finished', title: 'Finished, nothing unusual', say: '' },
        { id: NOT_YET, title: 'Not yet: still raising or holding', say: '' },
        { id: 'aborted', title: 'Aborted', say: 'UNPLUG NOW, then find out why before any power.' },
      ],
      ['finished'],
    ),
    yes(
      {
        id: 'lamp-bypassed',
        stage: 'full',
        title: 'Lamp out, bench fuse in',
        ask: 'Lamp limiter bypassed, bench fuse in its place, hand near the switch?',
        how: [
          'Variable transformer down first: without the lamp the set gets all that the dial shows at once.',
          'At the bench switch, not inside the set.',
        ],
        cautions: [],
        limitText: 'lamp out, fuse in',
        minutes: 1,
        otherwise: 'Bypass the lamp and fit the fuse first.',
      },
      'Lamp out, fuse in',
    ),
  ];
}
