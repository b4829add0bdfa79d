// Public face of the rulebook: types, loading, facts.
export { type LoadedRules, loadRules, problemLine } from './load.ts';
export * from './types.ts';
