// Fault trees for paper: each signal is opened once, what is cleared is named in one line, and what is next to impossible is left out.
import { chanceWords, inSentence, listWords } from '../diagnosis/plain-words.ts';
import type { FaultTreeNode } from '../diagnosis/types.ts';

export interface TreeLine {
  readonly depth: number;
  readonly title: string;
  /** How likely, in words; `see above` where the signal was opened before; empty on a line of cleared causes. */
  readonly chance: string;
  readonly cleared: boolean;
}

/** Causes less likely than this are not printed: a tree is read for what is left, not for what is possible. */
const SHOWN_FROM = 0.1;
/** Names on one line of cleared causes. */
const CLEARED_NAMES = 6;

/** Lines of all trees, in order; signals opened in one tree are not opened again in the next. */
export function treesOnPaper(
  trees: readonly FaultTreeNode[],
  say: (text: string) => string,
): readonly (readonly TreeLine[])[] {
  const opened = new Set<string>();
  return trees.flatMap((tree) => (opened.has(tree.id) ? [] : [linesOf(tree, 0, opened, say)]));
}

function linesOf(
  node: FaultTreeNode,
  depth: number,
  opened: Set<string>,
  say: (text: string) => string,
): readonly TreeLine[] {
  const again = node.kind === 'signal' && opened.has(node.id);
  const chance = chanceWords(node.probability);
  const own = {
    depth,
    title: say(node.title),
    chance: again ? `${chance}, see above` : chance,
    cleared: false,
  };
  if (again) return [own];
  opened.add(node.id);
  const open = node.children.filter((child) => !child.cleared && child.probability >= SHOWN_FROM);
  return [
    own,
    ...open.flatMap((child) => linesOf(child, depth + 1, opened, say)),
    ...clearedLine(node.children, depth + 1, say),
  ];
}

function clearedLine(
  children: readonly FaultTreeNode[],
  depth: number,
  say: (text: string) => string,
): readonly TreeLine[] {
  const titles = children.filter((child) => child.cleared).map((child) => inSentence(say(child.title)));
  if (titles.length === 0) return [];
  const left = titles.length - CLEARED_NAMES;
  const named = left > 0 ? [...titles.slice(0, CLEARED_NAMES), `${left} more`] : titles;
  return [{ depth, title: listWords(named), chance: '', cleared: true }];
}
