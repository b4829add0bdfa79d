// The words of the steps that change a set's configuration: horizontal stage on or off, signal lead fitted, signal source switched.
import type { Step } from './types.ts';

/** The horizontal output stage enabled or disabled; always cold. */
export function configureStep(value: string): Step {
  if (value === 'enabled') {
    return {
      kind: 'configure',
      item: 'horizontal',
      value,
      title: 'Enable the horizontal output stage (cold)',
      how: [
        'Refit the plate cap (or its lead at the socket) and the screen feed, tube in its socket.',
        'Fuse the stage: 0.25 to 0.5 A in its B+ or cathode lead.',
        'Lamp out of circuit. Go to 90 % of the line or more in one move: on a slow ramp the stage runs without drive.',
        'Watch the plate: red within seconds means off at once.',
      ],
      why: 'Boost, anode voltage and raster need the stage running; its drive has been proven.',
    };
  }
  return {
    kind: 'configure',
    item: 'horizontal',
    value,
    title: 'Disable the horizontal output stage (cold)',
    how: [
      'Plate cap off and insulated, and screen feed open, tube in: both, or the screen burns up.',
      'A tube without a cap has its plate at the base: lift that lead at the socket instead.',
      'The cap and its lead are at B+ when powered: keep clear.',
    ],
    why: 'Drive must be proven before this stage may run.',
  };
}

/** The lead of the signal source; cold, its output off. */
export const LEAD_STEP: Step = {
  kind: 'configure',
  item: 'signal-lead',
  value: 'fitted',
  title: 'Fit the lead of the signal source, its output off',
  how: [
    'Modulator or generator to the antenna terminals, which were proven isolated; its output stays off.',
    'On a hot chassis only behind the isolation transformer, and nothing else earthed clipped on.',
    'From here on it is switched at its own output: no hand near the set.',
  ],
  why: 'Picture, sound and sync are judged with a known signal; its lead goes on while the set is dead.',
};

/** The source switched at its own output, live or not. */
export function signalStep(value: string): Step {
  return value === 'applied'
    ? {
        kind: 'configure',
        item: 'signal',
        value,
        title: 'Switch the signal source on',
        how: [
          'At the source itself: output on, on a channel that the set has.',
          'Hands stay off the antenna terminals and the set.',
        ],
        why: 'The next readings are judged with a known picture and sound.',
      }
    : {
        kind: 'configure',
        item: 'signal',
        value,
        title: 'Switch the signal source off',
        how: ['At the source itself: output off; set to an unused channel.'],
        why: 'The next readings are judged without a signal.',
      };
}
