// How much a check may tell: outcome tables of readings still to be taken, and the information they carry about a variable.
import type { Check, Read } from '../rulebook/types.ts';
import { optionTable, SHARES, softness, statesRead } from './likelihood.ts';
import { domainOf, massAbove } from './likelihood-bands.ts';
import type { Expected } from './types.ts';

/** Bins of a numeric outcome. */
const BINS = 15;
/** Meter error assumed before it is known which meter will be used, relative. */
const METER_SPREAD = 0.03;

/** P(outcome | state) of one read: `rows[state][outcome]`, each row adding up to 1. */
export interface OutcomeTable {
  readonly states: readonly string[];
  readonly rows: readonly Float64Array[];
  /** Entropy of each row, bits. */
  readonly noise: readonly number[];
}

const tables = new WeakMap<Read, Map<number, OutcomeTable>>();

/** Outcome table of one read of a check; computed once per softness of its edges (to 5 %) and number of bins. */
export function outcomeTable(
  check: Check,
  read: Read,
  expected: Expected | undefined,
  bins = BINS,
): OutcomeTable {
  const s = read.scale === 'choice' ? 0 : softness(read, expected, METER_SPREAD);
  const key = s > 0 ? bins + 1000 * Math.round(20 * Math.log(s)) : 0;
  let cached = tables.get(read);
  if (!cached) {
    cached = new Map();
    tables.set(read, cached);
  }
  let table = cached.get(key);
  if (!table) {
    const rows = read.scale === 'choice' ? choiceOutcomes(check, read) : numberOutcomes(read, s, bins);
    table = { states: statesRead(read), rows, noise: rows.map(entropy) };
    cached.set(key, table);
  }
  return table;
}

function choiceOutcomes(check: Check, read: Read): Float64Array[] {
  const options = check.options.map((o) => o.id);
  return optionTable(options, read, statesRead(read)).map((row) => withSlips(Float64Array.from(row)));
}

function numberOutcomes(read: Read, s: number, count: number): Float64Array[] {
  const domain = domainOf(read);
  const width = (domain.to - domain.from) / count;
  return statesRead(read).map((state) => {
    const known = read.part && !read.bands[state] ? 'ok' : state;
    const bins = new Float64Array(count);
    let above = 1;
    for (let b = 0; b < count; b += 1) {
      // The outermost bins also take what lies beyond the bands.
      const next = b === count - 1 ? 0 : massAbove(domain, known, domain.from + (b + 1) * width, s);
      bins[b] = Math.max(0, above - next);
      above = next;
    }
    return withSlips(bins);
  });
}

/** Mixes in the slips as "anything", so that no outcome is impossible. */
function withSlips(row: Float64Array): Float64Array {
  const total = row.reduce((a, b) => a + b, 0);
  return row.map((p) => (SHARES.core * p) / (total || 1) + (1 - SHARES.core) / row.length);
}

/** Entropy in bits. */
export function entropy(p: ArrayLike<number>): number {
  let h = 0;
  for (let i = 0; i < p.length; i += 1) {
    const x = p[i] ?? 0;
    if (x > 0) h -= x * Math.log2(x);
  }
  return h;
}

/** Distribution of the outcome when the variable is distributed as `belief` (in the order of the table's states). */
export function predict(table: OutcomeTable, belief: ArrayLike<number>): Float64Array {
  const out = new Float64Array(table.rows[0]?.length ?? 0);
  for (let q = 0; q < table.rows.length; q += 1) {
    const p = belief[q] ?? 0;
    if (!(p > 0)) continue;
    const row = table.rows[q] as Float64Array;
    for (let o = 0; o < out.length; o += 1) out[o] = (out[o] as number) + p * (row[o] as number);
  }
  return out;
}

/** Mutual information of outcome and variable, bits: H(O) minus the mean H(O | state). */
export function information(table: OutcomeTable, belief: ArrayLike<number>): number {
  let noise = 0;
  for (let q = 0; q < table.noise.length; q += 1) noise += (belief[q] ?? 0) * (table.noise[q] as number);
  return Math.max(0, entropy(predict(table, belief)) - noise);
}

/** Mutual information of outcome and a yes/no question, bits, from the variable's distribution under yes and under no. */
export function informationAbout(
  table: OutcomeTable,
  yes: ArrayLike<number>,
  no: ArrayLike<number>,
  p: number,
): number {
  const whenYes = predict(table, yes);
  const whenNo = predict(table, no);
  const apart = p * entropy(whenYes) + (1 - p) * entropy(whenNo);
  for (let o = 0; o < whenYes.length; o += 1)
    whenYes[o] = p * (whenYes[o] as number) + (1 - p) * (whenNo[o] ?? 0);
  return Math.max(0, entropy(whenYes) - apart);
}
