import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    benchmark: { include: ['tests/bench/**/*.bench.ts'] },
    testTimeout: 60_000,
    // vitest leaves one core out; the suite is meant for machines that have two.
    maxWorkers: 2,
    reporters: ['default'],
  },
});
