// Answers of line input, heaters and B+: cold ohms, capacitors, and the supply under load.
import { parallel } from '../circuits/component.ts';
import { SELENIUM } from '../circuits/supply.ts';
import { acVolts, dcVolts, faradsPair, insulation, milliamps, noisy, ohms, ohmsPair } from '../meter.ts';
import { type Answers, type Bench, lifted, look, tester } from './context.ts';

/** kT/q at room temperature, V. */
const THERMAL_VOLTS = 0.0259;
/** Cold tungsten is a sixth of its hot resistance (handbooks: a fifth to a seventh). */
const COLD = 1 / 6;
/** A thermistor cold over hot: 0.3 A chains fall from some 5 kohm to 40 ohm (published), US strings from a few hundred. */
const thermistor = (b: Bench): number => (b.design.heaterAmps < 0.4 ? 90 : 14);

const chain = (b: Bench): number => {
  const d = b.design;
  if (b.v('heaters.string') < 0.5 || b.v('picture-tube.heater') < 0.3) return 1e9;
  return ((0.89 * d.lineVolts) / d.heaterAmps) * COLD * (1 - b.v('heaters.string-short'));
};
const lineContacts = (b: Bench): number =>
  ['line-cord', 'interlock', 'switch', 'fuse', 'line-choke'].reduce(
    (s, id) => s + b.v(`line-input.${id}`),
    0,
  );

/** Electrolytics: check prefix -> component and its working volts as a share of B+. */
const CANS: Readonly<Record<string, readonly [string, number]>> = {
  reservoir: ['b-plus.reservoir', 1],
  'doubler-series': ['b-plus.doubler-series-capacitor', 0.6],
  'doubler-output': ['b-plus.doubler-output-capacitor', 1],
  'doubler-upper': ['b-plus.doubler-upper-capacitor', 0.5],
  'doubler-lower': ['b-plus.doubler-lower-capacitor', 0.5],
  filter: ['b-plus.filter-capacitor', 1],
  'low-line': ['b-plus.low-line-capacitor', 0.5],
};

function cans(): Answers {
  const rows: Record<string, Answers[string]> = {};
  for (const [prefix, [id, share]] of Object.entries(CANS)) {
    // A capacitance meter makes nothing of a short.
    rows[`${prefix}-capacitance`] = (b) =>
      `${id}.leak` in b.values && b.v(`${id}.leak`) > 300
        ? faradsPair(b.chance, b.v(id), b.v(`${id}.mark`))
        : undefined;
    // What has come loose inside passes neither the tester's current nor any leakage.
    const loose = (b: Bench): boolean => b.v(id) < 0.05 * b.v(`${id}.mark`);
    rows[`${prefix}-esr`] = (b) =>
      `${id}.esr` in b.values ? ohms(b.chance, loose(b) ? 100 : b.v(`${id}.esr`) + 0.05) : undefined;
    rows[`${prefix}-leakage`] = (b) =>
      `${id}.leak` in b.values
        ? milliamps(b.chance, loose(b) ? 2e-6 : Math.min(0.08, (share * b.design.bPlus) / b.v(`${id}.leak`)))
        : undefined;
  }
  return rows;
}

/** Ohms back to B- that a shorted rectifier opens: half the high-voltage winding, or the cold heater string behind the line lead. */
const backThrough = (b: Bench): number => {
  const { topology } = b.design;
  if (b.v('b-plus.rectifier-a.short') > 1e6) return 1e9;
  const series = b.v('b-plus.rectifier-a.short') + b.v('b-plus.surge-resistor');
  if (topology === 'full-wave') return series + b.v('b-plus.transformer-hv-winding') / 2;
  return topology === 'half-wave' && b.design.heaters === 'series'
    ? series + chain(b) + thermistor(b) * b.v('heaters.thermistor') + b.v('heaters.ballast')
    : 1e9;
};

