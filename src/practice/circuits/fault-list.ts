// What can be wrong with a simulated set: each fault is a changed component, with a severity drawn from what is found on the bench.
// Severities are the simulator's own (common practice, no source); nothing here is read from the rule pack.
import type { Design } from './design.ts';
import {
  add,
  centreTapped,
  contact,
  dried,
  faultList,
  leaky,
  lostOpen,
  OPEN,
  powered,
  resistors,
  type SimulatedFault,
  series,
  shorted,
  tubes,
  wound,
} from './fault-kinds.ts';
import { addContactFaults } from './fault-list-contacts.ts';
import { addSignalFaults } from './fault-list-signal.ts';
import { hasSecondary } from './supply.ts';

export type { SimulatedFault };

addContactFaults();
addSignalFaults();

// Supply and line
for (const id of ['line-cord', 'interlock', 'switch', 'fuse', 'line-choke'])
  contact(`line-input.${id}`, 'open');
// A directly heated rectifier tube needs none.
resistors(['b-plus.surge-resistor'], 8, 30, (d) => d.rectifier !== 'tube-direct');
resistors(['b-plus.low-line-dropper'], 1.8, 4);
contact('b-plus.horizontal-fuse', 'open');
for (const side of ['series', 'output'] as const) {
  const id = `b-plus.doubler-${side}-capacitor`;
  const when = (d: Design): boolean => d.topology === 'doubler-half-wave';
  dried(id, 'low', when);
  lostOpen(id, when);
  if (side === 'series') leaky(id, 800, 4000, when);
  if (side === 'series') shorted(id, when);
}
for (const side of ['upper', 'lower'] as const) {
  const id = `b-plus.doubler-${side}-capacitor`;
  const when = (d: Design): boolean => d.topology === 'doubler-full-wave';
  dried(id, 'low', when);
  lostOpen(id, when);
  leaky(id, 800, 4000, when);
  shorted(id, when);
}
const reservoir = (d: Design): boolean => d.topology === 'half-wave' || d.topology === 'full-wave';
dried('b-plus.reservoir', 'low', reservoir);
lostOpen('b-plus.reservoir', reservoir);
add(
  'b-plus.reservoir-leakage/leaky',
  (_v, c) => ({ 'b-plus.reservoir.leak': c.spread(1500, 7000) }),
  reservoir,
);
add('b-plus.reservoir-leakage/short', (_v, c) => ({ 'b-plus.reservoir.leak': c.spread(2, 40) }), reservoir);
add(
  'b-plus.doubler-output-leakage/leaky',
  (_v, c) => ({ 'b-plus.doubler-output-capacitor.leak': c.spread(1500, 7000) }),
  (d) => d.topology === 'doubler-half-wave',
);
add(
  'b-plus.doubler-output-leakage/short',
  (_v, c) => ({ 'b-plus.doubler-output-capacitor.leak': c.spread(2, 40) }),
  (d) => d.topology === 'doubler-half-wave',
);
dried('b-plus.filter-capacitor');
lostOpen('b-plus.filter-capacitor');
add('b-plus.filter-leakage/leaky', (_v, c) => ({ 'b-plus.filter-capacitor.leak': c.spread(1500, 7000) }));
add('b-plus.filter-leakage/short', (_v, c) => ({ 'b-plus.filter-capacitor.leak': c.spread(2, 40) }));
add('b-plus.low-line-leakage/leaky', (_v, c) => ({ 'b-plus.low-line-capacitor.leak': c.spread(1000, 4000) }));
add('b-plus.filter-choke/open', () => ({ 'b-plus.filter-choke': OPEN }));
add('b-plus.line-bypass/leaky', (_v, c) => ({ 'b-plus.line-bypass.leak': c.spread(1500, 7000) }));
add('b-plus.line-bypass/short', (_v, c) => ({ 'b-plus.line-bypass.leak': c.spread(5, 80) }));
for (const kind of ['silicon', 'selenium'] as const) {
  const stack = (d: Design): boolean => d.rectifier === kind && d.topology === 'doubler-full-wave';
  const first = (d: Design): boolean => d.rectifier === kind && d.topology !== 'doubler-full-wave';
  const second = (d: Design): boolean => d.rectifier === kind && d.topology === 'doubler-half-wave';
  add(`b-plus.${kind}-first/open`, () => ({ 'b-plus.rectifier-a': 0 }), first);
  add(`b-plus.${kind}-second/open`, () => ({ 'b-plus.rectifier-b': 0 }), second);
  add(`b-plus.${kind}-upper/open`, () => ({ 'b-plus.rectifier-a': 0 }), stack);
  add(`b-plus.${kind}-lower/open`, () => ({ 'b-plus.rectifier-b': 0 }), stack);
}
const selenium = (d: Design): boolean => d.rectifier === 'selenium';
// The two stacks of a full-wave doubler age together; in a half-wave doubler one goes before the other.
add(
  'b-plus.selenium-first/high-drop',
  (_v, c, d) => {
    const aged = c.between(2.2, 4);
    const change: Record<string, number> = { 'b-plus.rectifier-a.aged': aged };
    if (d.topology === 'doubler-full-wave') change['b-plus.rectifier-b.aged'] = aged * c.between(0.9, 1.1);
    return change;
  },
  selenium,
);
add(
  'b-plus.selenium-second/high-drop',
  (_v, c) => ({ 'b-plus.rectifier-b.aged': c.between(2.2, 4) }),
  (d) => selenium(d) && d.topology === 'doubler-half-wave',
);
const doubler = (d: Design): boolean =>
  d.topology === 'doubler-half-wave' || d.topology === 'doubler-full-wave';
