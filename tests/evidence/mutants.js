// `npm run mutants [-- COUNT [SEED [FILE[:FROM-TO]...]]]`: how many changes of the code the tests notice. Of all changes that Stryker's
// instrumenter makes in five rooms (or the files named), COUNT are drawn, as many in each room. All are built in at once and
// switched on one by one while the tests run (mutants-runner.ts); what a module does when it is loaded is tried in a process
// of its own. The log is kept in node_modules/.cache/mutants; a run that was cut off goes on from it. The score is kept in
// mutants.md; changes that cannot be noticed stand in equivalent-mutants.json with the reason.
import { spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import { appendFileSync, existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { basename } from 'node:path';
import { setTimeout } from 'node:timers/promises';
import { cache, place, root, version } from './mutants-place.js';

const rooms = ['fit', 'verdict', 'cut', 'marks', 'calibration'];
const [count = '400', seed = '1', ...named] = process.argv.slice(2);
/** Of `FILE:FROM-TO` the lines. */
const ranges = new Map(
  named.map((name) => {
    const [file, lines] = name.split(':');
    return [file, lines?.split('-').map(Number)];
  }),
);

/** Seconds of the processor for all tests of a change, and of a test that is worth running again. */
const secondsOfOne = Number(process.env.MUTANTS_SECONDS ?? 8);
const secondsOfTest = secondsOfOne / 4;
/** Seconds of the processor after which a change counts as endless. */
const patience = 40;
/** With MUTANTS_QUICK none is tried in a process of its own. */
const isQuick = process.env.MUTANTS_QUICK !== undefined;
/** For a change that is tried in a process of its own: test files, and seconds of the processor. */
const filesAlone = 10;
const secondsAlone = 90;

const filesOf = (room) =>
  readdirSync(`${root}src/${room}`, { recursive: true })
    .filter((file) => file.endsWith('.ts'))
    .sort()
    .map((file) => `src/${room}/${file}`);
const files = named.length > 0 ? [...ranges.keys()] : rooms.flatMap(filesOf);
const roomOf = ({ fileName }) => fileName.split('/')[1];
const lineOf = ({ fileName, location }) =>
  readFileSync(`${root}${fileName}`, 'utf8').split('\n')[location.start.line].trim();

const mutants = (await place(files)).mutants.filter(({ fileName, location }) => {
  const [first, last = first] = ranges.get(fileName) ?? [0, Number.POSITIVE_INFINITY];
  return location.start.line + 1 >= first && location.start.line < last;
});

// A sample of each room: those of the least hash of seed and number.
const order = ({ id }) => createHash('sha256').update(`${seed}/${id}`).digest('hex');
const drawn = rooms.flatMap((room) => {
  const all = mutants.filter((mutant) => roomOf(mutant) === room).map((mutant) => [order(mutant), mutant]);
  all.sort(([a], [b]) => (a < b ? -1 : 1));
  return all.slice(0, Math.ceil(Number(count) / rooms.length)).map(([, mutant]) => mutant);
});
const { texts } = await place(files, new Set(drawn.map(({ id }) => id)));
const touched = new Set(drawn.map(({ fileName }) => fileName));
for (const name of files) if (!touched.has(name)) delete texts[name];

// Another state of the sources is another run.
const state = createHash('sha256').update(JSON.stringify(texts)).digest('hex').slice(0, 8);
const log = `${cache}/${seed}-${state}.jsonl`;
mkdirSync(cache, { recursive: true });
if (!existsSync(log)) writeFileSync(log, '');

const read = () => {
  const seen = {
    noticed: new Map(),
    spent: {},
    done: [],
    reached: new Set(),
    testsOf: new Map(),
    early: new Map(),
    broken: new Set(),
    alone: new Set(),
  };
  const add = (map, key, value) => map.set(key, (map.get(key) ?? new Set()).add(value));
  for (const line of readFileSync(log, 'utf8').split('\n').filter(Boolean)) {
    const said = JSON.parse(line);
    if ('process' in said) seen.process = said.process;
    seen.pending = said.begin;
    if ('noticed' in said) seen.noticed.set(said.noticed, said);
    if ('lived' in said) seen.spent[said.lived] = (seen.spent[said.lived] ?? 0) + said.took;
    if ('done' in said) seen.done.push(said.done);
    if ('broken' in said) seen.broken.add(said.broken);
    if ('alone' in said) seen.alone.add(said.alone);
    if ('ran' in said)
      for (const id of said.reached) {
        seen.reached.add(id);
        add(seen.testsOf, id, said.ran.split(' > ')[0]);
      }
    if ('early' in said) for (const id of said.reached) add(seen.early, id, said.early);
  }
  return seen;
};

const tell = (what) => appendFileSync(log, `${JSON.stringify(what)}\n`);

/** Seconds of the processor that a process has had; undefined once it has ended. */
const usedBy = (pid) => {
  try {
    const fields = readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1].split(' ');
    return (Number(fields[11]) + Number(fields[12])) / 100;
  } catch {
    return undefined;
  }
};

/** Runs vitest; `watch` is called now and then and may end it. */
const vitest = async (words, env, watch) => {
  const plan = log.replace('.jsonl', '.plan.json');
  const { noticed, done, spent } = read();
  writeFileSync(
    plan,
    JSON.stringify({ texts, noticed: [...noticed.keys()], done, spent, secondsOfOne, secondsOfTest }),
  );
  const child = spawn(
    process.execPath,
    [`${root}node_modules/vitest/vitest.mjs`, 'run', '--config', '.vitest.mutants.js', ...words],
    {
      cwd: root,
      stdio: ['ignore', 'ignore', 'ignore'],
      env: { ...process.env, MUTANTS_PLAN: plan, MUTANTS_LOG: log, ...env },
    },
  );
  let status;
  const ended = new Promise((resolve) => {
    child.on('close', (code) => {
      status = code ?? 1;
      resolve();
    });
  });
  while (status === undefined) {
    await Promise.race([ended, setTimeout(2000)]);
    if (status === undefined && watch()) {
      const { process: worker } = read();
      if (usedBy(worker) !== undefined) process.kill(worker, 'SIGKILL');
      child.kill('SIGKILL');
      await ended;
      return undefined;
    }
  }
  return status;
};

// All tests, with every change that they reach, until a run comes to its end.
for (;;) {
  if (read().done.includes('all')) break;
  let since;
  const status = await vitest([], {}, () => {
    const { pending, process: worker } = read();
    const used = usedBy(worker);
    const length = readFileSync(log).length;
    if (since?.length !== length) since = { length, used };
    return pending !== undefined && used !== undefined && used - (since.used ?? used) > patience;
  });
  const { pending, noticed, done } = read();
  console.log(`${done.length} tests, ${noticed.size} of ${drawn.length} noticed`);
  if (pending !== undefined) tell({ noticed: pending, by: status === undefined ? 'endless' : 'ended' });
  else if (status !== undefined) tell({ done: 'all' });
}

// What is reached while modules are loaded or before a test begins.
for (const mutant of drawn) {
  const { id, fileName } = mutant;
  const { noticed, early, testsOf, broken, alone } = read();
  if (isQuick || noticed.has(id) || alone.has(id) || !early.has(id)) continue;
  const near = new Set(early.get(id));
  for (const other of drawn)
    if (other.fileName === fileName) for (const file of testsOf.get(other.id) ?? []) near.add(file);
  const rank = (file) =>
    (basename(file, '.test.ts') === basename(fileName, '.ts') ? 0 : 2) +
    (file.includes(`tests/${roomOf(mutant)}/`) ? 0 : 1);
  const chosen = [...near].filter((file) => !broken.has(file));
  chosen.sort((a, b) => rank(a) - rank(b));
  const tests = chosen.slice(0, filesAlone).join(' ');
  const status = await vitest(['--bail', '1'], { MUTANTS_ACTIVE: id, MUTANTS_TESTS: tests }, () => {
    const { process: worker } = read();
    return (usedBy(worker) ?? 0) > secondsAlone;
  });
  if (status !== undefined && status !== 0) tell({ noticed: id, by: `one of ${tests}`, why: 'alone' });
  tell({ alone: id });
}

const { noticed, reached, early, broken } = read();
for (const file of broken) console.log(`not counted, for its tests fail unchanged: ${file}`);

const equivalents = JSON.parse(readFileSync(new URL('./equivalent-mutants.json', import.meta.url), 'utf8'));
const plain = (text) => text.replace(/\s+/g, ' ').trim();
const equivalentOf = (mutant) =>
  equivalents.find(
    ({ file, line, changed }) =>
      file === mutant.fileName &&
      plain(line) === plain(lineOf(mutant)) &&
      plain(changed) === plain(mutant.replacement),
  );

/** Wilson's interval of a share at 95 %. */
const interval = (k, n) => {
  const z = 1.96;
  const middle = (k + (z * z) / 2) / (n + z * z);
  const half = (z / (n + z * z)) * Math.sqrt((k * (n - k)) / n + (z * z) / 4);
  return [middle - half, middle + half];
};
const percent = (share) => `${Math.round(100 * share)} %`;

const rows = [];
let [score, variance] = [0, 0];
const counted = (mutant) => noticed.has(mutant.id) || equivalentOf(mutant) === undefined;
for (const room of rooms) {
  const of = drawn.filter((mutant) => roomOf(mutant) === room && counted(mutant));
  if (of.length === 0) continue;
  const all = mutants.filter((mutant) => roomOf(mutant) === room).length;
  const k = of.filter(({ id }) => noticed.has(id)).length;
  const [low, high] = interval(k, of.length);
  score += (all / mutants.length) * (k / of.length);
  variance += ((all / mutants.length) ** 2 * k * (of.length - k)) / of.length ** 3;
  rows.push(
    `| ${room} | ${all} | ${of.length} | ${k} | ${percent(k / of.length)} | ${percent(low)} to ${percent(high)} |`,
  );
}
const half = 1.96 * Math.sqrt(variance);
const cell = (text) => plain(text).replaceAll('|', '\\|').slice(0, 90);
const place4 = ({ fileName, location }) => `${fileName}:${location.start.line + 1}`;
const left = drawn.filter(({ id }) => !noticed.has(id));
const lines = left
  .filter((mutant) => equivalentOf(mutant) === undefined)
  .map(
    (mutant) =>
      `| ${place4(mutant)} | \`${cell(lineOf(mutant))}\` | \`${cell(mutant.replacement)}\` | ${reached.has(mutant.id) || early.has(mutant.id) ? '' : 'not run'} |`,
  );
const same = left
  .filter((mutant) => equivalentOf(mutant) !== undefined)
  .map(
    (mutant) =>
      `| ${place4(mutant)} | \`${cell(lineOf(mutant))}\` | \`${cell(mutant.replacement)}\` | ${equivalentOf(mutant).reason} |`,
  );
const counts = drawn.filter(counted).length;
const endless = drawn.filter(({ id }) => ['endless', 'ended'].includes(noticed.get(id)?.by)).length;
writeFileSync(
  new URL(named.length > 0 ? `file://${cache}/named.md` : './mutants.md', import.meta.url),
  `# What the tests would notice

\`npm run mutants -- ${count} ${seed}\` on ${new Date().toISOString().slice(0, 10)}: of the ${mutants.length} changes that Stryker ${version} makes in five rooms (those of
words left out), ${counts} drawn at random. Each had at most ${secondsOfOne} s of the tests that reach it, those that take long or start a
process left out, so the true score is higher. ${endless} were noticed by not coming to an end.

| room | changes | drawn | noticed | | 95 % |
|---|---|---|---|---|---|
${rows.join('\n')}
| all, by their number | ${mutants.length} | ${counts} | ${noticed.size} | ${percent(score)} | ${percent(score - half)} to ${percent(score + half)} |

## Not noticed

| where | line | changed to | |
|---|---|---|---|
${lines.join('\n')}

## Cannot be noticed, and not counted

| where | line | changed to | why |
|---|---|---|---|
${same.join('\n')}
`,
);
console.log(`${percent(score)} noticed, of ${counts} drawn`);
