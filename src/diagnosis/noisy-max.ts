// Noisy-MAX families: several causes act on one signal and the most dominant level shows (normal < high < low < absent).
// Every operation is a sum of products of non-negative numbers: nothing is subtracted, so no digit is lost to cancellation.

/** Distribution of max(A, B) of two independent level distributions of equal length. */
export function maxConvolve(a: Float64Array, b: Float64Array): Float64Array {
  const out = new Float64Array(a.length);
  let sumA = 0;
  let sumB = 0;
  for (let s = 0; s < a.length; s += 1) {
    const pa = a[s] as number;
    const pb = b[s] as number;
    sumB += pb;
    out[s] = pa * sumB + sumA * pb;
    sumA += pa;
  }
  return out;
}

/** A distribution that is certainly at the neutral level: adding it to a family changes nothing. */
export function neutral(levels: number): Float64Array {
  const out = new Float64Array(levels);
  out[0] = 1;
  return out;
}

/**
 * Table of one max node, P(out | acc, cause), over scope [acc, cause, out]; `rows` is states x levels: what each state
 * of the cause does on its own.
 */
export function maxNodeTable(rows: Float64Array, states: number, levels: number): Float64Array {
  const table = new Float64Array(levels * states * levels);
  for (let acc = 0; acc < levels; acc += 1) {
    for (let q = 0; q < states; q += 1) {
      for (let u = 0; u < levels; u += 1) {
        const out = Math.max(acc, u);
        const at = (acc * states + q) * levels + out;
        table[at] = (table[at] as number) + (rows[q * levels + u] as number);
      }
    }
  }
  return table;
}

/** The share of `maxNodeTable` in which the cause itself puts out level `u`, as a ratio to the whole (0 where both are 0). */
export function maxNodeShare(rows: Float64Array, states: number, levels: number, u: number): Float64Array {
  const whole = maxNodeTable(rows, states, levels);
  const share = new Float64Array(whole.length);
  for (let acc = 0; acc < levels; acc += 1) {
    for (let q = 0; q < states; q += 1) {
      const at = (acc * states + q) * levels + Math.max(acc, u);
      const all = whole[at] as number;
      share[at] = all > 0 ? (rows[q * levels + u] as number) / all : 0;
    }
  }
  return share;
}

/** What a cause with state weights `weights` sends to its only child: sum over states of weight x row. */
export function causeMessage(weights: Float64Array, rows: Float64Array, levels: number): Float64Array {
  const out = new Float64Array(levels);
  for (let q = 0; q < weights.length; q += 1) {
    const w = weights[q] as number;
    if (w === 0) continue;
    for (let s = 0; s < levels; s += 1) out[s] = (out[s] as number) + w * (rows[q * levels + s] as number);
  }
  return out;
}

/** For each message the max-convolution of all the others, and of all together, by prefix and suffix products. */
export function convolveAll(
  messages: readonly Float64Array[],
  levels: number,
): { readonly all: Float64Array; readonly rest: readonly Float64Array[] } {
  const suffix: Float64Array[] = new Array<Float64Array>(messages.length + 1);
  suffix[messages.length] = neutral(levels);
  for (let j = messages.length - 1; j >= 0; j -= 1)
    suffix[j] = maxConvolve(messages[j] as Float64Array, suffix[j + 1] as Float64Array);
  let prefix = neutral(levels);
  const rest = messages.map((message, j) => {
    const others = maxConvolve(prefix, suffix[j + 1] as Float64Array);
    prefix = maxConvolve(prefix, message);
    return others;
  });
  return { all: suffix[0] as Float64Array, rest };
}

/**
 * Posterior of a cause folded into its child's first accumulator: proportional to
 * weight(q) x sum over s of pull(s) x maxConvolve(rest, row(q))(s), where pull = belief(acc0) / acc0.
 */
export function foldedPosterior(
  weights: Float64Array,
  rows: Float64Array,
  rest: Float64Array,
  pull: Float64Array,
): Float64Array {
  const levels = rest.length;
  const out = new Float64Array(weights.length);
  let total = 0;
  for (let q = 0; q < weights.length; q += 1) {
    const w = weights[q] as number;
    if (w === 0) continue;
    let sum = 0;
    let below = 0;
    let cumulative = 0;
    for (let s = 0; s < levels; s += 1) {
      const r = rest[s] as number;
      const z = rows[q * levels + s] as number;
      cumulative += z;
      sum += (pull[s] as number) * (r * cumulative + below * z);
      below += r;
    }
    out[q] = w * sum;
    total += w * sum;
  }
  if (total > 0) for (let q = 0; q < out.length; q += 1) out[q] = (out[q] as number) / total;
  return out;
}
