/** `npm run evidence`: bundles the studies, runs them, prints their tables and keeps them in summary.md. */
import { writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { build } from 'vite';

const here = (path) => fileURLToPath(new URL(path, import.meta.url));
const outDir = here('../../node_modules/.cache/evidence');

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

const { runStudies } = await import(`${outDir}/studies.mjs`);
const { text, failures } = runStudies((line) => process.stdout.write(`${line}\n`));
const date = new Date().toISOString().slice(0, 10);
writeFileSync(here('./summary.md'), text.replace('{date}', date));
for (const failure of failures) process.stderr.write(`not met: ${failure}\n`);
process.exitCode = failures.length === 0 ? 0 : 1;
