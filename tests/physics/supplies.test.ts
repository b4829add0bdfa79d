// Rectifier supplies against ngspice: four circuits, three rectifiers, good and weak capacitors, light and heavy load.
import { afterAll, describe, expect, it } from 'vitest';
import type { Rectifier } from '../../src/bench/rectifier.ts';
import { RECTIFIER_LAWS } from '../../src/bench/rectifier.ts';
import { type SupplyInput, type SupplyResult, solveSupply, type Topology } from '../../src/bench/supply.ts';
import { runSpice, statistics, Worst } from './spice.ts';

const volts = new Worst('B+ against ngspice');
const ripple = new Worst('ripple rms against ngspice');
const input = new Worst('input rms current against ngspice');

/** Rectifier from anode to cathode. Silicon is a real exponential diode, so that our knee-and-ohms law is tested as well. */
function rectifierLines(name: string, rectifier: Rectifier, anode: string, cathode: string): string[] {
  const law = RECTIFIER_LAWS[rectifier];
  if (rectifier === 'silicon') return [`d${name} ${anode} ${cathode} si`];
  if (law.kind === 'tube') {
    return [
      `b${name} ${anode} ${cathode} i=${law.perveance}*pow(max(v(${anode},${cathode}),0),1.5)`,
      `rb${name} ${anode} ${cathode} 1e9`,
    ];
  }
  return [
    `d${name} ${anode} ${name}k sharp`,
    `v${name} ${name}k ${name}r ${law.kneeVolts}`,
    `r${name} ${name}r ${cathode} ${law.ohms}`,
  ];
}

/** Node `out` against `0` is the output; the source current is that of the source `vs`. */
function netlist(
  s: SupplyInput & { rectifier: Rectifier },
  cycles: number,
): { text: string; period: number; end: number } {
  const hz = s.frequencyHz ?? 60;
  const peak = Math.SQRT2 * s.sourceVolts;
  const second = s.secondCapacitanceFarads ?? s.capacitanceFarads;
  const start = 0.9 * peak;
  const lines: string[] = ['supply', '.model si d(is=2e-9 n=1.7 rs=0.15)', '.model sharp d(is=1e-12 n=0.02)'];
  const d = (name: string, a: string, k: string) => lines.push(...rectifierLines(name, s.rectifier, a, k));
  const first = s.capacitanceFarads;
  switch (s.topology) {
    case 'half-wave':
      lines.push(`vs 1 0 sin(0 ${peak} ${hz})`, `rs 1 2 ${s.sourceOhms}`, `c1 out 0 ${first} ic=${start}`);
      d('a', '2', 'out');
      break;
    case 'full-wave':
      lines.push(`vs 1 0 sin(0 ${peak} ${hz})`, `vt 0 5 sin(0 ${peak} ${hz})`);
      lines.push(`rs 1 2 ${s.sourceOhms}`, `rt 5 6 ${s.sourceOhms}`, `c1 out 0 ${first} ic=${start}`);
      d('a', '2', 'out');
      d('b', '6', 'out');
      break;
    case 'doubler-full-wave':
      lines.push(`vs 1 mid sin(0 ${peak} ${hz})`, `rs 1 2 ${s.sourceOhms}`);
      lines.push(`c1 out mid ${first} ic=${start}`, `c2 mid 0 ${second} ic=${start}`, 'rm mid 0 1e8');
      d('a', '2', 'out');
      d('b', '0', '2');
      break;
    case 'doubler-half-wave':
      lines.push(`vs 1 0 sin(0 ${peak} ${hz})`, `rs 1 2 ${s.sourceOhms}`);
      lines.push(`c2 3 2 ${second} ic=${start}`, `c1 out 0 ${first} ic=${1.6 * start}`);
      d('a', '3', 'out');
      d('b', '0', '3');
      break;
  }
  if ('amps' in s.load) lines.push(`bl out 0 i=${s.load.amps}*max(0,min(1,v(out)/20))`);
  else lines.push(`rl out 0 ${s.load.ohms}`);
  const period = 1 / hz;
  const end = cycles * period;
  lines.push(`.tran ${period / 500} ${end} ${end - 2 * period} ${period / 500} uic`, '.end', '');
  return { text: lines.join('\n'), period, end };
}

