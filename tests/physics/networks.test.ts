// Lamp limiter, meter loading, leakage, bias, smoothing, discharge and ringing against ngspice.
import { afterAll, describe, expect, it } from 'vitest';
import {
  dividerReading,
  gridShiftFromLeak,
  heaterAmps,
  hvProbe,
  type LimiterLoad,
  lampAmps,
  leakFromGridShift,
  liftedEndLeak,
  limitedVolts,
  loadAmpsAt,
  meterReading,
  phantomVolts,
  remainingVolts,
  ringCountToQ,
  selfBiasPoint,
  smoothingSection,
  stackResidual,
  stringWithShort,
  trueVolts,
} from '../../src/bench/index.ts';
import { operatingPoint, runSpice, statistics, Worst } from './spice.ts';

const worst = {
  limiter: new Worst('lamp limiter against ngspice'),
  loading: new Worst('meter loading against ngspice'),
  leakage: new Worst('leakage against ngspice'),
  bias: new Worst('bias against ngspice'),
  time: new Worst('discharge, smoothing, ringing against ngspice'),
};

function agree(series: Worst, where: string, ours: number, theirs: number): void {
  expect(series.note(where, ours, theirs), where).toBeLessThan(2);
}

describe('bench networks against ngspice within 2 %', () => {
  afterAll(() => {
    for (const series of Object.values(worst)) series.report();
  });

  it('lamp limiter: tungsten lamp before heaters, sets and resistors', async () => {
    const lines: string[] = [];
    const cases: { where: string; node: string; ours: number }[] = [];
    for (const lineVolts of [117, 240]) {
      const loads: LimiterLoad[] = [
        { kind: 'heaters', amps: lineVolts === 117 ? 0.6 : 0.3 },
        { kind: 'heaters', amps: 0.45 },
        { kind: 'set', heaterAmps: lineVolts === 117 ? 0.6 : 0.3, supplyAmps: 1 },
        { kind: 'ohms', ohms: 80 },
      ];
      for (const lampWatts of [40, 60, 100, 150, 200, 300]) {
        for (const load of loads) {
          const n = cases.length;
          const [a, b] = [`a${n}`, `b${n}`];
          // Same published exponents, written down independently as current sources and left to the simulator to solve.
          lines.push(`v${n} ${a} 0 ${lineVolts}`);
          lines.push(
            `bl${n} ${a} ${b} i=${lampWatts / lineVolts}*pow(max(v(${a},${b}),1e-6)/${lineVolts},0.55)`,
          );
          lines.push(`rg${n} ${b} 0 1e9`);
          if (load.kind === 'ohms') lines.push(`rl${n} ${b} 0 ${load.ohms}`);
          if (load.kind === 'heaters')
            lines.push(`bh${n} ${b} 0 i=${load.amps}*pow(max(v(${b}),1e-6)/${lineVolts},0.6)`);
          if (load.kind === 'set') {
            lines.push(`bh${n} ${b} 0 i=${load.heaterAmps}*pow(max(v(${b}),1e-6)/${lineVolts},0.6)`);
            lines.push(`bs${n} ${b} 0 i=${load.supplyAmps}*pow(max(v(${b}),1e-6)/${lineVolts},1.25)`);
          }
          const ours = limitedVolts({ lampWatts, lineVolts, load });
          // The solution must also satisfy both laws of ours.
          expect(loadAmpsAt(load, lineVolts, ours.setVolts)).toBeCloseTo(
            lampAmps(lampWatts, lineVolts, ours.lampVolts),
            6,
          );
          cases.push({
            where: `${lampWatts} W ${lineVolts} V ${JSON.stringify(load)}`,
            node: b,
            ours: ours.setVolts,
          });
        }
      }
    }
    const at = await operatingPoint(lines);
    for (const c of cases) agree(worst.limiter, c.where, c.ours, at(c.node));
  });

  it('heater string with one heater bridged', async () => {
    const volts = [12.6, 12.6, 25, 6.3, 6.3, 19];
    for (const shorted of [1, 3, 6]) {
      for (const dropperOhms of [0, 60, 117]) {
        const amps = 0.3;
        const lineVolts = volts.reduce((s, v) => s + v, 0) + dropperOhms * amps;
        // Heaters as voltages set by the loop current (which vs measures), as the simulator solves a series loop best.
        const lines = [`v1 n0 0 ${lineVolts}`, 'vs n0 n1 0', `rd n1 h0 ${Math.max(dropperOhms, 1)}`];
        volts.forEach((v, i) => {
          const [a, b] = [`h${i}`, i === volts.length - 1 ? '0' : `h${i + 1}`];
          if (i === shorted - 1) lines.push(`rs${i} ${a} ${b} 1e-4`);
          else lines.push(`bh${i} ${a} ${b} v=${v}*pow(max(i(vs),1e-9)/${amps},${1 / 0.6})`);
        });
        const at = await operatingPoint(lines);
        const ours = stringWithShort({
          heaterVolts: volts,
          amps,
          lineVolts,
          shorted,
          dropperOhms: Math.max(dropperOhms, 1),
        });
        const where = `heater ${shorted} bridged, dropper ${dropperOhms} ohm`;
        agree(
          worst.limiter,
          `${where}, current`,
          ours.amps,
          (at('n1') - at('h0')) / Math.max(dropperOhms, 1),
        );
        agree(worst.limiter, `${where}, heater 5`, ours.eachVolts[4] ?? 0, at('h4') - at('h5'));
      }
    }
    expect(heaterAmps(0.3, 12.6, 12.6)).toBeCloseTo(0.3, 9);
  });

  it('meter loading, and back', async () => {
    const lines: string[] = [];
    const checks: (() => void)[] = [];
    let at: (node: string | number) => number = () => 0;
    let n = 0;
    for (const supplyVolts of [24, 280, 600]) {
      for (const [upperOhms, lowerOhms] of [
        [10e3, 10e3],
        [470e3, 1e6],
        [2.2e6, 4.7e6],
      ] as const) {
        for (const meterOhms of [200e3, 1e6, 10e6, 11e6]) {
          n++;
          const node = `m${n}`;
          lines.push(
            `v${n} s${n} 0 ${supplyVolts}`,
            `ra${n} s${n} ${node} ${upperOhms}`,
            `rb${n} ${node} 0 ${lowerOhms}`,
            `rm${n} ${node} 0 ${meterOhms}`,
          );
          checks.push(() => {
            const where = `${supplyVolts} V ${upperOhms}/${lowerOhms} on ${meterOhms}`;
            const ours = dividerReading({ supplyVolts, upperOhms, lowerOhms, meterOhms });
            agree(worst.loading, where, ours.shownVolts, at(node));
            // From the simulator's reading back to the unloaded volts.
            const source = (upperOhms * lowerOhms) / (upperOhms + lowerOhms);
            agree(
              worst.loading,
              `${where} back`,
              trueVolts(at(node), source, meterOhms).value,
              ours.unloadedVolts,
            );
          });
        }
      }
    }
    for (const sourceOhms of [1e6, 5e6, 20e6]) {
      for (const meterOhms of [1e6, 10e6, 11e6]) {
        n++;
        const node = `m${n}`;
        const foot = (1.1e6 * 10e6) / 11.1e6;
        lines.push(
          `v${n} s${n} 0 16000`,
          `ra${n} s${n} p${n} ${sourceOhms}`,
          `rb${n} p${n} ${node} ${foot * 999}`,
          `rc${n} ${node} 0 1.1e6`,
          `rm${n} ${node} 0 ${meterOhms}`,
        );
        checks.push(() => {
          const ours = hvProbe({
            trueVolts: 16000,
            sourceOhms,
            ratio: 1000,
            madeForMeterOhms: 10e6,
            meterOhms,
            shuntOhms: 1.1e6,
          });
          agree(worst.loading, `probe ${sourceOhms} ${meterOhms}`, ours.shownVolts, 1000 * at(node));
        });
      }
    }
    at = await operatingPoint(lines);
    for (const check of checks) check();
    expect(meterReading(50, 5e3, 50e3)).toBeCloseTo(45.4545, 3);
  });

  it('coupling leakage, both ways, with the meter on', async () => {
    const lines: string[] = [];
    const checks: (() => void)[] = [];
    let at: (node: string | number) => number = () => 0;
    let n = 0;
    for (const supplyVolts of [120, 250, 400]) {
      for (const leakOhms of [5e6, 50e6, 500e6]) {
        for (const gridOhms of [220e3, 470e3, 1e6]) {
          n++;
          const g = `g${n}`;
          const l = `l${n}`;
          lines.push(
            `v${n} s${n} 0 ${supplyVolts}`,
            `rk${n} s${n} ${g} ${leakOhms}`,
            `rg${n} ${g} 0 ${gridOhms}`,
          );
          lines.push(`rl${n} s${n} ${l} ${leakOhms}`, `rm${n} ${l} 0 10e6`);
          checks.push(() => {
            const where = `${supplyVolts} V ${leakOhms} ohm ${gridOhms} ohm`;
            agree(worst.leakage, where, gridShiftFromLeak(supplyVolts, leakOhms, gridOhms), at(g));
            agree(worst.leakage, `${where} back`, leakFromGridShift(supplyVolts, at(g), gridOhms), leakOhms);
            const lifted = liftedEndLeak({ supplyVolts, readingVolts: at(l), meterOhms: 10e6 });
            agree(worst.leakage, `${where} lifted`, lifted.leakOhms, leakOhms);
          });
        }
      }
    }
    // The simulator adds 1e-12 S to every node by default, which would be a second leak here.
    lines.push('.options gmin=1e-18');
    at = await operatingPoint(lines);
    for (const check of checks) check();
  });

  it('cathode bias of three-halves-power tubes', async () => {
    const lines: string[] = [];
    const checks: (() => void)[] = [];
    let at: (node: string | number) => number = () => 0;
    let n = 0;
    for (const supplyVolts of [130, 250, 400]) {
      for (const [perveance, mu] of [
        [1.2e-3, 8],
        [0.4e-3, 20],
        [2.5e-3, 5],
      ] as const) {
        for (const cathodeOhms of [150, 330, 820]) {
          for (const plateOhms of [0, 1500]) {
            n++;
            const [p, k] = [`p${n}`, `k${n}`];
            lines.push(
              `v${n} s${n} 0 ${supplyVolts}`,
              `ra${n} s${n} ${p} ${Math.max(plateOhms, 1e-3)}`,
              `rk${n} ${k} 0 ${cathodeOhms}`,
            );
            lines.push(`bt${n} ${p} ${k} i=${perveance}*pow(max(v(${p},${k})/${mu}-v(${k}),0),1.5)`);
            checks.push(() => {
              const ours = selfBiasPoint({ perveance, mu, supplyVolts, cathodeOhms, plateOhms });
              const where = `${supplyVolts} V K ${perveance} mu ${mu} ${cathodeOhms}/${plateOhms}`;
              agree(worst.bias, where, ours.cathodeVolts, at(k));
              agree(worst.bias, `${where} plate`, ours.plateVolts, at(p));
            });
          }
        }
      }
    }
    at = await operatingPoint(lines);
    for (const check of checks) check();
  });

  it('discharge in time, and what a shorted stack keeps', async () => {
    const vectors = await runSpice(
      ['decay', 'c1 1 0 150u ic=330', 'r1 1 0 10k', '.tran 5m 6 0 5m uic', '.end', ''].join('\n'),
    );
    const time = vectors.get('time') ?? [];
    const v = vectors.get('v(1)') ?? [];
    for (const seconds of [0.5, 1.5, 3, 5]) {
      const i = time.findIndex((t) => t >= seconds);
      const ours = remainingVolts({
        capacitanceFarads: 150e-6,
        ohms: 10e3,
        fromVolts: 330,
        seconds: time[i] ?? 0,
      });
      agree(worst.time, `discharge ${seconds} s`, ours, v[i] ?? 0);
    }
    for (const [c1, c2, v1, v2] of [
      [100, 12, 137, 80],
      [150, 100, 165, 165],
      [100, 30, 165, 165],
    ] as const) {
      const stack = await runSpice(
        [
          'stack',
          `c1 1 2 ${c1}u ic=${v1}`,
          `c2 2 0 ${c2}u ic=${v2}`,
          'r1 1 0 2.2k',
          '.tran 5m 3 0 5m uic',
          '.end',
          '',
        ].join('\n'),
      );
      const last = (name: string) => stack.get(name)?.at(-1) ?? 0;
      const ours = stackResidual([c1 * 1e-6, c2 * 1e-6], [v1, v2]).eachVolts;
      agree(worst.time, `stack ${c1}/${c2} upper`, ours[0] ?? 0, last('v(1)') - last('v(2)'));
      agree(worst.time, `stack ${c1}/${c2} lower`, ours[1] ?? 0, last('v(2)'));
      expect(Math.abs(last('v(1)'))).toBeLessThan(0.5);
    }
  });

  it('smoothing sections and phantom volts at the line frequency', async () => {
    for (const [seriesOhms, henries, microfarads] of [
      [500, 0, 10],
      [1000, 0, 40],
      [100, 4, 40],
      [60, 1.5, 80],
    ] as const) {
      const loadOhms = 2000;
      const start = (150 * loadOhms) / (loadOhms + seriesOhms);
      const l =
        henries > 0
          ? [`r1 1 3 ${seriesOhms}`, `l1 3 2 ${henries} ic=${start / loadOhms}`]
          : [`r1 1 2 ${seriesOhms}`];
      const vectors = await runSpice(
        [
          'smooth',
          `v1 1 0 sin(150 ${Math.SQRT2 * 15} 120)`,
          ...l,
          `c1 2 0 ${microfarads}u ic=${start}`,
          `rl 2 0 ${loadOhms}`,
          '.tran 20u 2 1.9 20u uic',
          '.end',
          '',
        ].join('\n'),
      );
      const s = statistics(vectors.get('time') ?? [], vectors.get('v(2)') ?? [], 1.9, 2);
      const ours = smoothingSection({
        volts: 150,
        rippleVoltsRms: 15,
        rippleHz: 120,
        seriesOhms,
        henries,
        farads: microfarads * 1e-6,
        loadOhms,
      });
      agree(worst.time, `smoothing ${seriesOhms} ${henries} ${microfarads} DC`, ours.volts, s.mean);
      agree(
        worst.time,
        `smoothing ${seriesOhms} ${henries} ${microfarads} ripple`,
        ours.rippleVoltsRms,
        s.ripple,
      );
    }
    for (const meterOhms of [100e3, 1e6, 10e6]) {
      const vectors = await runSpice(
        [
          'phantom',
          `v1 1 0 sin(0 ${Math.SQRT2 * 117} 60)`,
          'c1 1 2 1n',
          `r1 2 0 ${meterOhms}`,
          '.tran 20u 0.3 0.2 20u',
          '.end',
          '',
        ].join('\n'),
      );
      const s = statistics(vectors.get('time') ?? [], vectors.get('v(2)') ?? [], 0.2, 0.3);
      agree(
        worst.time,
        `phantom ${meterOhms}`,
        phantomVolts({ lineVolts: 117, windingFarads: 1e-9, meterOhms }).volts,
        s.ripple,
      );
    }
  });

  it('ring test: cycles to 25 % of a damped winding give its Q', async () => {
    for (const q of [6, 15, 30]) {
      const [henries, farads] = [10e-3, 2e-9];
      const omega = 1 / Math.sqrt(henries * farads);
      const hz = omega / (2 * Math.PI);
      const ohms = (omega * henries) / q;
      const end = (1.5 * q) / hz;
      const vectors = await runSpice(
        [
          'ring',
          `c1 1 0 ${farads} ic=100`,
          `l1 1 2 ${henries} ic=0`,
          `r1 2 0 ${ohms}`,
          `.tran ${1 / hz / 200} ${end} 0 ${1 / hz / 200} uic`,
          '.end',
          '',
        ].join('\n'),
      );
      const v = vectors.get('v(1)') ?? [];
      // Positive peaks, whose envelope is followed to a quarter of the first one.
      const peaks: number[] = [100];
      for (let i = 1; i < v.length - 1; i++) {
        const [a, b, c] = [v[i - 1] ?? 0, v[i] ?? 0, v[i + 1] ?? 0];
        if (b > a && b >= c && b > 0) peaks.push(b);
      }
      const n = peaks.findIndex((p) => p < 25);
      const [before, after] = [peaks[n - 1] ?? 0, peaks[n] ?? 0];
      const count = n - 1 + Math.log(before / 25) / Math.log(before / after);
      agree(worst.time, `Q ${q}`, ringCountToQ(count), q);
    }
  });
});
