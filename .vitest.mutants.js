import { defineConfig } from 'vitest/config';

/** For `npm run mutants`: the tests of the rooms that are changed, without those that take long. */
const rooms = (process.env.MUTANT_ROOMS ?? 'fit,verdict,cut,marks,calibration').split(',');

export default defineConfig({
  test: {
    include: [...rooms, 'published', 'numeric'].map((room) => `tests/${room}/**/*.test.ts`),
    exclude: [
      'slip-rates',
      'touch-trials',
      'random-jobs',
      'findings-random',
      'parallel',
      'two-causes',
      'ambiguity',
      'not-excluded',
    ].map((name) => `tests/**/${name}.test.ts`),
    testTimeout: 600_000,
    maxWorkers: 1,
    reporters: ['default'],
  },
});
