// Tuner, IF, AGC, detector, video, sync and sound as gain blocks with bias, closed by the AGC loop.
import { passed, type Values, valueIn } from './component.ts';
import type { Design } from './design.ts';
import { PLAN, stageVolts } from './plan.ts';

export interface SignalInputs {
  readonly applied: boolean;
  readonly emission: number;
  /** DC node volts of the stages. */
  readonly node: (name: string) => number;
  /** Flyback pulse relative to a healthy one: keys the AGC and feeds the AFC. */
  readonly pulse: number;
}

export interface SignalState {
  /** AGC line at the IF grids, V. */
  readonly agcVolts: number;
  /** Signal at the mixer relative to a good local signal; noise shows under about 0.3. */
  readonly antennaShare: number;
  readonly oscillator: number;
  readonly ifGain: number;
  /** Detector: DC and peak to peak of the video, and of the noise alone, V. */
  readonly detectorVolts: number;
  readonly detectorPp: number;
  readonly noiseVolts: number;
  readonly overload: boolean;
  /** At the video output plate and at the picture tube, V peak to peak; sharpness 1 = all detail. */
  readonly platePp: number;
  readonly tubePp: number;
  readonly sharpness: number;
  /** Gain of the video amplifier, 1 = as designed. */
  readonly videoGain: number;
  readonly syncPp: number;
  readonly afcReferencePp: number;
  /** DC across the two loads of the AFC diodes, V. */
  readonly afcHalves: readonly [number, number];
  /** Pull-in of the AFC relative to a good one, and its DC error. */
  readonly afcGain: number;
  readonly afcOffset: number;
  readonly hunting: boolean;
  /** Sound: detector level and distortion, audio power and distortion, all relative. */
  readonly soundLevel: number;
  readonly audioGain: number;
  readonly distortion: number;
}

const gm = (amps: number, nominal: number): number => Math.cbrt(Math.max(0, amps / nominal));

/** Detector volts that the AGC of a healthy set holds. */
const DETECTOR_VOLTS = 2.4;

