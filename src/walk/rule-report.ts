// What a rule pack can and cannot do, measured on one supply family: ambiguity groups, checks that tell nothing, sources, coverage by section.
import { compileNetwork, infer, isImpossible, NetworkError } from '../diagnosis/index.ts';
import { information, outcomeTable } from '../diagnosis/information.ts';
import { testability } from '../diagnosis/testability.ts';
import type { Rulebook, SetFacts } from '../rulebook/types.ts';
import { circumstancesOf } from './beliefs.ts';
import { expectedFor } from './expected.ts';
import { applicableChecks } from './standing.ts';

export interface RuleReport {
  readonly family: string;
  readonly faults: number;
  /** Share of faults that all readings together tell from every other. */
  readonly alone: number;
  /** Share of faults that are in a group of three or fewer. */
  readonly threeOrFewer: number;
  /** Faults not told apart, each with those it is confused with; largest groups first. */
  readonly groups: readonly (readonly string[])[];
  readonly unseen: readonly string[];
  /** Checks that tell less than 0.002 bit about anything on a dormant set. */
  readonly idle: readonly string[];
  /** Faults and checks that rest on common practice or memory, and on a named source. */
  readonly sources: { readonly named: number; readonly practice: number };
  readonly sections: readonly {
    readonly id: string;
    readonly parts: number;
    readonly faults: number;
    readonly checks: number;
  }[];
}

const IDLE_BITS = 0.002;

/** A dormant set of this family of which nothing else is known. */
function plainSet(book: Rulebook, family: string): SetFacts {
  const ratedVolts = book.families.find((f) => f.id === family)?.ratedVolts ?? 117;
  return {
    name: '',
    owner: '',
    question: '',
    family,
    standard: ratedVolts > 180 ? 'dual' : '525',
    lineVolts: ratedVolts,
    ratedVolts,
    ratedWatts: 0,
    pictureTube: 'unknown',
    tubes: {},
    complaint: [],
    restored: 'none',
    storage: 'unknown',
    facts: {},
    serviceData: {},
  };
}

/** Supply families on which the pack cannot be used, for its signals go in a circle or hang together too widely, each with the reason. Some seconds. */
export function unusableFamilies(book: Rulebook): { readonly family: string; readonly reason: string }[] {
  return book.families.flatMap(({ id }) => {
    try {
      compileNetwork(book, plainSet(book, id));
      return [];
    } catch (error) {
      if (error instanceof NetworkError) return [{ family: id, reason: error.message }];
      throw error;
    }
  });
}

/** Measures the pack on one family with every instrument at hand. Some seconds. Throws `NetworkError` when the pack is too wide. */
export function ruleReport(book: Rulebook, family: string): RuleReport {
  const set = plainSet(book, family);
  const at = circumstancesOf(book, set, set.lineVolts, 'dmm');
  if (!at) throw new Error(`this rule base has no family "${family}"`);
  const network = compileNetwork(book, set);
  const checks = applicableChecks(book, at.facts).map((check) => ({
    check,
    expected: expectedFor(check, at),
  }));
  const apart = testability(network, checks);
  const belief = infer(network, []);
  const idle = checks.filter(({ check, expected }) => {
    if (isImpossible(belief)) return false;
    return check.reads.every((read) => {
      const row = read.part ? belief.parts.get(read.part) : belief.signals.get(read.signal ?? '');
      if (!row) return true;
      const table = outcomeTable(check, read, expected);
      const values: Readonly<Record<string, number>> = row;
      return (
        information(
          table,
          table.states.map((s) => values[s] ?? 0),
        ) < IDLE_BITS
      );
    });
  });
  const texts = [
    ...book.parts.flatMap((p) => p.faults.map((f) => f.source)),
    ...book.checks.map((c) => c.source),
  ];
  const practice = texts.filter((t) => /common practice|from memory/i.test(t)).length;
  const total = apart.faults.length;
  const small = [...apart.groups.values()].filter((g) => g.length <= 3).length;
  return {
    family,
    faults: total,
    alone: total === 0 ? 1 : (total - apart.groups.size) / total,
    threeOrFewer: total === 0 ? 1 : (total - apart.groups.size + small) / total,
    groups: [...apart.groups.values()].sort((a, b) => b.length - a.length),
    unseen: apart.unseen,
    idle: idle.map(({ check }) => check.id),
    sources: { named: texts.length - practice, practice },
    sections: book.sections.map((section) => {
      const parts = book.parts.filter((p) => p.section === section.id);
      return {
        id: section.id,
        parts: parts.length,
        faults: parts.reduce((sum, p) => sum + p.faults.length, 0),
        checks: book.checks.filter((c) => c.section === section.id).length,
      };
    }),
  };
}
