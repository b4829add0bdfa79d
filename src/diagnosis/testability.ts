// How well a rule pack can tell its faults apart: for every pair, how differently all readings together would come out. Terms as in IEEE 1522 and MIL-STD-2165 (ambiguity groups).
import type { Check } from '../rulebook/types.ts';
import { infer, isImpossible } from './infer.ts';
import { outcomeTable, predict } from './information.ts';
import type { Network } from './network.ts';
import type { Belief, Evidence, Expected } from './types.ts';

export interface TestableCheck {
  readonly check: Check;
  readonly expected: Expected | undefined;
}

export interface Testability {
  /** Faults of parts that this set can have. */
  readonly faults: readonly string[];
  /** For each fault that is not alone: itself and the faults that all readings together do not tell from it. */
  readonly groups: ReadonlyMap<string, readonly string[]>;
  /** Faults that change no reading at all. */
  readonly unseen: readonly string[];
}

/** Symmetric Kullback-Leibler distance, nat, from which two faults count as told apart: odds of about e to 1 for each direction. */
const APART_NATS = 2;
/** A fault that moves all readings together by less than this is not seen. */
const SEEN_NATS = 0.2;

interface Signature {
  readonly id: string;
  readonly p: Float64Array;
  readonly ln: Float64Array;
}

/**
 * Ambiguity groups of one set's network, given checks that could all be done. One inference a fault: seconds, not for a key press.
 * A pair is told apart when the symmetric KL distances of its predicted readings add up to 2 nat or more.
 */
export function testability(network: Network, checks: readonly TestableCheck[]): Testability {
  const healthy = signatureOf(network, checks, 'ok', []);
  const signatures: Signature[] = [];
  for (const node of network.parts.values()) {
    node.states.forEach((state, at) => {
      if (state === 'ok' || (node.prior[at] ?? 0) <= 0) return;
      const found = signatureOf(network, checks, `${node.id}/${state}`, [
        onlyState(node.id, node.states.length, at),
      ]);
      if (found) signatures.push(found);
    });
  }
  const groups = new Map<string, string[]>();
  const join = (a: string, b: string): void => {
    groups.set(a, [...(groups.get(a) ?? [a]), b]);
  };
  signatures.forEach((one, n) => {
    for (const other of signatures.slice(n + 1)) {
      if (distance(one, other) >= APART_NATS) continue;
      join(one.id, other.id);
      join(other.id, one.id);
    }
  });
  const unseen = healthy ? signatures.filter((s) => distance(s, healthy) < SEEN_NATS).map((s) => s.id) : [];
  return { faults: signatures.map((s) => s.id), groups, unseen };
}

/** Evidence that puts a part in one state and no other. */
function onlyState(part: string, states: number, at: number): Evidence {
  const likelihood = Array.from({ length: states }, (_, n) => (n === at ? 1 : 0));
  const none = likelihood.map(() => 0);
  return {
    seq: 0,
    check: 'given',
    method: 'given',
    variable: `part:${part}`,
    likelihood,
    terms: { core: likelihood, timesTen: none, tenth: none, sign: none, wrongRange: none, uniform: none },
  };
}

function signatureOf(
  network: Network,
  checks: readonly TestableCheck[],
  id: string,
  given: readonly Evidence[],
): Signature | undefined {
  const belief = infer(network, given);
  if (isImpossible(belief)) return undefined;
  const p: number[] = [];
  for (const { check, expected } of checks) {
    for (const read of check.reads) {
      const variable = read.part ? belief.parts.get(read.part) : belief.signals.get(read.signal ?? '');
      if (!variable) continue;
      const table = outcomeTable(check, read, expected);
      const row = variable as Belief['parts'] extends ReadonlyMap<string, infer R> ? R : never;
      p.push(
        ...predict(
          table,
          table.states.map((s) => row[s] ?? 0),
        ),
      );
    }
  }
  return { id, p: Float64Array.from(p), ln: Float64Array.from(p, (x) => Math.log(Math.max(x, 1e-12))) };
}

function distance(a: Signature, b: Signature): number {
  let sum = 0;
  for (let n = 0; n < a.p.length && sum < APART_NATS; n += 1) {
    sum += ((a.p[n] ?? 0) - (b.p[n] ?? 0)) * ((a.ln[n] ?? 0) - (b.ln[n] ?? 0));
  }
  return sum;
}
