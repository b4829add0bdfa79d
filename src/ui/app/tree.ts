// Why: signals that are not right, each opening into the fault tree behind it, with what readings have cleared.
import type { FaultTreeNode } from '../../diagnosis/types.ts';
import type { Key } from '../key-stream.ts';
import type { Command } from '../keys.ts';
import type { App } from './app.ts';
import { listMove } from './list-move.ts';
import type { Acts, TreeScreen } from './model.ts';
import { openRepair } from './repair.ts';
import { openSheet } from './walk.ts';

export interface TreeRow {
  /** Ids from the root, joined by `/`: the same node can hang in several places. */
  readonly path: string;
  readonly depth: number;
  readonly node: FaultTreeNode;
  readonly openable: boolean;
  readonly open: boolean;
}

const PAGE = 10;
const DEEPEST = 12;

/** Probability that a signal is not right. */
function wrong(app: App, signal: string): number {
  const levels = app.state.live?.view.belief?.signals.get(signal);
  return levels ? 1 - levels.normal : 0;
}

/** Opens at the signal that is likeliest wrong; of equals, what the owner sees comes first. */
export function openTree(app: App): Acts {
  const worst = rootSignals(app)[0];
  const screen: TreeScreen = { kind: 'tree', index: 0, open: [], trees: {} };
  app.push(worst ? opened(app, screen, worst.id) : screen);
}

/** Signals in the order of the list: likeliest wrong first, what the owner sees before what only a meter sees. */
function rootSignals(app: App): readonly { readonly id: string; readonly title: string }[] {
  const belief = app.state.live?.view.belief;
  if (!belief) return [];
  return app.book.signals
    .filter((s) => belief.signals.has(s.id))
    .map((s, order) => ({ ...s, order, p: wrong(app, s.id) + (s.outcome ? 0.2 : 0) }))
    .sort((a, b) => b.p - a.p || a.order - b.order);
}

/** The screen with a branch opened; a signal's tree is computed when it is first looked into. */
function opened(app: App, screen: TreeScreen, path: string): TreeScreen {
  const { live } = app.state;
  const isRoot = !path.includes('/');
  const tree = isRoot && live && !screen.trees[path] ? app.engine.faultTree(live.view, path) : undefined;
  return {
    ...screen,
    open: [...screen.open, path],
    trees: tree ? { ...screen.trees, [path]: tree } : screen.trees,
  };
}

export function treeRows(app: App, screen: TreeScreen): readonly TreeRow[] {
  const open = new Set(screen.open);
  const rows: TreeRow[] = [];
  const add = (node: FaultTreeNode, path: string, depth: number): Acts => {
    const isOpen = open.has(path);
    rows.push({ path, depth, node, openable: node.children.length > 0, open: isOpen });
    if (!isOpen || depth >= DEEPEST) return;
    for (const child of node.children) add(child, `${path}/${child.id}`, depth + 1);
  };
  for (const signal of rootSignals(app)) {
    const tree = screen.trees[signal.id];
    if (tree) {
      add({ ...tree, title: signal.title }, signal.id, 0);
      continue;
    }
    const probability = wrong(app, signal.id);
    const node: FaultTreeNode = {
      id: signal.id,
      kind: 'signal',
      title: signal.title,
      probability,
      responsibility: 0,
      cleared: false,
      children: [],
    };
    rows.push({ path: signal.id, depth: 0, node, openable: true, open: false });
  }
  return rows;
}

export function keyTree(app: App, screen: TreeScreen, _key: Key, command: Command | undefined): Acts {
  if (openSheet(app, command)) return;
  const rows = treeRows(app, screen);
  const row = rows[screen.index];
  const move = (to: number): Acts =>
    app.show({ ...screen, index: Math.max(0, Math.min(rows.length - 1, to)) });
  const close = (path: string): Acts => app.show({ ...screen, open: screen.open.filter((o) => o !== path) });
  const to = listMove(command, screen.index, rows.length, PAGE);
  if (to !== undefined) return move(to);
  switch (command) {
    case 'back':
      return app.pop();
    case 'repair':
      return openRepair(
        app,
        row?.node.kind === 'part' ? row.node.id.split('/')[0]?.replace(/^part:/, '') : undefined,
      );
    case 'take':
      if (row?.open) return close(row.path);
      return row?.openable ? app.show(opened(app, screen, row.path)) : undefined;
    case 'open':
      return row?.openable && !row.open ? app.show(opened(app, screen, row.path)) : undefined;
    case 'close': {
      if (row?.open) return close(row.path);
      const parent = row?.path.split('/').slice(0, -1).join('/');
      const at = rows.findIndex((r) => r.path === parent);
      return at >= 0 ? move(at) : undefined;
    }
  }
}
