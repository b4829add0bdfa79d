// Types of the bundling helper for Ink.
import type { Plugin } from 'esbuild';

export const noDeveloperTools: Plugin;
