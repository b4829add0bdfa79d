// What of the rulebook applies to one set, before the shape of the network is settled: priors, families, reachable levels.
import { holds } from '../rulebook/facts.ts';
import {
  type EffectRow,
  LEVELS,
  type Level,
  type Part,
  type Rulebook,
  type SetFacts,
  type Signal,
} from '../rulebook/types.ts';
import type { AssemblyNode, SignalNode } from './network.ts';
import { NetworkError } from './network-error.ts';

/** Highest prior of one fault mode after all multipliers. */
const HIGHEST_PRIOR = 0.9;
/** Prior that a part just replaced is bad all the same. */
const NEW_PART_PRIOR = 0.01;

/** A cause of a family before it is known whether it keeps a node of its own. */
export interface DraftCause {
  readonly kind: 'signal' | 'part';
  readonly id: string;
  readonly states: number;
  readonly rows: Float64Array;
}

export interface DraftFamily {
  readonly id: string;
  readonly levels: number;
  readonly leak: Float64Array;
  readonly causes: DraftCause[];
}

export interface DraftPart {
  readonly part: Part;
  readonly states: readonly string[];
  readonly prior: Float64Array;
  readonly signals: readonly string[];
  readonly families: number[];
}

export interface Draft {
  readonly families: DraftFamily[];
  readonly signals: Map<string, SignalNode>;
  readonly parts: Map<string, DraftPart>;
  readonly assemblies: Map<string, AssemblyNode>;
}

/**
 * What of the rulebook applies to a set: signals in causal order with their reachable levels, parts with their priors, and
 * the noisy-MAX family of each signal and assembly. Throws `NetworkError` on a loop.
 */
export function draftNetwork(
  rulebook: Rulebook,
  set: SetFacts,
  facts: Readonly<Record<string, string>>,
  repaired: ReadonlySet<string>,
): Draft {
  const applies = rulebook.signals.filter((s) => holds(s.when, facts));
  const known = new Set(applies.map((s) => s.id));
  const inputsOf = new Map(
    applies.map((s) => {
      const first = new Map<string, Signal['inputs'][number]>();
      for (const input of s.inputs) {
        if (known.has(input.signal) && !first.has(input.signal) && holds(input.when, facts))
          first.set(input.signal, input);
      }
      return [s.id, [...first.values()]] as const;
    }),
  );
  const order = sortSignals(applies, (id) => (inputsOf.get(id) ?? []).map((i) => i.signal));

  const parts = new Map<string, DraftPart>();
  for (const part of rulebook.parts) {
    if (!holds(part.when, facts)) continue;
    const prior = priorOf(part, set, facts, repaired.has(part.id));
    const reached = new Set<string>();
    part.faults.forEach((fault, i) => {
      if ((prior[i + 1] ?? 0) <= 0) return;
      for (const [signal, row] of Object.entries(fault.effects))
        if (known.has(signal) && rowMass(row) > 0) reached.add(signal);
    });
    parts.set(part.id, {
      part,
      states: ['ok', ...part.faults.map((f) => f.id)],
      prior,
      signals: [...reached],
      families: [],
    });
  }

  const families: DraftFamily[] = [];
  const signals = new Map<string, SignalNode>();
  for (const signal of order) {
    const inputs = inputsOf.get(signal.id) ?? [];
    const acting = [...parts.values()].filter((p) => p.signals.includes(signal.id));
    const rows: EffectRow[] = [signal.leak];
    for (const input of inputs) {
      const levels = signals.get(input.signal)?.levels ?? [];
      for (const [level, row] of Object.entries(input.rows))
        if (row && levels.some((l) => l === level)) rows.push(row);
    }
    for (const { part, prior } of acting) {
      part.faults.forEach((fault, i) => {
        const row = fault.effects[signal.id];
        if (row && (prior[i + 1] ?? 0) > 0) rows.push(row);
      });
    }
    const levels = LEVELS.filter((l) => l === 'normal' || rows.some((row) => (row[l] ?? 0) > 0));
    if (levels.length < 2) levels.push('absent');
    const causes: DraftCause[] = [];
    for (const input of inputs) {
      const from = signals.get(input.signal)?.levels ?? [];
      causes.push({
        kind: 'signal',
        id: input.signal,
        states: from.length,
        rows: stack(
          from.map((l) => (l === 'normal' ? {} : (input.rows[l] ?? {}))),
          levels,
        ),
      });
    }
    for (const { part, states } of acting) {
      causes.push({
        kind: 'part',
        id: part.id,
        states: states.length,
        rows: stack([{}, ...part.faults.map((f) => f.effects[signal.id] ?? {})], levels),
      });
    }
    const family = families.length;
    for (const { families: list } of acting) list.push(family);
    families.push({
      id: `signal:${signal.id}`,
      levels: levels.length,
      leak: stack([signal.leak], levels),
      causes,
    });
    const feeds = applies.filter((s) => (inputsOf.get(s.id) ?? []).some((i) => i.signal === signal.id));
    signals.set(signal.id, {
      id: signal.id,
      signal,
      levels,
      family,
      inputs: inputs.map((i) => i.signal),
      feeds: feeds.map((s) => s.id),
    });
  }

  const assemblies = new Map<string, AssemblyNode>();
  for (const assembly of rulebook.assemblies) {
    if (!holds(assembly.when, facts)) continue;
    const members = [...parts.values()].filter((p) => p.part.assembly === assembly.id);
    if (members.length === 0) continue;
    const family = families.length;
    for (const { families: list } of members) list.push(family);
    families.push({
      id: `assembly:${assembly.id}`,
      levels: 2,
      leak: Float64Array.of(1, 0),
      causes: members.map(({ part, states }) => ({
        kind: 'part',
        id: part.id,
        states: states.length,
        rows: Float64Array.from(states.flatMap((_, q) => (q === 0 ? [1, 0] : [0, 1]))),
      })),
    });
    assemblies.set(assembly.id, {
      id: assembly.id,
      assembly,
      parts: members.map((p) => p.part.id),
      family,
    });
  }
  return { families, signals, parts, assemblies };
}

