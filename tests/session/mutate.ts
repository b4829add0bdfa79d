// Mutations for fuzz tests: the same seed gives the same damage, so that a failure can be taken again.

/** A small seeded generator (mulberry32, public domain). */
export function random(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4_294_967_296;
  };
}

export type Draw = () => number;
const below = (draw: Draw, most: number): number => Math.floor(draw() * most);
export const pick = <T>(draw: Draw, items: readonly T[]): T => items[below(draw, items.length)] as T;

/** Texts that have hurt programs before: escapes, bidi, prototypes, paths, huge numbers, YAML traps, template and shell code. */
export const NASTY: readonly string[] = [
  '\u001b[2J\u001b]0;owned\u0007',
  '\u001b]8;;http://example.invalid\u001b\\link\u001b]8;;\u001b\\',
  '\u009b31m\u009d0;x\u009c',
  '\u202egnp.exe\u2066x\u2069',
  '\u0000',
  '__proto__',
  'constructor',
  'prototype',
  '../../../etc/passwd',
  '..\\..\\x',
  '/dev/zero',
  'file:///etc/passwd',
  '1e400',
  '-1e400',
  '99999999999999999999',
  'NaN',
  '.inf',
  '-0',
  '1e-320',
  '0x1F',
  '0o17',
  '!!js/function "function(){}"',
  '!!binary "AAAA"',
  '&a [*a, *a]',
  '*a',
  '<<: *a',
  '? ? ?',
  '- - - -',
  '%YAML 9.9',
  '---\n...\n---',
  '|+9\n',
  '>-\n  ',
  `$\{process.exit(1)}`,
  '$(touch x)',
  '`id`',
  '<script>alert(1)</script>',
  '\ud800',
  '\ufeff',
  '\u2028',
  '电视机',
  'e\u0301\u0301\u0301\u0301',
  '👩‍🔧',
  '"',
  "'",
  '{',
  '[',
  ']}',
  ': ',
  '#',
  '\t',
  '\r\n',
  ',,,',
  'null',
  '~',
  'true',
  '',
];

/** One to four injuries to a text file, as bytes. */
export function injured(bytes: Buffer, draw: Draw): Buffer {
  let out = bytes;
  for (let times = 1 + below(draw, 4); times > 0; times--) out = once(out, draw);
  return out;
}

function once(bytes: Buffer, draw: Draw): Buffer {
  const at = below(draw, bytes.length + 1);
  const [head, tail] = [bytes.subarray(0, at), bytes.subarray(at)];
  const span = below(draw, Math.min(400, tail.length + 1));
  switch (below(draw, 10)) {
    case 0:
      return Buffer.concat([head, Buffer.from([below(draw, 256)]), tail.subarray(1)]);
    case 1:
      return Buffer.concat([head, tail.subarray(span)]);
    case 2:
      return Buffer.concat([head, tail.subarray(0, span), tail]);
    case 3:
      return head;
    case 4:
      return Buffer.concat([head, Buffer.from(pick(draw, NASTY)), tail]);
    case 5:
      return Buffer.concat([head, Buffer.alloc(below(draw, 200), below(draw, 256)), tail]);
    case 6:
      return lines(bytes, draw);
    default:
      return word(bytes, draw);
  }
}

/** Two lines change places, or one is taken out, doubled, or indented otherwise. */
function lines(bytes: Buffer, draw: Draw): Buffer {
  const all = bytes.toString('latin1').split('\n');
  const [a, b] = [below(draw, all.length), below(draw, all.length)];
  const [one = '', two = ''] = [all[a], all[b]];
  switch (below(draw, 4)) {
    case 0:
      [all[a], all[b]] = [two, one];
      break;
    case 1:
      all.splice(a, 1);
      break;
    case 2:
      all.splice(b, 0, one);
      break;
    default:
      all[a] = draw() < 0.5 ? ` ${one}` : one.replace(/^ {1,2}/, '');
  }
  return Buffer.from(all.join('\n'), 'latin1');
}

/** A word, number or quoted text becomes another one of the file, or something nasty. */
function word(bytes: Buffer, draw: Draw): Buffer {
  const text = bytes.toString('latin1');
  const words = [...text.matchAll(/"[^"\n]*"|[\w.+-]+/g)];
  if (words.length === 0) return bytes;
  const target = pick(draw, words);
  const other =
    draw() < 0.6 ? Buffer.from(pick(draw, NASTY)).toString('latin1') : (pick(draw, words)[0] ?? '');
  const quoted = target[0].startsWith('"') && !other.startsWith('"') ? JSON.stringify(other) : other;
  return Buffer.from(
    text.slice(0, target.index) + quoted + text.slice(target.index + target[0].length),
    'latin1',
  );
}

/** Data of the same general build with one to three values, keys or lists changed. */
export function twisted(data: unknown, draw: Draw): unknown {
  const copy: unknown = structuredClone(data);
  for (let times = 1 + below(draw, 3); times > 0; times--) twistOnce(copy, draw);
  return copy;
}

function oddValue(draw: Draw): unknown {
  const deep = (levels: number): unknown => (levels === 0 ? 'x' : [deep(levels - 1)]);
  return pick(draw, [
    () => pick(draw, NASTY),
    () => pick(draw, NASTY).repeat(1 + below(draw, 300)),
    () => pick(draw, [0, -1, 1.5, 1e308, -1e308, 5e-324, 2 ** 53, 4, 2, 1]),
    () => null,
    () => draw() < 0.5,
    () => [],
    () => ({}),
    () => Array.from({ length: 1 + below(draw, 600) }, () => 'x'),
    () => Object.fromEntries(Array.from({ length: 1 + below(draw, 600) }, (_, n) => [`k${n}`, 'x'])),
    () => deep(1 + below(draw, 60)),
  ])();
}

function twistOnce(data: unknown, draw: Draw): void {
  let at: unknown = data;
  for (let depth = 0; depth < 12; depth++) {
    if (typeof at !== 'object' || at === null) return;
    const holder = at as Record<string, unknown>;
    const keys = Object.keys(holder);
    if (keys.length === 0) return;
    const key = pick(draw, keys);
    const value = holder[key];
    if (typeof value === 'object' && value !== null && draw() < 0.7) {
      at = value;
      continue;
    }
    const dice = draw();
    if (dice < 0.7) holder[key] = oddValue(draw);
    else if (dice < 0.85) delete holder[key];
    else holder[pick(draw, NASTY) || 'x'] = value;
    return;
  }
}
