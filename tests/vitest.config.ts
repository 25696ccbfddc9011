import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    root: new URL('.', import.meta.url).pathname,
    include: ['**/*.test.ts'],
    // Property tests walk tens of thousands of inputs on a small machine.
    testTimeout: 300_000,
    hookTimeout: 300_000,
    // What is waited for by looking again: a loaded machine is slow, not wrong.
    expect: { poll: { timeout: 60_000 } },
    maxWorkers: 2,
    setupFiles: ['seed.ts'],
    reporters: ['default'],
  },
});
