// Which checks may be taken, and which power steps made, right now. Everything that is not shown to be allowed is not.
import type { Check } from '../rulebook/types.ts';
import { readsAntenna } from './antenna.ts';
import { focusAllowsMeter, hasLineEht, type SafetyFacts } from './facts.ts';
import type { Gate } from './gate.ts';
import { EHT_LINK } from './judge.ts';
import type { SafetyState } from './state.ts';

export type Permit =
  | { readonly allowed: true }
  | {
      readonly allowed: false;
      /** What is missing, in the technician's words. */
      readonly missing: readonly string[];
      /** Gates that would settle it, if gates do. */
      readonly gates: readonly Gate[];
    };

/** What more is known of the other checks, so that protective ones come first. */
export interface Order {
  /** Checks that apply to this set. */
  readonly checks: readonly Check[];
  /** Checks that need not be waited for: passed, or skipped with a reason. */
  readonly settled: ReadonlySet<string>;
}

const NOBODY_WAITS: Order = { checks: [], settled: new Set() };
/** Sections where hands come near the anode lead, the neck or the yoke. */
const NEAR_ANODE: readonly string[] = [
  'picture-tube',
  'gun-voltages',
  'yoke',
  'high-voltage',
  'flyback',
  'horizontal-output',
  'damper-boost',
];
/** Cautions that say the same of a check of any section. */
const AT_TUBE: readonly string[] = ['anode', 'implosion'];

/** May this check be taken now? `passedChecks` are checks whose last reading was normal (or, for drive, present). */
export function permits(
  check: Check,
  safety: SafetyState,
  config: Readonly<Record<string, string>>,
  passedChecks: ReadonlySet<string>,
  order: Order = NOBODY_WAITS,
): Permit {
  const place = permitsPlace(check, safety, config);
  const missing = place.allowed ? [] : [...place.missing];
  for (const id of check.after) {
    if (!passedChecks.has(id)) missing.push(`a normal reading first: ${titleOf(id, order)}`);
  }
  for (const guard of guardsOf(order.checks).get(check.id) ?? []) {
    if (guard.id !== check.id && !order.settled.has(guard.id)) missing.push(`first: ${guard.title}`);
  }
  if (missing.length === 0) return { allowed: true };
  return { allowed: false, missing, gates: place.allowed ? [] : place.gates };
}

const GUARDS = new WeakMap<readonly Check[], ReadonlyMap<string, readonly Check[]>>();

/** Checks that guard each check or power step; worked out once per list. */
function guardsOf(checks: readonly Check[]): ReadonlyMap<string, readonly Check[]> {
  const known = GUARDS.get(checks);
  if (known !== undefined) return known;
  const made = new Map<string, Check[]>();
  for (const guard of checks) {
    for (const id of guard.before) made.set(id, [...(made.get(id) ?? []), guard]);
  }
  GUARDS.set(checks, made);
  return made;
}

function titleOf(id: string, order: Order): string {
  return order.checks.find((check) => check.id === id)?.title ?? id;
}

/** The part of `permits` that only looks at supply state and configuration: what keeps people whole. */
export function permitsPlace(
  check: Check,
  safety: SafetyState,
  config: Readonly<Record<string, string>>,
): Permit {
  const missing: string[] = [];
  const gates: Gate[] = [];
  if (safety.forcedStop !== undefined) {
    return { allowed: false, missing: [`power off now: ${safety.forcedStop.say}`], gates: [] };
  }
  const cold = safety.supply === 'unplugged' || safety.supply === 'discharged';
  const refuse = (words: string, needed: readonly Gate[] = []) => {
    missing.push(words);
    gates.push(...needed);
  };
  switch (check.state) {
    case 'any':
    case 'SB':
      if (!cold)
        refuse(
          live(safety) ? 'power off and plug pulled' : 'every plug pulled and in sight',
          safety.nextGates('unplugged'),
        );
      break;
    case 'S0':
      if (safety.supply !== 'discharged') {
        const way = safety.mayGo('discharged');
        for (const words of way.missing) refuse(words);
        if (way.missing.length === 0) refuse('unplugged and proven dead');
        gates.push(...safety.nextGates('discharged'));
      } else if (needsAnodeNow(check, safety)) {
        refuse('the anode, once more, before lead, neck or yoke is touched', safety.gates(['anode-third']));
      } else if (needsLink(check, safety)) {
        refuse('the link across the line-frequency HV, back on', safety.gates(['eht-link']));
      }
      break;
    case 'S1':
    case 'S2': {
      const target = check.state === 'S1' ? 'isolated-limited' : 'isolated-full';
      const there = safety.supply === target || (check.state === 'S1' && safety.supply === 'isolated-full');
      if (!there) {
        for (const words of safety.mayGo(target).missing) refuse(words);
        refuse(check.state === 'S1' ? 'power on, isolated, on the lamp' : 'power on, isolated, full line');
        gates.push(...safety.nextGates(target));
      } else if (!safety.chassisProven) {
        refuse('chassis to earth read, AC and DC', safety.nextGates(target));
      }
      refuseLive(check, safety).forEach((words) => {
        refuse(words);
      });
      break;
    }
    default:
      refuse('a check of a kind that is never taken in a diagnosis');
  }
  for (const words of wrongConfig(check, safety, config)) refuse(words);
  return missing.length === 0 ? { allowed: true } : { allowed: false, missing, gates };
}

