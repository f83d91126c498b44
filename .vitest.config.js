import { defineConfig } from 'vitest/config';
import { BaseSequencer } from 'vitest/node';

/** The longest files, the longest first: begun last, one of them would keep one core busy while the other has nothing left. */
const longest = [
  'page/page',
  'cut/random-jobs',
  'plan/plan',
  'cli/process',
  'cut/parallel',
  'drawing/dxf-versions',
  'drawing/dxf-corpus',
  'drawing/style-sheets',
  'fit/slip-rates',
  'fit/touch-trials',
];

/** vitest knows how long files take only where they ran before; a fresh clone does not. */
class LongestFirst extends BaseSequencer {
  async sort(files) {
    const place = ({ moduleId }) => {
      const found = longest.findIndex((name) => moduleId.endsWith(`/tests/${name}.test.ts`));
      return found < 0 ? longest.length : found;
    };
    return (await super.sort(files)).sort((a, b) => place(a) - place(b));
  }
}

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    benchmark: { include: ['tests/bench/**/*.bench.ts'] },
    testTimeout: 60_000,
    hookTimeout: 60_000,
    // vitest leaves one core out; the suite is meant for machines that have two.
    maxWorkers: 2,
    // Files that run in one worker share the modules under test, as jobs of one call share them: loading and compiling them
    // anew for each of 150 files took two fifths of the time. So what a test sets or puts in a module's place it takes back.
    isolate: false,
    sequence: { sequencer: LongestFirst },
    reporters: ['default'],
  },
});
