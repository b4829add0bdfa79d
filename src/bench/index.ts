// Everything of the bench arithmetic that other rooms use.
export * from './bring-up.ts';
export type { Calculation, CalculationInput, CalculationOutput } from './calculation.ts';
export * from './discharge.ts';
export * from './expected-b-plus.ts';
export * from './heater-string.ts';
export * from './lamp-limiter.ts';
export * from './leakage.ts';
export * from './line-correction.ts';
export * from './meter-ac.ts';
export * from './meter-loading.ts';
export { ArgumentError } from './numbers.ts';
export * from './parts.ts';
export * from './picture-tube.ts';
export * from './preferred-values.ts';
export { formatQuantity, parseQuantity } from './quantity.ts';
export * from './rectifier.ts';
export {
  type CalculationResult,
  calculations,
  describeCalculations,
  findCalculation,
  runCalculation,
} from './registry.ts';
export * from './safety-limits.ts';
export * from './stack.ts';
export * from './stages.ts';
export * from './supply.ts';
export * from './timing.ts';
export * from './uncertainty.ts';
export * from './windings.ts';