function live(safety: SafetyState): boolean {
  return safety.supply === 'isolated-limited' || safety.supply === 'isolated-full';
}

/** A check with the HV probe, or inside the HV compartment. */
export function isHighVoltage(check: Check): boolean {
  return (
    check.quantity === 'hv-volts' || check.needs.includes('hv-probe') || check.section === 'high-voltage'
  );
}

/** Sections where a meter inside a running set meets the high voltage of a projection set, and of one with electrostatic deflection. */
const HIGH_INSIDE: Readonly<Record<string, readonly string[]>> = {
  projection: ['picture-tube', 'gun-voltages', 'flyback', 'horizontal-output', 'damper-boost'],
  electrostatic: [
    'picture-tube',
    'gun-voltages',
    'flyback',
    'yoke',
    'horizontal-output',
    'damper-boost',
    'vertical-oscillator',
    'vertical-output',
  ],
};

/** A reading inside such a set; a look from outside is none. */
function isBeyond(check: Check, { facts }: SafetyFacts): boolean {
  return (
    check.access !== 'outside' && (HIGH_INSIDE[facts['set-kind'] ?? '']?.includes(check.section) ?? false)
  );
}

/** Whether the high voltage of this set forbids the check live, for good. */
export function isRefusedHigh(check: Check, safety: SafetyState): boolean {
  return safety.hvRefusal !== undefined && (isHighVoltage(check) || isBeyond(check, safety.facts));
}

function refuseLive(check: Check, safety: SafetyState): readonly string[] {
  const words: string[] = [];
  if (safety.coldOnly) words.push('an isolation transformer: without one nothing is taken live');
  if (safety.hvRefusal !== undefined && isRefusedHigh(check, safety)) words.push(safety.hvRefusal);
  const focus = check.quantity === 'dc-volts' && /focus/.test(check.id) && !check.needs.includes('hv-probe');
  if (focus && !focusAllowsMeter(safety.facts)) {
    words.push('the focus kind, first: high-voltage focus carries 2 to 4 kV and asks the HV probe');
  }
  return words;
}

/** Whether hands come near the anode lead, the neck, the yoke or the HV cage. */
export function nearAnode(check: Check): boolean {
  if (check.access === 'outside' || check.access === 'off-set') return false;
  return (
    NEAR_ANODE.includes(check.section) ||
    check.access === 'tube-out' ||
    check.cautions.some((id) => AT_TUBE.includes(id))
  );
}

const needsAnodeNow = (check: Check, safety: SafetyState): boolean => nearAnode(check) && anodeDue(safety);

/** The link that was taken off for power is not back: what stores joules behind no resistance recovers charge. */
const needsLink = (check: Check, safety: SafetyState): boolean =>
  nearAnode(check) && hasLineEht(safety.facts) && !safety.links.includes(EHT_LINK);

/** Is it too long since the anode was read for hands to go to lead, cage, neck or yoke? `forMs`: for as long as they stay there. */
export function anodeDue(safety: SafetyState, forMs = 0): boolean {
  return safety.anodeReadUntil === undefined || safety.now + forMs > safety.anodeReadUntil;
}

