// The page as one file: its program, its style and its elements, dist/page.html.
import { readFileSync } from 'node:fs';
import { defineConfig } from 'vite';

const read = (name) => readFileSync(new URL(`src/page/${name}`, import.meta.url), 'utf8');

const onePage = {
  name: 'one-page',
  generateBundle(_, bundle) {
    const [script] = Object.values(bundle);
    if (Object.keys(bundle).length !== 1 || script.type !== 'chunk')
      throw new Error('more than one script for the page');
    // A script ends at the first </script, and <!-- begins a comment in it.
    const code = script.code.replace(/<\/(script)/gi, '<\\/$1').replace(/<!--/g, '<\\!--');
    for (const name of Object.keys(bundle)) delete bundle[name];
    const source = read('page.html')
      .replace('/*style*/', () => read('page.css'))
      .replace('/*script*/', () => code);
    this.emitFile({ type: 'asset', fileName: 'page.html', source });
  },
};

/**
 * stdlib asks by `eval` whether generators are there. The page lets nothing be evaluated, and to say where it refused that
 * took the browser half of the time in which the page opens.
 */
let found = false;
const generators = {
  name: 'generators',
  load(id) {
    if (!/\/@stdlib\/assert-has-generator-support\/lib\/index\.js$/.test(id)) return undefined;
    found = true;
    return 'module.exports = () => true;';
  },
  buildEnd(error) {
    if (error === undefined && !found)
      throw new Error('nothing asks for generators any more: take this away');
  },
};

export default defineConfig({
  plugins: [generators, onePage],
  define: { 'process.env.NODE_ENV': '"production"' },
  build: {
    outDir: 'dist',
    emptyOutDir: false,
    target: 'es2022',
    minify: true,
    modulePreload: false,
    rollupOptions: {
      input: 'src/page/main.ts',
      output: { format: 'iife' },
    },
  },
});
