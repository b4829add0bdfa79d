// What a bench calculation looks like to the command line: typed inputs with ranges, outputs with units, source, example.
import { ArgumentError } from './numbers.ts';

/** One input. Numbers are SI; `choices` makes it a word; `list` a comma-separated list. */
export interface CalculationInput {
  readonly name: string;
  readonly unit: string;
  readonly description: string;
  readonly min?: number;
  readonly max?: number;
  readonly integer?: boolean;
  readonly optional?: boolean;
  readonly default?: number | string;
  readonly choices?: readonly string[];
  readonly list?: 'numbers' | 'words';
}

export interface CalculationOutput {
  readonly name: string;
  readonly unit: string;
  readonly description: string;
}

export type ArgumentValue = number | string | readonly number[] | readonly string[] | undefined;
export type OutputValue = number | string;

/** A calculation that can be called by name. `run` takes parsed and checked arguments. */
export interface Calculation {
  readonly name: string;
  readonly title: string;
  readonly summary: string;
  readonly inputs: readonly CalculationInput[];
  readonly outputs: readonly CalculationOutput[];
  readonly source: string;
  readonly example: Readonly<Record<string, string | number>>;
  run(args: Readonly<Record<string, ArgumentValue>>): Record<string, OutputValue>;
}

type ValueOf<S extends CalculationInput> = S extends { readonly list: 'numbers' }
  ? readonly number[]
  : S extends { readonly list: 'words' }
    ? readonly string[]
    : S extends { readonly choices: infer C extends readonly string[] }
      ? C[number]
      : number;

type ArgumentsOf<I extends readonly CalculationInput[]> = {
  readonly [S in I[number] as S['name']]: S extends { readonly optional: true }
    ? ValueOf<S> | undefined
    : ValueOf<S>;
};

type ResultsOf<O extends readonly CalculationOutput[]> = {
  readonly [S in O[number] as S['name']]: OutputValue;
};

/** Range that an input of a unit has when it names none; wide enough for any bench, narrow enough to catch slips. */
const UNIT_RANGES: Readonly<Record<string, readonly [number, number]>> = {
  V: [1e-6, 100e3],
  A: [1e-12, 1000],
  ohm: [1e-3, 1e12],
  F: [1e-13, 1],
  H: [1e-9, 1e5],
  Hz: [1e-3, 1e10],
  s: [1e-9, 1e7],
  W: [1e-6, 1e5],
  C: [-50, 250],
  '%': [0, 1000],
  mm: [1e-3, 1000],
  'A/V^1.5': [1e-9, 1],
  '': [0, 1e9],
};

/** Makes a calculation whose `run` sees its arguments by name and type; fills in the range of every numeric input. */
export function define<
  const I extends readonly CalculationInput[],
  const O extends readonly CalculationOutput[],
>(calculation: {
  readonly name: string;
  readonly title: string;
  readonly summary: string;
  readonly inputs: I;
  readonly outputs: O;
  readonly source: string;
  readonly example: Readonly<Record<string, string | number>>;
  readonly run: (args: ArgumentsOf<I>) => ResultsOf<O>;
}): Calculation {
  return {
    ...calculation,
    inputs: calculation.inputs.map((input: CalculationInput) => {
      if (input.choices !== undefined || input.list === 'words') return input;
      const [min, max] = UNIT_RANGES[input.unit] ?? [-Number.MAX_VALUE, Number.MAX_VALUE];
      return { ...input, min: input.min ?? min, max: input.max ?? max };
    }),
    // The parser has checked names, kinds and ranges against `inputs`, which is where ArgumentsOf comes from.
    run: (args) => ({ ...calculation.run(args as ArgumentsOf<I>) }),
  };
}

/** Joins a list for an output. */
export function words(values: readonly (string | number)[]): string {
  return values.map((v) => (typeof v === 'number' ? String(Number(v.toPrecision(5))) : v)).join(', ');
}

/** A required pair: both or none. */
export function bothOrNone(
  nameA: string,
  a: number | undefined,
  nameB: string,
  b: number | undefined,
): boolean {
  if (a === undefined && b !== undefined)
    throw new ArgumentError(nameA, `given together with ${nameB}`, 'missing');
  if (a !== undefined && b === undefined)
    throw new ArgumentError(nameB, `given together with ${nameA}`, 'missing');
  return a !== undefined;
}