/** Prior over `ok` and the faults: column of the set's history x multipliers of its facts, each mode at most 0.9. */
function priorOf(
  part: Part,
  set: SetFacts,
  facts: Readonly<Record<string, string>>,
  repaired: boolean,
): Float64Array {
  const modes = part.faults.map((fault) => {
    let p = fault.prior[set.restored];
    for (const [fact, byValue] of Object.entries(fault.factors)) p *= byValue[facts[fact] ?? 'unknown'] ?? 1;
    return Math.min(HIGHEST_PRIOR, Math.max(0, p));
  });
  const total = modes.reduce((a, b) => a + b, 0);
  const limit = repaired ? NEW_PART_PRIOR : 0.95;
  const scale = total > 0 && (repaired || total > limit) ? limit / total : 1;
  return Float64Array.of(1 - total * scale, ...modes.map((p) => p * scale));
}

/** Effect rows as a states x levels table; what a row does not name is `normal`. Rows that add up to more than 1 are scaled. */
function stack(rows: readonly EffectRow[], levels: readonly Level[]): Float64Array {
  return Float64Array.from(
    rows.flatMap((row) => {
      const abnormal = levels.slice(1).map((l) => (l === 'normal' ? 0 : (row[l] ?? 0)));
      const total = abnormal.reduce((a, b) => a + b, 0);
      return total > 1 ? [0, ...abnormal.map((p) => p / total)] : [1 - total, ...abnormal];
    }),
  );
}

function rowMass(row: EffectRow): number {
  return Object.values(row).reduce((a, b) => a + (b ?? 0), 0);
}

/** Signals with every input before what it feeds; throws on a loop and prints it. */
function sortSignals(signals: readonly Signal[], inputs: (id: string) => readonly string[]): Signal[] {
  const byId = new Map(signals.map((s) => [s.id, s]));
  const done = new Set<string>();
  const open: string[] = [];
  const sorted: Signal[] = [];
  const visit = (id: string): void => {
    if (done.has(id)) return;
    if (open.includes(id)) {
      const loop = [...open.slice(open.indexOf(id)), id];
      throw new NetworkError(
        'cycle',
        `signals feed each other in a loop: ${loop.join(' <- ')}. Cut it by start-up order: one signal before the loop closes, another while it runs.`,
      );
    }
    open.push(id);
    for (const input of inputs(id)) visit(input);
    open.pop();
    done.add(id);
    const signal = byId.get(id);
    if (signal) sorted.push(signal);
  };
  for (const signal of signals) visit(signal.id);
  return sorted;
}
