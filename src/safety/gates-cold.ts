// Gates on the way to cold and dead: plug, eyes, meter, capacitors, anode, meter again.
import {
  ehtKindUnknown,
  hasLineEht,
  isMetalCone,
  mayHaveCoating,
  mayHaveHvCapacitor,
  type SafetyFacts,
} from './facts.ts';
import { choice, type Gate, probed, volts, yes } from './gate.ts';

/** Seconds between the first and the second discharge of the anode: part of the charge comes back out of the glass. */
export const ANODE_WAIT_SECONDS = 300;
/** Gates of this stage for one set. */
export function coldGates(facts: SafetyFacts): readonly Gate[] {
  const cone = isMetalCone(facts);
  const anode = cone ? 'the lip of the metal cone' : 'the anode under its rubber boot';
  const coated = mayHaveCoating(facts);
  const strap = coated
    ? 'the grounding strap of the outer coating'
    : 'B-, through the strap of the tube mounting';
  const anodeCautions = [
    'A picture tube is a charged capacitor at 10 to 20 kV; an ordinary half-watt resistor flashes over. Never a bare screwdriver, never a drawn arc.',
    ...(cone
      ? [
          'Cone, rim and whatever touches them are the anode: keep every part of you 10 cm away until it reads zero.',
        ]
      : []),
    'Face shield, gloves and sleeves; nobody else in the line of sight of the tube.',
  ];
  const gates: Gate[] = [
    yes(
      {
        id: 'plug-pulled',
        stage: 'cold',
        title: 'Every plug pulled and in sight',
        ask: 'Is every cord of this set unplugged, and do you see the plugs from where you work?',
        how: [
          'Count the cords: radio or phonograph section, remote receiver, convenience outlet, back-cover cord.',
          'Pull each plug and lay it where you see it. The switch does not count: it breaks one pole at best.',
          'Hang a tag on the cord.',
        ],
        cautions: [
          'Some sets keep their heaters alive with the switch off. Only a plug in your sight is off.',
        ],
        limitText: 'all cords, in sight',
        minutes: 1,
        otherwise: 'Pull every plug first. Nothing is touched before that.',
      },
      'All cords counted, all plugs pulled, in my sight',
    ),
    yes(
      {
        id: 'eye-protection',
        stage: 'cold',
        title: 'Eye protection on, bench ready',
        ask: 'Face shield or goggles on, jewellery off, somebody within call?',
        how: [
          'Face shield for work on the picture tube, goggles at least for everything else.',
          'Rings, watch and chains off.',
        ],
        cautions: [
          'Picture tubes implode, old capacitors vent and resistors burst.',
          'Gloves for tar, wax and old oil; wet wiping, no sweeping.',
        ],
        limitText: 'on',
        minutes: 1,
        otherwise: 'Put it on first.',
      },
      'Yes, on',
    ),
  ];
  if (ehtKindUnknown(facts)) gates.push(ehtKind());
  gates.push(
    meterGate('meter-before', 'Meter proven before', 'before'),
    probed(
      {
        id: 'anode-first',
        stage: 'cold',
        title: 'Anode discharged, first time',
        ask: `Volts left from ${anode} to ${strap}? kV by the HV probe, V by a meter.`,
        how: [
          'Stick first: its ohms read right from tip to clip.',
          `Its lead to ${strap}, one hand, the tip to ${anode} for 15 s.`,
          'Read: HV probe before any meter, against strap and chassis.',
          ...(coated ? ['Strap, not chassis: a loose strap leaves the tube charged.'] : []),
          'HV-rated, high value: 100 Mohm takes 2000 pF from 16 kV to 30 V in about 1.3 s, a 1 Gohm HV probe needs 13 s.',
        ],
        cautions: anodeCautions,
        limitText: 'under 50 V',
        minutes: 2,
        otherwise: 'Still charged. Discharge again, longer, and read again.',
      },
      50,
    ),
    volts(
      {
        id: 'electrolytics',
        stage: 'cold',
        title: 'Every electrolytic at zero across its own terminals',
        ask: 'Highest voltage across any one filter electrolytic, measured across its own two terminals?',
        how: [
          'Discharge each section through 1 to 2.2 kohm, 10 W, on insulated clips, for 10 s.',
          'Then read across the terminals of each one: every section of every can, and a doubler capacitor by itself.',
          'Type the highest reading of them all.',
        ],
        cautions: [
          'B+ to B- at zero proves nothing: a discharged pair in series can hold 100 V each, opposite ways.',
          'The dead set is the charged set: with an open heater or fusible resistor nothing drains B+.',
        ],
        limitText: 'under 2 V, each',
        minutes: 3,
        otherwise: 'Discharge that one again across its own terminals, and read all of them again.',
      },
      2,
    ),
    volts(
      {
        id: 'boost-capacitor',
        stage: 'cold',
        title: 'Boost capacitor at zero',
        ask: 'Highest voltage from either end of the boost capacitor to B-?',
        how: ['Discharge each end to B- through 100 kohm, 2 W, rated for 1 kV, then read both ends.'],
        cautions: [],
        limitText: 'under 10 V',
        minutes: 1,
        otherwise: 'Discharge it again through 100 kohm and read again.',
      },
      10,
    ),
  );
  if (mayHaveHvCapacitor(facts)) gates.push(hvCapacitor());
  if (hasLineEht(facts)) gates.push(ehtLink());
  gates.push(
    probed(
      {
        id: 'anode-second',
        stage: 'cold',
        title: 'Anode discharged again, five minutes later',
        ask: `Volts left between ${anode} and ${strap} after the second discharge?`,
        how: [
          'Wait 5 minutes after the first discharge: charge comes back out of the glass.',
          'Discharge again for 15 s, then read.',
        ],
        cautions: anodeCautions,
        limitText: 'under 50 V, 5 min or more after the first',
        minutes: 2,
        otherwise: 'Still charged. Discharge, wait 5 minutes, discharge and read again.',
      },
      50,
    ),
    probed(
      {
        id: 'anode-third',
        stage: 'cold',
        title: 'Anode, once more before lead, neck or yoke is touched',
        ask: `Volts from ${anode} to ${strap}, now?`,
        how: ['Touch with the discharge stick for 15 s, then read, immediately before hands go there.'],
        cautions: anodeCautions,
        limitText: 'under 50 V',
        minutes: 1,
        otherwise: 'Still charged. Discharge, wait 5 minutes, discharge again.',
      },
      50,
    ),
    meterGate('meter-after', 'Meter proven after', 'after'),
    volts(
      {
        id: 'still-cold',
        stage: 'cold',
        title: 'Still unplugged, still zero',
        ask: 'Plug still in sight and pulled, nobody was at the bench: highest voltage across any one filter electrolytic, its own two terminals?',
        how: ['One look at the plug, then each electrolytic again. Type the highest.'],
        cautions: [],
        limitText: 'under 2 V, each',
        minutes: 2,
        otherwise: 'Charge came back: discharge everything and prove it again from the start.',
      },
      2,
    ),
  );
  return gates;
}