add(
  'b-plus.rectifier-short/short',
  (_v, c) => ({ 'b-plus.rectifier-a.short': c.spread(0.3, 3) }),
  (d) => !doubler(d),
);
add(
  'b-plus.doubler-rectifier-short/short',
  (_v, c) => ({ [`b-plus.rectifier-${c.pick(['a', 'b'])}.short`]: c.spread(0.3, 3) }),
  doubler,
);
add(
  'b-plus.rectifier-tube/weak',
  (_v, c) => ({ 'b-plus.rectifier-tube.k': c.between(0.12, 0.3) }),
  centreTapped,
);
add('b-plus.rectifier-tube/open-heater', () => ({ 'b-plus.rectifier-tube.k': 1e-4 }), centreTapped);
add('b-plus.rectifier-half/half-dead', () => ({ 'b-plus.rectifier-b': 0 }), centreTapped);
add('b-plus.transformer-primary/open', () => ({ 'b-plus.transformer-primary': OPEN }), powered);
add('b-plus.transformer-secondary/open', () => ({ 'b-plus.transformer-secondary': OPEN }), hasSecondary);
add(
  'b-plus.transformer-turns/shorted-turns',
  (_v, c) => ({ 'b-plus.transformer-turns': c.spread(45, 150) }),
  powered,
);
add(
  'b-plus.transformer-insulation/leaky',
  (_v, c) => ({ 'b-plus.transformer-insulation': c.spread(5e4, 2e6) }),
  (d) => d.transformer === 'power',
);
add('b-plus.transformer-hv-winding/open', () => ({ 'b-plus.transformer-hv-winding': OPEN }), centreTapped);
add(
  'b-plus.transformer-hv-winding/half-open',
  () => ({ 'b-plus.transformer-hv-winding.half': 0, 'b-plus.rectifier-b': 0 }),
  centreTapped,
);
add(
  'b-plus.dropper-ht-section/open',
  () => ({ 'b-plus.dropper-ht-section': OPEN }),
  (d) => d.dropper,
);

