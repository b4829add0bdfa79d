// The stages of a set as one DC netlist: bias, screens, plates, the horizontal output averaged over a line, the gun at both ends of its brightness control.
import { type Values, valueIn } from './component.ts';
import type { Design } from './design.ts';
import { lowLineAmps, PLAN, stageVolts } from './plan.ts';
import { pentode, perveance, type TubeNodes, triode } from './tubes.ts';

/** What the rest of the model says before the DC solution: supply, boost, heat, drive, AGC. */
export interface StageInputs {
  readonly bPlus: number;
  readonly boost: number;
  /** Emission left, by group: 1 at rated heat. */
  readonly emission: { readonly tubes: number; readonly deflection: number; readonly pictureTube: number };
  /** Drive offered to the output grid, V peak to peak; 0 = no oscillation. */
  readonly drivePp: number;
  readonly horizontalRuns: boolean;
  /** Share of the output tube's plate current that its plate voltage lets through (1 = well above the knee). */
  readonly plateShare: number;
  /** Screen feed open and plate cap off. */
  readonly horizontalDisabled: boolean;
  readonly verticalRuns: boolean;
  readonly agcVolts: number;
  /** Anode there: without it the gun passes no beam. */
  readonly anodeVolts: number;
  /** Gun cathode rides on the video output plate, or behind a capacitor on a divider of its own. */
  readonly directCoupled: boolean;
}

/** Sample points of one line of drive, as shares of peak to peak: rising over the trace, negative in retrace; mean zero. */
export const DRIVE_SHAPE: readonly number[] = (() => {
  const points: number[] = [];
  for (let i = 0; i < 10; i += 1) points.push(-0.2 + (0.5 * (i + 0.5)) / 10);
  points.push(-0.7, -0.7);
  const mean = points.reduce((a, b) => a + b, 0) / points.length;
  return points.map((p) => p - mean);
})();

/** Source and grid-diode resistance that the drive meets when the grid goes positive, ohm. */
const DRIVE_SOURCE = 15e3;
const GRID_DIODE = 1500;
/** Screen mu of a sweep tube (published: 6BQ6 class 4.3). */
const SWEEP_MU = 4.3;
/** Gun: beam at zero bias per V^1.5 of drive, A: some 250 uA at full brightness. */
const GUN_PERVEANCE = 0.8e-6;
export const NOMINAL_BIAS = -37;

/** Samples of the line in which current builds up deflection, and those of retrace; the rest of the trace belongs to the damper. */
const LATE = [4, 5, 6, 7, 8, 9] as const;
const RETRACE = [10, 11] as const;
const EARLY = [0, 1, 2, 3] as const;

/** Mean of the 3/2-power law over some samples of a line for a bias and a screen voltage, V^1.5 of the whole line. */
export function driveMean(samples: readonly number[], bias: number, screen: number, pp: number): number {
  const sum = samples.reduce((s, n) => {
    const open = bias + pp * (DRIVE_SHAPE[n] ?? 0);
    const grid = open > 0 ? (open * GRID_DIODE) / (DRIVE_SOURCE + GRID_DIODE) : open;
    return s + Math.max(0, grid + screen / SWEEP_MU) ** 1.5;
  }, 0);
  return sum / DRIVE_SHAPE.length;
}

/** Space current over cathode current in a healthy stage, whose plate lets through 0.72 of its share. */
export const HEALTHY_PLATE_SHARE = 0.72;
export const sweepShares = (plateShare: number) => {
  const plate = 0.94 * plateShare;
  const lost = 0.94 - plate;
  return { plate, screen: 0.06 + lost * (0.1 + 0.4 * (1 - plateShare)) };
};

/** Shares of current that flows while the plate is high. */
const WASTED = { plate: 0.94, screen: 0.06, total: 1 } as const;

/** The netlist, first line its title. Node `bp` is main B+, `bl` the low line, `bo` the boost line. */
export function stagesNetlist(d: Design, values: Values, x: StageInputs): string[] {
  const v = (name: string): number => valueIn(values, name);
  return [
    'stages',
    `vbp bp 0 ${x.bPlus}`,
    `vbo bo 0 ${x.boost}`,
    ...horizontal(d, v, x),
    ...vertical(d, v, x),
    ...video(d, v, x),
    ...sound(d, v, x),
    ...lowLine(d, v, x),
    ...gun(d, v, x),
    ...(d.stacked ? [`.nodeset v(ak)=${d.bLow} v(bl)=${d.bLow} v(ag)=${d.bLow - d.audioCathodeVolts}`] : []),
    '.options gmin=1e-12 reltol=1e-4 itl1=400 itl2=200',
    '.op',
    '.end',
    '',
  ];
}

