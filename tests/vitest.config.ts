// Vitest settings: one config for unit, published, physics and terminal tests.
import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    root: new URL('..', import.meta.url).pathname,
    include: ['tests/**/*.test.{ts,tsx}'],
    testTimeout: 30_000,
    env: { NODE_ENV: 'test', FORCE_COLOR: '0' },
  },
});
