// node tests/bench/start-up.mjs: `reseat --help` beside a bare node, the least of ten in turn; at most 2 is wanted.
import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';

const bin = fileURLToPath(new URL('../../bin/reseat.js', import.meta.url));
const milliseconds = (argv) => {
  const start = performance.now();
  spawnSync(process.execPath, argv);
  return performance.now() - start;
};
let bare = Number.POSITIVE_INFINITY;
let help = Number.POSITIVE_INFINITY;
for (let i = 0; i < 10; i++) {
  bare = Math.min(bare, milliseconds(['-e', '0']));
  help = Math.min(help, milliseconds([bin, '--help']));
}
console.log(
  `bare node ${bare.toFixed(0)} ms, --help ${help.toFixed(0)} ms, ratio ${(help / bare).toFixed(2)}`,
);