/** Whether the horizontal output stage is driven: a self-oscillating one makes its own drive, and there is none to read before it runs. */
export function isDriven({ facts }: SafetyFacts): boolean {
  return facts['line-stage'] !== 'self-oscillating';
}

/** Ways of disabling the horizontal stage that leave its grid drive readable as DC: tube in and hot, cathode joined. */
const DRIVE_READABLE: readonly string[] = ['screen-and-cap', 'stage-fuse-out'];
const GRID_DRIVE = 'horizontal-output-grid-drive';
/** Checks that show the drive of the horizontal output tube. */
export const DRIVE = [GRID_DRIVE, 'horizontal-output-drive-pp'] as const;

/** What holds when nobody has said anything: no signal source is on. */
const NOT_SAID: Readonly<Record<string, string>> = { signal: 'none' };

function wrongConfig(
  check: Check,
  safety: SafetyState,
  config: Readonly<Record<string, string>>,
): readonly string[] {
  const words: string[] = [];
  for (const [item, wanted] of Object.entries(check.config)) {
    const actual = item === 'horizontal' ? safety.horizontal : (config[item] ?? NOT_SAID[item] ?? 'unknown');
    if (actual !== wanted || (item === 'horizontal' && config[item] !== wanted)) {
      words.push(
        `${item === 'horizontal' ? 'horizontal output stage' : item.replaceAll('-', ' ')}: ${wanted}`,
      );
    }
  }
  if (check.config.signal === 'applied' && safety.signalLead !== 'fitted')
    words.push('lead of the signal source fitted, cold');
  if (readsAntenna(check) && safety.signalLead !== 'off')
    words.push('lead of the signal source off the antenna terminals');
  const method = config['horizontal-method'];
  if (
    check.id === GRID_DRIVE &&
    check.config.horizontal === 'disabled' &&
    method !== undefined &&
    !DRIVE_READABLE.includes(method)
  ) {
    words.push(
      'output tube in, hot and with its cathode joined: the drive shows as DC only through its own grid; else read it with a scope',
    );
  }
  return words;
}

/** May power come on (or the line be raised) to this state now? Includes what protective checks of the pack ask. */
export function permitsPower(
  to: 'isolated-limited' | 'isolated-full',
  safety: SafetyState,
  lineVolts: number | undefined,
  order: Order = NOBODY_WAITS,
): Permit {
  const way = safety.mayGo(to, lineVolts);
  const missing = [...way.missing];
  const steps = to === 'isolated-limited' ? ['power-limited'] : ['power-limited', 'power-full'];
  if (safety.horizontal === 'enabled') steps.push('horizontal-enabled');
  missing.push(...unguarded(steps, order));
  if (missing.length === 0) return { allowed: true };
  return { allowed: false, missing, gates: safety.nextGates(to) };
}

/** Protective checks still open before these power steps; one that itself needs the step cannot be waited for. */
function unguarded(steps: readonly string[], order: Order): readonly string[] {
  const possible = (guard: Check, step: string) =>
    step === 'horizontal-enabled' ||
    !(guard.state === 'S2' || (guard.state === 'S1' && step === 'power-limited'));
  return order.checks
    .filter((guard) => guard.before.some((step) => steps.includes(step) && possible(guard, step)))
    .filter((guard) => !order.settled.has(guard.id))
    .map((guard) => `first: ${guard.title}`);
}

/** May the horizontal output stage be enabled now? Cold only, and only after its drive was seen. */
export function permitsHorizontal(
  safety: SafetyState,
  passedChecks: ReadonlySet<string>,
  order: Order = NOBODY_WAITS,
): Permit {
  const missing: string[] = [];
  if (safety.forcedStop !== undefined) missing.push(`power off now: ${safety.forcedStop.say}`);
  if (safety.supply !== 'discharged')
    missing.push('unplugged and proven dead: the stage is changed cold only');
  if (isDriven(safety.facts) && !DRIVE.some((id) => passedChecks.has(id)))
    missing.push('drive at the horizontal output grid, read and present');
  missing.push(...unguarded(['horizontal-enabled'], order));
  if (missing.length === 0) return { allowed: true };
  return { allowed: false, missing, gates: safety.nextGates('discharged') };
}
