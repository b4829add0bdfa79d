// What the looks that no walk ends without will tell about the core parts anyway: nothing is asked for that beforehand.
import { entropy } from './information.ts';
import type { Network } from './network.ts';
import { bySenses } from './planner-signs.ts';
import type { Scored } from './planner-stop.ts';
import type { Belief, Evidence } from './types.ts';

/**
 * The candidates with what each tells about the core parts beyond the looks at outcomes that are still to be taken. A raster that is looked at in
 * the end proves flyback, yoke and picture tube better than what can be measured on the cold set; where no raster is to be
 * expected it tells little of them, and the cold checks keep their worth. What protects a part from power is asked first whatever it tells.
 */
export function beyondLooks(
  network: Network,
  belief: Belief,
  evidence: readonly Evidence[],
  scored: readonly Scored[],
): readonly Scored[] {
  const read = new Set(evidence.filter((e) => e.seq > 0).map((e) => e.variable));
  const isLook = ({ candidate: { check } }: Scored): boolean =>
    bySenses(check.method) &&
    check.reads.some(
      (r) =>
        r.signal !== undefined &&
        network.signals.get(r.signal)?.signal.outcome === true &&
        !read.has(`signal:${r.signal}`),
    );
  const told = new Map<string, number>();
  for (const look of scored.filter(isLook))
    for (const [core, bits] of look.coreGains) {
      const bad = belief.assemblies.get(core) ?? 0;
      const all = entropy([bad, 1 - bad]);
      if (all > 0) told.set(core, Math.max(told.get(core) ?? 0, Math.min(1, bits / all)));
    }
  if (told.size === 0) return scored;
  return scored.map((s) => {
    if (isLook(s) || s.coreBits === 0) return s;
    let coreBits = 0;
    for (const [core, bits] of s.coreGains) coreBits += bits * (1 - (told.get(core) ?? 0));
    const coreShare = s.coreBits > 0 ? (s.coreShare * coreBits) / s.coreBits : 0;
    return { ...s, coreBits, coreShare, score: (coreShare + s.relevantBits) / s.minutes };
  });
}
