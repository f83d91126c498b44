import { defineConfig } from 'vitest/config';

/** For `npm run mutants`: the tests of the room that is changed, without those that take long. */
const room = process.env.MUTANT_ROOM ?? 'marks';

export default defineConfig({
  test: {
    include: [room, 'published'].map((folder) => `tests/${folder}/**/*.test.ts`),
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
