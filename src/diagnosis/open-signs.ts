// Signs that no found suspect accounts for, at the end of a walk: what would be behind each of them if it is real.
import type { Network } from './network.ts';
import { inSentence, listWords, sentence } from './plain-words.ts';
import type { PartBelief } from './planner-accounts.ts';
import type { Sign } from './planner-signs.ts';
import { chanceReal, ifReal, leftBeside } from './planner-supposed.ts';
import { logOdds } from './suspects.ts';
import type { Belief, OpenSign, SupposedCause } from './types.ts';

/** A cause is named from this chance on, the sign taken for real ... */
const NAMED_FROM = 0.05;
/** ... if that raises it by these log-odds at least. */
const RAISED = 0.7;
/** A sign of which less than this is left beside the others is not told apart from them. */
const FOR_ITSELF = 0.5;
/** An open suspect accounts for a sign from this chance on. */
export const PLAUSIBLE = 0.3;
/** Causes named for one sign. */
const CAUSES = 3;
/** Causes said in the sentence that ends a walk, with at least this chance, the sign taken for real. */
const SAID = 2;
const SAID_FROM = 0.1;

/**
 * The open signs, likeliest first, with their likeliest causes: those that stand for themselves, what other signs account for aside, and that no suspect still
 * open accounts for as well as any cause would. `suspectsOf` are the open suspects that would account for a sign.
 */
export function openSigns(
  network: Network,
  belief: Belief,
  signs: readonly Sign[],
  suspectsOf: (sign: Sign) => readonly PartBelief[],
): OpenSign[] {
  return signs
    .filter((sign) => leftBeside(network, belief, sign, signs) >= FOR_ITSELF)
    .flatMap((sign) => {
      const chance = chanceReal(belief, sign);
      const causes = causesOf(network, belief, sign.foremost, chance);
      const [best] = causes;
      const told = suspectsOf(sign).some(
        ({ node, bad }) => bad >= PLAUSIBLE && (node.id === best?.part || bad >= (best?.ifReal ?? 0)),
      );
      return told ? [] : [{ title: sign.title, signals: sign.foremost, chance, causes }];
    })
    .sort((a, b) => b.chance - a.chance);
}

/** Parts that would be behind a sign of this chance, likeliest first. */
function causesOf(
  network: Network,
  belief: Belief,
  foremost: readonly string[],
  chance: number,
): SupposedCause[] {
  const causes: SupposedCause[] = [];
  for (const [variable, { values: then }] of ifReal(network, belief, foremost)) {
    const node = variable.startsWith('part:') ? network.parts.get(variable.slice('part:'.length)) : undefined;
    if (!node) continue;
    const ifSo = 1 - (then[0] ?? 1);
    const now = 1 - (belief.parts.get(node.id)?.ok ?? 1);
    if (ifSo < NAMED_FROM || logOdds(ifSo) - logOdds(now) < RAISED) continue;
    let mode = 1;
    for (let n = 2; n < then.length; n++) if ((then[n] ?? 0) > (then[mode] ?? 0)) mode = n;
    const fault = node.states[mode] ?? '';
    const words = node.part.faults.find((f) => f.id === fault)?.title;
    causes.push({
      part: node.id,
      fault,
      title: words ? `${node.part.title}: ${words}` : node.part.title,
      partTitle: node.part.title,
      ifReal: ifSo,
      chance: chance * ifSo,
    });
  }
  return causes.sort((a, b) => b.ifReal - a.ifReal || a.part.localeCompare(b.part)).slice(0, CAUSES);
}

/** `Nothing found accounts for: weak sound. If it is real, the likeliest causes are the audio tube (15 %) ...`; empty without signs. */
export function openSignWords(signs: readonly OpenSign[]): string {
  if (signs.length === 0) return '';
  const titles = listWords([...new Set(signs.map((s) => inSentence(s.title)))]);
  const best = new Map<string, SupposedCause>();
  for (const cause of signs.flatMap((s) => s.causes))
    if (cause.ifReal >= SAID_FROM && cause.ifReal > (best.get(cause.part)?.ifReal ?? 0))
      best.set(cause.part, cause);
  const said = [...best.values()].sort((a, b) => b.ifReal - a.ifReal).slice(0, SAID);
  const [it, is] = signs.length === 1 ? ['it', 'is'] : ['they', 'are'];
  const causes = listWords(
    said.map((c) => `the ${inSentence(c.partTitle)} (${Math.round(Math.min(0.99, c.ifReal) * 100)} %)`),
  );
  const where =
    said.length === 0
      ? ''
      : ` If ${it} ${is} real, the likeliest ${said.length === 1 ? 'cause is' : 'causes are'} ${causes}.`;
  return `${sentence(`nothing found accounts for: ${titles}.`)}${where}`;
}