type Get = (name: string) => number;

function tube(
  v: Get,
  id: string,
  name: string,
  nodes: [string, string, string],
  k: number,
  mu: number,
  amps: number,
  emission: number,
): TubeNodes {
  return {
    name,
    plate: nodes[0],
    grid: nodes[1],
    cathode: nodes[2],
    k: k * v(`${id}.k`) * emission,
    mu,
    gas: v(`${id}.gas`),
    ratedAmps: amps,
    gridCathode: v(`${id}.gk`),
  };
}

function horizontal(d: Design, v: Get, x: StageInputs): string[] {
  const hot = x.emission.deflection;
  const at = stageVolts(d);
  const healthy = sweepShares(HEALTHY_PLATE_SHARE);
  const usual = (samples: readonly number[]): number =>
    driveMean(samples, NOMINAL_BIAS, d.screenVolts, d.drivePp);
  const k =
    d.cathodeAmps /
    (usual(LATE) * (healthy.plate + healthy.screen) + usual([...EARLY, ...RETRACE]) * WASTED.total);
  const space = k * v('horizontal-output.tube.k') * hot;
  const shares = x.horizontalDisabled ? { plate: 0, screen: 0 } : sweepShares(x.plateShare);
  const n = DRIVE_SHAPE.length;
  const meanOf = (samples: readonly number[]): string => {
    const terms = samples.map((sample) => {
      const open = `(v(hg,hk)+${(x.drivePp * (DRIVE_SHAPE[sample] ?? 0)).toFixed(4)})`;
      return `pwr(uramp(${open}-uramp(${open})*${DRIVE_SOURCE / (DRIVE_SOURCE + GRID_DIODE)}+uramp(v(hs,hk))/${SWEEP_MU}),1.5)`;
    });
    return `${space / n}*(${terms.join('+')})`;
  };
  const late = meanOf(LATE);
  // Current outside the useful part of the trace deflects nothing: the plate is well above its knee then.
  const wasted = meanOf([...EARLY, ...RETRACE]);
  const fed = x.plateShare > 0 ? WASTED : { plate: 0, screen: sweepShares(0).screen, total: 0 };
  const waste = x.horizontalDisabled ? { plate: 0, screen: 0 } : fed;
  const mean = `(${late}+${wasted})`;
  const gridTerms = DRIVE_SHAPE.map((w) => `uramp(v(hg,hk)+${(x.drivePp * w).toFixed(4)})`).join('+');
  const diode = hot > 0.05 ? 1 / (n * (DRIVE_SOURCE + GRID_DIODE)) : 0;
  const gas = v('horizontal-output.tube.gas') / d.cathodeAmps;
  const stopper = v('horizontal-output.grid-stopper') > 1e6;
  const oscillator = x.horizontalRuns
    ? PLAN.oscillatorAmps / at.oscillatorFeed
    : 0.35 * (PLAN.oscillatorAmps / at.oscillatorFeed);
  return [
    `rhf bp hf ${v('horizontal-oscillator.feed-resistor')}`,
    `rhfb hf 0 ${v('horizontal-oscillator.feed-bypass.leak')}`,
    `rho hf 0 ${1 / (0.35 * oscillator)}`,
    `rhp hf hp ${v('horizontal-oscillator.plate-resistor')}`,
    // The discharge tube empties its capacitor every line: on average a resistor.
    `rhd hp 0 ${(68e3 * at.oscillatorPlate) / (at.oscillatorFeed - at.oscillatorPlate) / (x.horizontalRuns ? 1 : 0.6)}`,
    `rhdl hp 0 ${v('horizontal-oscillator.discharge-capacitor.leak')}`,
    `rhc hp hg ${stopper ? 1e11 : v('horizontal-output.grid-coupling-capacitor.leak')}`,
    `rhg hg 0 ${stopper ? 1e9 : v('horizontal-output.grid-leak-resistor')}`,
    `rhgk hg hk ${v('horizontal-output.tube.gk')}`,
    `bhg hg hk i=${diode}*(${gridTerms})`,
    `bhi 0 hg i=${gas}*${mean}*${x.horizontalDisabled ? 0.02 : 1}`,
    `rhs bp hs ${x.horizontalDisabled ? 1e11 : v('horizontal-output.screen-resistor')}`,
    `rhsb hs 0 ${v('horizontal-output.screen-bypass.leak')}`,
    `bhs hs hk i=(${late}*${shares.screen}+${wasted}*${waste.screen})*tanh(uramp(v(hs,hk))/8)`,
    `vhp bp hpl 0`,
    `bhp hpl hk i=${late}*${shares.plate}+${wasted}*${waste.plate}`,
    // What the plate would pass well above its knee, and the drive that is left on the grid.
    `bfull 0 full i=${late}*0.94`,
    'rfull full 0 1',
    `bback 0 back i=${meanOf(RETRACE)}*0.94`,
    'rback back 0 1',
    `vhk hk hkr 0`,
    `rhk hkr 0 ${v('horizontal-output.cathode-link')}`,
    'rhs9 hs hk 1e9',
  ];
}