/** B+ to B- with an ohmmeter after a minute: leaks side by side with what hangs on the line. */
const bPlusOhms = (b: Bench): number => {
  const leak = (id: string): number => (`${id}.leak` in b.values ? b.v(`${id}.leak`) : 1e9);
  const filter = parallel(leak('b-plus.filter-capacitor'), leak('b-plus.line-bypass'));
  const stack =
    b.design.topology === 'doubler-full-wave'
      ? leak('b-plus.doubler-upper-capacitor') + leak('b-plus.doubler-lower-capacitor')
      : 1e9;
  const reservoir =
    parallel(leak('b-plus.reservoir'), leak('b-plus.doubler-output-capacitor'), stack, backThrough(b)) +
    b.v('b-plus.filter-choke');
  const dropper = b.design.stacked ? 5e4 : b.v('b-plus.low-line-dropper');
  const low =
    dropper +
    parallel(
      leak('b-plus.low-line-capacitor'),
      b.v('picture-if.bypass.leak') + b.v('picture-if.dropping-resistor'),
      b.v('tuner.feed-bypass.leak') + b.v('tuner.b-plus-feed'),
    );
  const screen = b.v('horizontal-output.screen-resistor') + b.v('horizontal-output.screen-bypass.leak');
  const videoScreen = b.v('video-output.screen-resistor') + b.v('video-output.screen-bypass.leak');
  const decoupling = b.v('vertical-output.plate-supply') + b.v('vertical-output.decoupling-capacitor.leak');
  return parallel(filter, reservoir, low, screen, videoScreen, decoupling, 1.2e5);
};

const diode = (which: 'a' | 'b') => (b: Bench) => {
  if (b.v(`b-plus.rectifier-${which}`) < 0.5) return look(b, 'open', ['good']);
  return b.v(`b-plus.rectifier-${which}.short`) < 1e6 ? look(b, 'short', ['good']) : look(b, 'good', []);
};

/** 12 V through 100 ohm forward: what the stack leaves across itself, V. */
const stackDrop = (b: Bench, which: 'a' | 'b'): string => {
  if (b.v(`b-plus.rectifier-${which}`) < 0.5) return dcVolts(b.chance, 12);
  const short = b.v(`b-plus.rectifier-${which}.short`);
  const aged = b.v(`b-plus.rectifier-${which}.aged`);
  const junctions = SELENIUM.n * THERMAL_VOLTS * aged;
  let volts = 6;
  for (let n = 0; n < 40; n += 1) {
    const amps = Math.max(1e-5, (12 - volts) / 100);
    const made = junctions * Math.log(1 + amps / SELENIUM.is) + amps * SELENIUM.ohms * aged;
    volts += 0.3 * (made - volts);
  }
  return dcVolts(b.chance, Math.min(volts, (12 * short) / (short + 100)));
};

