// Types of the bundling helper for Ink.
import type { Plugin } from 'esbuild';

export const noDeveloperTools: Plugin;
export const emojiOnDemand: Plugin;
export const REGEXP_SETS: Readonly<Record<string, boolean>>;
