/**
 * `npm run evidence`: bundles the studies, runs them, and keeps their tables in summary.md.
 *
 *     npm run evidence                               all sections, one after another
 *     npm run evidence -- workshop sides             these alone; the others stay as they are
 *     npm run evidence -- --share 0.25 calibration   with a quarter of the jobs
 */
import { execFileSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { build } from 'vite';

const here = (path) => fileURLToPath(new URL(path, import.meta.url));
const outDir = here('../../node_modules/.cache/evidence');
const { positionals, values } = parseArgs({
  allowPositionals: true,
  options: { share: { type: 'string', default: '1' } },
});
const share = Number(values.share);
if (!(share > 0 && share <= 1)) throw new RangeError(`--share ${values.share}, expected above 0 up to 1`);

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
    rollupOptions: { input: here('./studies.ts'), output: { entryFileNames: 'studies.mjs' } },
  },
  ssr: { noExternal: true },
});

const { runSection, sectionNames } = await import(`${outDir}/studies.mjs`);
const unknown = positionals.find((name) => !sectionNames.includes(name));
if (unknown !== undefined) throw new RangeError(`there is no section ${unknown}: ${sectionNames.join(', ')}`);

/** Parts of a text by their headings. */
const partsOf = (text) =>
  text
    .split(/^(?=## )/m)
    .filter((part) => part.startsWith('## '))
    .map((part) => [part.slice(0, part.indexOf('\n')), part.trimEnd()]);

const summary = here('./summary.md');
const head = `# Evidence for the verdict

\`npm run evidence\`, seed "evidence": the same figures on every machine. Below each heading stands of which commit and when.

`;
const commit = execFileSync('git', ['rev-parse', '--short', 'HEAD'], { cwd: here('.') })
  .toString()
  .trim();
for (const name of positionals.length === 0 ? sectionNames : positionals) {
  const date = new Date().toISOString().slice(0, 10);
  const { text, failures } = runSection(name, share);
  process.stdout.write(text);
  // Read anew: sections may run side by side.
  const parts = new Map(partsOf(readFileSync(summary, 'utf8')));
  const of = `${date}, on ${commit}${share === 1 ? '' : `, with ${values.share} of the jobs`}.`;
  for (const [heading, part] of partsOf(text)) parts.set(heading, part.replace('\n', `\n\n${of}\n`));
  writeFileSync(summary, `${head}${[...parts.values()].join('\n\n')}\n`);
  for (const failure of failures) process.stderr.write(`not met: ${failure}\n`);
  if (failures.length > 0) process.exitCode = 1;
}
