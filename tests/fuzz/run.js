// `npm run fuzz [-- COUNT [SEED [FROM]]]`: calls with mistakes in them, in the built program. What goes wrong is kept in
// tests/fuzz/corpus, which `npm test` goes through; rename it there to say what it was.
import { fork, spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'vite';

const here = (path) => fileURLToPath(new URL(path, import.meta.url));
const outDir = here('../../node_modules/.cache/fuzz');

/** Megabytes of a process; a child that wants more ends, and its case with it. */
const mostMemory = 1000;
/** Seconds of waiting, on however busy a machine, before a case counts as endless. */
const patience = 180;
/** Cases of one child, so that what it keeps does not count for the next ones. */
const ofOneChild = 400;
/** Every so many cases also as a process of its own. */
const asProcess = 250;

const isChild = process.argv[2] === '--child';

if (isChild) {
  const [, , , seed, from, to] = process.argv;
  const { fuzzCase, tryCase } = await import(`${outDir}/fuzz.mjs`);
  const { run } = await import('../../dist/cli.js');
  for (let i = Number(from); i < Number(to); i++) {
    process.send({ begin: i });
    const tried = await tryCase(run, fuzzCase(seed, i));
    process.send({ end: i, memory: process.memoryUsage().rss / 2 ** 20, ...tried });
  }
  process.disconnect();
} else {
  await build({
    configFile: false,
    root: here('../..'),
    logLevel: 'error',
    build: {
      outDir,
      emptyOutDir: true,
      target: 'node20',
      minify: false,
      ssr: true,
      rollupOptions: { input: here('./fuzz.ts'), output: { entryFileNames: 'fuzz.mjs' } },
    },
    ssr: { noExternal: true },
  });
  const { fuzzCase, putFiles } = await import(`${outDir}/fuzz.mjs`);
  const [count = '10000', seed = 'reseat', first = '0'] = process.argv.slice(2);
  const end = Number(first) + Number(count);
  const told = { 0: 0, 1: 0, 2: 0, 3: 0 };
  let [slowest, largest, done, processes, faulty] = [0, 0, 0, 0, 0];

  const keep = (i, faults) => {
    faulty++;
    console.log(`${seed}/${i}: ${faults.join('\n  ')}`);
    const name = here(`./corpus/${seed}-${i}.json`);
    writeFileSync(
      name,
      `${JSON.stringify({ was: faults[0].split('\n')[0], ...fuzzCase(seed, i) }, null, 1)}\n`,
    );
  };

  /** The same call as a process, with what it took. */
  const runProcess = (i) => {
    const one = fuzzCase(seed, i);
    const folder = mkdtempSync(join(tmpdir(), 'reseat-fuzz-'));
    putFiles(folder, one);
    const bin = [process.execPath, here('../../bin/reseat.js'), ...one.argv];
    const timed = existsSync('/usr/bin/time')
      ? ['/usr/bin/time', '-o', join(folder, 'used'), '-f', '%M', ...bin]
      : bin;
    const run = spawnSync(timed[0], timed.slice(1), {
      cwd: folder,
      input: Buffer.from(one.stdin ?? '', 'latin1'),
      encoding: 'utf8',
      timeout: patience * 1000,
      maxBuffer: 1e9,
    });
    const faults = [];
    if (![0, 1, 2, 3].includes(run.status))
      faults.push(`process: status ${run.status} ${run.signal ?? ''} ${run.stderr.slice(0, 400)}`);
    if (/^\s+at .*:\d+/m.test(run.stderr)) faults.push(`process: a stack trace: ${run.stderr.slice(0, 400)}`);
    const used = existsSync(join(folder, 'used'))
      ? Number(readFileSync(join(folder, 'used'), 'utf8').trim().split('\n').at(-1)) / 1024
      : 0;
    largest = Math.max(largest, used);
    if (used > mostMemory) faults.push(`process: ${Math.round(used)} MB`);
    rmSync(folder, { recursive: true, force: true });
    processes++;
    if (faults.length > 0) keep(i, faults);
  };

  /** Runs from one number on until a child has done its share or does not survive; the number to go on with. */
  const runChild = (from) =>
    new Promise((resolve) => {
      const to = Math.min(end, from + ofOneChild);
      const child = fork(fileURLToPath(import.meta.url), ['--child', seed, String(from), String(to)], {
        execArgv: [`--max-old-space-size=${mostMemory - 200}`],
        stdio: ['ignore', 'inherit', 'pipe', 'ipc'],
      });
      let stderr = '';
      child.stderr.on('data', (text) => (stderr = (stderr + text).slice(-2000)));
      let at = from;
      let isDone = false;
      let timer;
      const watch = () => {
        clearTimeout(timer);
        timer = setTimeout(() => child.kill('SIGKILL'), patience * 1000);
      };
      watch();
      child.on('message', (said) => {
        watch();
        if ('begin' in said) {
          at = said.begin;
          isDone = false;
          return;
        }
        isDone = true;
        done++;
        told[said.status] = (told[said.status] ?? 0) + 1;
        slowest = Math.max(slowest, said.seconds);
        largest = Math.max(largest, said.memory);
        if (said.faults.length > 0) keep(at, said.faults);
        else if (said.memory > mostMemory) keep(at, [`${Math.round(said.memory)} MB`]);
        if (at % asProcess === 0) runProcess(at);
        if (done % 1000 === 0)
          console.log(
            `${at + 1}: statuses ${JSON.stringify(told)}, slowest ${slowest.toFixed(1)} s, largest ${Math.round(largest)} MB, ${processes} processes, ${faulty} faults`,
          );
      });
      child.on('close', (code, signal) => {
        clearTimeout(timer);
        if (isDone && at === to - 1) return resolve(to);
        keep(at, [`ended ${signal ?? code}: ${stderr.slice(0, 300)}`]);
        done++;
        resolve(at + 1);
      });
    });

  let next = Number(first);
  while (next < end) next = await runChild(next);
  console.log(
    `${done} calls, ${processes} of them as processes, too: statuses ${JSON.stringify(told)}, slowest ${slowest.toFixed(1)} s, largest ${Math.round(largest)} MB, ${faulty} faults`,
  );
  process.exitCode = faulty === 0 ? 0 : 1;
}
