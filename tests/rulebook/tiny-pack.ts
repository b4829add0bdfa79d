// Writes a minimal rule pack into a folder, for tests that break it in one place.
import { mkdirSync, mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';

export const TINY: Readonly<Record<string, string>> = {
  'pack.yaml': `name: tiny
version: 1.0.0
phases: [{id: cold, title: Cold}, {id: live, title: Live}]
facts:
  - {id: rectifier, title: Rectifier, ask: What rectifies?, values: [{id: silicon, title: silicon}, {id: selenium, title: selenium}]}
instruments: [{id: dmm, title: Meter, describe: any}]
assemblies:
  - {id: flyback, title: Flyback, core: true, decision: find one, ceilings: [{grade: sound, checks: [drive], anyOf: []}]}
cautions: {one-hand: One hand.}
`,
  'priors.yaml': `source: common practice, no source
share: {none: 0.5, recapped: 0.5, unknown: 0.5}
kinds:
  paper: {title: paper capacitor, aged: 0.9, recapped-factor: 0.1, modes: {leaky: 0.4}, replacement: film}
`,
  'symptoms.yaml': `symptoms:
  narrow: {title: narrow, reads: {pulse: {low: 0.5, normal: 0.1}}}
`,
  'glossary.yaml': 'terms: [{us: tube, uk: valve}]\n',
  'families/one.yaml': `family: one
title: One
describe: only one
facts: {heaters: series, topology: half-wave}
rated-volts: 117
rated-watts: 150
values: {b-plus-main: {value: 0.26, unit: kV, spread: 0.1, reason: typical, line: proportional}}
safety: [treat as hot]
source: common practice, no source
`,
  'sections/1-output.yaml': `section: output
title: Output
describe: output stage
signals:
  drive: {title: Drive, describe: at the grid, inputs: {}}
  pulse: {title: Pulse, describe: energy, outcome: true, inputs: {drive: strong}}
parts:
  coupling:
    title: Coupling capacitor
    kind: paper
    assembly: flyback
    faults:
      leaky: {title: leaky, effects: {drive: {low: 0.8}}}
    remedy: {action: Replace it}
checks:
  drive:
    title: Drive
    phase: live
    state: S2
    kind: number
    quantity: dc-volts
    unit: V
    needs: [dmm]
    where: grid
    why: it tells
    minutes: 2
    cautions: [one-hand]
    expect: {from: constant, value: -35, reason: typical}
    reads: [{signal: drive, scale: ratio, bands: {normal: [0.7, 1.4], low: [0, 0.7]}}]
  coupling-leak:
    title: Leak
    phase: cold
    state: S0
    kind: number
    quantity: ohms
    unit: Mohm
    needs: [dmm]
    where: across it
    why: it tells
    minutes: 3
    plausible: [0.001, 10000]
    stop: [{below: 0.01, say: short}]
    reads: [{part: output.coupling, scale: bound, bands: {ok: [500, null], leaky: [0.1, 100]}}]
`,
  'data/tubes.csv': 'type,function,heater_V,source_title\n6DQ6A,horizontal output,6.3,from memory\n',
  'data/picture-tubes.csv': 'type,function,heater_V,source_title\n21YP4A,picture tube,6.3,from memory\n',
};

/** A folder with the tiny pack; `change` replaces the text of one file (`undefined` leaves it out). */
export function tinyPack(change: Readonly<Record<string, string | undefined>> = {}): string {
  const dir = mkdtempSync(join(tmpdir(), 'rules-'));
  for (const [name, text] of Object.entries({ ...TINY, ...change })) {
    if (text === undefined) continue;
    mkdirSync(dirname(join(dir, name)), { recursive: true });
    writeFileSync(join(dir, name), text);
  }
  return dir;
}
