// Signs of a fault: what the owner complains of and what the technician sees or hears wrong. The search goes on until something accounts for them.
import type { Network } from './network.ts';
import { inSentence, listWords } from './plain-words.ts';
import type { Evidence } from './types.ts';

/** A sign says so if some wrong level makes it this many times as likely as the right one. */
const SAYS_WRONG = 2;
/** ... and surely if this many times: only that is searched for when all else speaks against it. */
const SURELY_WRONG = 8;
/** Whether a person judges the set itself by this method, not a point in it: `eye` or `ear`, or one of their kinds (`eye-focus`). */
export const bySenses = (method: string): boolean => /^(eye|ear)(-|$)/.test(method);

/** What the owner said, with the signals that it may mean. */
export interface Complaint {
  readonly title: string;
  readonly signals: readonly string[];
}

/** Something seen, heard or complained of, and the signals one of which must be wrong for it. */
export interface Sign {
  readonly title: string;
  /** Any of these being wrong accounts for it. */
  readonly signals: readonly string[];
  /** Those that none of the others feeds: where its cause is looked for. */
  readonly foremost: readonly string[];
  /** Said by the owner, or too plain to be a mistake: there is something, whatever the other readings say. */
  readonly sure: boolean;
}

/**
 * All signs that stand. A complaint is dropped when own looks at every signal that it may mean found nothing wrong; one
 * that the technician sees himself becomes his own sign, one sign a look.
 */
export function signsOf(
  network: Network,
  evidence: readonly Evidence[],
  complaints: readonly Complaint[],
): Sign[] {
  const looks = new Map<number, { readonly id: string; readonly title: string; readonly sure: boolean }[]>();
  const fine = new Set<string>();
  for (const e of evidence) {
    if (e.seq === 0 || !bySenses(e.method) || !e.variable.startsWith('signal:')) continue;
    const id = e.variable.slice('signal:'.length);
    const node = network.signals.get(id);
    if (!node) continue;
    if (readsWrong(e))
      looks.set(e.seq, [
        ...(looks.get(e.seq) ?? []),
        { id, title: node.signal.title, sure: readsWrong(e, SURELY_WRONG) },
      ]);
    else if (readsRight(e)) fine.add(id);
  }
  const own = [...looks.values()].map((found) => {
    // What feeds the others is nearer to the cause: snow speaks of the gain before it speaks of the picture.
    const foremost = found.filter(
      (f) => !found.some((other) => other.id !== f.id && upstream(network, f.id).has(other.id)),
    );
    return {
      title: listWords(foremost.map((f, n) => (n === 0 ? f.title : inSentence(f.title)))),
      signals: found.map((f) => f.id),
      foremost: foremost.map((f) => f.id),
      sure: foremost.some((f) => f.sure),
    };
  });
  const seen = new Set(own.flatMap((s) => s.signals));
  const said = complaints.flatMap(({ title, signals }) => {
    const open = signals.filter((id) => network.signals.has(id) && (seen.has(id) || !fine.has(id)));
    return open.length > 0 ? [{ title, signals: open, foremost: open, sure: true }] : [];
  });
  return [...own, ...said];
}

/** Signs whose causes are looked for in the same place are one: in the words said last (the owner's), and plain if any of them is. */
export function byPlace(signs: readonly Sign[]): Sign[] {
  const places = new Map<string, Sign>();
  for (const sign of signs) {
    const key = sign.foremost.join(' ');
    places.set(key, { ...sign, sure: sign.sure || (places.get(key)?.sure ?? false) });
  }
  return [...places.values()];
}

/** Whether some wrong level (all but the first entry) makes this reading clearly, `times` as, likelier than the right one does. */
export function readsWrong({ likelihood }: Evidence, times = SAYS_WRONG): boolean {
  const [normal = 0, ...wrong] = likelihood;
  return Math.max(0, ...wrong) >= times * Math.max(normal, 1e-9);
}

/** Whether the right level makes this reading clearly likelier than any wrong one does: "no raster to judge" clears nobody. */
function readsRight({ likelihood }: Evidence): boolean {
  const [normal = 0, ...wrong] = likelihood;
  return normal >= SAYS_WRONG * Math.max(1e-9, ...wrong);
}

const upstreamBefore = new WeakMap<Network, Map<string, ReadonlySet<string>>>();

/** This signal, and all that feed it, directly or not; the same set for the same signal. */
export function upstream(network: Network, signal: string): ReadonlySet<string> {
  const kept = upstreamBefore.get(network) ?? new Map<string, ReadonlySet<string>>();
  upstreamBefore.set(network, kept);
  const known = kept.get(signal);
  if (known) return known;
  const found = new Set([signal]);
  for (let grew = true; grew; ) {
    grew = false;
    for (const { id, feeds } of network.signals.values()) {
      if (!found.has(id) && feeds.some((next) => found.has(next))) {
        found.add(id);
        grew = true;
      }
    }
  }
  kept.set(signal, found);
  return found;
}
