// The page as one file, dist/page.html: its elements, its style, its program and, packed, the core that runs beside it.
import { createHash } from 'node:crypto';
import { readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { defineConfig } from 'vite';
import { bundled, license } from './.vite.bundled.js';

const read = (name) => readFileSync(new URL(`src/page/${name}`, import.meta.url), 'utf8');
/** In this order: what comes later goes before. */
const styles = ['base', 'title', 'book', 'plan', 'beginning', 'details', 'line', 'sheets', 'narrow', 'print'];

const calibration = (name) => readFileSync(new URL(`calibration/${name}`, import.meta.url), 'utf8');

/** The worked example, as JSON that can stand in a script. */
const example = () =>
  JSON.stringify({
    job: calibration('fern-screen/job.yaml'),
    drawing: calibration('fern-screen/fern-screen.svg'),
    machine: calibration('profiles/workshop.yaml'),
  }).replace(/</g, '\\u003c');

const worker = new URL('dist/page-worker.js', import.meta.url);

/** What may run is named by what it is: nothing else that gets into the page does. */
const hashOf = (text) => `'sha256-${createHash('sha256').update(text).digest('base64')}'`;

const onePage = {
  name: 'one-page',
  generateBundle(_, bundle) {
    const [script, ...more] = Object.values(bundle).filter(({ type }) => type === 'chunk');
    if (script === undefined || more.length > 0) throw new Error('not one script for the page');
    // A script ends at the first </script, and <!-- begins a comment in it.
    const code = script.code.replace(/<\/(script)/gi, '<\\/$1').replace(/<!--/g, '<\\!--');
    const style = styles.map((name) => read(`style/${name}.css`)).join('');
    const source = read('page.html')
      .replace("'script-hash'", () => hashOf(code))
      .replace("'style-hash'", () => hashOf(style))
      .replace('/*style*/', () => style)
      .replace('/*example*/', example)
      .replace('/*core*/', () => gzipSync(readFileSync(worker), { level: 9 }).toString('base64'))
      .replace('/*script*/', () => code);
    this.emitFile({ type: 'asset', fileName: 'page.html', source });
  },
  writeBundle({ dir }, bundle) {
    for (const { type, fileName } of Object.values(bundle)) if (type === 'chunk') rmSync(join(dir, fileName));
    rmSync(worker);
  },
};

export default defineConfig({
  plugins: [onePage, bundled],
  define: { 'process.env.NODE_ENV': '"production"' },
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  build: {
    outDir: 'dist',
    emptyOutDir: false,
    target: 'es2022',
    minify: true,
    modulePreload: false,
    license,
    rollupOptions: {
      input: 'src/page/main.tsx',
      output: { format: 'iife', entryFileNames: 'page.js' },
    },
  },
});