// Heaters
add('heaters.heater-wiring/open', (_v, c) => ({
  'heaters.wiring': c.happens(0.5) ? 1 : c.between(0.25, 0.6),
}));
add(
  'heaters.heater-ground/open',
  (_v, c) => ({ 'heaters.ground': c.happens(0.6) ? OPEN : c.spread(3, 50) }),
  wound,
);
add('heaters.string-heater/open', () => ({ 'heaters.string': 0 }), series);
add(
  'heaters.string-heater/heater-cathode-short',
  (_v, c) => ({ 'heaters.string-short': c.between(0.1, 0.45) }),
  series,
);
add('heaters.thermistor/open', () => ({ 'heaters.thermistor': OPEN }), series);
add(
  'heaters.thermistor/high',
  (v, c) => ({ 'heaters.thermistor': (v['heaters.thermistor'] ?? 0) * c.spread(4, 12) }),
  series,
);
add(
  'heaters.ballast/open',
  () => ({ 'heaters.ballast': OPEN }),
  (d) => series(d) && d.hertz === 60,
);
add(
  'heaters.ballast/high',
  (v, c) => ({ 'heaters.ballast': (v['heaters.ballast'] ?? 0) * c.spread(3, 8) }),
  (d) => series(d) && d.hertz === 60,
);
// The heater part of a mains dropper stands where a US string has its ballast.
const dropper = (d: Design): boolean => series(d) && d.hertz === 50;
add('heaters.dropper-heater-section/open', () => ({ 'heaters.ballast': OPEN }), dropper);
add(
  'heaters.dropper-heater-section/high',
  (v, c) => ({ 'heaters.ballast': (v['heaters.ballast'] ?? 0) * c.spread(1.7, 2.8) }),
  dropper,
);
add('heaters.heater-winding/open', () => ({ 'heaters.winding': 0 }), wound);
add(
  'heaters.heater-winding/shorted-turns',
  (_v, c) => ({ 'heaters.winding-loss': c.between(0.2, 0.4) }),
  wound,
);

// Horizontal oscillator, output, boost
const hosc = 'horizontal-oscillator';
const hout = 'horizontal-output';
tubes([`${hosc}.tube`], [5e-6, 3e-5]);
tubes([`${hout}.tube`], [3e-5, 2e-4]);
resistors([`${hosc}.feed-resistor`, `${hosc}.plate-resistor`], 2, 6);
add(`${hosc}.timing-resistors/high`, (v, c) => ({
  [`${hosc}.timing-resistors`]: (v[`${hosc}.timing-resistors`] ?? 0) * c.spread(1.25, 2),
}));
add(`${hosc}.cathode-resistor/open`, () => ({ [`${hosc}.cathode-resistor`]: OPEN }));
add(`${hosc}.coil/open`, () => ({ [`${hosc}.coil`]: OPEN }));
add(`${hosc}.hold-control/open`, () => ({ [`${hosc}.hold-control`]: 0 }));
leaky(`${hosc}.timing-capacitor`, 3e5, 2e6);
leaky(`${hosc}.feed-bypass`, 5e3, 4e4);
shorted(`${hosc}.feed-bypass`);
leaky(`${hosc}.discharge-capacitor`, 3e4, 3e5);
lostOpen(`${hosc}.discharge-capacitor`);
lostOpen(`${hosc}.coupling-capacitor`);
leaky(`${hout}.grid-coupling-capacitor`, 2e5, 2.5e6);
lostOpen(`${hout}.grid-coupling-capacitor`);
add(`${hout}.grid-stopper/open`, () => ({ [`${hout}.grid-stopper`]: OPEN }));
resistors([`${hout}.grid-leak-resistor`], 2.2, 6);
add(`${hout}.tube-insulation/leakage`, (_v, c) => ({ [`${hout}.tube.gk`]: c.spread(2e4, 2e5) }));
resistors([`${hout}.screen-resistor`], 1.6, 4);
leaky(`${hout}.screen-bypass`, 4e3, 4e4);
shorted(`${hout}.screen-bypass`);
resistors([`${hout}.cathode-link`], 15, 60);
add(`${hout}.drive-control/leaky`, (_v, c) => ({ [`${hout}.drive-control`]: c.between(0.3, 0.55) }));
add(`${hout}.top-cap/dirty`, (_v, c) => ({ [`${hout}.top-cap`]: c.spread(200, 3e3) }));
add('damper-boost.tube/weak', (_v, c) => ({ 'damper-boost.tube.k': c.between(0.07, 0.2) }));
add('damper-boost.tube/dead', () => ({ 'damper-boost.tube.k': 1e-4 }));
add('damper-boost.insulation/leakage', (_v, c) => ({ 'damper-boost.insulation': c.spread(800, 4000) }));
leaky('damper-boost.boost-capacitor', 1.5e3, 1.2e4);
shorted('damper-boost.boost-capacitor');
lostOpen('damper-boost.boost-capacitor');
leaky('damper-boost.boost-filter', 1.2e4, 8e4);
add('damper-boost.linearity-coil/open', () => ({ 'damper-boost.linearity-coil': OPEN }));
add('damper-boost.linearity-coil/misset', (_v, c) => ({ 'damper-boost.linearity': c.between(0.4, 0.65) }));
add('damper-boost.width-coil/shorted-turns', (_v, c) => ({
  'damper-boost.width-coil.loss': c.between(0.22, 0.4),
}));
add('damper-boost.width-coil/misset', (_v, c) => ({ 'damper-boost.width-coil.loss': c.between(0.08, 0.16) }));

