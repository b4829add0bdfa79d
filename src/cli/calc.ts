// `calc`: one bench calculation with typed arguments; `calc --list`: what there is.
import { formatQuantity } from '../bench/quantity.ts';
import { describeCalculations, findCalculation, runCalculation } from '../bench/registry.ts';
import { EXIT, InputError, UsageError } from './problem.ts';
import type { CommandLine } from './usage.ts';

export function runCalc(line: CommandLine): number {
  if (line.list) return listCalculations(line.json);
  const [name, ...pairs] = line.rest;
  if (name === undefined)
    throw new UsageError('"calc" takes a name and key=value; "calc --list" names them.');
  const args: Record<string, string> = {};
  for (const pair of pairs) {
    const at = pair.indexOf('=');
    if (at < 1) throw new UsageError(`"${pair}" is not key=value.`);
    const key = pair.slice(0, at);
    if (Object.hasOwn(args, key)) throw new UsageError(`"${key}" is given twice.`);
    args[key] = pair.slice(at + 1);
  }
  const result = runCalculation(name, args);
  if (!result.ok) throw new InputError(`${result.error}${exampleOf(name)}`);
  if (line.json) {
    process.stdout.write(`${JSON.stringify(result, null, 2)}\n`);
    return EXIT.done;
  }
  const rows = Object.entries(result.outputs).map(([key, value]) => {
    const unit = result.units[key] ?? '';
    return `  ${key} = ${typeof value === 'number' ? formatQuantity(value, unit) : value}`;
  });
  process.stdout.write(`${result.title}\n${rows.join('\n')}\n  source: ${result.source}\n`);
  return EXIT.done;
}

function exampleOf(name: string): string {
  const found = findCalculation(name);
  if (!found) return '';
  const args = Object.entries(found.example).map(([key, value]) => `${key}=${value}`);
  return `\nExample: first-raster calc ${name} ${args.join(' ')}`;
}

function listCalculations(json: boolean): number {
  const all = describeCalculations();
  if (json) {
    process.stdout.write(`${JSON.stringify(all, null, 2)}\n`);
    return EXIT.done;
  }
  for (const c of all) {
    const inputs = c.inputs.map((i) => {
      const unit = i.unit ? ` [${i.unit}]` : '';
      return `    ${i.name}${unit}${i.default === undefined && !i.optional ? '' : ' (may be left out)'}: ${i.description}`;
    });
    const outputs = c.outputs.map((o) => `    -> ${o.name}${o.unit ? ` [${o.unit}]` : ''}: ${o.description}`);
    process.stdout.write(
      `${[`${c.name}: ${c.title}`, ...inputs, ...outputs, `    source: ${c.source}`].join('\n')}\n\n`,
    );
  }
  return EXIT.done;
}