export function solveSignal(d: Design, values: Values, x: SignalInputs): SignalState {
  const v = (name: string): number => valueIn(values, name);
  const at = stageVolts(d);
  const hot = x.emission;
  const tuner = Math.max(0, x.node('tf') / at.tuner);
  const alive = (id: string): number => Math.max(0, v(`${id}.k`)) * hot;
  const contact = (id: string, bad: number): number => (v(id) > 100 ? bad : 1);
  const rf =
    gm(alive('tuner.rf-tube') * tuner, 1) *
    contact('tuner.contacts', 0.12) *
    contact('tuner.antenna-input', 0.03) *
    contact('wiring.socket-tuner', 0.05);
  const oscillating = alive('tuner.mixer-tube') * tuner > 0.42 && v('tuner.contacts') < 1e5;
  const oscillator = oscillating ? Math.min(1.1, alive('tuner.mixer-tube') * tuner) : 0;
  const mixing = oscillating ? (v('tuner.oscillator-slug') > 0.5 ? Math.min(1, oscillator ** 0.5) : 0.02) : 0;
  const plate = Math.min(1.2, Math.max(0, x.node('ip') / at.ifPlate));
  const coil = v('picture-if.interstage-coil') > 1e4 ? 0.01 : 1;
  const share = v('picture-if.cathode-resistor.mark') / v('picture-if.cathode-resistor');
  const open = [1, 2, 3].reduce(
    (g, n) =>
      g *
      Math.max(0.02, gm(v(`picture-if.tube-${n}.k`) * hot, 1)) *
      (n === 2 ? Math.min(1, share) ** 0.7 : 1),
    1,
  );
  const ifOpen = open * plate ** 2 * coil * contact('wiring.socket-if', 0.02) * passed(v('wiring.board-if'));
  const detector =
    v('video-detector.diode') *
    (v('video-detector.peaking-coil') > 1e4 ? 0.02 : 1) *
    v('video-detector.ripple') *
    (v('video-detector.load-resistor') > 1e5 ? 0.25 : 1);
  // AGC loop: volts on the line against what reaches the detector; the line divides with leaks and gains with gas.
  const keyer =
    Math.min(1, alive('agc.keyer-tube')) *
    Math.min(1, x.pulse) *
    (v('agc.keying-feed') < 0.2 * v('agc.keying-feed.mark') ? 0.02 : 1) *
    Math.min(1, (100e3 / v('agc.video-feed')) ** 0.5) *
    (v('agc.control') > 0.5 ? 1 : 0.05) *
    contact('wiring.socket-agc', 0.03);
  const line = v('agc.line-resistor');
  const leak = v('agc.filter-capacitor.leak');
  const divide = leak / (leak + line);
  const gas =
    (v('picture-if.tube-1.gas') + v('picture-if.tube-2.gas') + v('tuner.rf-tube.gas')) *
    Math.min(line, 2.2e6);
  const signal = x.applied ? rf * mixing : 0;
  const openLoop = 90 * signal * ifOpen;
  const output = (agc: number): number => openLoop * Math.exp(0.62 * Math.min(0, agc)) * detector;
  let agc = -0.7 * divide;
  if (keyer > 0.001) {
    let low = -25;
    let high = 0;
    for (let n = 0; n < 40; n += 1) {
      const mid = (low + high) / 2;
      const volts = Math.min(12, output(mid));
      const made =
        -(0.7 + 9 * keyer * v('agc.control') * Math.max(0, volts - DETECTOR_VOLTS * 0.75)) * divide;
      if (made < mid) high = mid;
      else low = mid;
    }
    agc = (low + high) / 2;
  }
  agc = Math.min(1, agc + gas);
  const detectorVolts = Math.min(12, output(agc));
  const overload = detectorVolts > 5.5;
  const noiseVolts = Math.min(
    1.2,
    0.4 * Math.min(1, rf) ** 0.5 * Math.max(oscillator, 0.25) * ifOpen * detector + 0.02 * ifOpen * detector,
  );
  const amplifier = videoGain(d, values, x);
  const contrast = v('video-output.contrast-control');
  const detectorPp = detectorVolts * (overload ? 0.5 : 0.9);
  const platePp =
    Math.min(0.75 * d.bPlus, detectorPp * 34 * amplifier.gain) * passed(v('wiring.board-video'));
  const connected = v('video-output.output-lead') > 1e4 ? 0.02 : 1;
  const coupled = Math.min(
    1,
    v('gun-voltages.video-coupling') / (0.2 * v('gun-voltages.video-coupling.mark')),
  );
  const sync = separator(values, x, platePp, overload);
  const a = v('horizontal-afc.diode-a');
  const b = v('horizontal-afc.diode-b');
  const loads = v('horizontal-afc.load-resistors') / v('horizontal-afc.load-resistors.mark');
  const reference =
    26 *
    x.pulse *
    (v('flyback.aux-winding') > 1e3 ? 0.02 : 1) *
    passed(v('wiring.board-afc')) *
    Math.min(
      1,
      v('horizontal-afc.reference-capacitor') / (0.3 * v('horizontal-afc.reference-capacitor.mark')),
    );
  const leakOf = (id: string): number => Math.min(1, 2e6 / v(`${id}.leak`));
  const through = (id: string): number => Math.min(1, v(id) / (0.3 * v(`${id}.mark`)));
  const afcSync = through('horizontal-afc.sync-capacitor') * Math.min(1, sync / 12);
  // DC that gets in by a leak sets one half against the other.
  const pulled =
    leakOf('horizontal-afc.reference-capacitor') -
    leakOf('horizontal-afc.sync-capacitor') +
    leakOf('horizontal-afc.anti-hunt');
  // Both the reference and the sync pulses are rectified in each half.
  const half = 0.32 * reference * (0.35 + 0.65 * afcSync);
  return {
    agcVolts: agc,
    antennaShare: signal,
    oscillator,
    ifGain: ifOpen,
    detectorVolts,
    detectorPp,
    noiseVolts,
    overload,
    platePp,
    tubePp: platePp * contrast * connected * coupled * 0.85,
    sharpness: amplifier.sharpness,
    videoGain: amplifier.gain * contrast * connected * coupled,
    syncPp: sync,
    afcReferencePp: reference,
    afcHalves: [
      half * a * (1 + 0.4 * pulled) * Math.max(1, loads) ** 0.5 + 0.08,
      half * b * (1 - 0.35 * pulled) + 0.08,
    ],
    afcGain: Math.min(a, b) * Math.min(1, reference / 18) * afcSync,
    afcOffset: 0.05 * (a - b) + 0.04 * Math.log(loads) * (loads > 1.4 ? 1 : 0) + 0.06 * pulled,
    hunting: v('horizontal-afc.anti-hunt') < 0.2 * v('horizontal-afc.anti-hunt.mark'),
    ...soundOf(d, values, x, signal * ifOpen),
  };
}

function videoGain(d: Design, values: Values, x: SignalInputs): { gain: number; sharpness: number } {
  const v = (name: string): number => valueIn(values, name);
  const amps = Math.max(0, (x.node('bp') - x.node('wp')) / (v('video-output.plate-load') + 1));
  const swing = Math.max(
    0,
    Math.min(1, x.node('wp') / (0.25 * d.bPlus), (x.node('bp') - x.node('wp')) / (0.15 * d.bPlus)),
  );
  const load = v('video-output.plate-load') / v('video-output.plate-load.mark');
  const bypass = v('video-output.cathode-bypass') / v('video-output.cathode-bypass.mark');
  const screen = v('video-output.screen-bypass') / v('video-output.screen-bypass.mark');
  const degenerate = (bypass < 0.4 ? 0.6 : 1) * (screen < 0.4 ? 0.6 : 1);
  const coil = v('video-output.plate-peaking-coil') > 1e4;
  return {
    gain:
      gm(amps, PLAN.videoAmps) *
      swing *
      Math.min(1.3, load) *
      degenerate *
      (v('video-output.grid-resistor') > 5e6 ? 0.7 : 1),
    sharpness: (coil ? 0.4 : 1) * (load > 1.8 ? 0.5 : 1) * (bypass < 0.4 ? 0.7 : 1),
  };
}