// Flyback, yoke, anode supply
add('flyback.primary/shorted-turns', (_v, c, d) => ({ 'flyback.loss': lossScale(d) * c.spread(0.08, 0.4) }));
add('flyback.primary-continuity/open', () => ({ 'flyback.primary': OPEN }));
add('flyback.hv-winding/open', () => ({ 'flyback.hv-winding': OPEN }));
add('flyback.hv-winding/shorted-turns', (_v, c, d) => ({
  'flyback.loss': lossScale(d) * c.spread(0.12, 0.5),
  'flyback.core': c.between(0.75, 0.95),
}));
add('flyback.insulation/breakdown', (_v, c) => ({ 'flyback.breakdown': c.between(0.3, 0.9) }));
add('flyback.aux-winding/open', () => ({ 'flyback.aux-winding': OPEN }));
add('flyback.core/broken', (_v, c, d) => ({
  'flyback.core': c.between(0.4, 0.75),
  'flyback.loss': lossScale(d) * c.spread(0.25, 0.6),
}));
add('flyback.tuning-capacitor/leaky', (_v, c, d) => ({
  'flyback.tuning-capacitor.leak': lossScale(d) * c.spread(0.15, 0.6),
}));
lostOpen('flyback.tuning-capacitor');
add('yoke.horizontal-winding/shorted-half', (v, c, d) => ({
  'yoke.horizontal-half-a': (v['yoke.horizontal-half-a'] ?? 0) * c.between(0.5, 0.85),
  'yoke.loss': lossScale(d) * c.spread(0.12, 0.5),
  'yoke.tilt': 1,
}));
add('yoke.horizontal-continuity/open', (_v, c) => ({
  [c.happens(0.5) ? 'yoke.horizontal-half-a' : 'yoke.horizontal-half-b']: OPEN,
}));
add('yoke.vertical-winding/shorted-half', (v, c) => ({
  'yoke.vertical-half-a': (v['yoke.vertical-half-a'] ?? 0) * c.between(0.1, 0.5),
}));
add('yoke.vertical-winding/open', (_v, c) => ({
  [c.happens(0.5) ? 'yoke.vertical-half-a' : 'yoke.vertical-half-b']: OPEN,
}));
add('yoke.insulation/leaky', (_v, c, d) => ({ 'yoke.insulation': lossScale(d) * c.spread(0.15, 0.6) }));
add('yoke.damping-network/open', () => ({ 'yoke.damping-network': 1e-15 }));
add('yoke.thermistor/open', () => ({ 'yoke.thermistor': 0 }));
add('yoke.position/misset', (_v, c) => ({ 'yoke.neck-shadow': c.between(0.5, 1) }));
add('high-voltage.rectifier/weak', (_v, c) => ({ 'high-voltage.rectifier.k': c.between(0.06, 0.2) }));
add('high-voltage.rectifier/open-filament', () => ({ 'high-voltage.rectifier.k': 1e-4 }));
resistors(['high-voltage.filament-loop'], 3, 8);
resistors(['high-voltage.series-resistor'], 20, 80);
add('high-voltage.lead/open', () => ({ 'high-voltage.lead': OPEN }));
add('high-voltage.lead/corona', (_v, c) => ({ 'high-voltage.corona': c.between(0.2, 0.6) }));
// A carbon track or wet wax leaks to the chassis and hisses, as a bad lead does; it is no contact in the current's way.
add('high-voltage.socket/dirty', (_v, c) => ({ 'high-voltage.socket-track': c.between(0.15, 0.4) }));

