// A small fixed rule pack with something for every screen, so that the golden screens do not move with the trade's rules. All numbers are invented.
import { rmSync } from 'node:fs';
import { loadRules, problemLine } from '../../src/rulebook/index.ts';
import type { Rulebook } from '../../src/rulebook/types.ts';
import { tinyPack } from '../rulebook/tiny-pack.ts';

const PACK = `name: golden
version: 1.0.0
phases:
  - {id: cold, title: Cold checks before power}
  - {id: supply, title: Supply voltages}
facts:
  - {id: rectifier, title: Rectifier, ask: What rectifies B+?, values: [{id: silicon, title: silicon diodes}, {id: selenium, title: selenium stacks}]}
instruments:
  - {id: dmm, title: Digital multimeter, describe: "10 Mohm, rated for 600 V"}
  - {id: hv-probe, title: High-voltage probe, describe: rated above the anode voltage}
  - {id: isolation-transformer, title: Isolation transformer, describe: rated for the set}
  - {id: variac, title: Variable transformer, describe: with a meter on its output}
  - {id: lamp-limiter, title: Lamp limiter, describe: "lamps of 40, 100 and 150 W in series"}
assemblies:
  - {id: flyback, title: Flyback, core: true, decision: find one, ceilings: [{grade: sound, checks: [winding, drive], anyOf: []}]}
  - {id: picture-tube, title: Picture tube, core: true, decision: find one, ceilings: [{grade: sound, checks: [emission], anyOf: []}]}
cautions:
  one-hand: One hand in the set, the other in a pocket.
  charged: Filter capacitors hold their charge for hours; prove them dead again after every power-up.
  hot: "The chassis of this set may be on one side of the line: isolation transformer, always."
`;

const PRIORS = `source: common practice, no source
share: {none: 0.5, recapped: 0.5, unknown: 0.5}
kinds:
  paper: {title: paper capacitor, aged: 0.5, recapped-factor: 0.1, modes: {leaky: 0.4}, replacement: film capacitor}
  can: {title: electrolytic, aged: 0.4, recapped-factor: 0.1, modes: {leaky: 0.3}, replacement: new electrolytic}
  winding: {title: winding, aged: 0.03, recapped-factor: 1, modes: {shorted: 0.03}, replacement: a tested one}
  tube: {title: picture tube, aged: 0.3, recapped-factor: 1, modes: {weak: 0.2}, replacement: a tested one}
`;

const SUPPLY = `section: supply
title: B+ supply
describe: rectifiers and filters
signals:
  b-plus: {title: B+ at the main filter, describe: at the main filter, inputs: {}}
parts:
  filter:
    title: Main filter capacitor
    kind: can
    faults: {leaky: {title: leaky, effects: {b-plus: {low: 0.7}}}}
    remedy: {action: Replace it, hours: [0.5, 1]}
checks:
  filter-look:
    title: Seams and vents of the filter cans
    phase: cold
    state: any
    kind: choice
    needs: []
    where: The cans on top of the chassis, and their lugs
    why: A can that has leaked is replaced, not measured.
    minutes: 1
    options:
      - {id: clean, title: clean and flat}
      - {id: bulged, title: "bulged, or the vent is pushed out", say: It is not powered before it is replaced.}
      - {id: crusted, title: crust at the lugs}
    reads: [{part: supply.filter, scale: choice, table: {ok: {clean: 0.9, bulged: 0.03, crusted: 0.07}, leaky: {clean: 0.3, bulged: 0.4, crusted: 0.3}}}]
  filter-leak:
    title: Main filter to chassis, forwards
    phase: cold
    state: S0
    kind: number
    quantity: ohms
    unit: kohm
    needs: [dmm]
    where: "Plus lug of the main filter can to B-"
    meter: "Ohms, red on the plus lug; wait for the reading to settle"
    how: [Clip the black lead to B- first., "Touch the plus lug, wait 20 s, read."]
    why: A short here blows the first fuse that is put in.
    minutes: 2
    group: cold-ohms
    cautions: [charged]
    reads: [{part: supply.filter, scale: bound, bands: {ok: [30, null], leaky: [0.01, 20]}}]
  b-plus:
    title: B+ at the main filter
    phase: supply
    state: S2
    kind: number
    quantity: dc-volts
    unit: V
    needs: [dmm]
    where: "Plus lug of the main filter can to B-"
    meter: "DC volts, 600 V range, return clipped on while dead"
    why: Everything else hangs on it.
    minutes: 2
    cautions: [hot, one-hand]
    expect: {from: family, value: b-plus-main}
    reads: [{signal: b-plus, scale: ratio, bands: {normal: [0.85, 1.12], low: [0.3, 0.9], high: [1.1, 1.5]}}]
`;

