// `node tests/evidence/mutations.js [svg|dxf [FROM [TO]]]`: by default 5,000 files of each; files that fail are kept.
import { mkdirSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { build } from 'vite';

const here = (path) => fileURLToPath(new URL(path, import.meta.url));
const outDir = here('../../node_modules/.cache/mutations');

await build({
  configFile: false,
  root: here('../..'),
  logLevel: 'error',
  build: {
    outDir,
    emptyOutDir: false,
    target: 'node20',
    minify: false,
    ssr: true,
    rollupOptions: { input: here('./mutations.ts'), output: { entryFileNames: 'mutations.mjs' } },
  },
  ssr: { noExternal: true },
});

const { runMutations } = await import(`${outDir}/mutations.mjs`);
const [kind, from = '0', to = '5000'] = process.argv.slice(2);
const seconds = () => process.cpuUsage().user / 1e6;
const keep = (name, bytes) => {
  mkdirSync(`${outDir}/kept`, { recursive: true });
  writeFileSync(`${outDir}/kept/${name}`, bytes);
};
// Should the process not survive a file, this says which.
const at = (index) => {
  if (index % 50 === 0 || process.env.EACH !== undefined) writeFileSync(`${outDir}/at.txt`, `${index}\n`);
};
for (const name of kind === undefined ? ['svg', 'dxf'] : [kind]) {
  const { courses, faults, slowest, slowestFile } = runMutations(
    name,
    Number(from),
    Number(to),
    seconds,
    keep,
    at,
  );
  process.stdout.write(
    `${name} ${from} to ${to}: ${courses.refused} refused, ${courses.listed} listed only, ${courses.cut} cut; ` +
      `slowest ${slowest.toFixed(2)} s (file ${slowestFile})\n`,
  );
  for (const fault of faults) process.stdout.write(`${fault}\n`);
  if (faults.length > 0) process.exitCode = 1;
}
