// Several faults at once: which of them hide behind the others, and how far repair and re-reading gets.
import { partOf, type SimulatedSet, setFactsOf } from '../../practice/index.ts';
import { factsOf, holds } from '../../rulebook/facts.ts';
import { isLiveCheck } from '../../rulebook/live.ts';
import type { SessionEvent } from '../../session/index.ts';
import type { Engine } from '../../walk/engine.ts';
import { evaluateWalk, type WalkOptions } from '../../walk/evaluate.ts';
import type { WalkView } from '../../walk/types.ts';

export interface RepairScore {
  readonly faults: number;
  /** True parts that were swapped. */
  readonly repaired: number;
  /** Good parts that were swapped. */
  readonly wrong: number;
  readonly minutes: number;
  /** True parts that were not swapped; how many of them trouble nobody, for the set as it is now gives no complaint. */
  readonly left: readonly string[];
  readonly quiet: number;
  /** How the last walk ended. */
  readonly end: string;
}

/** A part believed this much is swapped; the likeliest suspect already from the second on, where the walk ends with "replace or swap the likeliest". */
const SWAP_AT = 0.9;
const SWAP_LIKELIEST_AT = 0.2;
/** Minutes of one swap, set cold (common practice, no source). */
const SWAP_MINUTES = 15;
const MOST_MINUTES = 900;
/** A part of an assembly that was swapped as a whole, this likely to have been bad, takes its readings with it. */
const MAY_HAVE_BEEN = 0.02;
/** Swaps beyond the number of faults before the technician gives up. */
const SPARE_SWAPS = 3;

/** Walks, swaps the part that is named, or the likeliest where nothing more can be read, reads again what it bears on, and so on. */
export async function repairAndContinue(engine: Engine, set: SimulatedSet): Promise<RepairScore> {
  const one = { set: setFactsOf(set), instruments: engine.book.instruments.map((i) => i.id) };
  const swapped = new Set<string>();
  let current = set;
  let after: WalkOptions['after'];
  let wrong = 0;
  let minutes = 0;
  let end = '';
  for (let round = 0; round < set.faults.length + SPARE_SWAPS; round += 1) {
    const { view, minutes: spent } = evaluateWalk(
      engine,
      one,
      (check, now) => current.answer(check, now.state.config),
      { mostMinutes: MOST_MINUTES, ...(after ? { after } : {}) },
    );
    minutes = spent;
    end = view.plan.stop?.reason ?? 'none';
    const best = toSwap(engine, view, swapped);
    if (!best || minutes >= MOST_MINUTES) break;
    const unit = unitOf(engine, best.part);
    for (const part of unit) swapped.add(part);
    minutes += SWAP_MINUTES;
    const before = current.faults.length;
    current = await current.repaired(unit);
    if (current.faults.length === before) wrong += 1;
    if (current.faults.length === 0) break;
    const live = view.safety.supply === 'isolated-limited' || view.safety.supply === 'isolated-full';
    const events: SessionEvent[] = [
      ...(live ? [{ type: 'powered-off' as const, why: 'a part is replaced' }] : []),
      // Where a good one went for a good one, no reading has changed.
      ...unit
        .filter((part) => 1 - (view.belief?.parts.get(part)?.ok ?? 1) >= MAY_HAVE_BEEN)
        .map((part) => ({
          type: 'repaired' as const,
          part,
          action: 'replaced' as const,
          found: part === best.part ? best.fault : '',
        })),
    ];
    after = { state: view.state, minutes, events };
  }
  const faults = new Set(set.faults.map(partOf)).size;
  const left = [...new Set(current.faults.map(partOf))];
  const quiet = current.troubles.length === 0 ? left.length : 0;
  return { faults, repaired: faults - left.length, wrong, minutes, left, quiet, end };
}

/** What goes next: of a lost core part, which goes as a whole, its likeliest; else the suspect that is named, the likeliest left, or the cause of an open sign. */
function toSwap(
  engine: Engine,
  { plan, suspects }: WalkView,
  swapped: ReadonlySet<string>,
): { readonly part: string; readonly fault: string } | undefined {
  const open = suspects.filter((s) => s.part !== 'unmodelled' && !swapped.has(s.part));
  const lost = plan.stop?.lost;
  if (lost) return open.find((s) => engine.book.parts.find((p) => p.id === s.part)?.assembly === lost);
  const least = plan.stop?.reason === 'exhausted' ? SWAP_LIKELIEST_AT : SWAP_AT;
  const named = open.find((s) => s.partProbability >= least);
  if (named) return named;
  // Where only a sign is left that nothing accounts for, what is likeliest behind it is tried.
  return (plan.stop?.openSigns ?? [])
    .flatMap((sign) => sign.causes)
    .filter((cause) => !swapped.has(cause.part) && cause.chance >= SWAP_LIKELIEST_AT)
    .sort((a, b) => b.chance - a.chance)[0];
}

/** Parts that a new assembly brings with it, though they can be mended in an old one. */
const COMES_WITH: Readonly<Record<string, readonly string[]>> = {
  'picture-tube': ['picture-tube.base-pins'],
};

/** What is replaced with a part: a flyback, yoke, picture tube or transformer goes as a whole. */
function unitOf(engine: Engine, id: string): string[] {
  const assembly = engine.book.parts.find((p) => p.id === id)?.assembly;
  if (!assembly) return [id];
  const own = engine.book.parts.filter((p) => p.assembly === assembly).map((p) => p.id);
  return [...own, ...(COMES_WITH[assembly] ?? [])];
}

/** Share by which a reading must change to be seen beside a meter's own error. */
const SEEN_CHANGE = 0.08;

/** True parts whose removal alone changes no reading that is taken on the running set. */
export async function maskedParts(engine: Engine, set: SimulatedSet): Promise<readonly string[]> {
  const parts = [...new Set(set.faults.map(partOf))];
  if (parts.length < 2) return [];
  const known = factsOf(engine.book, setFactsOf(set));
  const checks = engine.book.checks.filter(
    (c) => isLiveCheck(c) && c.reads.some((r) => r.signal) && holds(c.when, known),
  );
  const running = { horizontal: 'enabled', signal: 'applied' };
  const hidden: string[] = [];
  for (const part of parts) {
    const without = await set.repaired([part]);
    const shows = checks.some((c) => changed(set.answer(c, running), without.answer(c, running)));
    if (!shows) hidden.push(part);
  }
  return hidden;
}

function changed(one: string | undefined, other: string | undefined): boolean {
  if (one === other) return false;
  const [a, b] = [Number.parseFloat(one ?? ''), Number.parseFloat(other ?? '')];
  if (!Number.isFinite(a) || !Number.isFinite(b)) return true;
  const unit = (text: string | undefined): string => (text ?? '').replace(/[-0-9.]/g, '');
  return unit(one) !== unit(other) || Math.abs(a - b) > SEEN_CHANGE * Math.max(Math.abs(a), Math.abs(b), 0.5);
}
