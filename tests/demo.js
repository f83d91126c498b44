// npm run demo: the main job on the worked example, as its operator would call it, and a picture of the result.
// Writes demo-output/, which git leaves alone.
import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = fileURLToPath(new URL('..', import.meta.url));
const example = 'calibration/fern-screen';
const job = `${example}/job.yaml`;
const output = 'demo-output';

/** Calls the tool as from a terminal, in the project's folder; ends the demo where the tool ends in a fault. */
const reseat = (args, { quiet = false } = {}) => {
  console.log(`$ reseat ${args.join(' ')}${quiet ? '\n' : ''}`);
  const { status, error } = spawnSync(process.execPath, [join(root, 'bin/reseat.js'), ...args], {
    cwd: root,
    stdio: ['ignore', quiet ? 'ignore' : 'inherit', 'inherit'],
  });
  if (error) throw error;
  if (status !== 0) process.exit(status ?? 1);
};

if (!existsSync(join(root, 'dist/index.js'))) {
  console.error('dist/ is not there: run "npm run build" first.');
  process.exit(1);
}
mkdirSync(join(root, output), { recursive: true });

reseat([
  'plan',
  `${example}/plan.yaml`,
  '-o',
  `${output}/fern-screen-marked.svg`,
  '--picture',
  `${output}/fern-screen-plan.png`,
  '--force',
]);
reseat(['fit', job]);
reseat(['check', job]);
reseat(['cut', job, '-o', `${output}/fern-screen-cut.svg`, '--force']);
reseat(['cut', job, '-o', `${output}/fern-screen-cut.dxf`, '--force'], { quiet: true });

const { cutJob, jobPicture, loadJob, pictureSvg } = await import('../dist/index.js');
const { default: sharp } = await import('sharp');
const read = (path) => readFileSync(join(root, path));
const loaded = loadJob(
  { path: job, text: read(job).toString('utf8') },
  { read: (path) => read(join(example, path)) },
);
const done = cutJob(loaded);
if (!done.ok) throw new Error(done.failure.reason);
const { openings, outline } = loaded.roles;
const picture = pictureSvg(jobPicture({ job: loaded.job, openings, outline, ...done }));
// 144 in place of sharp's 72: two pixels for each picture unit, enough to zoom into.
const { width, height } = await sharp(Buffer.from(picture), { density: 144 })
  .png()
  .toFile(join(root, output, 'fern-screen.png'));

console.log(`Written to ${output}/:
  fern-screen-marked.svg   the drawing with planned marks
  fern-screen-plan.png     what error to expect with them
  fern-screen-cut.svg      the paths to cut
  fern-screen-cut.dxf      the same
  fern-screen.png          the part on its bed, what is cut, and the residuals (${width} x ${height})`);
