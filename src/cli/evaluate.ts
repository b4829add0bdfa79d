// `evaluate`: walks case files with the same engine as the screen. One bad file fails by itself; the others go on.
import { resultOf } from '../report/index.ts';
import { problemLine } from '../rulebook/load.ts';
import { cleanText } from '../rulebook/plain-text.ts';
import { readTextFile } from '../rulebook/text-file.ts';
import type { Rulebook } from '../rulebook/types.ts';
import { readCase } from '../walk/case-file.ts';
import { createEngine, type Engine } from '../walk/engine.ts';
import { answersOf, evaluateAll, evaluateWalk } from '../walk/evaluate.ts';
import { EXIT } from './problem.ts';
import { rulebookFrom } from './rulebase.ts';
import type { CommandLine } from './usage.ts';

export async function runEvaluate(line: CommandLine): Promise<number> {
  const book = await rulebookFrom(line.rules);
  const engine = createEngine(book);
  let failed = 0;
  for (const file of line.rest) {
    const problem = evaluateFile(engine, book, file, line);
    if (problem === '') continue;
    failed += 1;
    process.stderr.write(`${problem}\n`);
  }
  return failed > 0 ? EXIT.input : EXIT.done;
}

function evaluateFile(engine: Engine, book: Rulebook, file: string, line: CommandLine): string {
  const read = readTextFile(file);
  if (!('text' in read))
    return cleanText(`${file}:${read.line}:1: error: ${read.message}. Fix: ${read.fix}.`);
  const { data, problems } = readCase(file, read.text, book);
  if (!data) return problems.map(problemLine).join('\n');
  const walk = line.allAnswers
    ? evaluateAll(engine, data, { explained: line.json })
    : evaluateWalk(engine, data, answersOf(data), { explained: line.json });
  const result = {
    ...resultOf(walk.view, { case: data.name, gates: data.gates, truth: data.truth }),
    minutes: walk.minutes,
    end: walk.end,
    refused: walk.refused,
  };
  const trouble = walk.view.trouble ? `${file}: ${walk.view.trouble}` : '';
  if (line.json) {
    process.stdout.write(`${JSON.stringify(result)}\n`);
    return trouble;
  }
  const suspects = result.suspects
    .slice(0, 5)
    .map((s) => `  ${(s.probability * 100).toFixed(0).padStart(3)} %  ${s.id}`);
  const truth = (result.truth ?? []).map(
    (t) => `  truth ${t.id}: ${t.rank === null ? 'not among the suspects' : `place ${t.rank}`}`,
  );
  process.stdout.write(
    [
      cleanText(`${file}: ${data.name}`),
      `  ${result.verdict?.overall ?? 'no verdict'}; ${result.asked.length} readings, ${result.minutes} min; ${walk.end}`,
      ...suspects,
      ...truth,
      ...walk.refused.map((r) => cleanText(`  not understood: ${r.check}: ${r.message}`)),
      '',
    ].join('\n'),
  );
  return trouble;
}