async function compare(s: SupplyInput & { rectifier: Rectifier }, cycles = 24): Promise<SupplyResult> {
  const { text, period, end } = netlist(s, cycles);
  const vectors = await runSpice(text);
  const time = vectors.get('time') ?? [];
  const out = vectors.get('v(out)') ?? [];
  const source = vectors.get('i(vs)') ?? [];
  const slack = period * 1e-6;
  const last = statistics(time, out, end - period - slack, end + slack);
  const before = statistics(time, out, end - 2 * period - slack, end - period + slack);
  const where = `${s.topology} ${s.rectifier} ${s.sourceVolts} V ${s.capacitanceFarads * 1e6} uF ${JSON.stringify(s.load)}`;
  // The simulator must have settled, or the comparison means nothing.
  expect(Math.abs(last.mean - before.mean) / last.mean, `${where} settled`).toBeLessThan(0.002);
  const ours = solveSupply(s);
  expect(volts.note(where, ours.volts, last.mean), where).toBeLessThan(2);
  expect(ripple.note(where, ours.rippleVoltsRms, last.ripple, 0.05), `${where} ripple`).toBeLessThan(2);
  const theirs = statistics(time, source, end - period - slack, end + slack).rms;
  // In a centre-tapped supply the simulator's source is one half, which carries what one rectifier carries.
  const oursRms = s.topology === 'full-wave' ? ours.rectifierRmsAmps : ours.inputRmsAmps;
  expect(input.note(where, oursRms, theirs), `${where} input`).toBeLessThan(2);
  return ours;
}

const u = 1e-6;

interface Family {
  readonly topology: Topology;
  readonly sourceVolts: number;
  readonly sourceOhms: number;
  readonly frequencyHz: number;
  readonly rectifiers: readonly Rectifier[];
  readonly microfarads: readonly number[];
  readonly amps: readonly number[];
}

/** Sets of the period: transformer sets, 117 V line sets, 240 V 50 Hz sets. */
const FAMILIES: readonly Family[] = [
  {
    topology: 'full-wave',
    sourceVolts: 325,
    sourceOhms: 60,
    frequencyHz: 60,
    rectifiers: ['tube-direct', 'tube-indirect', 'silicon'],
    microfarads: [40, 10],
    amps: [0.06, 0.22, 0.3],
  },
  {
    topology: 'half-wave',
    sourceVolts: 117,
    sourceOhms: 8,
    frequencyHz: 60,
    rectifiers: ['silicon', 'selenium', 'tube-indirect'],
    microfarads: [150, 40],
    amps: [0.06, 0.18, 0.28],
  },
  {
    topology: 'half-wave',
    sourceVolts: 240,
    sourceOhms: 40,
    frequencyHz: 50,
    rectifiers: ['silicon', 'tube-indirect'],
    microfarads: [200, 40],
    amps: [0.08, 0.28],
  },
  {
    topology: 'doubler-full-wave',
    sourceVolts: 117,
    sourceOhms: 7,
    frequencyHz: 60,
    rectifiers: ['silicon', 'selenium', 'tube-indirect'],
    microfarads: [100, 40],
    amps: [0.06, 0.16, 0.26],
  },
  {
    topology: 'doubler-half-wave',
    sourceVolts: 117,
    sourceOhms: 7,
    frequencyHz: 60,
    rectifiers: ['silicon', 'selenium', 'tube-indirect'],
    microfarads: [100, 40],
    amps: [0.06, 0.16, 0.26],
  },
];

describe('rectifier supplies against ngspice within 2 %', () => {
  afterAll(() => {
    volts.report();
    ripple.report();
    input.report();
  });

  for (const family of FAMILIES) {
    it(`${family.topology} ${family.sourceVolts} V`, async () => {
      for (const rectifier of family.rectifiers) {
        for (const microfarads of family.microfarads) {
          for (const amps of family.amps) {
            await compare({
              topology: family.topology,
              rectifier,
              sourceVolts: family.sourceVolts,
              sourceOhms: family.sourceOhms,
              frequencyHz: family.frequencyHz,
              capacitanceFarads: microfarads * u,
              load: { amps },
            });
          }
        }
      }
    }, 60_000);
  }

  it('doublers with one dried-out capacitor', async () => {
    for (const [topology, first, second, amps] of [
      ['doubler-half-wave', 100, 20, 0.2],
      ['doubler-half-wave', 10, 100, 0.26],
      ['doubler-full-wave', 100, 12, 0.2],
      ['doubler-full-wave', 12, 100, 0.2],
    ] as const) {
      await compare(
        {
          topology,
          rectifier: 'silicon',
          sourceVolts: 117,
          sourceOhms: 7,
          capacitanceFarads: first * u,
          secondCapacitanceFarads: second * u,
          load: { amps },
        },
        40,
      );
    }
  }, 60_000);

  it('resistive loads and reduced line', async () => {
    for (const topology of ['full-wave', 'half-wave', 'doubler-half-wave', 'doubler-full-wave'] as const) {
      for (const sourceVolts of [35, 80, 117]) {
        await compare({
          topology,
          rectifier: 'silicon',
          sourceVolts,
          sourceOhms: 8,
          capacitanceFarads: 100 * u,
          load: { ohms: topology.startsWith('doubler') ? 1100 : 500 },
        });
      }
    }
  }, 60_000);
});
