// `npm run mutants [-- FILE...]`: changes lines of the files (default: the sample below), one at a time, and counts how
// many changes the tests of their rooms notice. The score is kept in mutants.md. Stryker is fetched into the cache when it
// is first wanted: nothing else needs it.
import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

const here = (path) => fileURLToPath(new URL(path, import.meta.url));
const root = here('../..');
const cache = `${root}/node_modules/.cache/mutants`;
const version = '9.6.1';

/** A file of each room: short ones that decide something. */
const sample = [
  'src/calibration/parts/rule.ts',
  'src/marks/approach.ts',
  'src/verdict/decide.ts',
  'src/cut/order.ts',
  'src/fit/doubts/suspicion.ts',
];
const files = process.argv.length > 2 ? process.argv.slice(2) : sample;

if (!existsSync(`${cache}/node_modules/@stryker-mutator/vitest-runner`)) {
  mkdirSync(cache, { recursive: true });
  writeFileSync(`${cache}/package.json`, '{"private": true}\n');
  const names = ['core', 'vitest-runner'].map((name) => `@stryker-mutator/${name}@${version}`);
  // The project's own vitest is what it runs.
  const done = spawnSync('npm', ['install', '--no-audit', '--no-fund', '--legacy-peer-deps', ...names], {
    cwd: cache,
    stdio: 'inherit',
  });
  if (done.status !== 0) process.exit(1);
}

// Next to the sources, for vitest looks for no tests below node_modules.
const sandbox = '.mutants';

/** The report of the files of one room, by its own tests. */
const reportOf = (room, mutate) => {
  const configuration = {
    packageManager: 'npm',
    // None: Stryker would read tsconfig.json by an interface that TypeScript 7 no longer has.
    tsconfigFile: 'none',
    plugins: [`${cache}/node_modules/@stryker-mutator/vitest-runner/dist/src/index.js`],
    testRunner: 'vitest',
    vitest: { configFile: '.vitest.mutants.js' },
    mutate,
    coverageAnalysis: 'perTest',
    concurrency: 1,
    timeoutMS: 120_000,
    dryRunTimeoutMinutes: 60,
    tempDirName: sandbox,
    ignorePatterns: ['demo-output', 'coverage', 'tests/evidence/mutants.md'],
    // What a message says is pinned where it matters; a test for every word would be a second copy of it.
    mutator: { excludedMutations: ['StringLiteral'] },
    reporters: ['json', 'progress-append-only'],
    jsonReporter: { fileName: `${cache}/report.json` },
    disableTypeChecks: false,
  };
  writeFileSync(`${cache}/stryker.json`, JSON.stringify(configuration));
  const run = spawnSync(
    process.execPath,
    [`${cache}/node_modules/@stryker-mutator/core/bin/stryker.js`, 'run', `${cache}/stryker.json`],
    { cwd: root, stdio: 'inherit', env: { ...process.env, MUTANT_ROOM: room } },
  );
  rmSync(`${root}/${sandbox}`, { recursive: true, force: true });
  if (run.status !== 0) process.exit(run.status ?? 1);
  return JSON.parse(readFileSync(`${cache}/report.json`, 'utf8')).files;
};

const rows = [];
const lived = [];
const all = { noticed: 0, counted: 0, endless: 0 };
const share = (noticed, counted) => (counted === 0 ? '' : `${Math.round((100 * noticed) / counted)} %`);

const take = (file, { mutants, source }) => {
  const of = (...statuses) => mutants.filter(({ status }) => statuses.includes(status));
  const noticed = of('Killed', 'Timeout').length;
  const left = of('Survived', 'NoCoverage');
  const counted = noticed + left.length;
  all.noticed += noticed;
  all.counted += counted;
  all.endless += of('Timeout').length;
  rows.push(`| ${file} | ${counted} | ${noticed} | ${share(noticed, counted)} |`);
  for (const { location, replacement = '', status } of left) {
    const line = source.split('\n')[location.start.line - 1].trim();
    const cell = (text) => text.replace(/\s+/g, ' ').replaceAll('|', '\\|').slice(0, 90);
    lived.push(
      `| ${file}:${location.start.line} | \`${cell(line)}\` | \`${cell(replacement)}\` | ${status === 'NoCoverage' ? 'not run' : 'not noticed'} |`,
    );
  }
};

// Room by room, and kept after each: the whole takes hours.
for (const room of new Set(files.map((file) => file.split('/')[1]))) {
  const report = reportOf(
    room,
    files.filter((file) => file.startsWith(`src/${room}/`)),
  );
  for (const [file, found] of Object.entries(report)) take(file, found);
  const text = `# What the tests would notice

\`npm run mutants\` on ${new Date().toISOString().slice(0, 10)}: Stryker ${version}, changes of words left out; the tests of each file's own room
that do not take long (\`.vitest.mutants.js\`), so the true score is higher. A sample: the files named, none of the others.
Of the noticed ones ${all.endless} were noticed by not coming to an end.

| file | changes | noticed | |
|---|---|---|---|
${rows.join('\n')}
| all | ${all.counted} | ${all.noticed} | ${share(all.noticed, all.counted)} |

## Not noticed

| where | line | changed to | |
|---|---|---|---|
${lived.join('\n')}
`;
  writeFileSync(here('./mutants.md'), text);
}
console.log(`${all.noticed} of ${all.counted} noticed; tests/evidence/mutants.md`);
