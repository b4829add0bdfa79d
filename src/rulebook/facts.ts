// What is known of the set on the bench, as one flat list of facts, and whether a rule's condition holds on it.
import type { Condition, Rulebook, SetFacts } from './types.ts';

/**
 * All facts of a set: what its supply family settles, under what was answered at intake, plus `family`, `standard`,
 * `storage` and `restored`. An answer `unknown` does not hide what the family settles.
 */
export function factsOf(rulebook: Rulebook, set: SetFacts): Readonly<Record<string, string>> {
  const family = rulebook.families.find((f) => f.id === set.family);
  const facts: Record<string, string> = { ...family?.facts };
  for (const [fact, value] of Object.entries(set.facts)) {
    if (value !== 'unknown' || facts[fact] === undefined) facts[fact] = value;
  }
  return {
    ...facts,
    family: set.family,
    standard: set.standard,
    storage: set.storage,
    restored: set.restored,
  };
}

/** Whether `condition` holds: every named fact has one of the listed values, is `unknown`, or was never answered. */
export function holds(condition: Condition | undefined, facts: Readonly<Record<string, string>>): boolean {
  for (const [fact, wanted] of Object.entries(condition ?? {})) {
    const value = facts[fact];
    if (value !== undefined && value !== 'unknown' && !wanted.includes(value)) return false;
  }
  return true;
}
