// What a grade says for itself: one or two sentences in the names of the readings that it rests on.
import type { Part, Rulebook } from '../rulebook/types.ts';
import { chanceWords, checkTitle, inSentence, listWords, sentence } from './plain-words.ts';
import type { Grade, Weight } from './types.ts';

/** Prior-weighted share of modes that must be spoken against before anything is called sound. */
export const PROOF_WANTED = 0.9;

/** Names of up to three checks that raised (`+1`) or spoke for (`-1`) a part, for a sentence. */
function movers(weights: readonly Weight[], direction: 1 | -1, rulebook: Rulebook): string {
  const names = weights
    .filter((entry) => entry.weight * direction > 0.3)
    .slice(0, 3)
    .map((entry) => checkTitle(rulebook, entry.check));
  return listWords(names);
}

/** `flyback primary, shorted turns`; a part named after its only fault says it once. */
function titleOf(part: string, fault: string): string {
  return part.toLowerCase().endsWith(fault.toLowerCase())
    ? inSentence(part)
    : `${inSentence(part)}, ${inSentence(fault)}`;
}

interface Saying {
  readonly grade: Grade;
  readonly bad: number;
  readonly proof: number;
  readonly because: readonly Weight[];
  readonly restsOn: readonly string[];
  readonly worst: { readonly part: Part; readonly fault: string } | undefined;
  readonly rulebook: Rulebook;
}

/** One or two sentences: what the grade rests on, in the names of the readings. */
export function sayGrade({ grade, bad, proof, because, restsOn, worst, rulebook }: Saying): string {
  const against = movers(because, 1, rulebook);
  const infavour = movers(because, -1, rulebook);
  const culprit = worst ? titleOf(worst.part.title, worst.fault) : 'a fault in it';
  const proven = listWords(restsOn.slice(0, 4).map((id) => checkTitle(rulebook, id)));
  switch (grade) {
    case 'failed':
      return `${against ? `Pointed at by ${against}` : 'Pointed at by the readings together'}: ${culprit} (${chanceWords(bad)} that it is bad).`;
    case 'doubtful':
      return against && infavour
        ? `Readings disagree: ${against} against it, ${infavour} for it; ${chanceWords(bad)} that it is bad, likeliest by this: ${culprit}.`
        : `${against ? `${sentence(against)} put it in doubt` : 'The readings together put it in doubt'}: ${chanceWords(bad)} that it is bad, likeliest by this: ${culprit}.`;
    case 'sound':
      return proven || infavour
        ? `Proven by ${proven || infavour}.`
        : 'Every way it can fail was spoken against.';
    case 'serviceable':
      return proven || infavour
        ? `Works as far as it was tested (${proven || infavour}); a longer test is still open.`
        : 'Works as far as it was tested; a longer test is still open.';
    case 'not proven':
      if (proof === 0 && !infavour) return 'No reading that was taken proves it either way.';
      return sentence(
        proof >= PROOF_WANTED
          ? `${infavour ? `${infavour} spoke for it, and ` : ''}most of what can fail in it was ruled out; the test that would prove it was not made.`
          : `${infavour ? `${infavour} spoke for it, but ` : ''}${shareWords(proof)} of what can fail in it was ruled out.`,
      );
  }
}

function shareWords(proof: number): string {
  if (proof < 0.05) return 'next to nothing';
  if (proof < 0.4) return 'less than half';
  if (proof < 0.6) return 'about half';
  return 'only part';
}
