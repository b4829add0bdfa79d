// Gates between a cold set and power: coating, insulation, horizontal stage, plugs, earthed clips, links.
import { hasSeriesHeaters, isMetalCone, mayHaveCoating, type SafetyFacts } from './facts.ts';
import { choice, type Gate, type GateOption, number, yes } from './gate.ts';

/** Answer to `cause-found` after which the set stays off. */
export const NOT_FOUND = 'not-found';

/** Answer to `cause-found` after which a set is brought up on the lamp once more. */
export const PUT_RIGHT = 'put-right';
/** Said of a run that the technician ended for a reason of its own. */
export const ALARM = 'Something smoked, sparked, smelled, glowed or read too high when it last ran.';

/** Gates of this stage for one set. */
export function beforePowerGates(facts: SafetyFacts): readonly Gate[] {
  const gates: Gate[] = [whyOff(), causeFound()];
  if (mayHaveCoating(facts)) {
    gates.push(
      number(
        {
          id: 'coating-ground',
          stage: 'before-power',
          title: 'Outer coating grounded',
          ask: 'Ohms from the coating, through its spring or strap, to chassis or B-?',
          how: ['The spring must press on the black coating. Read from the coating itself.'],
          cautions: [
            'A floating coating rises to kilovolts and arcs. On a hot chassis the coating is hot too.',
          ],
          limitText: 'under 2 kohm',
          minutes: 1,
          otherwise:
            'Refit the spring before any power. A tube without outer coating: correct the facts of the set.',
        },
        'ohms',
        'ohm',
        { kind: 'below', value: 2000 },
      ),
    );
  }
  if (isMetalCone(facts)) {
    gates.push(
      yes(
        {
          id: 'cone-insulation',
          stage: 'before-power',
          title: 'Sleeve and rim insulators of the metal cone',
          ask: 'Plastic sleeve and rubber rim insulators in place, clean, uncracked?',
          how: ['Wipe dust off: it is a path. Mounting strap, clips and mask edge must not touch the cone.'],
          cautions: ['Never run a metal-cone tube without them. Keep 10 cm away when live.'],
          limitText: 'in place and sound',
          minutes: 2,
          otherwise: 'No power before they are replaced.',
        },
        'In place, clean, uncracked',
      ),
    );
  }
  gates.push(
    horizontalDisabled(facts),
    number(
      {
        id: 'stage-fuse',
        stage: 'before-power',
        title: 'Horizontal output stage fused',
        ask: 'Amperes of the fuse in the B+ or cathode lead of the horizontal output stage?',
        how: [
          '0.25 to 0.5 A in its B+ or cathode lead, fitted cold.',
          'Then full line, 90 % or more, in one move with the lamp out: oscillators do not start below 75 to 85 %.',
        ],
        cautions: ['Without drive the output tube and the flyback have seconds.'],
        limitText: '0.5 A or less',
        minutes: 2,
        otherwise: 'Fit 0.25 to 0.5 A before the stage is run.',
      },
      'amps',
      'A',
      { kind: 'within', low: 0.1, high: 0.5 },
    ),
    yes(
      {
        id: 'all-plugged',
        stage: 'before-power',
        title: 'Nothing unplugged that must be in',
        ask: 'Yoke, speaker, focus coil, picture-tube base and tubes all in (apart from what is disabled on purpose)?',
        how: [
          'Speaker plugs with four or more pins, focus coil and yoke plugs may carry B+.',
          'Tubes in their own sockets.',
        ],
        cautions: ['Never plug or unplug yoke, tube base, tubes, speaker, focus coil or top caps live.'],
        limitText: 'all in',
        minutes: 1,
        otherwise: 'Plug in what belongs there first.',
      },
      'All in',
    ),
    yes(
      {
        id: 'nothing-earthed',
        stage: 'before-power',
        title: 'Nothing earthed clipped on',
        ask: 'No earthed scope or other device clipped to the set (a signal source only at antenna terminals proven cold), and nothing else on the isolation transformer?',
        how: [
          'An earthed clip on the chassis puts a full line voltage on the other pole, to earth.',
          'A second device on the transformer joins what was separated.',
          'A signal source goes to the antenna terminals only, after these were proven cold.',
        ],
        cautions: [],
        limitText: 'nothing',
        minutes: 1,
        otherwise: 'Take it off first.',
      },
      'Nothing earthed, nothing else',
    ),
    yes(
      {
        id: 'links-removed',
        stage: 'before-power',
        title: 'All links, clips and discharge leads off',
        ask: 'Every link, clip, shorting lead and discharge stick off the set?',
        how: [
          'Links noted as fitted stand in the line at the top of the screen; the tag on the cord has the rest.',
          'Count your clips.',
        ],
        cautions: [],
        limitText: 'all off',
        minutes: 1,
        otherwise: 'Take them off, one by one, and tick each.',
      },
      'All off',
    ),
  );
  return gates;
}

