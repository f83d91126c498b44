// The library, dist/index.js. It stays readable: who builds on it reads its stack traces.
import { defineConfig } from 'vite';
import { bundled, license } from './.vite.bundled.js';
import { alias, packages } from './.vite.packages.js';

export default defineConfig({
  plugins: [packages(), bundled],
  resolve: { alias },
  build: {
    outDir: 'dist',
    target: 'node20',
    minify: false,
    ssr: true,
    license,
    rollupOptions: {
      input: { index: 'src/index.ts' },
      output: { entryFileNames: '[name].js', chunkFileNames: 'chunk/[name]-[hash].js' },
    },
  },
  ssr: { noExternal: true, external: ['sharp', 'opencv-wasm'] },
});
