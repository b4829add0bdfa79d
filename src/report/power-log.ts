// Power, proofs and links in order of time. Proofs asked one after the other stand on one line: a page of zeros is not read.
import { answerWords, type Gate, gatesFor, safetyFacts } from '../safety/index.ts';
import { formatValue } from '../session/index.ts';
import type { SafetyEntry } from '../session/types.ts';
import type { ReportInput } from './input.ts';
import { timeWords, typedText } from './text.ts';

export interface PowerLine {
  readonly at: string;
  readonly what: string;
  readonly detail: string;
}

/** The safety log as the record shows it. */
export function powerLog(
  { view, rulebook }: ReportInput,
  say: (text: string) => string,
): readonly PowerLine[] {
  const { set, safetyLog } = view.state;
  const family = rulebook.families.find((one) => one.id === set?.family);
  const gates = new Map(gatesFor(safetyFacts(set, family)).map((gate) => [`${gate.id}`, gate]));
  const lines: PowerLine[] = [];
  let proofs: string[] = [];
  let since = '';
  let passed = true;
  /** Volts of a bring-up, one after the other: they too stand on one line. */
  let steps: string[] = [];
  const close = () => {
    if (steps.length > 0)
      lines.push({ at: since, what: say('Line at the set'), detail: `${steps.join(', ')} V` });
    steps = [];
    if (proofs.length > 0)
      lines.push({ at: since, what: say(passed ? 'Proven' : 'Not proven'), detail: proofs.join('; ') });
    proofs = [];
  };
  for (const entry of safetyLog) {
    if (entry.type === 'line-volts') {
      if (steps.length === 0) {
        close();
        since = timeWords(entry.at);
      }
      steps.push(`${entry.lineVolts}`);
      continue;
    }
    if (entry.type === 'gate') {
      const gate = gates.get(entry.gate);
      // An answer that failed, or was given out of its place, is on record and proves nothing.
      const passes = !view.safety.unproven.has(entry.seq);
      if (passes !== passed || steps.length > 0) close();
      passed = passes;
      if (proofs.length === 0) since = timeWords(entry.at);
      proofs.push(say(proofWords(entry, gate)));
      continue;
    }
    const line = eventLine(entry, say);
    if (!line) continue;
    close();
    lines.push(line);
  }
  close();
  return lines;
}

/** `Anode discharged, first time: 12 V`; a plain yes needs no word of its own. */
function proofWords(entry: Extract<SafetyEntry, { type: 'gate' }>, gate: Gate | undefined): string {
  const title = gate?.title ?? entry.gate.replaceAll('-', ' ');
  const { value } = entry;
  if (value.kind === 'choice' && value.option === 'yes') return title;
  return `${title}: ${typedText(gate ? answerWords(gate, value) : formatValue(value))}`;
}

function eventLine(entry: SafetyEntry, say: (text: string) => string): PowerLine | undefined {
  const line = (what: string, detail = '') => ({ at: timeWords(entry.at), what: say(what), detail });
  switch (entry.type) {
    case 'powered-up':
      return line(
        entry.to === 'isolated-limited'
          ? 'Powered up, isolated, on the lamp'
          : 'Powered up, isolated, full line',
        `${entry.lineVolts} V`,
      );
    case 'powered-off':
      return line('Powered off', say(typedText(entry.why)));
    case 'configured':
      return line(`Set: ${entry.item.replaceAll('-', ' ')}`, typedText(entry.value).replaceAll('-', ' '));
    case 'link-fitted':
      return line('Link fitted', typedText(entry.what));
    case 'link-removed':
      return line('Link removed', typedText(entry.what));
    case 'touched':
      return line(`Proof of discharge lost: ${entry.what.replaceAll('-', ' ')}`);
    case 'resumed':
      return line('Session taken up again: nothing counts as dead until proven');
    case 'gate':
    case 'check':
    case 'described':
    case 'bench':
      return undefined;
  }
}