function vertical(d: Design, v: Get, x: StageInputs): string[] {
  const hot = x.emission.deflection;
  const at = stageVolts(d);
  const mu = 8;
  const k = perveance(
    PLAN.verticalAmps,
    -d.verticalCathodeVolts,
    at.verticalPlate - d.verticalCathodeVolts,
    mu,
  );
  const alive = v('vertical-oscillator.tube.k') * hot;
  const load =
    at.verticalOscillator / 0.00035 / Math.max(0.15, x.verticalRuns ? Math.min(1, 0.4 + 0.6 * alive) : 0.2);
  const socket = v('wiring.socket-vertical-output') > 100 ? 0.1 : 1;
  return [
    `rvf bo vf ${v('vertical-oscillator.feed-resistor') / v('vertical-oscillator.height-control')}`,
    `rvb vf 0 ${v('vertical-oscillator.feed-bypass.leak')}`,
    `rvbl vf 0 ${v('vertical-oscillator.board-leak')}`,
    `rvl vf 0 ${load}`,
    `rvch vf 0 ${v('vertical-oscillator.charging-capacitor.leak')}`,
    `rvc vf vg ${v('vertical-output.coupling-capacitor.leak')}`,
    `rvg vg 0 ${v('vertical-output.grid-resistor')}`,
    `rvd bp vd ${v('vertical-output.plate-supply')}`,
    `rvdl vd 0 ${v('vertical-output.decoupling-capacitor.leak')}`,
    `rvt vd vp ${v('vertical-output.transformer')}`,
    `rvda vp 0 ${v('vertical-output.damping-capacitor.leak')}`,
    ...triode(
      tube(v, 'vertical-output.tube', 'v', ['vp', 'vg', 'vk'], k * socket, mu, PLAN.verticalAmps, hot),
    ),
    `rvk vk 0 ${v('vertical-output.cathode-resistor')}`,
    `rvkl vk 0 ${v('vertical-output.cathode-bypass.leak')}`,
  ];
}

function video(d: Design, v: Get, x: StageInputs): string[] {
  const at = stageVolts(d);
  const mu = 30;
  const k = perveance(
    PLAN.videoAmps + PLAN.videoScreenAmps,
    -PLAN.videoCathodeVolts,
    at.videoScreen - PLAN.videoCathodeVolts,
    mu,
  );
  const socket = v('wiring.socket-video-output') > 100 ? 0.05 : 1;
  const coil = v('video-output.plate-peaking-coil') > 1e4 ? 15e3 : 0;
  const share = PLAN.videoScreenAmps / (PLAN.videoAmps + PLAN.videoScreenAmps);
  return [
    `rwl bp wp ${v('video-output.plate-load') + coil}`,
    `rws bp ws ${v('video-output.screen-resistor')}`,
    `rwsb ws 0 ${v('video-output.screen-bypass.leak')}`,
    `vwc wc 0 ${0.3 * d.bPlus}`,
    `rwc wc wg ${v('video-output.grid-coupling.leak')}`,
    `rwg wg 0 ${v('video-output.grid-resistor')}`,
    ...pentode({
      ...tube(
        v,
        'video-output.tube',
        'w',
        ['wp', 'wg', 'wk'],
        k * socket,
        mu,
        PLAN.videoAmps,
        x.emission.tubes,
      ),
      screen: 'ws',
      screenShare: share,
    }),
    `rwk wk 0 ${v('video-output.cathode-resistor')}`,
    `rwkl wk 0 ${v('video-output.cathode-bypass.leak')}`,
    // Sync separator, no signal: its grid at zero bias through the leak.
    `ryp bp yp ${v('sync.plate-resistor')}`,
    `ry yp 0 ${(47e3 * at.syncPlate) / (d.bPlus - at.syncPlate) / Math.max(0.02, v('sync.separator-tube.k') * x.emission.tubes)}`,
    `rys bp ys ${v('sync.screen-network')}`,
    `rys2 ys 0 ${(100e3 * at.syncScreen) / (d.bPlus - at.syncScreen)}`,
  ];
}