/** The separator clips what the video amplifier gives it: little video, no sync; a leaky grid capacitor or high leak moves its bias. */
function separator(values: Values, x: SignalInputs, platePp: number, overload: boolean): number {
  const v = (name: string): number => valueIn(values, name);
  const feed = Math.min(
    1,
    (2 * v('sync.video-feed.mark')) / (v('sync.video-feed.mark') + v('sync.video-feed')),
  );
  const input =
    Math.min(1, (platePp * feed) / 40) *
    Math.min(1, v('sync.grid-capacitor') / (0.2 * v('sync.grid-capacitor.mark')));
  const plate = Math.min(1, v('sync.plate-resistor.mark') / v('sync.plate-resistor')) ** 0.5;
  const screen = Math.min(1, Math.max(0, x.node('ys') / 30));
  const leak = Math.min(1, v('sync.grid-capacitor.leak') / 6e6);
  const gridLeak = v('sync.grid-leak') / v('sync.grid-leak.mark') > 2.5 ? 0.4 : 1;
  return (
    32 *
    input *
    plate *
    screen *
    leak *
    gridLeak *
    Math.min(1, v('sync.separator-tube.k') * x.emission) *
    (v('wiring.socket-sync') > 100 ? 0.05 : 1) *
    passed(v('wiring.board-sync')) *
    (overload ? 0.2 : 1)
  );
}

function soundOf(
  d: Design,
  values: Values,
  x: SignalInputs,
  carrier: number,
): { soundLevel: number; audioGain: number; distortion: number } {
  const v = (name: string): number => valueIn(values, name);
  const at = stageVolts(d);
  const ifLevel =
    Math.min(1, carrier * 12) *
    Math.min(1, v('sound.if-tube.k') * x.emission * 1.3) *
    Math.min(1, Math.max(0, x.node('sf') / at.soundIf) ** 1.5);
  // With one diode dead the other still detects, on the slope: half as loud, and distorted.
  const detector =
    ((v('sound.diode-a') + v('sound.diode-b')) / 2) *
    Math.min(1, v('sound.detector-tube.k') * x.emission * 1.2) *
    v('sound.quadrature') *
    Math.min(1, v('sound.ratio-capacitor.leak') / 20e3);
  const cathode = d.stacked ? x.node('ak') - x.node('ag') : x.node('ak') - x.node('ag');
  const amps = d.stacked
    ? (x.node('bp') - x.node('ap')) / v('sound.output-transformer')
    : x.node('ak') / v('sound.output-cathode-resistor');
  const first = Math.min(
    1,
    (x.node('ad') / Math.max(1, 0.85 * x.node('bp')) > 1 ? 0 : 1) * Math.min(1, x.node('ad') / 25),
  );
  const shorted = 1 - v('sound.output-transformer.loss');
  const open = v('sound.loudspeaker') > 1e3 ? 0 : 1;
  const bypass = v('sound.output-cathode-bypass') / v('sound.output-cathode-bypass.mark') < 0.4 ? 0.55 : 1;
  const gain =
    gm(amps, d.stacked ? 0.055 : PLAN.audioAmps + PLAN.audioScreenAmps) *
    Math.min(1.1, gm(v('sound.audio-tube.k') * x.emission, 1)) *
    first *
    shorted *
    open *
    bypass *
    (v('sound.volume-control') > 0.5 ? 1 : 0.01) *
    (v('wiring.socket-audio') > 100 ? 0.05 : 1) *
    passed(v('wiring.board-sound')) *
    Math.min(1, v('sound.coupling-capacitor') / (0.1 * v('sound.coupling-capacitor.mark'))) *
    (x.node('ap') > 20 ? 1 : 0);
  const bias = cathode / d.audioCathodeVolts;
  const diodes = Math.abs(v('sound.diode-a') - v('sound.diode-b'));
  const offTune = Math.max(0, 0.9 - v('sound.quadrature'));
  return {
    soundLevel: ifLevel * detector,
    audioGain: gain,
    distortion:
      Math.max(0, 0.65 - bias) * 1.2 +
      Math.max(0, bias - 1.9) * 0.4 +
      0.6 * diodes +
      offTune +
      (1 - v('sound.speaker-cone')) +
      v('sound.volume-control.dirty') * 0.4,
  };
}