/** Ohms of the healthy losses of a scan circuit: shorted turns are some fraction of them. */
function lossScale(d: Design): number {
  const uplift = d.bPlus * (d.boostRatio - 1);
  return uplift ** 2 / 14;
}

// Picture tube and its voltages
const crt = 'picture-tube';
add(`${crt}.gun/weak`, (_v, c) => ({ [`${crt}.gun`]: c.spread(0.04, 0.2) }));
add(`${crt}.heater/open`, () => ({ [`${crt}.heater`]: 0 }));
add(`${crt}.heater/partial-short`, (_v, c) => ({ [`${crt}.heater`]: c.between(0.4, 0.6) }));
add(`${crt}.heater-cathode/leakage`, (_v, c) => ({ [`${crt}.heater-cathode`]: c.spread(2e3, 4e4) }));
add(`${crt}.grid-cathode/short`, (_v, c) => ({ [`${crt}.grid-cathode`]: c.spread(500, 5e4) }));
add(`${crt}.g2-grid/leakage`, (_v, c) => ({ [`${crt}.g2-grid`]: c.spread(3e5, 2e6) }));
add(`${crt}.cathode-weld/open`, () => ({ [`${crt}.gun`]: 0.0005 }));
add(`${crt}.vacuum/air`, () => ({ [`${crt}.vacuum`]: 0.0005 }));
add(`${crt}.gas/gassy`, (_v, c) => ({ [`${crt}.gas`]: c.spread(3e-8, 3e-7) }));
add(`${crt}.anode-insulation/leakage`, (_v, c, d) => ({
  [`${crt}.anode-insulation`]: lossScale(d) * c.spread(0.2, 0.8),
}));
add(`${crt}.base-pins/bad-joint`, () => ({ [`${crt}.base-pins`]: OPEN }));
add(
  `${crt}.ion-trap/misset`,
  (_v, c) => ({ [`${crt}.ion-trap`]: c.between(0.01, 0.15) }),
  (d) => d.olderTube,
);
contact('wiring.picture-tube-socket', 'dirty', wound);
add('wiring.picture-tube-socket-leak/leaky', (_v, c) => ({
  'wiring.picture-tube-socket-leak': c.spread(1.5e5, 9e5),
}));
const gun = 'gun-voltages';
resistors([`${gun}.g2-feed`], 3, 12);
leaky(`${gun}.g2-bypass`, 1.2e5, 9e5);
shorted(`${gun}.g2-bypass`);
add(`${gun}.brightness-network/open`, () => ({ [`${gun}.brightness-network`]: OPEN }));
add(`${gun}.brightness-control/open`, () => ({ [`${gun}.brightness-control`]: 0 }));
add(`${gun}.cathode-network/high`, (v, c) => ({
  [`${gun}.cathode-network`]: (v[`${gun}.cathode-network`] ?? 0) * c.spread(2.5, 8),
}));
leaky(`${gun}.grid-bypass`, 3e4, 4e5);
add(`${gun}.video-coupling/leaky-to-cathode`, (_v, c) => ({
  [`${gun}.video-coupling.leak`]: c.spread(3e4, 4e5),
}));
add(`${gun}.video-coupling-open/open`, (v) => ({
  [`${gun}.video-coupling`]: (v[`${gun}.video-coupling`] ?? 0) * 1e-3,
}));
leaky(`${gun}.focus-bypass`, 1e5, 9e5, (d) => !d.olderTube);
leaky(`${gun}.blanking`, 2e5, 2e6);
lostOpen(`${gun}.blanking`);
add(
  `${gun}.focus-network/high`,
  (v, c) => ({ [`${gun}.focus-network`]: (v[`${gun}.focus-network`] ?? 0) * c.spread(2.5, 8) }),
  (d) => !d.olderTube,
);
add(
  `${gun}.focus-magnet/misset`,
  (_v, c) => ({ [`${gun}.focus-magnet`]: c.between(0.2, 0.55) }),
  (d) => d.olderTube,
);

