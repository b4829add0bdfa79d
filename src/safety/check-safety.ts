// What safety takes from the checks of a rule pack: stop limits, charge put in, hands in the set. Packs can add stops, never lift one.
import type { Check, SetFacts, StopRule } from '../rulebook/types.ts';
import type { ReadingValue } from '../session/types.ts';
import type { SafetyFacts } from './facts.ts';
import type { CheckSafety } from './proofs.ts';

/** Sections where a repair, or a tube in hand, may refit what disabled the horizontal stage: cap, screen feed, fuse. */
export const AT_STAGE: readonly string[] = [
  'horizontal-output',
  'damper-boost',
  'flyback',
  'yoke',
  'high-voltage',
  'wiring',
];
/** Instruments that put charge into a dead set, whether the pack says so of a check or not: working voltage, 500 V, a tester of picture tubes. */
const INJECTORS: readonly string[] = [
  'capacitor-leakage-tester',
  'insulation-tester',
  'picture-tube-tester',
  'bench-hv-supply',
];
const SOURCE = 'signal-generator';
/** Checks on a signal whose source is clipped on behind the antenna terminals. */
const BEHIND_TERMINALS: readonly string[] = ['antenna-touch', 'if-injection'];

/** Builds the safety view of a pack's checks. A check that the pack does not know counts as one that moved everything. */
export function checkSafety(
  checks: readonly Check[],
  factsOf: (set: SetFacts) => SafetyFacts | undefined = () => undefined,
): CheckSafety {
  const byId = new Map(checks.map((check) => [check.id, check]));
  return {
    stop(id, value) {
      const check = byId.get(id);
      return check && tripped(check, value);
    },
    injects(id) {
      const check = byId.get(id);
      if (check?.state !== 'S0') return false;
      return check.injects || check.needs.some((need) => INJECTORS.includes(need));
    },
    movesLead(id) {
      const check = byId.get(id);
      if (check === undefined || !check.needs.includes(SOURCE)) return false;
      return check.config.signal !== 'applied' || BEHIND_TERMINALS.includes(id);
    },
    refits(id) {
      const check = byId.get(id);
      if (check === undefined) return true;
      return (
        check.state === 'S0' &&
        (check.refits || (check.access === 'tube-out' && AT_STAGE.includes(check.section)))
      );
    },
    readsAnode: (id) => byId.get(id)?.quantity === 'hv-volts',
    state: (id) => byId.get(id)?.state,
    factsOf,
    contact(id) {
      const check = byId.get(id);
      if (check === undefined) return 'moved';
      if (check.state !== 'S0') return 'none';
      return ['chassis-out', 'board-lifted', 'tube-out'].includes(check.access) ? 'moved' : 'hands';
    },
  };
}

/** What is to be said of a reading beyond a stop limit of its check; undefined if it is within. */
export function tripped(check: Check, value: ReadingValue): string | undefined {
  return tripRule(check, value)?.say;
}

/** The stop limit that a reading lies beyond. */
export function tripRule(check: Check, value: ReadingValue): StopRule | undefined {
  return check.stop.find((rule) => trips(rule, value));
}

/** Least and greatest number that a reading may stand for, in base units, as stop limits are in a loaded rulebook. */
export function ends(value: ReadingValue): readonly [number, number] | undefined {
  switch (value.kind) {
    case 'number':
      return [value.value, value.value];
    case 'range':
      return [value.low, value.high];
    case 'bound':
      return value.side === 'above'
        ? [value.value, Number.POSITIVE_INFINITY]
        : [Number.NEGATIVE_INFINITY, value.value];
    case 'over-range':
      return [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
    case 'short':
      return [0, 0];
    case 'pair':
      return [Math.min(...value.values), Math.max(...value.values)];
    case 'choice':
      return undefined;
  }
}

/** The most that a reading may stand for by magnitude, in base units; a `<` bound by its own. Undefined if it is no number. */
export function greatestOf(value: ReadingValue): number | undefined {
  const span = ends(value);
  if (span === undefined) return undefined;
  return value.kind === 'bound' && value.side === 'below'
    ? span[1]
    : Math.max(Math.abs(span[0]), Math.abs(span[1]));
}

/** A reading that may lie beyond the limit trips it; a `<` bound alone does not trip an upper limit. */
function trips(rule: StopRule, value: ReadingValue): boolean {
  if (value.kind === 'choice') return rule.option === value.option;
  const span = ends(value);
  if (span === undefined) return false;
  const [least] = span;
  const greatest = greatestOf(value);
  // Leads the wrong way round hide nothing.
  if (rule.above !== undefined && greatest !== undefined && greatest > rule.above) return true;
  return rule.below !== undefined && least < rule.below;
}