function meterGate(id: 'meter-before' | 'meter-after', title: string, when: string): Gate {
  return yes(
    {
      id,
      stage: 'cold',
      title: `${title} the dead readings`,
      ask: `Does the meter, on the range and leads used here, read a known source right ${when} the dead readings?`,
      how: [
        'A fresh battery, or the bench supply at 30 V: same range, same leads, same jacks.',
        'HV probe: on a known 280 to 300 V it must show 0.28 to 0.30 V at 1000:1; an open probe reads zero on a charged tube.',
      ],
      cautions: ['Live, dead, live: a zero is worth something only between two right readings.'],
      limitText: 'reads the known source right',
      minutes: 1,
      otherwise:
        'The meter, its leads or the probe are not to be trusted: all dead readings must be taken again with a proven one.',
    },
    'Reads right',
    'Wrong or no reading',
  );
}

function ehtKind(): Gate {
  return choice(
    {
      id: 'eht-kind',
      stage: 'cold',
      title: 'How the anode voltage is made',
      ask: 'Look, do not touch: flyback cage, RF can, or a second iron transformer with a large oil or paper HV capacitor?',
      how: ['A second iron transformer beside a big HV capacitor is a line-frequency supply.'],
      cautions: ['A line-frequency HV supply stores joules and does not limit its current.'],
      limitText: 'flyback or RF oscillator',
      minutes: 1,
      otherwise: 'Enter it in the facts of the set first: the discharge differs.',
    },
    [
      { id: 'flyback-or-rf', title: 'Flyback or RF oscillator', say: '' },
      {
        id: 'line',
        title: 'Line-frequency transformer',
        say: 'Enter that in the facts of the set: its discharge and its limits differ.',
      },
      {
        id: 'unsure',
        title: 'Not sure',
        say: 'Then treat it as the dangerous kind: find out before any power.',
      },
    ],
    ['flyback-or-rf'],
  );
}

function hvCapacitor(): Gate {
  return probed(
    {
      id: 'hv-capacitor',
      stage: 'cold',
      title: 'Separate HV filter capacitor at zero',
      ask: 'Volts across the separate high-voltage filter capacitor, across its own terminals, after discharging it twice? (none fitted: 0)',
      how: [
        'Look for a 500 pF class, 20 kV capacitor between the anode line and B-.',
        'Discharge it through the stick, wait, again, then read.',
      ],
      cautions: ['A metal-cone or uncoated tube has no coating capacitor; this one holds the charge.'],
      limitText: 'under 50 V',
      minutes: 2,
      otherwise: 'Still charged. Discharge again and read again.',
    },
    50,
  );
}

function ehtLink(): Gate {
  return yes(
    {
      id: 'eht-link',
      stage: 'cold',
      title: 'Line-frequency HV discharged and linked',
      ask: 'Discharged through 1 kohm for 30 s, read at zero, and a link left across it?',
      how: [
        '1 kohm, wire-wound, rated for the pulse and as long as a hand (6 kV jumps a short one), on an insulated stick, 30 s.',
        'Read zero with the HV probe.',
        'Leave a link on while you work. Note it as a link fitted: it must be asked back before power.',
      ],
      cautions: [
        '0.1 uF at 6 kV is 1.8 J, and the bleeder chain is often open. If you are not used to these, stop here.',
      ],
      limitText: 'zero, and the link on',
      minutes: 3,
      otherwise: 'Discharge through 1 kohm for 30 s, read, link.',
    },
    'Discharged, zero, link on',
  );
}