function horizontalDisabled(facts: SafetyFacts): Gate {
  const series = hasSeriesHeaters(facts);
  const parallelOnly = 'Series heaters: a pulled tube puts the whole string out.';
  const options: GateOption[] = [
    {
      id: 'screen-and-cap',
      title: 'Screen feed open AND plate cap off, both insulated, tube in',
      say: 'Cap and lead are at B+: insulate, keep clear. A tube without a cap: lift its plate lead at the socket.',
    },
    {
      id: 'cathode-open',
      title: 'Cathode fuse or link out',
      say: 'The drive cannot be read as DC at the grid this way.',
    },
    {
      id: 'stage-fuse-out',
      title: 'B+ fuse of the stage out, screen on the dead side',
      say: 'Make sure that the screen is dead too.',
    },
    {
      id: 'output-tube-out',
      title: 'Output tube out (parallel heaters only)',
      say: series ? parallelOnly : 'The drive cannot be read as DC at the grid this way.',
    },
    {
      id: 'cap-only',
      title: 'Only the plate cap off',
      say: 'Never: the screen takes all the current and glows within seconds. Open the screen feed too.',
    },
    {
      id: 'not-disabled',
      title: 'Not disabled',
      say: 'Disable it first: on a slow ramp it runs without drive.',
    },
  ];
  const pass = ['screen-and-cap', 'cathode-open', 'stage-fuse-out', ...(series ? [] : ['output-tube-out'])];
  return choice(
    {
      id: 'horizontal-disabled',
      stage: 'before-power',
      title: 'Horizontal output stage disabled',
      ask: 'How is the horizontal output stage disabled?',
      how: ['Cold only. Expect B+ 5 to 15 % higher while it is off: mind the rating of the filters.'],
      cautions: ['A slow ramp with the stage enabled is running without drive.'],
      limitText: 'plate AND screen dead',
      minutes: 3,
      otherwise: 'Disable it properly before any power.',
    },
    options,
    pass,
  );
}

function whyOff(): Gate {
  return choice(
    {
      id: 'why-off',
      stage: 'before-power',
      title: 'Why it was switched off',
      ask: 'The plug is out. Why was it pulled, or how did the last run end?',
      how: ['What stopped a run is the first thing to know before the next one.'],
      cautions: [],
      limitText: 'nothing unusual',
      minutes: 1,
      otherwise: 'Noted: it stays off until the cause is found.',
    },
    [
      { id: 'nothing-unusual', title: 'Nothing unusual: enough read, a pause, the wrong key', say: '' },
      {
        id: 'alarm',
        title: 'Smoke, spark, smell, red plate, noise, or something too high',
        say: 'Noted: it stays off until the cause is found. Look for it cold.',
      },
    ],
    ['nothing-unusual'],
  );
}

function causeFound(): Gate {
  return choice(
    {
      id: 'cause-found',
      stage: 'before-power',
      title: 'Cause of the last emergency stop',
      ask: 'The set was stopped for something dangerous. Is the cause found and put right?',
      how: ['What smoked, sparked or read too high does so again, and takes more with it.'],
      cautions: [],
      limitText: 'cause known',
      minutes: 2,
      otherwise: 'Not run again before the cause is known.',
    },
    [
      { id: PUT_RIGHT, title: 'Found and put right', say: '' },
      { id: 'slip', title: 'Not the set: a slip or a wrong meter, proven since', say: '' },
      {
        id: NOT_FOUND,
        title: 'Not found yet',
        say: 'Then it stays off. Cold checks go on; a repair recorded brings this question back.',
      },
    ],
    [PUT_RIGHT, 'slip'],
  );
}
