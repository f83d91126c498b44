// node tests/bench/start-up.mjs: commands on the example beside a bare node, user and system time, the least of ten in turn; of
// --help at most 2 is wanted.
import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';

const bin = fileURLToPath(new URL('../../bin/reseat.js', import.meta.url));
const example = fileURLToPath(new URL('../../calibration/fern-screen', import.meta.url));
const calls = new Map([
  ['bare node', ['-e', '0']],
  ['--help', [bin, '--help']],
  ['list', [bin, 'list', `${example}/fern-screen.svg`]],
  ['fit', [bin, 'fit', `${example}/job.yaml`]],
  ['check', [bin, 'check', `${example}/job.yaml`]],
]);
/** Of a child that has ended, ms. */
const milliseconds = (argv) => {
  const times = `process.on('exit', () => { const { user, system } = process.cpuUsage(); console.error('\\ntook', (user + system) / 1000); })`;
  const preload = `data:text/javascript,${encodeURIComponent(times)}`;
  const { stderr } = spawnSync(process.execPath, ['--import', preload, ...argv], { encoding: 'utf8' });
  const took = /took ([\d.]+)\s*$/.exec(stderr);
  if (took === null) throw new Error(`${argv.join(' ')}: ${stderr}`);
  return Number(took[1]);
};
const least = new Map();
for (let i = 0; i < 10; i++) {
  for (const [name, argv] of calls)
    least.set(name, Math.min(least.get(name) ?? Number.POSITIVE_INFINITY, milliseconds(argv)));
}
const bare = least.get('bare node');
for (const [name, took] of least)
  console.log(`${name} ${took.toFixed(0)} ms, ratio ${(took / bare).toFixed(2)}`);
