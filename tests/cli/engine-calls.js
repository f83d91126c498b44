// Calls of the built program in the folder named: what each printed, as JSON, for one engine to be held against another.
import { run } from '../../dist/cli.js';

const cwd = process.argv[2];
const calls = JSON.parse(process.argv[3]);
const printed = [];
for (const argv of calls) {
  let out = '';
  let err = '';
  const status = await run(argv, {
    cwd,
    stdout: { write: (text) => (out += text), isTTY: false },
    stderr: { write: (text) => (err += text), isTTY: false },
    today: '2026-11-25',
  });
  printed.push({ argv: argv.join(' '), status, out, err });
}
console.log(JSON.stringify(printed));
