// The words of the steps that change a set's configuration: horizontal stage on or off, signal lead fitted, signal source switched.
import type { Antenna } from '../safety/index.ts';
import type { Step } from './types.ts';

/** What puts back each way of disabling the stage. */
const PUT_BACK: Readonly<Record<string, string>> = {
  'screen-and-cap':
    'Refit the plate cap (or its lead at the socket) and the screen feed, tube in its socket.',
  'cathode-open': 'Refit the cathode link or fuse; plate cap and screen feed on, tube in its socket.',
  'stage-fuse-out': 'Refit the B+ fuse of the stage; plate cap and screen feed on, tube in its socket.',
  'output-tube-out': 'Output tube back in its socket, plate cap and screen feed on.',
};

/** The horizontal output stage enabled or disabled; always cold. `method`: how it was disabled, as the gate has it. */
export function configureStep(value: string, method = ''): Step {
  if (value === 'enabled') {
    return {
      kind: 'configure',
      item: 'horizontal',
      value,
      title: 'Enable the horizontal output stage (cold)',
      how: [
        PUT_BACK[method] ??
          'Refit whatever disabled it: plate cap (or its lead at the socket), screen feed, link, tube.',
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

/** The lead of the signal source, fitted cold with its output off. `caution`: what the rule pack says of antenna terminals on a hot chassis. */
export function leadStep(antenna: Extract<Antenna, { may: true }>, caution: string): Step {
  const proven = {
    'not-hot': 'Modulator or generator to the antenna terminals; its output stays off.',
    tested: 'Modulator or generator to the antenna terminals, which were proven cold; its output stays off.',
    untested:
      'These antenna terminals were NOT proven: a source only through 470 pF of a safety class in both of its leads, or battery-powered; its output stays off.',
  };
  return {
    kind: 'configure',
    item: 'signal-lead',
    value: 'fitted',
    title: 'Fit the lead of the signal source, its output off',
    how: [
      ...(antenna.known === 'not-hot' ? [] : [caution]),
      proven[antenna.known],
      'Only behind the isolation transformer, and nothing else earthed clipped on.',
      'From here on it is switched at its own output: no hand near the set.',
    ],
    why: 'Picture, sound and sync are judged with a known signal; its lead goes on while the set is dead.',
  };
}

/** The lead of the signal source taken off, or said to be off already; plug pulled. */
export function leadOffStep(why: string): Step {
  return {
    kind: 'configure',
    item: 'signal-lead',
    value: 'off',
    title: 'Lead of the signal source off the antenna terminals',
    how: ['Plug of the set pulled, output of the source off, its lead off both antenna terminals.'],
    why,
  };
}

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
          'Is its lead off by now? Not with the set live: power off first, it goes on cold only.',
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
