// Verbs for the list of faults: drifted, leaky, shorted, dried out, weak. Severities are the simulator's own (common practice, no source).
import type { Chance } from '../random.ts';
import type { Values } from './component.ts';
import type { Design } from './design.ts';

/** Names and new values of the components that a fault changes. */
export type Change = (values: Values, chance: Chance, d: Design) => Record<string, number>;

export interface SimulatedFault {
  /** `section.part/fault`, as the trade names it. */
  readonly id: string;
  readonly change: Change;
  readonly when?: (d: Design) => boolean;
}

/** Ohms of a broken part. */
export const OPEN = 1e9;
/** Every fault of every design, in the order of the sets' sections. */
export const faultList: SimulatedFault[] = [];
/** Puts a fault on the list; `when` = the designs that have the part. */
export const add = (id: string, change: Change, when?: SimulatedFault['when']): void => {
  faultList.push(when ? { id, change, when } : { id, change });
};
export const series = (d: Design): boolean => d.heaters === 'series';
export const wound = (d: Design): boolean => d.heaters === 'parallel';
/** B+ comes through a transformer, or through the tapped winding of an autotransformer. */
export const powered = (d: Design): boolean => d.transformer === 'power' || d.transformer === 'auto';
/** A transformer whose high-voltage winding has a centre tap, with a rectifier tube behind it. */
export const centreTapped = (d: Design): boolean => d.topology === 'full-wave';

/** Resistors: carbon drifts upward, any kind opens. */
export function resistors(
  ids: readonly string[],
  least = 1.8,
  most = 6,
  fitted: SimulatedFault['when'] = () => true,
): void {
  for (const id of ids) {
    const when = (d: Design): boolean => fitted(d) && (!(id in STACKED_OUT) || !d.stacked);
    add(`${id}/high`, (v, c) => ({ [id]: (v[id] ?? 0) * c.spread(least, most) }), when);
    add(`${id}/open`, () => ({ [id]: OPEN }), when);
  }
}
const STACKED_OUT: Readonly<Record<string, true>> = {
  'sound.output-cathode-resistor': true,
  'b-plus.low-line-dropper': true,
};
export const leaky = (id: string, low: number, high: number, when?: SimulatedFault['when']): void =>
  add(`${id}/leaky`, (_v, c) => ({ [`${id}.leak`]: c.spread(low, high) }), when);
export const shorted = (id: string, when?: SimulatedFault['when']): void =>
  add(`${id}/short`, (_v, c) => ({ [`${id}.leak`]: c.spread(2, 60) }), when);
export const lostOpen = (id: string, when?: SimulatedFault['when']): void =>
  add(`${id}/open`, (v) => ({ [id]: (v[id] ?? 0) * 1e-3 }), when);
export const dried = (id: string, fault = 'low', when?: SimulatedFault['when']): void =>
  add(
    `${id}/${fault}`,
    (v, c) => ({ [id]: (v[id] ?? 0) * c.spread(0.06, 0.22), [`${id}.esr`]: c.spread(8, 40) }),
    when,
  );
export const contact = (id: string, fault: string, when?: SimulatedFault['when']): void =>
  add(`${id}/${fault}`, (_v, c) => ({ [id]: fault === 'dirty' ? c.spread(300, 5e4) : OPEN }), when);

export function tubes(ids: readonly string[], gas: readonly [number, number]): void {
  for (const id of ids) {
    add(`${id}/weak`, (v, c) => ({ [`${id}.k`]: (v[`${id}.k`] ?? 1) * c.between(0.25, 0.5) }));
    add(`${id}/dead`, () => ({ [`${id}.k`]: 0.0005 }));
    add(`${id}/gassy`, (_v, c) => ({ [`${id}.gas`]: c.spread(gas[0], gas[1]) }));
  }
}