// Vertical
const vosc = 'vertical-oscillator';
const vout = 'vertical-output';
tubes([`${vosc}.tube`], [1e-6, 1e-5]);
tubes([`${vout}.tube`], [4e-6, 3e-5]);
add(`${vout}.tube/leakage`, (_v, c) => ({ [`${vout}.tube.gk`]: c.spread(1e5, 5e5) }));
add(`${vosc}.blocking-transformer/open`, () => ({ [`${vosc}.blocking-transformer`]: OPEN }));
add(`${vosc}.blocking-transformer/shorted-turns`, () => ({ [`${vosc}.blocking-transformer.loss`]: 0.9 }));
leaky(`${vosc}.charging-capacitor`, 1e5, 8e5);
lostOpen(`${vosc}.charging-capacitor`);
resistors([`${vosc}.feed-resistor`], 1.6, 4);
leaky(`${vosc}.feed-bypass`, 8e4, 5e5);
shorted(`${vosc}.feed-bypass`);
add(`${vosc}.height-control/open`, () => ({ [`${vosc}.height-control`]: 1e-4 }));
add(`${vosc}.hold-control/open`, () => ({ [`${vosc}.hold-control`]: 0 }));
resistors([`${vosc}.hold-resistor`], 1.4, 2.5);
leaky(`${vosc}.timing-capacitor`, 5e5, 3e6);
add(`${vosc}.integrator/open`, () => ({ [`${vosc}.integrator`]: OPEN }));
add(`${vosc}.integrator/leaky`, (_v, c) => ({ [`${vosc}.integrator.cap.leak`]: c.spread(2e3, 1.5e4) }));
add(`${vosc}.feedback-path/open`, () => ({ [`${vosc}.feedback-path`]: OPEN }));
leaky(`${vout}.coupling-capacitor`, 1e6, 2e7);
resistors([`${vout}.grid-resistor`], 2.5, 8);
resistors([`${vout}.cathode-resistor`], 1.7, 4);
add(`${vout}.cathode-resistor/low`, (v, c) => ({
  [`${vout}.cathode-resistor`]: (v[`${vout}.cathode-resistor`] ?? 0) * c.between(0.2, 0.5),
}));
dried(`${vout}.cathode-bypass`);
add(`${vout}.cathode-bypass/short`, (_v, c) => ({ [`${vout}.cathode-bypass.leak`]: c.spread(3, 60) }));
add(`${vout}.transformer/open`, () => ({ [`${vout}.transformer`]: OPEN }));
add(`${vout}.transformer/secondary-open`, () => ({ [`${vout}.secondary`]: OPEN }));
add(`${vout}.transformer/shorted-turns`, (_v, c) => ({ [`${vout}.transformer.loss`]: c.between(0.4, 0.8) }));
resistors([`${vout}.plate-supply`], 6, 25);
add(`${vout}.decoupling-capacitor/leaky`, (_v, c) => ({
  [`${vout}.decoupling-capacitor.leak`]: c.spread(800, 4000),
}));
add(`${vout}.linearity-control/misset`, (_v, c) => ({ [`${vout}.linearity-control`]: c.between(0.3, 0.6) }));
leaky(`${vout}.damping-capacitor`, 3e3, 2e4);
contact('wiring.socket-vertical-output', 'dirty');
contact('wiring.socket-vertical-oscillator', 'dirty');
contact('wiring.yoke-plug', 'dirty');

/** Every fault that can be put into a set of this design. */
export function faultsFor(d: Design): readonly SimulatedFault[] {
  return faultList.filter((f) => f.when?.(d) ?? true);
}
