// From the readings that count to what is believed of the set; the same readings give the same object, however often they are asked about.
import {
  type Belief,
  type Conflict,
  compileNetwork,
  conflictsOf,
  type Evidence,
  type Impossible,
  infer,
  isImpossible,
  type JudgedReading,
  type Network,
  NetworkError,
  rankSuspects,
  type Suspect,
  voltsOf,
  weighInstruments,
} from '../diagnosis/index.ts';
import { factsOf } from '../rulebook/facts.ts';
import { METERS } from '../rulebook/instruments.ts';
import type { Rulebook, SetFacts } from '../rulebook/types.ts';
import type { SessionState } from '../session/index.ts';
import { evidenceNow } from './beliefs.ts';

/** Suspects shown; more is a parts list, not a diagnosis. */
const SUSPECTS = 12;

/** What the readings say, whatever the supply does. */
export interface Inference {
  readonly network: Network;
  /** Readings of instruments and return points that may lie count less here. */
  readonly evidence: readonly Evidence[];
  readonly belief: Belief;
  /** Belief without any reading. */
  readonly priors: Belief;
  readonly conflicts: readonly Conflict[];
  /** Without their readings. */
  readonly suspects: readonly Suspect[];
}

/** Belief of a set's readings, or why there is none. */
export type Believe = (
  state: SessionState,
  set: SetFacts,
  judged: readonly JudgedReading[],
) => Inference | string;

interface Remembered {
  readonly set: SetFacts;
  readonly repairs: SessionState['repairs'];
  readonly judged: readonly JudgedReading[];
  readonly proven: readonly string[];
  readonly found: Inference | string;
}

/**
 * A believer for one rulebook. Networks are compiled once a set and repair (about 100 ms); what was inferred last is kept, since a
 * walk asks again at every gate and power step.
 */
export function believer(book: Rulebook): Believe {
  let compiled: { key: string; network: Network | NetworkError } | undefined;
  const priorBeliefs = new WeakMap<Network, Belief>();
  let last: Remembered | undefined;

  const networkFor = (set: SetFacts, repaired: readonly string[]): Network | NetworkError => {
    const key = JSON.stringify([
      set.family,
      set.standard,
      set.restored,
      set.storage,
      factsOf(book, set),
      repaired,
    ]);
    if (compiled?.key === key) return compiled.network;
    let network: Network | NetworkError;
    try {
      network = compileNetwork(book, set, { repaired });
    } catch (error) {
      if (!(error instanceof NetworkError)) throw error;
      network = error;
    }
    compiled = { key, network };
    return network;
  };

  const priorsOf = (network: Network): Belief | Impossible => {
    const known = priorBeliefs.get(network);
    if (known) return known;
    const found = infer(network, []);
    if (!isImpossible(found)) priorBeliefs.set(network, found);
    return found;
  };

  const work = (state: SessionState, set: SetFacts, judged: readonly JudgedReading[]): Inference | string => {
    const repaired = [
      ...new Set(state.repairs.filter((r) => r.action !== 'cleaned').map((r) => r.part)),
    ].sort();
    const network = networkFor(set, repaired);
    if (network instanceof NetworkError) return network.message;
    // Before the readings' own belief: the network's working buffers then stay with that one.
    const priors = priorsOf(network);
    if (isImpossible(priors)) return contradiction(priors);
    const asRead = evidenceNow(book, state, judged);
    const first = infer(network, asRead);
    if (isImpossible(first)) return contradiction(first);
    const { evidence, doubted } = weighInstruments(network, first, asRead, judged, provenMeter(state));
    const belief = evidence === asRead ? first : infer(network, evidence);
    if (isImpossible(belief)) return contradiction(belief);
    const conflicts = conflictsOf(network, belief, evidence, judged, doubted);
    const suspects = rankSuspects(network, belief, evidence, { limit: SUSPECTS });
    return {
      network,
      evidence,
      belief,
      priors,
      conflicts,
      suspects: suspects.map((s) => ({ ...s, because: [] })),
    };
  };

  return (state, set, judged) => {
    const same =
      last?.set === set &&
      alike(last.repairs, state.repairs) &&
      alike(last.judged, judged) &&
      alike(last.proven, [...provenMeter(state)]);
    if (last && same) return last.found;
    const found = work(state, set, judged);
    last = { set, repairs: state.repairs, judged, proven: [...provenMeter(state)], found };
    return found;
  };
}

/** The meter in hand, where it read a known source right after the dead readings: on volts it is then less easily doubted. */
function provenMeter({ safetyLog, instruments }: SessionState): ReadonlySet<string> {
  const last = safetyLog.findLast((entry) => entry.type === 'gate' && entry.gate === 'meter-after');
  const right = last?.type === 'gate' && last.value.kind === 'choice' && last.value.option === 'yes';
  const meter = right ? METERS.find((id) => instruments.includes(id)) : undefined;
  return new Set(meter === undefined ? [] : [voltsOf(meter)]);
}

/** Whether two lists hold the very same things. */
function alike(one: readonly unknown[], other: readonly unknown[]): boolean {
  return one.length === other.length && one.every((thing, n) => thing === other[n]);
}

function contradiction({ impossible }: Impossible): string {
  return `The readings contradict each other: ${impossible}. Correct one in the log.`;
}
