// The core of the page, which runs beside it: dist/page-worker.js, which the page's own build takes in.
import { defineConfig } from 'vite';
import { bundled, license } from './.vite.bundled.js';
import { alias, packages } from './.vite.packages.js';

/** Imported for what it does: package.json says that no module is. */
const sameDigits = {
  name: 'same-digits',
  transform: (code, id) => (id.includes('same-digits') ? { code, moduleSideEffects: true } : undefined),
};

export default defineConfig({
  plugins: [sameDigits, packages(), bundled],
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
      input: 'src/page/work/worker.ts',
      output: { format: 'iife', entryFileNames: 'page-worker.js' },
    },
  },
});