function sound(d: Design, v: Get, x: StageInputs): string[] {
  const at = stageVolts(d);
  const hot = x.emission.tubes;
  const mu = 10;
  const stacked = d.stacked;
  const amps = stacked ? lowLineAmps() : PLAN.audioAmps + PLAN.audioScreenAmps;
  const cathode = stacked ? d.bLow : d.audioCathodeVolts;
  const k = perveance(amps, -d.audioCathodeVolts, at.audioScreen - cathode, mu);
  const first = perveance((d.bPlus - at.firstAudio) / 220e3, -0.9, at.firstAudio, 70);
  return [
    `rat bp ap ${v('sound.output-transformer')}`,
    `rtc ap 0 ${v('sound.tone-capacitor.leak')}`,
    `ras bp as ${v('sound.output-screen-feed')}`,
    ...pentode({
      ...tube(v, 'sound.output-tube', 'a', ['ap', 'ag', 'ak'], k, mu, amps, hot),
      screen: 'as',
      screenShare: PLAN.audioScreenAmps / amps,
    }),
    ...(stacked
      ? [
          'rak ak bl 1',
          `ragu bp agd ${v('sound.stack-upper')}`,
          `ragl agd 0 ${v('sound.stack-lower')}`,
          `rag agd ag ${v('sound.output-grid-resistor')}`,
        ]
      : [
          `rak ak 0 ${v('sound.output-cathode-resistor')}`,
          `rakl ak 0 ${v('sound.output-cathode-bypass.leak')}`,
          `rag ag 0 ${v('sound.output-grid-resistor')}`,
        ]),
    `rac ad ag ${v('sound.coupling-capacitor.leak')}`,
    `rad bp ad ${v('sound.audio-plate-resistor')}`,
    `badg dg 0 i=1e-6`,
    'rdg dg 0 1e6',
    'vdg dgb 0 -0.9',
    ...triode(tube(v, 'sound.audio-tube', 'd', ['ad', 'dgb', '0'], first, 70, 0.0007, hot)),
  ];
}

function lowLine(d: Design, v: Get, x: StageInputs): string[] {
  const at = stageVolts(d);
  const hot = x.emission.tubes;
  const mu = 45;
  const all = PLAN.ifAmps + PLAN.ifScreenAmps;
  const k = perveance(all, -1.6, at.ifPlate - 1.6, mu);
  const socket = v('wiring.socket-if') > 100 ? 0.05 : 1;
  const stages = [1, 2, 3].flatMap((n) => {
    const controlled = n < 3;
    const t = tube(
      v,
      `picture-if.tube-${n}`,
      `i${n}`,
      [n === 3 && v('picture-if.interstage-coil') > 1e4 ? 'inone' : 'ip', `ig${n}`, `ik${n}`],
      k * (n === 2 ? socket : 1),
      mu,
      all,
      hot,
    );
    // Variable-mu tubes: a third of the AGC volts tells on their mean current.
    return [
      `vig${n} ig${n} 0 ${controlled ? 0.35 * x.agcVolts : 0}`,
      ...pentode({ ...t, screen: 'ip', screenShare: PLAN.ifScreenAmps / all }),
      `rik${n} ik${n} 0 ${n === 2 ? v('picture-if.cathode-resistor') : 1.6 / all}`,
    ];
  });
  const load = (volts: number, amps: number, k1: number): string =>
    `${volts / amps / Math.max(0.03, k1 * hot)}`;
  return [
    d.stacked ? `rld bl 0 ${1e9}` : `rld bp bl ${v('b-plus.low-line-dropper')}`,
    `rll bl 0 ${v('b-plus.low-line-capacitor.leak')}`,
    `rid bl ip ${v('picture-if.dropping-resistor') * 0.77}`,
    `rib ip 0 ${v('picture-if.bypass.leak')}`,
    'rinone inone 0 1e6',
    ...stages,
    `rtf bl tf ${v('tuner.b-plus-feed')}`,
    `rtfb tf 0 ${v('tuner.feed-bypass.leak')}`,
    `rt1 tf 0 ${load(at.tuner, PLAN.tunerAmps / 2, v('tuner.rf-tube.k'))}`,
    `rt2 tf 0 ${load(at.tuner, PLAN.tunerAmps / 2, v('tuner.mixer-tube.k'))}`,
    `rsf bl sf ${v('sound.plate-feed')}`,
    `rs1 sf 0 ${load(at.soundIf, PLAN.soundAmps, v('sound.if-tube.k'))}`,
  ];
}