export const SUPPLY_ANSWERS: Answers = {
  ...cans(),
  'smell-look': (b) =>
    b.v('flyback.breakdown') > 0.5 ? look(b, 'burnt', ['nothing'], 'hard') : look(b, 'nothing', ['other']),
  'cord-look': (b) => look(b, 'sound', ['perished']),
  'cords-count': () => 'one',
  'exposed-metal-look': () => 'complete',
  'fuse-values': (b) => (b.v('line-input.fuse') > 1e4 ? 'blown' : 'right'),
  'tap-selector-look': () => 'matching',
  'switch-poles': (b) => {
    const poles = b.v('line-input.switch');
    if (poles > 1e4) return 'never';
    return poles > 1 ? look(b, 'rough', ['right']) : look(b, 'right', ['rough']);
  },
  'switch-off-path': () => 'open',
  'line-capacitor-look': () => 'safety-type',
  'antenna-isolation-ohms': (b) => look(b, 'bleeder', ['open']),
  'neutral-chassis': (b) => (b.design.topology === 'doubler-full-wave' ? 'neither' : 'neutral'),
  'line-insulation': (b) => insulation(b.chance, b.chance.spread(2e7, 4e8)),
  'transformer-core-insulation': (b) =>
    insulation(b.chance, parallel(b.chance.spread(8e7, 1e9), b.v('b-plus.transformer-insulation'))),
  'plug-ohms': (b) => {
    const series = lineContacts(b);
    if (b.design.transformer !== 'none') return ohms(b.chance, b.v('b-plus.transformer-primary') + series);
    return ohms(
      b.chance,
      chain(b) + thermistor(b) * b.v('heaters.thermistor') + b.v('heaters.ballast') + series,
    );
  },
  'line-volts-plug': (b) => acVolts(b.chance, b.lineVolts),
  'line-volts-set-side': (b) => acVolts(b.chance, b.solved.lineAtSet),
  'tube-line-up': (b) => look(b, 'match', ['substitute']),
  'heater-string-ohms': (b) => ohms(b.chance, chain(b)),
  'heater-winding-ohms': (b) => ohms(b.chance, b.v('heaters.winding') < 0.5 ? 1e8 : 0.12),
  'thermistor-ohms': (b) => ohms(b.chance, thermistor(b) * b.v('heaters.thermistor')),
  'ballast-ohms': (b) => ohms(b.chance, b.v('heaters.ballast')),
  'heater-series-diode-look': () => 'none',
  'heaters-glow': (b) => {
    const heat = b.solved.heaters;
    if (heat.tubes < 0.2) return look(b, 'none', []);
    if (b.v('heaters.string-short') > 0) return look(b, 'part-dark', ['all', 'bright'], 'hard');
    if (heat.pictureTube < 0.3 || heat.deflection < 0.3) return look(b, 'one', ['all'], 'hard');
    if (heat.tubes < 0.78) return look(b, 'dull', ['all'], 'hard');
    return heat.tubes > 1.2 ? look(b, 'bright', ['all'], 'hard') : look(b, 'all', ['one']);
  },
  'heater-string-current': (b) => milliamps(b.chance, b.solved.heaters.amps),
  'chain-current': (b) => milliamps(b.chance, b.solved.heaters.amps),
  'string-volts': (b) => {
    if (b.solved.heaters.open && b.solved.lineAtSet > 1) return look(b, 'whole-line', ['one-zero']);
    return b.v('heaters.string-short') > 0 ? look(b, 'split', ['one-zero']) : look(b, 'adds-up', ['one-off']);
  },
  'heater-volts': (b) => acVolts(b.chance, 6.3 * b.solved.heaters.tubes),
  'heater-volts-lost': (b) => {
    const far = Math.max(0.05, 6.3 * b.solved.heaters.tubes);
    if (b.solved.lineAtSet < 1 || b.v('heaters.winding') < 0.5) return undefined;
    const atLugs = b.v('heaters.wiring') > 0.95 ? 6.5 : far / (1 - b.v('heaters.wiring'));
    return `${acVolts(b.chance, 1.015 * atLugs)}/${acVolts(b.chance, far)}`;
  },
  'crt-heater-volts': (b) => {
    const heat = b.solved.heaters;
    // An open heater in a parallel set leaves the pins at full volts.
    const pins =
      b.design.heaters === 'parallel' && b.v('picture-tube.heater') < 0.3 ? heat.tubes : heat.pictureTube;
    return acVolts(b.chance, 6.3 * pins);
  },
  'transformer-primary-ohms': (b) => ohms(b.chance, b.v('b-plus.transformer-primary')),
  'transformer-secondary-ohms': (b) => ohms(b.chance, b.v('b-plus.transformer-secondary')),
  'transformer-hv-halves': (b) =>
    b.v('b-plus.transformer-hv-winding') > 1e4
      ? look(b, 'both-open', ['one-open'])
      : look(b, b.v('b-plus.transformer-hv-winding.half') < 0.5 ? 'one-open' : 'equal', ['apart']),
  'transformer-secondaries': (b) => {
    // Nothing on either side: there is nothing to compare.
    if (b.v('b-plus.transformer-primary') > 1e4 || b.v('b-plus.transformer-hv-winding') > 1e4)
      return undefined;
    const half = b.design.sourceVolts * (b.lineVolts / b.design.lineVolts);
    const second = b.v('b-plus.transformer-hv-winding.half') < 0.5 ? 0.1 : half;
    const turns = b.v('b-plus.transformer-turns') > 0 && b.chance.happens(0.5) ? 0.95 : 0.995;
    return `${acVolts(b.chance, half)}/${acVolts(b.chance, second * turns)}`;
  },
  'power-transformer-no-load': (b) =>
    b.v('b-plus.transformer-primary') > 1e4
      ? '0 W'
      : `${(b.chance.between(0.05, 0.09) * 200 + b.v('b-plus.transformer-turns')).toFixed(0)} W`,
  'rectifier-tube-test': (b) => {
    if (b.v('b-plus.rectifier-b') < 0.5 && b.v('b-plus.transformer-hv-winding.half') > 0.5)
      return look(b, 'one-half', ['weak']);
    const found = tester(b, 'b-plus.rectifier-tube');
    return found === 'dead'
      ? 'open'
      : b.v('b-plus.rectifier-a.short') < 1e6
        ? look(b, 'short', ['good'], 'hard')
        : found === 'gas'
          ? 'good'
          : found;
  },
  'rectifier-swap': (b) =>
    b.v('b-plus.rectifier-tube.k') < 0.5 ||
    (b.v('b-plus.rectifier-b') < 0.5 && b.v('b-plus.transformer-hv-winding.half') > 0.5)
      ? 'better'
      : 'same',
  'selenium-first-drop': (b) => stackDrop(b, 'a'),
  'selenium-second-drop': (b) => stackDrop(b, 'b'),
  'selenium-upper-drop': (b) => stackDrop(b, 'a'),
  'selenium-lower-drop': (b) => stackDrop(b, 'b'),
  'silicon-first-diode': diode('a'),
  'silicon-second-diode': diode('b'),
  'silicon-upper-diode': diode('a'),
  'silicon-lower-diode': diode('b'),
  'b-plus-short': (b) => ohms(b.chance, bPlusOhms(b)),
  'surge-resistor-ohms': (b) => ohms(b.chance, b.v('b-plus.surge-resistor')),
  'filter-choke-ohms': (b) => ohms(b.chance, b.v('b-plus.filter-choke')),
  'low-line-dropper-ohms': (b) =>
    ohmsPair(b.chance, b.v('b-plus.low-line-dropper'), b.v('b-plus.low-line-dropper.mark')),
  'dropper-ht-ohms': (b) =>
    ohmsPair(b.chance, b.v('b-plus.dropper-ht-section'), b.v('b-plus.dropper-ht-section.mark')),
  'horizontal-fuse-look': (b) =>
    b.v('b-plus.horizontal-fuse') > 1e4 ? look(b, 'blown', []) : look(b, 'whole', []),
  'bleeder-ohms': () => 'none',
  'filter-can-sections': (b) => ohms(b.chance, b.chance.spread(3e5, 3e6)),
  'burnt-resistor-look': (b) =>
    look(
      b,
      b.solved.supply.blown || b.v('b-plus.surge-resistor') > 1e4 ? 'surge' : 'none',
      ['elsewhere'],
      'hard',
    ),
  'electrolytic-look': (b) => look(b, 'clean', ['crusted'], 'hard'),
  'bring-up-lamp': (b) => {
    const s = b.solved;
    if (s.supply.blown) return 'bright';
    if (s.lineAtSet < 1 || (s.heaters.amps < 0.05 && s.supply.main < 5)) return 'dark';
    const watts = b.seen.inputWatts;
    const usual = 0.7 * (b.design.heaters === 'series' ? 150 : 200);
    return look(
      b,
      watts > 1.45 * usual ? 'bright' : watts < 0.55 * usual ? 'weak' : 'as-expected',
      ['as-expected'],
      'hard',
    );
  },
  'bring-up-b-plus': (b) => dcVolts(b.chance, b.solved.supply.raw),
  'rectifier-warm-up': (b) =>
    b.solved.supply.raw < 20
      ? 'never'
      : b.design.rectifier === 'tube-direct'
        ? look(b, 'seconds', ['late'])
        : 'at-once',
  'three-minute-feel': (b) => {
    const hot = [
      'filter-capacitor',
      'reservoir',
      'doubler-output-capacitor',
      'doubler-series-capacitor',
    ].some((id) => `b-plus.${id}.leak` in b.values && b.v(`b-plus.${id}.leak`) < 9000);
    if (hot) return look(b, 'can-warm', ['cool'], 'hard');
    if (b.v('b-plus.transformer-turns') > 0) return look(b, 'transformer-hot', ['cool'], 'hard');
    if (Math.max(b.v('b-plus.rectifier-a.aged'), b.v('b-plus.rectifier-b.aged')) > 1.5)
      return look(b, 'rectifier-hot', ['cool'], 'hard');
    return look(b, 'cool', ['can-warm']);
  },
  'input-watts-horizontal-off': (b) => `${noisy(b.chance, 'watts', b.seen.inputWatts).toFixed(0)} W`,
  'input-watts': (b) => `${noisy(b.chance, 'watts', b.seen.inputWatts).toFixed(0)} W`,
  'b-plus-reservoir': (b) => dcVolts(b.chance, b.solved.supply.raw),
  'b-plus-horizontal-off': (b) => dcVolts(b.chance, b.solved.supply.main),
  'b-plus-working': (b) => dcVolts(b.chance, b.solved.supply.main),
  'doubler-halves': (b) =>
    `${dcVolts(b.chance, Math.max(0.1, b.solved.supply.upper))}/${dcVolts(b.chance, Math.max(0.1, b.solved.supply.lower))}`,
  'doubler-series-ac': (b) => acVolts(b.chance, b.solved.supply.seriesAc),
  'b-plus-ripple': (b) => acVolts(b.chance, b.solved.supply.ripple),
  'b-plus-ripple-filtered': (b) => acVolts(b.chance, b.solved.supply.mainRipple),
  'ripple-frequency': (b) =>
    look(
      b,
      b.solved.supply.ripple < 0.5 ? 'unclear' : b.solved.supply.lineRateShare > 0.45 ? 'once' : 'twice',
      ['unclear'],
    ),
  'b-plus-current': (b) => milliamps(b.chance, b.solved.bPlusAmps),
  'b-plus-low-volts': (b) => dcVolts(b.chance, b.node('bl')),
  'stacked-line': (b) => dcVolts(b.chance, b.node('bl')),
  'warm-up-time': (b) => {
    if (b.solved.heaters.tubes < 0.2 || b.solved.supply.main < 20) return 'nothing';
    if (b.seen.lightBright < 0.06) return look(b, 'no-raster', []);
    return b.solved.heaters.tubes < 0.8 ? look(b, 'all-late', ['usual']) : look(b, 'usual', ['raster-late']);
  },
  'video-bypass-test': (b) => lifted(b, 'video-output.cathode-bypass'),
  'video-screen-bypass-test': (b) => lifted(b, 'video-output.screen-bypass'),
  'audio-bypass-test': (b) => lifted(b, 'sound.output-cathode-bypass'),
  'ratio-capacitor-test': (b) => lifted(b, 'sound.ratio-capacitor'),
  'vertical-bypass-test': (b) => lifted(b, 'vertical-output.cathode-bypass'),
};
