// Everything of the bench arithmetic that other rooms use.
export * from './bring-up.ts';
export * from './discharge.ts';
export * from './expected-b-plus.ts';
export * from './lamp-limiter.ts';
export * from './leakage.ts';
export * from './line-correction.ts';
export * from './meter-loading.ts';
export { ArgumentError } from './numbers.ts';
export * from './picture-tube.ts';
export * from './preferred-values.ts';
export * from './rectifier.ts';
export * from './safety-limits.ts';
export * from './stack.ts';
export * from './supply.ts';
export * from './uncertainty.ts';
export * from './windings.ts';
