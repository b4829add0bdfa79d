// Guards and small numeric tools shared by all bench calculations: argument checks that name the argument,
// and a bracketing root finder. Nothing here knows about television sets.

/** An argument outside what the calculation can take. `message` names the argument and says what is allowed. */
export class ArgumentError extends RangeError {
  readonly argument: string;
  readonly allowed: string;

  constructor(argument: string, allowed: string, got: unknown) {
    super(
      `${argument} must be ${allowed}, not ${typeof got === 'number' ? String(got) : JSON.stringify(got)}`,
    );
    this.name = 'ArgumentError';
    this.argument = argument;
    this.allowed = allowed;
  }
}

/** Returns `value` when it is finite, otherwise throws an ArgumentError that names `argument`. */
export function finite(argument: string, value: number): number {
  if (!Number.isFinite(value)) throw new ArgumentError(argument, 'a finite number', value);
  return value;
}

/** Returns `value` when it is finite and above zero. */
export function positive(argument: string, value: number): number {
  if (!(Number.isFinite(value) && value > 0)) throw new ArgumentError(argument, 'above zero', value);
  return value;
}

/** Returns `value` when it is finite and zero or more. */
export function notNegative(argument: string, value: number): number {
  if (!(Number.isFinite(value) && value >= 0)) throw new ArgumentError(argument, 'zero or more', value);
  return value;
}

/** Returns `value` when it lies in [low, high]. */
export function within(argument: string, value: number, low: number, high: number): number {
  if (!(value >= low && value <= high)) throw new ArgumentError(argument, `from ${low} to ${high}`, value);
  return value;
}

/** Returns `list` when it is not empty and every entry is above zero. */
export function positiveList(argument: string, list: readonly number[]): readonly number[] {
  if (list.length === 0) throw new ArgumentError(argument, 'a list of at least one number', '');
  for (const value of list) positive(argument, value);
  return list;
}

/**
 * Root of a continuous function that changes sign between `low` and `high`, by bisection to a relative width of
 * 1e-12. Bisection because the laws solved here (lamps, heaters, tubes) have kinks that upset faster methods, and
 * 60 halvings cost microseconds.
 */
export function bisect(f: (x: number) => number, low: number, high: number): number {
  let a = low;
  let b = high;
  const rising = f(b) >= f(a);
  for (let i = 0; i < 100 && b - a > 1e-12 * (Math.abs(a) + Math.abs(b)); i++) {
    const middle = (a + b) / 2;
    if (f(middle) > 0 === rising) b = middle;
    else a = middle;
  }
  return (a + b) / 2;
}

/** Value of resistors in parallel, ohm. */
export function parallelOhms(...ohms: readonly number[]): number {
  return 1 / ohms.reduce((sum, value) => sum + 1 / value, 0);
}
