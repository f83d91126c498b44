import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vitest/config';
import { BaseSequencer } from 'vitest/node';

/** For tests/evidence/mutants.js: the tests that need no process of their own and do not take long, in one process. */
const rooms = [
  'marks',
  'calibration',
  'fit',
  'verdict',
  'cut',
  'published',
  'plan',
  'report',
  'job',
  'fixtures',
  'cli',
];
const long = [
  'slip-rates',
  'touch-trials',
  'random-jobs',
  'findings-random',
  'parallel',
  'two-causes',
  'ambiguity',
  'not-excluded',
  'turns-at',
  'process',
  'engines',
  'completion',
  'bounds',
  'streams',
  'save',
  'scan',
  'fern-screen',
  ...(process.env.MUTANTS_WITHOUT ?? '').split(' ').filter((name) => name !== ''),
];

class ByRoom extends BaseSequencer {
  async sort(files) {
    const place = ({ moduleId }) => rooms.findIndex((room) => moduleId.includes(`/tests/${room}/`));
    return files.sort((a, b) => place(a) - place(b) || (a.moduleId < b.moduleId ? -1 : 1));
  }
}

const { texts } = JSON.parse(readFileSync(process.env.MUTANTS_PLAN, 'utf8'));
const placed = new Map(
  Object.entries(texts).map(([name, text]) => [fileURLToPath(new URL(name, import.meta.url)), text]),
);

export default defineConfig({
  plugins: [{ name: 'mutants', enforce: 'pre', transform: (_, id) => placed.get(id) }],
  test: {
    include: (process.env.MUTANTS_TESTS ?? rooms.map((room) => `tests/${room}/**/*.test.ts`).join(' ')).split(
      ' ',
    ),
    exclude: long.map((name) => `tests/**/${name}.test.ts`),
    runner: fileURLToPath(new URL('tests/evidence/mutants-runner.ts', import.meta.url)),
    testTimeout: 600_000,
    hookTimeout: 600_000,
    maxWorkers: 1,
    pool: 'forks',
    isolate: false,
    sequence: { sequencer: ByRoom },
    reporters: ['dot'],
  },
});
