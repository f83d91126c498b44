// The page as one file: its program, its style and its elements, dist/page.html.
import { readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { defineConfig } from 'vite';
import { bundled, license } from './.vite.bundled.js';
import { alias, packages } from './.vite.packages.js';

const read = (name) => readFileSync(new URL(`src/page/${name}`, import.meta.url), 'utf8');

const onePage = {
  name: 'one-page',
  generateBundle(_, bundle) {
    const [script, ...more] = Object.values(bundle).filter(({ type }) => type === 'chunk');
    if (script === undefined || more.length > 0) throw new Error('not one script for the page');
    // A script ends at the first </script, and <!-- begins a comment in it.
    const code = script.code.replace(/<\/(script)/gi, '<\\/$1').replace(/<!--/g, '<\\!--');
    const source = read('page.html')
      .replace('/*style*/', () => read('page.css'))
      .replace('/*script*/', () => code);
    this.emitFile({ type: 'asset', fileName: 'page.html', source });
  },
  writeBundle({ dir }, bundle) {
    for (const { type, fileName } of Object.values(bundle)) if (type === 'chunk') rmSync(join(dir, fileName));
  },
};

export default defineConfig({
  plugins: [packages(), onePage, bundled],
  resolve: { alias },
  define: { 'process.env.NODE_ENV': '"production"' },
  build: {
    outDir: 'dist',
    emptyOutDir: false,
    target: 'es2022',
    minify: true,
    modulePreload: false,
    license,
    rollupOptions: {
      input: 'src/page/main.ts',
      output: { format: 'iife', entryFileNames: 'page.js' },
    },
  },
});
