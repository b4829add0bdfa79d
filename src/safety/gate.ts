// What a safety gate is, and the small makers of gates. The gates are code, not data: no rule pack can loosen them.
import type { ReadingSpec } from '../session/reading-syntax.ts';

export const GATE_IDS = [
  'plug-pulled',
  'eye-protection',
  'eht-kind',
  'meter-before',
  'eht-link',
  'anode-first',
  'electrolytics',
  'boost-capacitor',
  'hv-capacitor',
  'anode-second',
  'anode-third',
  'meter-after',
  'still-cold',
  'why-off',
  'cause-found',
  'isolation-poles',
  'isolation-ohms',
  'isolation-size',
  'lamp-choice',
  'bench-fuse',
  'coating-ground',
  'cone-insulation',
  'horizontal-disabled',
  'stage-fuse',
  'all-plugged',
  'nothing-earthed',
  'links-removed',
  'chassis-ac',
  'chassis-dc',
  'bring-up-finished',
  'lamp-bypassed',
] as const;
export type GateId = (typeof GATE_IDS)[number];

/** Where in the walk a gate belongs. */
export type GateStage = 'cold' | 'bench' | 'before-power' | 'live' | 'full';

/** What passes; numbers in base units (V, ohm, W, A). */
export type GateLimit =
  | { readonly kind: 'below'; readonly value: number }
  | { readonly kind: 'above'; readonly value: number }
  | { readonly kind: 'within'; readonly low: number; readonly high: number }
  | { readonly kind: 'options'; readonly pass: readonly string[] };

export interface GateOption {
  readonly id: string;
  readonly title: string;
  /** Said when chosen. */
  readonly say: string;
}

/** Answer of a technician who is still at it: nothing is proven by it, nothing taken back. */
export const NOT_YET = 'still-at-it';

/** Asked once after the set was switched off out of turn: by the key that is always at hand. */
export const WHY_OFF = 'why-off';

/** One safety gate as shown for this set. Numbers are typed in `unit`. */
export interface Gate extends ReadingSpec {
  readonly id: GateId;
  readonly stage: GateStage;
  readonly title: string;
  readonly ask: string;
  readonly kind: 'choice' | 'number';
  readonly options: readonly GateOption[];
  readonly how: readonly string[];
  readonly cautions: readonly string[];
  /** The limit in words, with its number. */
  readonly limitText: string;
  readonly limit: GateLimit;
  readonly minutes: number;
  /** Said when it is not met: what to do now. */
  readonly otherwise: string;
  /** Read by a probe or by a meter: the unit tells them apart, and is asked for. A zero needs none. */
  readonly unitNeeded?: true;
}

export type Parts = Omit<
  Gate,
  'kind' | 'quantity' | 'unit' | 'options' | 'limit' | 'plausible' | 'unitNeeded'
>;

export function choice(parts: Parts, options: readonly GateOption[], pass: readonly string[]): Gate {
  return { ...parts, kind: 'choice', quantity: 'count', unit: '', options, limit: { kind: 'options', pass } };
}

export function yes(parts: Parts, yesTitle: string, noTitle = 'Not yet'): Gate {
  const options = [
    { id: 'yes', title: yesTitle, say: '' },
    { id: 'no', title: noTitle, say: parts.otherwise },
  ];
  return choice(parts, options, ['yes']);
}

export function number(
  parts: Parts,
  quantity: Gate['quantity'],
  unit: string,
  limit: Exclude<GateLimit, { kind: 'options' }>,
): Gate {
  return { ...parts, kind: 'number', quantity, unit, options: [], limit };
}

export const volts = (parts: Parts, limit: number) =>
  number(parts, 'dc-volts', 'V', { kind: 'below', value: limit });

/** Volts that may be read by the HV probe. */
export const probed = (parts: Parts, limit: number): Gate => ({ ...volts(parts, limit), unitNeeded: true });
