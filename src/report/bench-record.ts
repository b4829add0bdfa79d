// The bench record as plain data: every reading, skip, proof of discharge, correction, repair and note, for whoever opens the set next.

import { chanceWords } from '../diagnosis/plain-words.ts';
import type { FaultTreeNode } from '../diagnosis/types.ts';
import { formatValue } from '../session/index.ts';
import type { SafetyEntry } from '../session/types.ts';
import type { ReportInput } from './input.ts';
import type { Measured } from './measured.ts';
import { timeWords, typedText } from './text.ts';

export interface TreeLine {
  readonly depth: number;
  readonly title: string;
  readonly chance: string;
  readonly cleared: boolean;
}

export interface BenchRecord {
  readonly readings: readonly Measured[];
  readonly power: readonly { readonly at: string; readonly what: string; readonly detail: string }[];
  readonly skipped: readonly { readonly title: string; readonly reason: string; readonly note: string }[];
  readonly repairs: readonly {
    readonly at: string;
    readonly part: string;
    readonly action: string;
    readonly found: string;
    readonly note: string;
  }[];
  readonly notes: readonly { readonly at: string; readonly text: string; readonly about: string }[];
  readonly trees: readonly (readonly TreeLine[])[];
  readonly minutes: number;
  readonly instruments: readonly string[];
  readonly tubes: readonly (readonly [role: string, type: string])[];
  readonly rules: string;
}

const SKIP_WORDS = {
  'no-instrument': 'no instrument for it',
  'cannot-reach': 'could not be reached',
  later: 'put off',
  'not-fitted': 'not fitted',
  other: 'left out',
} as const;

/** Everything below the owner's page. */
export function benchRecord(
  { view, session, rulebook, faultTrees }: ReportInput,
  readings: readonly Measured[],
  say: (text: string) => string,
): BenchRecord {
  const checkTitle = (id: string) =>
    say(rulebook.checks.find((check) => check.id === id)?.title ?? typedText(id));
  const partTitle = (id: string) =>
    say(rulebook.parts.find((part) => part.id === id)?.title ?? typedText(id));
  const { state } = view;
  return {
    readings,
    power: state.safetyLog.flatMap((entry) => powerLine(entry, say)),
    skipped: state.skipped.map((entry) => ({
      title: checkTitle(entry.check),
      reason: SKIP_WORDS[entry.reason],
      note: typedText(entry.note),
    })),
    repairs: state.repairs.map((entry) => ({
      at: timeWords(entry.at),
      part: partTitle(entry.part),
      action: entry.action,
      found: typedText(entry.found),
      note: typedText(entry.note),
    })),
    notes: state.notes.map((entry) => ({
      at: timeWords(entry.at),
      text: typedText(entry.text),
      about: entry.check === '' ? '' : checkTitle(entry.check),
    })),
    trees: (faultTrees ?? []).map((tree) => treeLines(tree, 0, say)),
    minutes: Math.round(view.minutes),
    instruments: state.instruments.map((id) =>
      say(rulebook.instruments.find((i) => i.id === id)?.title ?? typedText(id)),
    ),
    tubes: Object.entries(state.set?.tubes ?? {}).map(
      ([role, type]) => [say(role.replaceAll('-', ' ')), typedText(type)] as const,
    ),
    rules: `${typedText(session.rules.name)} ${typedText(session.rules.version)} (${typedText(session.rules.hash).slice(0, 12)})${
      session.rules.hash === rulebook.hash
        ? ''
        : `; this report was judged by ${rulebook.name} ${rulebook.version} (${rulebook.hash.slice(0, 12)})`
    }`,
  };
}

function powerLine(entry: SafetyEntry, say: (text: string) => string) {
  const line = (what: string, detail = '') => [{ at: timeWords(entry.at), what: say(what), detail }];
  switch (entry.type) {
    case 'gate':
      return line(`Proof: ${entry.gate.replaceAll('-', ' ')}`, typedText(formatValue(entry.value)));
    case 'powered-up':
      return line(
        entry.to === 'isolated-limited'
          ? 'Powered up, isolated, on the lamp'
          : 'Powered up, isolated, full line',
        `${entry.lineVolts} V`,
      );
    case 'powered-off':
      return line('Powered off', typedText(entry.why));
    case 'configured':
      return line(`Set: ${entry.item.replaceAll('-', ' ')}`, typedText(entry.value));
    case 'link-fitted':
      return line('Link fitted', typedText(entry.what));
    case 'link-removed':
      return line('Link removed', typedText(entry.what));
    case 'touched':
      return line(`Proof of discharge lost: ${entry.what.replaceAll('-', ' ')}`);
    case 'resumed':
      return line('Session taken up again: nothing counts as dead until proven');
    case 'check':
    case 'described':
      return [];
  }
}

function treeLines(node: FaultTreeNode, depth: number, say: (text: string) => string): readonly TreeLine[] {
  return [
    { depth, title: say(node.title), chance: chanceWords(node.probability), cleared: node.cleared },
    ...node.children.flatMap((child) => treeLines(child, depth + 1, say)),
  ];
}