const OUTPUT = `section: output
title: Horizontal output
describe: output stage
signals:
  drive: {title: Drive at the output grid, describe: at the grid, inputs: {b-plus: strong}}
  pulse: {title: Flyback pulse, describe: energy, outcome: true, inputs: {drive: strong}}
parts:
  coupling:
    title: Grid coupling capacitor
    kind: paper
    faults: {leaky: {title: leaky, effects: {drive: {low: 0.8}}}}
    remedy: {action: Replace it, hours: [0.3, 0.5]}
  flyback:
    title: Flyback
    kind: winding
    assembly: flyback
    faults: {shorted: {title: shorted turns, effects: {pulse: {low: 0.9}}}}
    remedy: {action: Find another}
  picture-tube:
    title: Picture tube
    kind: tube
    assembly: picture-tube
    faults: {weak: {title: weak cathode, effects: {pulse: {low: 0.02}}}}
    remedy: {action: Find another}
checks:
  coupling-leak:
    title: Leakage of the grid coupling capacitor
    phase: cold
    state: S0
    kind: number
    quantity: ohms
    unit: Mohm
    needs: [dmm]
    where: "Coupling capacitor to the output grid, grid end lifted"
    meter: "Highest ohms range, clips on both ends, hands off"
    how: [Lift the grid end., "Clip on, hands off, wait 30 s.", Read.]
    why: "A leaky one cooks output tube and flyback within a minute of the first run."
    minutes: 3
    group: cold-ohms
    cautions: [charged]
    plausible: [0.001, 10000]
    reads: [{part: output.coupling, scale: bound, bands: {ok: [500, null], leaky: [0.1, 100]}}]
  winding:
    title: Flyback primary resistance
    phase: cold
    state: S0
    kind: number
    quantity: ohms
    unit: ohm
    needs: [dmm]
    where: "Plate cap lead to the boost terminal, damper lifted"
    meter: "Low ohms range, leads zeroed"
    why: "An open winding ends the search; shorted turns do not show here."
    minutes: 2
    group: cold-ohms
    reads: [{part: output.flyback, scale: bound, bands: {ok: [10, 60], shorted: [0.1, 30]}}]
  emission:
    title: Picture-tube emission on a tester
    phase: cold
    state: any
    kind: choice
    needs: [hv-probe]
    where: Tube socket, tester adapter on
    why: The one part that cannot be bought new.
    minutes: 8
    options: [{id: good, title: good}, {id: weak, title: weak}, {id: bad, title: bad}]
    reads: [{part: output.picture-tube, scale: choice, table: {ok: {good: 0.8, weak: 0.15, bad: 0.05}, weak: {good: 0.05, weak: 0.5, bad: 0.45}}}]
  drive:
    title: Drive at the output grid
    phase: supply
    state: S2
    kind: number
    quantity: dc-volts
    unit: V
    needs: [dmm]
    where: "Grid of the output tube to its cathode, by clips put on while dead"
    meter: "DC volts through 100 kohm at the grid"
    why: Without drive the output tube takes ruinous current.
    minutes: 2
    cautions: [hot, one-hand]
    expect: {from: constant, value: -35, reason: typical of the class}
    reads: [{signal: drive, scale: ratio, bands: {normal: [0.7, 1.4], low: [0, 0.7]}}]
`;

/** Loads the pack. Throws with the loader's messages if the format of rules has changed under it. */
export function goldenBook(): Rulebook {
  const folder = tinyPack({
    'pack.yaml': PACK,
    'priors.yaml': PRIORS,
    'symptoms.yaml':
      'symptoms:\n  no-raster: {title: sound but no raster, reads: {pulse: {low: 0.5, normal: 0.1}}}\n',
    'families/one.yaml': `family: one
title: Heaters in series, voltage doubler
describe: no power transformer, two rectifiers, B+ near twice the line
facts: {heaters: series, topology: half-wave}
rated-volts: 117
rated-watts: 150
values: {b-plus-main: {value: 265, unit: V, spread: 0.1, reason: usual for the kind of supply, line: proportional}}
safety: [treat as hot]
source: common practice, no source
`,
    'sections/1-output.yaml': OUTPUT,
    'sections/2-supply.yaml': SUPPLY,
  });
  const { book, problems } = loadRules(folder);
  rmSync(folder, { recursive: true });
  if (!book) throw new Error(problems.map(problemLine).join('\n'));
  return book;
}
