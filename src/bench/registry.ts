// All bench calculations by name, and the way to call one with typed text and get numbers or a clear refusal.
import type { ArgumentValue, Calculation, CalculationInput, OutputValue } from './calculation.ts';
import { chargeCalculations } from './calculations/charge.ts';
import { heaterCalculations } from './calculations/heaters.ts';
import { meterCalculations } from './calculations/meters.ts';
import { partCalculations } from './calculations/parts.ts';
import { pictureTubeCalculations } from './calculations/picture-tube.ts';
import { powerUpCalculations } from './calculations/power-up.ts';
import { rectifierCalculations } from './calculations/rectifiers.ts';
import { safetyCalculations } from './calculations/safety.ts';
import { stageCalculations } from './calculations/stages.ts';
import { supplyCalculations } from './calculations/supplies.ts';
import { timingCalculations } from './calculations/timing.ts';
import { windingCalculations } from './calculations/windings.ts';
import { ArgumentError } from './numbers.ts';
import { formatQuantity, parseQuantity } from './quantity.ts';

export const calculations: readonly Calculation[] = [
  ...chargeCalculations,
  ...safetyCalculations,
  ...powerUpCalculations,
  ...supplyCalculations,
  ...rectifierCalculations,
  ...meterCalculations,
  ...heaterCalculations,
  ...stageCalculations,
  ...pictureTubeCalculations,
  ...windingCalculations,
  ...partCalculations,
  ...timingCalculations,
];

const BY_NAME = new Map(calculations.map((c) => [c.name, c]));

export type CalculationResult =
  | {
      readonly ok: true;
      readonly name: string;
      readonly title: string;
      /** Arguments as understood, SI, defaults included. */
      readonly inputs: Readonly<Record<string, ArgumentValue>>;
      readonly outputs: Readonly<Record<string, OutputValue>>;
      /** Unit of every output. */
      readonly units: Readonly<Record<string, string>>;
      readonly source: string;
    }
  | { readonly ok: false; readonly error: string };

/** The calculation of that name. */
export function findCalculation(name: string): Calculation | undefined {
  return BY_NAME.get(name);
}

/**
 * Runs a calculation with arguments as typed (`4k7`, `100u`). Never throws for bad input: `error` names the argument and
 * says what is allowed.
 */
export function runCalculation(name: string, rawArgs: Readonly<Record<string, string>>): CalculationResult {
  const calculation = BY_NAME.get(name);
  if (calculation === undefined) return { ok: false, error: unknownName(name) };
  const known = calculation.inputs.map((input) => input.name);
  for (const given of Object.keys(rawArgs)) {
    if (!known.includes(given)) {
      return { ok: false, error: `${name}: unknown argument "${given}"; allowed: ${known.join(', ')}` };
    }
  }
  const inputs: Record<string, ArgumentValue> = {};
  for (const input of calculation.inputs) {
    const raw = Object.hasOwn(rawArgs, input.name) ? rawArgs[input.name] : undefined;
    const text = raw ?? (input.default === undefined ? undefined : String(input.default));
    if (text === undefined) {
      if (input.optional) continue;
      return { ok: false, error: `${name}: ${input.name} is missing: ${input.description}${allowed(input)}` };
    }
    const parsed = parseArgument(input, text);
    if (!parsed.ok) return { ok: false, error: `${name}: ${input.name} ${parsed.why}` };
    inputs[input.name] = parsed.value;
  }
  let outputs: Record<string, OutputValue>;
  try {
    outputs = calculation.run(inputs);
  } catch (error) {
    if (error instanceof ArgumentError) return { ok: false, error: `${name}: ${error.message}` };
    throw error;
  }
  for (const output of calculation.outputs) {
    const value = outputs[output.name];
    if (typeof value === 'number' && !Number.isFinite(value)) {
      return {
        ok: false,
        error: `${name}: these arguments give no finite ${output.name}; check ${known.join(', ')}`,
      };
    }
  }
  return {
    ok: true,
    name,
    title: calculation.title,
    inputs,
    outputs,
    units: Object.fromEntries(calculation.outputs.map((output) => [output.name, output.unit])),
    source: calculation.source,
  };
}

/** Everything a machine needs to call each calculation, as plain data. */
export function describeCalculations(): readonly Omit<Calculation, 'run'>[] {
  return calculations.map(({ name, title, summary, inputs, outputs, source, example }) => ({
    name,
    title,
    summary,
    inputs,
    outputs,
    source,
    example,
  }));
}

type ParsedArgument =
  | { readonly ok: true; readonly value: ArgumentValue }
  | { readonly ok: false; readonly why: string };

function parseArgument(input: CalculationInput, text: string): ParsedArgument {
  if (input.list === 'words') {
    const list = split(text);
    return list.length > 0 ? { ok: true, value: list } : { ok: false, why: 'is empty' };
  }
  if (input.list === 'numbers') {
    const list: number[] = [];
    for (const part of split(text)) {
      const parsed = parseNumber(input, part);
      if (!parsed.ok) return parsed;
      list.push(parsed.value);
    }
    return list.length > 0 ? { ok: true, value: list } : { ok: false, why: 'is empty' };
  }
  if (input.choices !== undefined) {
    const choice = text.trim();
    if (input.choices.includes(choice)) return { ok: true, value: choice };
    return { ok: false, why: `must be one of ${input.choices.join(', ')}, not "${text}"` };
  }
  return parseNumber(input, text);
}

function split(text: string): string[] {
  return text
    .split(/[,;\s]+/)
    .map((part) => part.trim())
    .filter((part) => part !== '');
}

function parseNumber(
  input: CalculationInput,
  text: string,
): { readonly ok: true; readonly value: number } | { readonly ok: false; readonly why: string } {
  const parsed = parseQuantity(text, input.unit);
  if (!parsed.ok) return parsed;
  const { value } = parsed;
  const low = input.min ?? Number.NEGATIVE_INFINITY;
  const high = input.max ?? Number.POSITIVE_INFINITY;
  if (value < low || value > high) {
    return { ok: false, why: `must be ${range(input)}, not ${formatQuantity(value, input.unit)}` };
  }
  if (input.integer && !Number.isInteger(value))
    return { ok: false, why: `must be a whole number, not ${text}` };
  return { ok: true, value };
}

function range(input: CalculationInput): string {
  return `from ${formatQuantity(input.min ?? 0, input.unit)} to ${formatQuantity(input.max ?? 0, input.unit)}`;
}

function allowed(input: CalculationInput): string {
  if (input.choices !== undefined) return ` (one of ${input.choices.join(', ')})`;
  if (input.list === 'words') return ' (words separated by commas)';
  return ` (${input.list === 'numbers' ? 'numbers separated by commas, each ' : ''}${range(input)})`;
}

function unknownName(name: string): string {
  const near = calculations.filter(
    (c) => name.length > 2 && (c.name.includes(name) || name.includes(c.name)),
  );
  const hint = near.length > 0 ? `; did you mean ${near.map((c) => c.name).join(', ')}` : '';
  return `no calculation is called "${name}"${hint}; the list names all ${calculations.length}`;
}