/** Bias at both ends of the brightness control, as shares of the cut-off that the designer expects. */
export const BRIGHTNESS = { bright: 0.05, dark: 1.45 } as const;

function gun(d: Design, v: Get, x: StageInputs): string[] {
  const control = 200e3;
  const broken = v('gun-voltages.brightness-control') < 0.5;
  const emits = x.emission.pictureTube * v('picture-tube.gun') * v('picture-tube.vacuum');
  const anode = x.anodeVolts > 1500 ? Math.min(1, x.anodeVolts / 6000) : 0;
  const cathode = x.directCoupled ? 0.55 * d.bPlus : Math.min(0.65 * d.bPlus, Math.max(0.38 * d.bPlus, 90));
  const cutoff = 0.15 * 0.82 * d.bPlus * d.boostRatio;
  const top = (cathode - BRIGHTNESS.bright * cutoff) / 0.97;
  const network = (control * (d.bPlus - top)) / top;
  const scale = v('gun-voltages.brightness-network') / 100e3;
  const lines: string[] = [
    `rqg2 bo g2 ${v('gun-voltages.g2-feed')}`,
    `rqg2b g2 0 ${v('gun-voltages.g2-bleeder')}`,
    `rqg2l g2 0 ${v('gun-voltages.g2-bypass.leak')}`,
    `rqg2s g2 0 ${v('wiring.picture-tube-socket-leak')}`,
  ];
  for (const [name, share] of Object.entries(BRIGHTNESS)) {
    const wiper = Math.max(0.02, cathode - share * cutoff) / top;
    const s = name.charAt(0);
    const up = broken ? 1e9 : control * (1 - wiper);
    const k = GUN_PERVEANCE * emits * anode;
    const gas = v('picture-tube.gas');
    lines.push(
      `rqn${s} bp n${s} ${network * scale + up}`,
      `rqn2${s} n${s} 0 ${Math.max(control * wiper, 100)}`,
      `rqn3${s} n${s} g${s} 100k`,
      `rqgl${s} g${s} 0 ${v('gun-voltages.grid-bypass.leak')}`,
      `rqbl${s} vp g${s} ${v('gun-voltages.blanking.leak')}`,
      // Both ends ride on copies of the circuits that they share.
      ...(x.directCoupled
        ? [
            `eqk${s} kx${s} 0 wp 0 1`,
            `rqk${s} kx${s} k${s} ${33e3 + 0.2 * (v('gun-voltages.cathode-network') - 150e3)}`,
          ]
        : [
            `rqku${s} bp k${s} ${(150e3 * (d.bPlus - cathode)) / cathode}`,
            `rqkd${s} k${s} 0 ${v('gun-voltages.cathode-network')}`,
            `rqkc${s} wp k${s} ${v('gun-voltages.video-coupling.leak')}`,
          ]),
      `rqhk${s} k${s} 0 ${v('picture-tube.heater-cathode')}`,
      `rqgk${s} g${s} k${s} ${v('picture-tube.grid-cathode')}`,
      `eqg2${s} gx${s} 0 g2 0 1`,
      `rqgg${s} gx${s} g${s} ${v('picture-tube.g2-grid')}`,
      `bqb${s} 0 k${s} i=${k}*pwr(uramp(v(g${s},k${s})+uramp(v(g2))*${v('picture-tube.cutoff-ratio')}),1.5)`,
      `bqg${s} g${s} k${s} i=1e-5*uramp(v(g${s},k${s}))`,
      `bqi${s} 0 g${s} i=${gas}*pwr(uramp(v(g${s},k${s})+uramp(v(g2))*${v('picture-tube.cutoff-ratio')}),1.5)*${k > 0 ? 1 : 0}`,
      `bqm${s} 0 m${s} i=${k}*pwr(uramp(v(g${s},k${s})+uramp(v(g2))*${v('picture-tube.cutoff-ratio')}),1.5)`,
      `rqm${s} m${s} 0 1`,
    );
  }
  return lines;
}
